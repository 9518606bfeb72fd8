// What was lacking, so that a row could not be decided.
#include <cmath>

#include <fmt/core.h>

#include "rules/check.hpp"
#include "rules/elements.hpp"
#include "rules/reasons.hpp"

namespace ferrule::rules {

namespace {

facts::Missing missing_property(Evaluator& f, const Node& n, std::uint32_t row) {
    Bound& bound = f.bound();
    const PropertyPath& path = f.formula().properties[n.name];
    const PropertyColumn& column = bound.property(n.table, path);
    std::string what = path.property;
    if (path.field_named) what += "." + path.fields.front();
    facts::Missing result;
    result.where = place_of(bound, n.table, row);
    std::string owner = name_of(bound, n.table, row);
    const graph::Design* design = bound.design();
    if (design == nullptr) {
        result.what = fmt::format("{} of {}", what, owner);
        return result;
    }
    const bool is_range = column.fields[row] != none && path.end == PropertyPath::End::single &&
                          !std::isnan(design->fields[graph::FieldId(column.fields[row])].low);
    if (column.rows[row] != none) result.where = design->rows[graph::RowId(column.rows[row])].span;
    // Where the part could state it, the part's data sheet is what is short of it.
    const facts::Table& table = *bound.table(n.table);
    const std::uint32_t thing =
        table.thing && column.rows[row] == none ? table.thing(row) : facts::no_row;
    if (thing != facts::no_row && design->things.has(graph::ThingId(thing))) {
        const graph::Part& part = design->part_of(graph::ThingId(thing));
        if (part.name && part.span &&
            (*design->kinds)[part.kind].property(path.property) != nullptr) {
            owner = std::string(design->word(part.name));
            result.where = part.span;
        }
    }
    result.what = is_range ? fmt::format("{} of {} as one value, not a range", what, owner)
                           : fmt::format("{} of {}", what, owner);
    return result;
}

}  // namespace

facts::Missing missing(Evaluator& f, std::uint32_t node, const Scope& scope) {
    const Formula& formula = f.formula();
    const Node& n = formula.nodes[node];
    const auto of_child = [&](std::uint32_t i) { return missing(f, formula.child(n, i), scope); };
    switch (n.op) {
        case Op::column: {
            const std::uint32_t row = subject_row(f, n, scope);
            if (row >= id_absent) return of_child(0);
            const facts::Column* c = f.bound().column(n.table, n.column);
            if (c != nullptr && c->missing) return c->missing(row);
            return {
                fmt::format("{} of {}",
                            c == nullptr
                                ? std::string_view(formula.text).substr(n.begin, n.end - n.begin)
                                : c->name,
                            name_of(f.bound(), n.table, row)),
                place_of(f.bound(), n.table, row)};
        }
        case Op::property: {
            const std::uint32_t row = subject_row(f, n, scope);
            return row >= id_absent ? of_child(0) : missing_property(f, n, row);
        }
        case Op::figure:
            return {fmt::format("the figure `{}`, which {} does not give", formula.names[n.name],
                                f.bound().standard().cited),
                    {}};
        case Op::band:
        case Op::at:
        case Op::next_size:
            if (f.unknown(formula.child(n, 0))) return of_child(0);
            return {fmt::format("an entry for {} in the table `{}` of {}",
                                show(f, formula.child(n, 0), scope,
                                     shown_in(f, formula.child(n, 0), scope).unit),
                                formula.names[n.name], f.bound().standard().cited),
                    {}};
        case Op::choose: {
            const std::uint8_t condition = f.last(formula.child(n, 0)).flags[0];
            return of_child(condition == 1 ? 1 : condition == 0 ? 2 : 0);
        }
        default:
            break;
    }
    if (aggregates(n.op)) {
        if (f.unknown(formula.child(n, 0)) || n.children == 1) return of_child(0);
        facts::Missing result;
        const std::uint32_t each = formula.child(n, 1);
        some_elements(
            f, n, scope, 1, [&] { return f.unknown(each); },
            [&](const Scope& inner) { result = missing(f, each, inner); });
        return result;
    }
    for (std::uint32_t i = 0; i < n.children; ++i) {
        if (f.unknown(formula.child(n, i))) return of_child(i);
    }
    if (n.op == Op::divide) {
        return {fmt::format("`{}` is 0, and nothing is divided by it",
                            std::string_view(formula.text)
                                .substr(formula.nodes[formula.child(n, 1)].begin,
                                        formula.nodes[formula.child(n, 1)].end -
                                            formula.nodes[formula.child(n, 1)].begin)),
                {}};
    }
    return {fmt::format("`{}`", std::string_view(formula.text).substr(n.begin, n.end - n.begin)),
            {}};
}

}  // namespace ferrule::rules
