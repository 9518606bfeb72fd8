#include "tables/kinds_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "tables/entry.hpp"
#include "tables/quantity.hpp"

namespace ferrule::tables {

namespace {

using graph::Kind;
using graph::Property;

constexpr std::array<std::string_view, 3> groups = {"part", "role", "block"};
constexpr std::array<std::string_view, 6> ways = {"none", "source", "contact", "guard", "converter", "wire"};
constexpr std::array<std::string_view, 12> declarations = {"terminal", "pole",       "guard", "aux",   "join",  "face", "polarised",
                                                           "jumpers",  "protective", "plus",  "minus", "entry"};

template <std::size_t N>
bool among(const std::array<std::string_view, N>& known, std::string_view word) {
    return std::find(known.begin(), known.end(), word) != known.end();
}

class KindReader {
public:
    explicit KindReader(const units::Units& units) : units_(units) {}

    KindsFile read(const Value& kinds, const Value& statements) {
        Entry file(kinds, "the table of kinds", result_.findings);
        if (const Value* v = file.table("default")) {
            for (const auto& [name, one] : v->entries) standard_value(name, one);
        }
        if (const Value* v = file.table("tail")) {
            for (const auto& [name, one] : v->entries) {
                Entry e(one, "tail words " + name, result_.findings);
                result_.kinds.tail_words.emplace_back(name, e.words("words"));
                e.finish();
            }
        }
        common_ = file.table("common");
        for (const std::string_view group : groups) {
            if (const Value* v = file.table(group)) {
                for (const auto& [name, one] : v->entries) kind(group, name, one);
            }
        }
        file.finish();
        statement_texts(statements);
        return std::move(result_);
    }

private:
    void standard_value(const std::string& name, const Value& v) {
        Entry e(v, "default " + name, result_.findings);
        graph::Kinds::Default d;
        d.name = name;
        d.about = e.needed_text("about");
        d.word = e.text("word");
        if (const Value* value = e.value("value")) {
            const Quantity q = read_quantity(*value, units_);
            if (!q.error.empty()) e.complain("value", q.error);
            d.value = q.si;
            d.unit = q.unit;
        } else if (d.word.empty()) {
            e.complain("value", fmt::format("default {} has neither `value` nor `word`", name));
        }
        e.finish();
        result_.kinds.defaults.push_back(std::move(d));
    }

    void kind(std::string_view group, const std::string& name, const Value& v) {
        Entry e(v, fmt::format("{} {}", group, name), result_.findings);
        Kind k;
        k.name = name;
        k.group = group;
        k.about = e.needed_text("about");
        k.example = e.needed_text("example");
        k.terminals = e.words("terminals");
        k.protective = e.words("protective");
        k.counted_terminals = e.text("counted-terminals");
        k.one_metal = e.flag("one-metal");
        k.breaks_load = e.flag("breaks-load");
        if (e.value("conducts") != nullptr) k.conducts = e.needed_text("conducts");
        if (!among(ways, k.conducts)) e.complain("conducts", fmt::format("`{}` is no way between terminals", k.conducts));
        for (const std::string& label : k.protective) {
            if (std::find(k.terminals.begin(), k.terminals.end(), label) == k.terminals.end()) {
                e.complain("protective", fmt::format("`{}` is no terminal of {}", label, e.name()));
            }
        }
        if (const Value* own = e.table("property")) properties(e, *own, k.properties);
        for (const std::string& shared : e.words("common")) {
            const Value* set = common_ == nullptr ? nullptr : common_->find(shared);
            const Value* list = set == nullptr ? nullptr : set->find("property");
            if (list == nullptr) {
                e.complain("common", fmt::format("`{}` is no group of shared properties", shared));
            } else {
                properties(e, *list, k.properties);
            }
        }
        e.finish();
        if (!k.counted_terminals.empty() &&
            std::none_of(k.properties.begin(), k.properties.end(), [&k](const Property& p) { return p.name == k.counted_terminals; })) {
            e.complain("counted-terminals", fmt::format("`{}` is no property of {}", k.counted_terminals, e.name()));
        }
        if (result_.kinds.find(group, name)) e.complain("about", fmt::format("{} stands in the table twice", e.name()));
        result_.kinds.add(std::move(k));
    }

    void properties(Entry& of, const Value& list, std::vector<Property>& into) {
        for (const auto& [name, v] : list.entries) {
            if (std::any_of(into.begin(), into.end(), [&n = name](const Property& p) { return p.name == n; })) {
                of.complain("common", fmt::format("{} gets the property `{}` twice", of.name(), name));
                continue;
            }
            into.push_back(property(of.name(), name, v));
        }
    }

    Property property(const std::string& of, const std::string& name, const Value& v) {
        Entry e(v, fmt::format("property {} of {}", name, of), result_.findings);
        Property p;
        p.name = name;
        p.shape_text = e.text("shape");
        if (e.value("shape") == nullptr) e.complain("shape", fmt::format("{} has no `shape`", e.name()));
        ShapeResult shape = read_shape(p.shape_text, units_);
        if (!shape.error.empty()) e.complain("shape", shape.error);
        p.shape = std::move(shape.shape);
        p.many = e.flag("many");
        p.needed = e.flag("needed");
        p.below_zero = e.flag("below-zero");
        p.above_zero = e.flag("above-zero");
        p.about = e.needed_text("about");
        p.example = e.needed_text("example");
        p.declares = e.text("declares");
        if (!p.declares.empty() && !among(declarations, p.declares)) {
            e.complain("declares", fmt::format("`{}` is nothing a property can declare", p.declares));
        }
        if (const Value* inside = e.table("block")) properties(e, *inside, p.block);
        e.finish();
        return p;
    }

    void statement_texts(const Value& root) {
        Entry file(root, "the table of statements", result_.findings);
        if (const Value* list = file.table("statement")) {
            for (const auto& [name, v] : list->entries) {
                Entry e(v, "statement " + name, result_.findings);
                result_.kinds.statements.push_back({name, e.needed_text("shape"), e.needed_text("about"), e.needed_text("example")});
                e.finish();
            }
        }
        file.finish();
    }

    const units::Units& units_;
    const Value* common_ = nullptr;
    KindsFile result_;
};

}  // namespace

KindsFile read_kinds(const TomlFile& kinds, const TomlFile& statements, const units::Units& units) {
    return KindReader(units).read(kinds.root, statements.root);
}

}  // namespace ferrule::tables
