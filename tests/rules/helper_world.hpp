// A small invented world for the rules: a handful of fact tables over a design of two module types,
// without the analyses. Strings stand on fuses and groups; some figures are missing on purpose.
#pragma once

#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "base/files.hpp"
#include "base/limits.hpp"
#include "rules/compile.hpp"
#include "rules/names.hpp"
#include "rules/rule.hpp"
#include "rules/run.hpp"
#include "tables/kinds_file.hpp"
#include "tables/toml.hpp"

namespace ferrule::tests {

struct World {
    text::Sources sources;
    units::Units units = tables::read_units(project_file("grammar/units.toml")).units;
    graph::Kinds kinds = tables::read_kinds(project_file("grammar/kinds.toml"),
                                            project_file("grammar/statements.toml"), units)
                             .kinds;
    std::vector<tables::Standard> standards;
    facts::Facts schema;
    graph::Design design;
    facts::Facts facts;  // the schema with rows
    text::FileId design_file;

    tables::TomlFile project_file(const std::string& name) {
        return tables::read_toml(
            sources,
            sources.add(
                name,
                base::disk().read(FERRULE_SOURCE_DIR "/" + name, base::limits::file_bytes).bytes));
    }

    World() {
        design.units = &units;
        design.kinds = &kinds;
        design_file = sources.add("design.fer", std::string(4000, ' '));
        make_standards();
        make_schema(schema);
    }
    World(const World&) = delete;
    World& operator=(const World&) = delete;

    [[nodiscard]] units::UnitId unit(std::string_view symbol) const { return units.find(symbol); }
    [[nodiscard]] text::Span at(std::uint32_t place) const {
        return {design_file, place, place + 1};
    }
    base::Symbol word(std::string_view text) { return facts.words.intern(text); }
    base::Symbol name(std::string_view text) { return design.names.intern(text); }
    facts::Table& table(std::string_view subject) {
        for (facts::Table& t : facts.tables) {
            if (t.subject == subject) return t;
        }
        return facts.tables.front();
    }
    facts::Column& column(std::string_view subject, std::string_view name) {
        facts::Table& t = table(subject);
        return t.columns[t.by_name.at(std::string(name))];
    }

    [[nodiscard]] rules::Vocabulary vocabulary() const { return {schema, kinds, units, standards}; }

    // Tables with `strings` rows: EAST0 … on place 10 * row, each with a fuse of its own but every
    // third, in groups of four.
    void fill(std::uint32_t strings) {
        facts.tables.clear();
        make_schema(facts);
        const std::uint32_t groups = (strings + 3) / 4;
        for (facts::Table& t : facts.tables) {
            t.rows = t.subject == "string"  ? strings
                     : t.subject == "group" ? groups
                     : t.subject == "site"  ? 1
                                            : strings;
            const std::string prefix = t.subject == "string"  ? "S"
                                       : t.subject == "fuse"  ? "F"
                                       : t.subject == "group" ? "G"
                                                              : "site";
            t.name = [prefix](std::uint32_t row) { return prefix + std::to_string(row); };
            const std::uint32_t offset = t.subject == "fuse" ? 5 : t.subject == "group" ? 7 : 0;
            t.place = [this, offset](std::uint32_t row) { return at(10 * row + offset); };
        }
        for (std::uint32_t i = 0; i < strings; ++i) {
            column("string", "voc").numbers.push_back(200.0 + i);
            column("string", "isc").numbers.push_back(10.0);
            column("string", "modules").numbers.push_back(6);
            column("string", "fused").flags.push_back(i % 3 == 0 ? 0 : 1);
            column("string", "side").words.push_back(word(i % 2 == 0 ? "plus" : "minus"));
            column("string", "fuse").subjects.push_back(i % 3 == 0 ? facts::no_row : i);
            column("string", "group").subjects.push_back(i / 4);
            column("fuse", "rating").numbers.push_back(15.0 + i % 5);
            column("fuse", "dc").flags.push_back(i % 2 == 0 ? 1 : 0);
            column("fuse", "class").words.push_back(word("gPV"));
        }
        facts::Column& list = column("group", "strings");
        for (std::uint32_t g = 0; g < groups; ++g) {
            const std::uint32_t count = std::min(4U, strings - 4 * g);
            list.lists.push_back({4 * g, count});
            for (std::uint32_t i = 0; i < count; ++i) list.pool.push_back(4 * g + i);
            column("group", "spread").numbers.push_back(0.03);
        }
        column("site", "coldest").numbers.push_back(273.15 - 9);
        column("site", "highest").numbers.push_back(200.0 + strings);
        column("site", "on-building").flags.push_back(1);
        facts.design = &design;
    }

    // A part that states the property with one field; its rows, for Table::part_properties.
    base::Range<graph::RowId> part_row(std::string_view property, std::string_view field,
                                       double low, double high, std::string_view in) {
        graph::Field f;
        f.name = name(field);
        f.type = graph::Accepts::quantity;
        f.low = low;
        f.high = high;
        f.unit = unit(in);
        const graph::FieldId id = design.fields.add(f);
        graph::Row row;
        row.property = name(property);
        row.fields = {id.value, 1};
        row.span = at(3000 + id.value);
        return {design.rows.add(row).value, 1};
    }

