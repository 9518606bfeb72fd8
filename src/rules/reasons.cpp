#include "rules/reasons.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/core.h>

#include "rules/check.hpp"
#include "rules/elements.hpp"

namespace ferrule::rules {

namespace {

constexpr std::size_t elements_shown = 3;
constexpr std::size_t related_shown = 6;

template <class T>
void add_once(std::vector<T>& into, T value) {
    if (std::find(into.begin(), into.end(), value) == into.end()) into.push_back(std::move(value));
}

}  // namespace

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
    // `… or insulation-temperature < 0 degC` is how a rule says that it is undecided without that datum: no arithmetic to show.
    if (n.op == Op::less && formula.nodes[right].op == Op::number && formula.text.substr(formula.nodes[right].begin, formula.nodes[right].end - formula.nodes[right].begin) == "0 degC") return;
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
