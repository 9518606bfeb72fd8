#include "rules/reasons.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/core.h>

#include "rules/check.hpp"

namespace ferrule::rules {

namespace {

constexpr std::size_t elements_shown = 3;
constexpr std::size_t related_shown = 6;

template <class T>
void add_once(std::vector<T>& into, T value) {
    if (std::find(into.begin(), into.end(), value) == into.end()) into.push_back(std::move(value));
}

// The elements of an aggregate in the first row of the scope.
std::span<const std::uint32_t> elements_of(Evaluator& f, const Node& aggregate) {
    const Block& lists = f.last(f.formula().child(aggregate, 0));
    const auto list = lists.lists[0];
    if (list.first >= id_absent) return {};
    return std::span(lists.pool->pool).subspan(list.first, list.count);
}

// Calls visit(scope) for one element with the expression evaluated over it.
template <class Visit>
void with_element(Evaluator& f, const Node& aggregate, const Scope& outer, std::uint32_t element,
                  Visit visit) {
    const std::uint32_t first = 0;
    Scope inner;
    inner.table = f.formula().nodes[f.formula().child(aggregate, 0)].type.table;
    inner.count = 1;
    inner.rows = std::span(&element, 1);
    inner.outer = &outer;
    inner.outer_at = std::span(&first, 1);
    f.eval(f.formula().child(aggregate, 1), inner);
    visit(inner);
}

// Calls visit(scope) for up to `most` elements for which wanted() holds once the expression has
// been evaluated.
template <class Wanted, class Visit>
void some_elements(Evaluator& f, const Node& aggregate, const Scope& outer, std::size_t most,
                   Wanted wanted, Visit visit) {
    const auto elements = elements_of(f, aggregate);
    const std::vector<std::uint32_t> copy(elements.begin(), elements.end());
    for (const std::uint32_t element : copy) {
        if (most == 0) return;
        with_element(f, aggregate, outer, element, [&](const Scope& inner) {
            if (!wanted()) return;
            --most;
            visit(inner);
        });
    }
}

// Evaluated anew: a column over consecutive rows never asked its row node.
std::uint32_t subject_row(Evaluator& f, const Node& n, const Scope& scope) {
    return f.eval(f.formula().child(n, 0), scope).ids[0];
}

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

std::string name_of(const Bound& bound, std::uint32_t table, std::uint32_t row) {
    const facts::Table* t = bound.table(table);
    return t != nullptr && t->name ? t->name(row) : std::string(t != nullptr ? t->subject : "");
}

text::Span place_of(const Bound& bound, std::uint32_t table, std::uint32_t row) {
    const facts::Table* t = bound.table(table);
    return t != nullptr && t->place ? t->place(row) : text::Span{};
}

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

namespace {

std::string show_in(const units::Units* units, double si, units::UnitId unit, bool exact) {
    if (units == nullptr || !unit) return units::show_number(si, exact ? 8 : 4);
    if (!exact || (*units)[unit].gauge) return units->show(si, unit);
    return units::show_number(units->from_si(si, unit), 8) + " " + (*units)[unit].symbol;
}

}  // namespace

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
            const std::uint32_t most = list.count <= related_shown
                                           ? list.count
                                           : static_cast<std::uint32_t>(related_shown) - 1;
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

// ---- what one finding rests on
// -----------------------------------------------------------------------------

void Reasons::use_column(const Node& n, std::uint32_t row) {
    const facts::Column* c = bound_.column(n.table, n.column);
    if (c == nullptr) return;
    if (c->working) {
        for (std::string& line : c->working(row)) add_once(steps_, std::move(line));
    }
    if (c->assumed) {
        for (std::string& line : c->assumed(row)) add_once(assumed, std::move(line));
    }
    if (c->rests_on) {
        for (findings::Related& r : c->rests_on(row)) {
            if (related.size() >= related_shown) break;
            const bool there = std::any_of(related.begin(), related.end(),
                                           [&](const auto& o) { return o.span == r.span; });
            if (!there) related.push_back(std::move(r));
        }
    }
    for (const findings::Citation& s : c->sources) {
        const bool there = std::any_of(sources.begin(), sources.end(), [&](const auto& o) {
            return o.standard == s.standard && o.clause == s.clause && o.status == s.status;
        });
        if (!there) sources.push_back(s);
    }
}

void Reasons::use_property(const Formula& formula, const Node& n, std::uint32_t row, Bound& bound) {
    const PropertyColumn& c = bound.property(n.table, formula.properties[n.name]);
    if (c.rows[row] == none || bound_.design() == nullptr || related.size() >= related_shown)
        return;
    const text::Span span = bound_.design()->rows[graph::RowId(c.rows[row])].span;
    const bool there =
        std::any_of(related.begin(), related.end(), [&](const auto& o) { return o.span == span; });
    if (!there)
        related.push_back(
            {span, fmt::format("{} is stated here", formula.properties[n.name].property)});
}

void Reasons::used(Evaluator& f, std::uint32_t node, const Scope& scope) {
    const Formula& formula = f.formula();
    const Node& n = formula.nodes[node];
    if (n.op == Op::column || n.op == Op::property) {
        const std::uint32_t row = subject_row(f, n, scope);
        if (row < id_absent) {
            if (n.op == Op::column) use_column(n, row);
            else use_property(formula, n, row, f.bound());
        }
    }
    if (aggregates(n.op) && n.children > 1) {
        used(f, formula.child(n, 0), scope);
        const std::uint32_t each = formula.child(n, 1);
        const double extreme =
            n.op == Op::minimum || n.op == Op::maximum ? f.last(node).numbers[0] : graph::unknown;
        some_elements(
            f, n, scope, std::isnan(extreme) ? elements_shown : 1,
            [&] { return std::isnan(extreme) || f.last(each).numbers[0] == extreme; },
            [&](const Scope& inner) { used(f, each, inner); });
        return;
    }
    if (n.op == Op::choose) {
        const std::uint8_t condition = f.last(formula.child(n, 0)).flags[0];
        used(f, formula.child(n, 0), scope);
        if (condition <= 1) used(f, formula.child(n, condition == 1 ? 1 : 2), scope);
        return;
    }
    for (std::uint32_t i = 0; i < n.children; ++i) used(f, formula.child(n, i), scope);
}

void Reasons::comparison(Evaluator& f, const Node& n, const Scope& scope) {
    const Formula& formula = f.formula();
    const graph::Design* design = bound_.design();
    const units::Units* units = design == nullptr ? nullptr : design->units;
    const std::uint32_t left = formula.child(n, 0), right = formula.child(n, 1);
    const double a = f.last(left).numbers[0], b = f.last(right).numbers[0];
    if (std::isnan(a) || std::isnan(b)) return;
    const ShownIn own_left = shown_in(f, left, scope), own_right = shown_in(f, right, scope);
    const auto choose_unit = [&](const ShownIn& own, const ShownIn& other) {
        if (own.stated || !other.unit || units == nullptr) return own;
        if (!own.unit) return other;
        if (other.stated && (*units)[own.unit].offset == 0 && (*units)[other.unit].offset == 0)
            return other;
        return own;
    };
    const auto side = [&](std::uint32_t node, const ShownIn& unit, double value, bool exact) {
        while (formula.nodes[node].op == Op::choose) {  // only the branch that was taken
            const std::uint8_t condition = f.last(formula.child(formula.nodes[node], 0)).flags[0];
            node = formula.child(formula.nodes[node], condition == 1 ? 1 : 2);
        }
        const Node& s = formula.nodes[node];
        const std::string text = formula.text.substr(s.begin, s.end - s.begin);
        sides_.push_back({text, s.type.dimension, unit});
        const std::string number = show_in(units, value, unit.unit, exact);
        return s.op == Op::number ? number : fmt::format("{} = {}", text, number);
    };
    const ShownIn unit_left = choose_unit(own_left, own_right),
                  unit_right = choose_unit(own_right, own_left);
    const bool same = nearly_equal(a, b);
    const bool exact = !same && show_in(units, a, unit_left.unit, false) ==
                                    show_in(units, b, unit_right.unit, false);
    const std::string first = side(left, unit_left, a, exact),
                      second = side(right, unit_right, b, exact);
    add_once(comparisons_, fmt::format("{} {} {}", first, same ? "=" : a < b ? "<" : ">", second));
}

void Reasons::decided(Evaluator& f, std::uint32_t node, const Scope& scope) {
    const Formula& formula = f.formula();
    const Node& n = formula.nodes[node];
    const std::uint8_t value = f.last(node).flags[0];
    switch (n.op) {
        case Op::logic_not:
            decided(f, formula.child(n, 0), scope);
            return;
        case Op::logic_and:
        case Op::logic_or: {
            // false of `and`, true of `or`: only the sides that made it so
            const bool some = value == (n.op == Op::logic_and ? 0 : 1);
            for (std::uint32_t i = 0; i < 2; ++i) {
                const std::uint32_t child = formula.child(n, i);
                if (!some || f.last(child).flags[0] == value) decided(f, child, scope);
            }
            return;
        }
        case Op::choose: {
            const std::uint8_t condition = f.last(formula.child(n, 0)).flags[0];
            if (condition <= 1) {
                decided(f, formula.child(n, 0), scope);
                decided(f, formula.child(n, condition == 1 ? 1 : 2), scope);
            }
            return;
        }
        case Op::all:
        case Op::any: {
            const std::uint32_t each = formula.child(n, 1);
            used(f, formula.child(n, 0), scope);
            some_elements(
                f, n, scope, elements_shown, [&] { return f.last(each).flags[0] == value; },
                [&](const Scope& inner) { decided(f, each, inner); });
            return;
        }
        case Op::equal:
        case Op::unequal:
        case Op::less:
        case Op::less_equal:
        case Op::greater:
        case Op::greater_equal:
            if (formula.nodes[formula.child(n, 0)].type.kind == facts::Type::number)
                comparison(f, n, scope);
            break;
        default:
            break;
    }
    used(f, node, scope);
}

std::vector<std::string> Reasons::working() const {
    std::vector<std::string> all = steps_;
    for (const std::string& line : comparisons_) add_once(all, line);
    return all;
}

units::UnitId Reasons::unit_for(Evaluator& f, const Scope& scope) const {
    const Formula& formula = f.formula();
    const ShownIn own = shown_in(f, formula.root_index(), scope);
    for (const Side& side : sides_) {
        if (side.text == formula.text) return side.unit.unit;
    }
    const graph::Design* design = bound_.design();
    const auto scale = [&](units::UnitId u) {
        return u && design != nullptr && design->units != nullptr &&
               (*design->units)[u].offset != 0;
    };
    if (own.stated || formula.root().type.dimension.plain() || scale(own.unit)) return own.unit;
    for (const Side& side : sides_) {
        if (side.unit.stated && side.dimension == formula.root().type.dimension &&
            !scale(side.unit.unit))
            return side.unit.unit;
    }
    return own.unit;
}

}  // namespace ferrule::rules
