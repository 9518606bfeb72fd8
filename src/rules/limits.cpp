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

// Takes one formula apart in one row, which is the i-th of the scope it was last evaluated over.
class Walk {
public:
    // `everything`: both branches of `or` and `if`, whichever decides.
    Walk(Evaluator& f, bool everything) : f_(f), everything_(everything) {}

    std::vector<Limit> found;
    const Limit* describe = nullptr;  // the comparison to put into words
    LimitWords words;

    void visit(std::uint32_t node, bool wanted, const Scope& scope, std::uint32_t i, std::uint32_t element) {
        const Formula& formula = f_.formula();
        const Node& n = formula.nodes[node];
        if (n.type.kind != facts::Type::flag) return;
        switch (n.op) {
            case Op::logic_not: visit(formula.child(n, 0), !wanted, scope, i, element); return;
            case Op::logic_and:
            case Op::logic_or: branches(n, wanted, scope, i, element); return;
            case Op::choose: {
                const std::uint8_t condition = f_.last(formula.child(n, 0)).flags[i];
                for (const std::uint8_t taken : {std::uint8_t{1}, std::uint8_t{0}}) {
                    if (everything_ || condition == taken) visit(formula.child(n, taken == 1 ? 1 : 2), wanted, scope, i, element);
                }
                return;
            }
            case Op::all:
            case Op::any: elements(n, wanted, scope, i); return;
            default:
                if (compares(n.op)) comparison(node, wanted, scope, i, element);
        }
    }

private:
    [[nodiscard]] bool holds(std::uint32_t node, bool wanted, std::uint32_t i) const {
        return f_.last(node).flags[i] == (wanted ? 1 : 0);
    }

    void branches(const Node& n, bool wanted, const Scope& scope, std::uint32_t i, std::uint32_t element) {
        const std::uint32_t left = f_.formula().child(n, 0), right = f_.formula().child(n, 1);
        const auto first = static_cast<std::ptrdiff_t>(found.size());
        visit(left, wanted, scope, i, element);
        const auto middle = static_cast<std::ptrdiff_t>(found.size());
        visit(right, wanted, scope, i, element);
        if (everything_ || (n.op == Op::logic_and) == wanted) return;
        const auto begin = found.begin();
        const bool no_left = first == middle, no_right = begin + middle == found.end();
        if ((no_left && holds(left, wanted, i)) || (no_right && holds(right, wanted, i))) {
            found.erase(begin + first, found.end());  // it holds without any number
            return;
        }
        if (no_left || no_right) return;
        const auto by_share = [](const Limit& a, const Limit& b) { return a.share() < b.share(); };
        const double of_left = std::min_element(begin + first, begin + middle, by_share)->share();
        const double of_right = std::min_element(begin + middle, found.end(), by_share)->share();
        if (of_left >= of_right) found.erase(begin + middle, found.end());
        else found.erase(begin + first, begin + middle);
    }

    void elements(const Node& n, bool wanted, const Scope& scope, std::uint32_t i) {
        const Formula& formula = f_.formula();
        if (n.children < 2) return;
        const Block& lists = f_.last(formula.child(n, 0));
        const facts::Column::List list = lists.lists[i];
        if (list.first >= id_absent) return;
        const std::span<const std::uint32_t> rows = std::span(lists.pool->pool).subspan(list.first, list.count);
        const bool worst = (n.op == Op::all) == wanted;
        const std::size_t first = found.size();
        for (const std::uint32_t& row : rows) {
            Scope inner;
            inner.table = formula.nodes[formula.child(n, 0)].type.table;
            inner.count = 1;
            inner.rows = std::span(&row, 1);
            inner.outer = &scope;
            inner.outer_at = std::span(&i, 1);
            f_.eval(formula.child(n, 1), inner);
            const std::size_t mark = found.size();
            visit(formula.child(n, 1), wanted, inner, 0, row);
            for (std::size_t k = mark; k < found.size();) {  // one a comparison is kept
                const auto known = std::find_if(found.begin() + static_cast<std::ptrdiff_t>(first), found.begin() + static_cast<std::ptrdiff_t>(mark),
                                                [&](const Limit& l) { return l.node == found[k].node; });
                if (known == found.begin() + static_cast<std::ptrdiff_t>(mark)) {
                    ++k;
                    continue;
                }
                if ((found[k].share() < known->share()) == worst) *known = found[k];
                found.erase(found.begin() + static_cast<std::ptrdiff_t>(k));
            }
        }
    }

    void comparison(std::uint32_t node, bool wanted, const Scope& scope, std::uint32_t i, std::uint32_t element) {
        const Formula& formula = f_.formula();
        const Node& n = formula.nodes[node];
        const std::uint32_t left = formula.child(n, 0), right = formula.child(n, 1);
        if (formula.nodes[left].type.kind != facts::Type::number) return;
        if (nothing(formula.nodes[left]) || nothing(formula.nodes[right])) return;
        const double a = f_.last(left).numbers[i], b = f_.last(right).numbers[i];
        if (std::isnan(a) || std::isnan(b)) return;
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
        found.push_back(l);
        if (describe != nullptr && describe->node == node && describe->element == element) {
            tell(l, turned ? right : left, turned ? left : right, scope);
        }
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
        const bool scale = units != nullptr && unit && (*units)[unit].offset != 0;
        words.margin_shown = show_in(units, std::fabs(l.margin()), scale ? units->find("K") : unit, false);
    }

    Evaluator& f_;
    const bool everything_;
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