    [[nodiscard]] rules::Compiled compile(std::string_view formula,
                                          std::string_view about = "string",
                                          bool flag = false) const {
        const rules::Names names(vocabulary());
        rules::Wanted wanted;
        wanted.about = names.table(about);
        wanted.flag = flag;
        wanted.place = {design_file, 0, static_cast<std::uint32_t>(formula.size())};
        return rules::compile(formula, names, wanted);
    }

    // "9: message [rule]" of every finding, columns from 1.
    [[nodiscard]] std::string complaints(std::string_view formula,
                                         std::string_view about = "string",
                                         bool flag = false) const {
        std::string all;
        for (const findings::Finding& f : compile(formula, about, flag).findings) {
            all += fmt::format("{}{}: {} [{}]", all.empty() ? "" : "\n", f.span.begin + 1,
                               f.message, f.rule);
        }
        return all;
    }

    rules::RuleSet load(const std::vector<std::string>& files) {
        std::vector<tables::TomlFile> read;
        for (const std::string& f : files) {
            read.push_back(tables::read_toml(
                sources, sources.add(fmt::format("rule{}.toml", sources.size()), f)));
        }
        return rules::load(read, sources, vocabulary());
    }

    // "3:11: message [rule]"
    [[nodiscard]] std::string complaints(const rules::RuleSet& set) const {
        std::string all;
        for (const findings::Finding& f : set.findings) {
            const text::LineColumn at_ =
                f.span ? sources[f.span.file].at(f.span.begin) : text::LineColumn{0, 0};
            all += fmt::format("{}{}:{}: {} [{}]", all.empty() ? "" : "\n", at_.line, at_.column,
                               f.message, f.rule);
        }
        return all;
    }

    findings::Report run(const rules::RuleSet& set, const rules::Options& options = {},
                         std::size_t standard = 0) {
        return rules::run(set, facts, standards[standard], options);
    }

private:
    void make_standards() {
        tables::Standard a, b;
        a.id = "one-2020";
        a.cited = "One 1:2020";
        b.id = "two-2021";
        b.cited = "Two 2-2021";
        const auto figure = [&](tables::Standard& s, const char* name, double value,
                                units::UnitId in, const char* text) {
            tables::Figure f;
            f.name = name;
            f.value = value;
            f.unit = in;
            f.word = text;
            s.figures.push_back(std::move(f));
        };
        figure(a, "factor", 1.25, {}, "");
        figure(b, "factor", 1.4, {}, "");
        figure(a, "touch-voltage", 60, unit("V"), "");
        figure(a, "pole-earthing", 0, {}, "allowed");
        figure(b, "pole-earthing", 0, {}, "forbidden");
        figure(b, "spread-limit", 0.05, unit("%"), "");
        tables::FigureTable sizes;
        sizes.name = "fuse-sizes";
        sizes.columns = {{"size", unit("A"), false}};
        for (const double size : {10., 15., 20., 25., 30.}) sizes.rows.push_back({{size, ""}});
        tables::FigureTable cold;
        cold.name = "cold";
        cold.columns = {
            {"from", unit("degC"), false}, {"to", unit("degC"), false}, {"factor", {}, false}};
        cold.rows = {{{263.15, ""}, {267.15, ""}, {1.14, ""}},
                     {{268.15, ""}, {272.15, ""}, {1.12, ""}}};
        tables::FigureTable classes;
        classes.name = "classes";
        classes.columns = {{"class", {}, true}, {"lowest", unit("A"), false}};
        classes.rows = {{{0, "gPV"}, {16, ""}}, {{0, "gG"}, {99, ""}}};
        a.tables = {sizes, cold, classes};
        standards = {std::move(a), std::move(b)};
    }

    void make_schema(facts::Facts& into) const {
        const auto add_table = [&](const char* subject) -> facts::Table& {
            into.tables.push_back({});
            into.tables.back().subject = subject;
            return into.tables.back();
        };
        const auto add = [&](facts::Table& t, const char* name, facts::Type type,
                             const char* unit_or_target = "") {
            facts::Column c;
            c.name = name;
            c.type = type;
            if (type == facts::Type::number && *unit_or_target != 0) {
                c.shown_in = unit(unit_or_target);
                c.dimension = units[c.shown_in].dimension;
            }
            if (type == facts::Type::subject || type == facts::Type::subjects) {
                c.target = unit_or_target;
                c.not_applicable_is_false = true;
            }
            t.add(std::move(c));
        };
        using T = facts::Type;
        facts::Table& string = add_table("string");
        add(string, "voc", T::number, "V");
        add(string, "isc", T::number, "A");
        add(string, "modules", T::number);
        add(string, "fused", T::flag);
        add(string, "side", T::word);
        add(string, "fuse", T::subject, "fuse");
        add(string, "group", T::subject, "group");
        facts::Table& fuse = add_table("fuse");
        add(fuse, "rating", T::number, "A");
        add(fuse, "dc", T::flag);
        add(fuse, "class", T::word);
        facts::Table& group = add_table("group");
        add(group, "strings", T::subjects, "string");
        add(group, "spread", T::number);
        facts::Table& site = add_table("site");
        add(site, "coldest", T::number, "degC");
        add(site, "highest", T::number, "V");
        add(site, "on-building", T::flag);
    }
};

}  // namespace ferrule::tests
