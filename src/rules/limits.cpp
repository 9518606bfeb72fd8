#include "rules/limits.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include "rules/check.hpp"
#include "rules/reasons.hpp"

namespace ferrule::rules {

namespace {

bool compares(Op op) {
    return op >= Op::less && op <= Op::greater_equal;
}

// Made of what somebody stated: literals, figures of the standard, properties.
bool stated(const Formula& formula, std::uint32_t node) {
    const Node& n = formula.nodes[node];
    if (n.op == Op::property) return true;
    if (n.op == Op::column || aggregates(n.op)) return false;
    for (std::uint32_t i = 0; i < n.children; ++i) {
        if (!stated(formula, formula.child(n, i))) return false;
    }
    return true;
}

bool nothing(const Node& n) {
    return n.op == Op::number && n.number == 0;
}

// The one whose room is the least; at the same place what is broken (by `<`, at the limit itself) is less than what holds.
bool less_room(const Limit& a, const Limit& b) {
    if (a.share() != b.share()) return a.share() < b.share();
    return !a.holds && b.holds;
}

// Takes one formula apart in one row, which is the i-th of the scope it was last evaluated over.
class Walk {
public:
    // `everything`: both branches of `or` and `if`, whichever decides.
    Walk(Evaluator& f, bool everything) : f_(f), everything_(everything) {}

    std::vector<Limit> found;
    const Limit* describe = nullptr;  // the comparison to put into words
    LimitWords words;

    // What a part of a demand comes to as long as only the numbers in its limits move.
    enum class Part : std::uint8_t {
        met,      // as demanded, by no number
        blocked,  // not as demanded, or not known: no number mends it
        open      // the limits that were found decide
    };

    Part visit(std::uint32_t node, bool wanted, const Scope& scope, std::uint32_t i, std::uint32_t element) {
        const Formula& formula = f_.formula();
        const Node& n = formula.nodes[node];
        if (n.type.kind != facts::Type::flag) return Part::blocked;
        switch (n.op) {
            case Op::logic_not: return visit(formula.child(n, 0), !wanted, scope, i, element);
            case Op::logic_and:
            case Op::logic_or: return branches(n, wanted, scope, i, element);
            case Op::choose: {
                const std::uint8_t condition = f_.last(formula.child(n, 0)).flags[i];
                Part part = Part::blocked;
                for (const std::uint8_t taken : {std::uint8_t{1}, std::uint8_t{0}}) {
                    if (!everything_ && condition != taken) continue;
                    const Part of_branch = visit(formula.child(n, taken == 1 ? 1 : 2), wanted, scope, i, element);
                    if (condition == taken) part = of_branch;
                }
                return part;
            }
            case Op::all:
            case Op::any: return elements(node, wanted, scope, i);
            default:
                if (compares(n.op) && comparison(node, wanted, scope, i, element)) return Part::open;
                return given(node, wanted, i);
        }
    }

private:
    [[nodiscard]] bool holds(std::uint32_t node, bool wanted, std::uint32_t i) const {
        return f_.last(node).flags[i] == (wanted ? 1 : 0);
    }
    [[nodiscard]] Part given(std::uint32_t node, bool wanted, std::uint32_t i) const {
        return holds(node, wanted, i) ? Part::met : Part::blocked;
    }

    void drop(std::size_t from, std::size_t to) {
        if (everything_) return;
        found.erase(found.begin() + static_cast<std::ptrdiff_t>(from), found.begin() + static_cast<std::ptrdiff_t>(to));
    }
    // The least room of some that were found.
    [[nodiscard]] Limit least(std::size_t from, std::size_t to) const {
        return *std::min_element(found.begin() + static_cast<std::ptrdiff_t>(from), found.begin() + static_cast<std::ptrdiff_t>(to), less_room);
    }

    static Part both(Part a, Part b) {
        if (a == Part::blocked || b == Part::blocked) return Part::blocked;
        return a == Part::met && b == Part::met ? Part::met : Part::open;
    }

    Part branches(const Node& n, bool wanted, const Scope& scope, std::uint32_t i, std::uint32_t element) {
        const std::size_t first = found.size();
        const Part left = visit(f_.formula().child(n, 0), wanted, scope, i, element);
        const std::size_t middle = found.size();
        const Part right = visit(f_.formula().child(n, 1), wanted, scope, i, element);
        if ((n.op == Op::logic_and) == wanted) return both(left, right);
        if (left == Part::met || right == Part::met) {
            drop(first, found.size());
            return Part::met;
        }
        if (left == Part::open && right == Part::open) {
            if (everything_) return Part::open;
            if (less_room(least(first, middle), least(middle, found.size()))) drop(first, middle);
            else drop(middle, found.size());
            return Part::open;
        }
        if (right == Part::blocked) drop(middle, found.size());
        if (left == Part::blocked) drop(first, middle);
        return left == Part::open || right == Part::open ? Part::open : Part::blocked;
    }

