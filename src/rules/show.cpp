// Values as a person writes them, in the unit the author of the design used.
#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include "rules/elements.hpp"
#include "rules/reasons.hpp"

namespace ferrule::rules {

namespace {

constexpr std::uint32_t names_shown = 6;  // of a list

}  // namespace

std::string name_of(const Bound& bound, std::uint32_t table, std::uint32_t row) {
    const facts::Table* t = bound.table(table);
    return t != nullptr && t->name ? t->name(row) : std::string(t != nullptr ? t->subject : "");
}

text::Span place_of(const Bound& bound, std::uint32_t table, std::uint32_t row) {
    const facts::Table* t = bound.table(table);
    return t != nullptr && t->place ? t->place(row) : text::Span{};
}

ShownIn shown_in(Evaluator& f, std::uint32_t node, const Scope& scope) {
    const Formula& formula = f.formula();
    const Node& n = formula.nodes[node];
    const graph::Design* design = f.bound().design();
    const units::Units* units = design == nullptr ? nullptr : design->units;
    const auto of_child = [&](std::uint32_t i) { return shown_in(f, formula.child(n, i), scope); };
    const auto of_dimension = [&]() -> ShownIn {
        const units::DimensionName* d = units == nullptr || n.type.dimension.plain()
                                            ? nullptr
                                            : units->dimension_of(n.type.dimension);
        return {d == nullptr ? units::UnitId() : d->shown_in, false};
    };
    const auto scale = [&](const ShownIn& s) {
        return units != nullptr && s.unit && (*units)[s.unit].offset != 0;
    };
    switch (n.op) {
        case Op::number:
            return {n.unit, false};
        case Op::column: {
            const facts::Column* c = f.bound().column(n.table, n.column);
            const std::uint32_t row = subject_row(f, n, scope);
            if (c == nullptr || row >= id_absent) return of_dimension();
            if (row < c->row_units.size() && c->row_units[row]) return {c->row_units[row], true};
            return {c->shown_in, false};
        }
        case Op::property: {
            const std::uint32_t row = subject_row(f, n, scope);
            const PropertyColumn& c = f.bound().property(n.table, formula.properties[n.name]);
            if (design == nullptr || row >= id_absent || c.fields[row] == none)
                return of_dimension();
            return {design->fields[graph::FieldId(c.fields[row])].unit, true};
        }
        case Op::figure: {
            const tables::Figure* figure = f.bound().standard().figure(formula.names[n.name]);
            return figure == nullptr ? of_dimension() : ShownIn{figure->unit, false};
        }
        case Op::negate:
        case Op::absolute:
            return of_child(0);
        case Op::add:
        case Op::subtract:
        case Op::least:
        case Op::greatest: {
            const ShownIn a = of_child(0), b = of_child(1);
            if (n.op == Op::subtract && scale(a) && scale(b)) return {units->find("K"), false};
            if (scale(a) || scale(b)) return scale(a) ? a : b;
            return b.stated && !a.stated ? b : a;
        }
        case Op::multiply:
        case Op::divide:
            if (formula.nodes[formula.child(n, 1)].type.dimension.plain() &&
                !n.type.dimension.plain())
                return of_child(0);
            if (n.op == Op::multiply && formula.nodes[formula.child(n, 0)].type.dimension.plain() &&
                !n.type.dimension.plain())
                return of_child(1);
            return of_dimension();
        case Op::choose:
            return of_child(f.last(formula.child(n, 0)).flags[0] == 1 ? 1 : 2);
        case Op::sum:
        case Op::minimum:
        case Op::maximum: {
            ShownIn result = of_dimension();
            some_elements(
                f, n, scope, 1, [] { return true; },
                [&](const Scope& inner) { result = shown_in(f, formula.child(n, 1), inner); });
            return result;
        }
        default:
            return of_dimension();
    }
}

std::string show_in(const units::Units* units, double si, units::UnitId unit, bool exact) {
    if (units == nullptr || !unit) return units::show_number(si, exact ? 8 : 4);
    if (!exact || (*units)[unit].gauge) return units->show(si, unit);
    return units::show_number(units->from_si(si, unit), 8) + " " + (*units)[unit].symbol;
}

std::string show(Evaluator& f, std::uint32_t node, const Scope&, units::UnitId unit) {
    const Node& n = f.formula().nodes[node];
    if (f.absent(node)) return "none";
    if (f.unknown(node)) return "unknown";
    const Block& b = f.last(node);
    switch (n.type.kind) {
        case facts::Type::number:
            return show_in(f.bound().design() == nullptr ? nullptr : f.bound().design()->units,
                           b.numbers[0], unit, false);
        case facts::Type::flag:
            return b.flags[0] == 1 ? "yes" : "no";
        case facts::Type::word:
            return std::string(f.bound().word_text(b.ids[0]));
        case facts::Type::subject:
            return name_of(f.bound(), n.type.table, b.ids[0]);
        case facts::Type::subjects: {
            std::string text;
            const auto list = b.lists[0];
            const std::uint32_t most = list.count <= names_shown ? list.count : names_shown - 1;
            for (std::uint32_t i = 0; i < most; ++i) {
                if (i > 0) text += i + 1 == list.count ? " and " : ", ";
                text += name_of(f.bound(), n.type.table, b.pool->pool[list.first + i]);
            }
            if (most < list.count) text += fmt::format(" and {} more", list.count - most);
            return text;
        }
    }
    return {};
}

}  // namespace ferrule::rules
