#include "project/values.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include <fmt/format.h>

#include "base/nearest.hpp"

namespace ferrule::project {

namespace {

using facts::Column;
using facts::Facts;
using facts::Table;
using render::Value;

constexpr std::string_view data_sheets = "part";

std::string row_name(const Table& table, std::uint32_t row) {
    return table.name ? table.name(row) : fmt::format("{} {}", table.subject, row + 1);
}

void put_number(Value& v, const Column& c, std::uint32_t row, const units::Units& units) {
    const double x = c.numbers[row];
    if (std::isnan(x)) return;
    v.type = Value::Type::number;
    v.number = x;
    v.unit = si_unit(c.dimension, units);
    units::UnitId shown = c.shown_in;
    if (row < c.row_units.size() && c.row_units[row]) shown = c.row_units[row];
    v.shown = shown ? units.show(x, shown) : units::show_number(x);
}

void put_subject(Value& v, const Facts& facts, const Column& c, std::uint32_t row) {
    const std::uint32_t other = c.subjects[row];
    if (other == facts::no_row && !c.not_applicable_is_false) return;
    v.type = Value::Type::names;
    const Table* target = facts.table(c.target);
    if (other != facts::no_row && target != nullptr) v.names.push_back(row_name(*target, other));
}

void put_subjects(Value& v, const Facts& facts, const Column& c, std::uint32_t row) {
    v.type = Value::Type::names;
    const Table* target = facts.table(c.target);
    const Column::List list = c.lists[row];
    for (std::uint32_t i = 0; i < list.count && target != nullptr; ++i) {
        v.names.push_back(row_name(*target, c.pool[list.first + i]));
    }
}

// A source that is one of the standards known here counts only under that standard.
std::vector<findings::Citation> citations(const Column& c, const Knowledge& k, const tables::Standard& standard) {
    std::vector<findings::Citation> all;
    for (findings::Citation source : c.sources) {
        if (source.standard == standard.id) source.standard = standard.cited;
        else if (k.standard(source.standard) != nullptr) continue;
        all.push_back(std::move(source));
    }
    return all;
}

render::ValueSubject subject(const Facts& facts, const Table& table, std::uint32_t row, const Knowledge& k,
                             const tables::Standard& standard) {
    render::ValueSubject s;
    s.name = row_name(table, row);
    s.kind = table.subject;
    s.about = table.about;
    if (table.place) s.span = table.place(row);
    for (const Column& c : table.columns) {
        Value v = value(facts, c, row, k.units);
        if (v.type == Value::Type::unknown && c.missing) v.unknown = c.missing(row).what;
        if (c.working) v.working = c.working(row);
        if (c.assumed) v.assumed = c.assumed(row);
        if (c.rests_on) v.rests_on = c.rests_on(row);
        v.sources = citations(c, k, standard);
        s.values.push_back(std::move(v));
    }
    return s;
}

}  // namespace

std::string si_unit(units::Dimension dimension, const units::Units& units) {
    if (dimension.plain()) return {};
    for (const units::Unit& u : units.all()) {
        if (u.dimension == dimension && u.factor == 1 && u.offset == 0 && !u.gauge) return u.symbol;
    }
    std::string above, below;
    const auto put = [&](int power, std::string_view symbol) {
        if (power == 0) return;
        std::string& side = power > 0 ? above : below;
        if (!side.empty()) side += '.';
        side += symbol;
        if (std::abs(power) > 1) side += fmt::to_string(std::abs(power));
    };
    put(dimension.volt, "V");
    put(dimension.ampere, "A");
    put(dimension.kilogram, "kg");
    put(dimension.metre, "m");
    put(dimension.kelvin, "K");
    put(dimension.second, "s");
    put(dimension.angle, "rad");
    if (below.empty()) return above;
    return fmt::format("{}/{}", above.empty() ? "1" : above, below);
}

Value value(const Facts& facts, const Column& c, std::uint32_t row, const units::Units& units) {
    Value v;
    v.fact = c.name;
    switch (c.type) {
        case facts::Type::number:
            if (row < c.numbers.size()) put_number(v, c, row, units);
            break;
        case facts::Type::flag:
            if (row < c.flags.size() && c.flags[row] != facts::flag_unknown) {
                v.type = Value::Type::flag;
                v.flag = c.flags[row] != 0;
            }
            break;
        case facts::Type::word:
            if (row < c.words.size() && c.words[row]) {
                v.type = Value::Type::word;
                v.names.emplace_back(facts.words.text(c.words[row]));
            }
            break;
        case facts::Type::subject:
            if (row < c.subjects.size()) put_subject(v, facts, c, row);
            break;
        case facts::Type::subjects:
            if (row < c.lists.size()) put_subjects(v, facts, c, row);
            break;
    }
    return v;
}

ValuesResult values(const Facts& facts, const Knowledge& knowledge, const tables::Standard& standard,
                    const std::vector<std::string>& names) {
    ValuesResult result;
    std::unordered_map<std::string_view, bool> wanted;
    for (const std::string& n : names) wanted.emplace(n, false);
    std::vector<std::string> known;
    for (const Table& table : facts.tables) {
        if (names.empty() && table.subject == data_sheets) continue;
        for (std::uint32_t row = 0; row < table.rows; ++row) {
            if (!names.empty()) {
                std::string own = row_name(table, row);
                std::string thing;
                const std::uint32_t id = table.thing ? table.thing(row) : facts::no_row;
                if (id != facts::no_row && facts.design != nullptr) thing = facts.design->name(graph::ThingId(id));
                const auto by_own = wanted.find(own);
                const auto by_thing = wanted.find(thing);
                if (by_own != wanted.end()) by_own->second = true;
                if (by_thing != wanted.end()) by_thing->second = true;
                const bool asked = by_own != wanted.end() || by_thing != wanted.end();
                known.push_back(std::move(own));
                if (!asked) continue;
            }
            result.subjects.push_back(subject(facts, table, row, knowledge, standard));
        }
    }
    const std::vector<std::string_view> views(known.begin(), known.end());
    for (const std::string& n : names) {
        if (wanted[n]) continue;
        const std::string_view near = base::nearest(n, views);
        result.unknown.push_back(near.empty() ? fmt::format("nothing in the design is called {}", n)
                                              : fmt::format("nothing in the design is called {}; there is {}", n, near));
    }
    return result;
}

std::vector<render::ValueSubject> values_of(const Facts& facts, const Knowledge& knowledge, const tables::Standard& standard,
                                            graph::ThingId thing) {
    std::vector<render::ValueSubject> all;
    for (const Table& table : facts.tables) {
        if (!table.thing || table.subject == data_sheets) continue;
        for (std::uint32_t row = 0; row < table.rows; ++row) {
            if (table.thing(row) == thing.value) all.push_back(subject(facts, table, row, knowledge, standard));
        }
    }
    return all;
}

render::ValueSubject values_of_row(const Facts& facts, const Knowledge& knowledge, const tables::Standard& standard, const Table& table,
                                   std::uint32_t row) {
    return subject(facts, table, row, knowledge, standard);
}

}  // namespace ferrule::project