    Part elements(std::uint32_t node, bool wanted, const Scope& scope, std::uint32_t i) {
        const Formula& formula = f_.formula();
        const Node& n = formula.nodes[node];
        if (n.children < 2) return given(node, wanted, i);
        const Block& lists = f_.last(formula.child(n, 0));
        const facts::Column::List list = lists.lists[i];
        if (list.first >= id_absent || list.count == 0) return given(node, wanted, i);
        const std::span<const std::uint32_t> rows = std::span(lists.pool->pool).subspan(list.first, list.count);
        const auto within = [&](const std::uint32_t& row) {
            Scope inner;
            inner.table = formula.nodes[formula.child(n, 0)].type.table;
            inner.count = 1;
            inner.rows = std::span(&row, 1);
            inner.outer = &scope;
            inner.outer_at = std::span(&i, 1);
            f_.eval(formula.child(n, 1), inner);
            return visit(formula.child(n, 1), wanted, inner, 0, row);
        };
        return (n.op == Op::all) == wanted ? every(rows, within) : one_of(rows, within);
    }

    // Of every element's limits the least room, once a comparison.
    template <class Within>
    Part every(std::span<const std::uint32_t> rows, Within within) {
        Part part = Part::met;
        const std::size_t first = found.size();
        for (const std::uint32_t& row : rows) {
            const std::size_t mark = found.size();
            part = both(part, within(row));
            for (std::size_t k = mark; k < found.size();) {
                const auto end = found.begin() + static_cast<std::ptrdiff_t>(mark);
                const auto known = std::find_if(found.begin() + static_cast<std::ptrdiff_t>(first), end, [&](const Limit& l) { return l.node == found[k].node; });
                if (known == end) {
                    ++k;
                    continue;
                }
                if (less_room(found[k], *known)) *known = found[k];
                found.erase(found.begin() + static_cast<std::ptrdiff_t>(k));
            }
        }
        return part;
    }

    // The element that comes nearest to being as demanded, with all its limits.
    template <class Within>
    Part one_of(std::span<const std::uint32_t> rows, Within within) {
        const std::size_t first = found.size();
        const bool everything = everything_;
        const std::uint32_t* best = nullptr;
        Limit room;
        Part part = Part::blocked;
        everything_ = false;
        for (const std::uint32_t& row : rows) {
            const Part of_row = within(row);
            if (of_row == Part::met) part = Part::met;
            if (of_row == Part::open && part != Part::met) {
                const Limit here = least(first, found.size());
                if (best == nullptr || less_room(room, here)) {
                    best = &row;
                    room = here;
                }
                part = Part::open;
            }
            found.resize(first);
        }
        everything_ = everything;
        if (best != nullptr && (part == Part::open || everything_)) (void)within(*best);
        return part;
    }

    // Whether it sets a limit.
    bool comparison(std::uint32_t node, bool wanted, const Scope& scope, std::uint32_t i, std::uint32_t element) {
        const Formula& formula = f_.formula();
        const Node& n = formula.nodes[node];
        const std::uint32_t left = formula.child(n, 0), right = formula.child(n, 1);
        if (formula.nodes[left].type.kind != facts::Type::number) return false;
        if (nothing(formula.nodes[left]) || nothing(formula.nodes[right])) return false;
        const double a = f_.last(left).numbers[i], b = f_.last(right).numbers[i];
        if (std::isnan(a) || std::isnan(b)) return false;
        const bool turned = stated(formula, left) && !stated(formula, right);
        Limit l;
        l.node = node;
        l.element = element;
        l.is = turned ? b : a;
        l.may = turned ? a : b;
        const bool less = n.op == Op::less || n.op == Op::less_equal;
        l.at_most = (less == wanted) != turned;
        l.strict = (n.op == Op::less || n.op == Op::greater) == wanted;
        l.holds = holds(node, wanted, i);
        l.kelvin = formula.nodes[left].type.dimension == units::Dimension{.kelvin = 1};
        found.push_back(l);
        if (describe != nullptr && describe->node == node && describe->element == element) {
            tell(l, turned ? right : left, turned ? left : right, scope);
        }
        return true;
    }

    // Only the branch that was taken.
    [[nodiscard]] std::string text_of(std::uint32_t node) const {
        const Formula& formula = f_.formula();
        while (formula.nodes[node].op == Op::choose) {
            const std::uint8_t condition = f_.last(formula.child(formula.nodes[node], 0)).flags[0];
            node = formula.child(formula.nodes[node], condition == 1 ? 1 : 2);
        }
        const Node& n = formula.nodes[node];
        return n.op == Op::number ? std::string() : formula.text.substr(n.begin, n.end - n.begin);
    }

    void tell(const Limit& l, std::uint32_t is, std::uint32_t may, const Scope& scope) {
        const graph::Design* design = f_.bound().design();
        const units::Units* units = design == nullptr ? nullptr : design->units;
        const ShownIn own = shown_in(f_, is, scope), other = shown_in(f_, may, scope);
        const units::UnitId unit = own.unit && (own.stated || !other.stated) ? own.unit : other.unit;
        const bool exact = !nearly_equal(l.is, l.may) && show_in(units, l.is, unit, false) == show_in(units, l.may, unit, false);
        words.is = text_of(is);
        words.may = text_of(may);
        words.is_shown = show_in(units, l.is, unit, exact);
        words.may_shown = show_in(units, l.may, unit, exact);
        words.margin_shown = show_in(units, std::fabs(l.margin()), of_differences(units, unit), false);
    }

    // A difference of 5 degC is one of 5 K, and there is no gauge for one.
    static units::UnitId of_differences(const units::Units* units, units::UnitId unit) {
        if (units == nullptr || !unit) return unit;
        if ((*units)[unit].gauge) return units->find("mm2");
        return (*units)[unit].offset != 0 ? units->find("K") : unit;
    }

    Evaluator& f_;
    bool everything_;
};

Scope one_row(std::uint32_t table, std::uint32_t row) {
    Scope scope;
    scope.table = table;
    scope.first = row;
    scope.count = 1;
    return scope;
}

}  // namespace

double Limit::share() const {
    if (kelvin) return margin() / kelvin_scale;
    const double by = std::fabs(may) > 0 ? std::fabs(may) : std::fabs(is);
    return by > 0 ? margin() / by : 0;
}

Limits::Limits(const RuleSet& set, const facts::Facts& facts, const tables::Standard& standard)
    : set_(set), bound_(set, facts, standard) {}

std::vector<Limit> Limits::all() {
    std::vector<Limit> all;
    for (std::uint32_t k = 0; k < set_.rules.size(); ++k) {
        const Rule& rule = set_.rules[k];
        if (!rule.found_by.empty() || !rule.applies_under(bound_.standard().id)) continue;
        if (std::none_of(rule.require.nodes.begin(), rule.require.nodes.end(), [](const Node& n) { return compares(n.op); })) continue;
        const std::uint32_t index = bound_.table_index(rule.about);
        const facts::Table* table = index == none ? nullptr : bound_.table(index);
        if (table == nullptr) continue;
        Evaluator when(rule.when, bound_), require(rule.require, bound_);
        Walk walk(require, false);
        for (std::uint32_t first = 0; first < table->rows; first += block_rows) {
            Scope scope = one_row(index, first);
            scope.count = std::min(block_rows, table->rows - first);
            std::span<const std::uint8_t> applies;
            if (!rule.when.empty()) {
                applies = when.eval(scope).flags.first(scope.count);
                if (std::find(applies.begin(), applies.end(), 1) == applies.end()) continue;
            }
            require.eval(scope);
            for (std::uint32_t i = 0; i < scope.count; ++i) {
                if (!applies.empty() && applies[i] != 1) continue;
                walk.found.clear();
                walk.visit(rule.require.root_index(), true, scope, i, none);
                for (Limit& l : walk.found) {
                    l.rule = k;
                    l.row = first + i;
                    all.push_back(l);
                }
            }
        }
    }
    return all;
}

Limits::Formulas& Limits::at_row(const Limit& limit) {
    const Rule& rule = set_.rules[limit.rule];
    Formulas& f = formulas_[limit.rule];
    if (!f.require) {
        f.require = std::make_unique<Evaluator>(rule.require, bound_);
        if (!rule.when.empty()) f.when = std::make_unique<Evaluator>(rule.when, bound_);
    }
    if (f.row != limit.row) {
        const Scope scope = one_row(bound_.table_index(rule.about), limit.row);
        f.applies = !f.when || f.when->eval(scope).flags[0] == 1;
        f.require->eval(scope);
        f.row = limit.row;
    }
    return f;
}

Reading Limits::read(const Limit& limit) {
    Reading reading;
    const facts::Table* t = table(limit);
    if (t == nullptr || limit.row >= t->rows) return reading;
    const Rule& rule = set_.rules[limit.rule];
    Formulas& f = at_row(limit);
    const std::uint32_t root = rule.require.root_index();
    reading.fails = f.applies && f.require->last(root).flags[0] == 0;
    Walk walk(*f.require, true);
    walk.visit(root, true, one_row(bound_.table_index(rule.about), limit.row), 0, none);
    for (const Limit& l : walk.found) {
        if (l.node != limit.node) continue;
        reading.state = l.holds ? Reading::State::holds : Reading::State::broken;
        reading.is = l.is;
        reading.may = l.may;
        reading.margin = l.margin();
    }
    return reading;
}

LimitWords Limits::words(const Limit& limit) {
    const Rule& rule = set_.rules[limit.rule];
    Formulas& f = at_row(limit);
    Walk walk(*f.require, true);
    walk.describe = &limit;
    walk.visit(rule.require.root_index(), true, one_row(bound_.table_index(rule.about), limit.row), 0, none);
    return walk.words;
}

const facts::Table* Limits::table(const Limit& limit) const {
    const std::uint32_t index = bound_.table_index(set_.rules[limit.rule].about);
    return index == none ? nullptr : bound_.table(index);
}

}  // namespace ferrule::rules
