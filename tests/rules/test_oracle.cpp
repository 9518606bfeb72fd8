// The evaluator of whole columns against a plain one that walks the formula for one row at a time:
// random formulas over random tables with holes in them, every row compared.
#include <optional>
#include <random>

#include <gtest/gtest.h>

#include "rules/bound.hpp"
#include "rules/check.hpp"
#include "rules/evaluate.hpp"
#include "rules/helper_world.hpp"
#include "support/turns.hpp"

namespace ferrule::tests {

namespace {

using facts::Type;
using rules::Formula;
using rules::Node;
using rules::Op;

enum class State { value, unknown, absent };

struct Value {
    State state = State::unknown;
    double number = 0;
    bool flag = false;
    std::string word;
    std::uint32_t row = 0;
    std::vector<std::uint32_t> rows;
};

// One node over one row, without any cleverness. `rows` are the rows of the enclosing aggregates,
// the innermost last.
class Naive {
public:
    Naive(const World& world, const Formula& formula, const tables::Standard& standard)
        : world_(world), formula_(formula), standard_(standard) {}
    Value eval(std::uint32_t row) { return eval(formula_.root_index(), {row}); }

private:
    static Value of(bool flag) {
        Value v;
        v.state = State::value;
        v.flag = flag;
        return v;
    }
    static Value of(double number) {
        Value v;
        v.state = std::isnan(number) ? State::unknown : State::value;
        v.number = number;
        return v;
    }
    static Value without(State state) {
        Value v;
        v.state = state;
        return v;
    }

    Value eval(std::uint32_t at, const std::vector<std::uint32_t>& rows) {
        const Node& n = formula_.nodes[at];
        std::vector<Value> kids;
        for (std::uint32_t i = 0; i < n.children && !(rules::aggregates(n.op) && i == 1); ++i)
            kids.push_back(eval(formula_.child(n, i), rows));
        switch (n.op) {
            case Op::number:
                return of(n.number);
            case Op::word: {
                Value v = of(true);
                v.word = formula_.names[n.name];
                return v;
            }
            case Op::row: {
                Value v = of(true);
                v.row = rows[rows.size() - 1 - n.level];
                return v;
            }
            case Op::site:
                return of(true);
            case Op::column:
                return column(n, kids[0]);
            case Op::figure: {
                const tables::Figure* f = standard_.figure(formula_.names[n.name]);
                if (f == nullptr) return {};
                Value v = of(f->value);
                v.word = f->word;
                return v;
            }
            case Op::known:
                return of(kids[0].state == State::value);
            case Op::logic_not:
                return kids[0].state == State::value ? of(!kids[0].flag) : kids[0];
            case Op::logic_and:
                return both(kids[0], kids[1], false);
            case Op::logic_or:
                return both(kids[0], kids[1], true);
            case Op::choose:
                return kids[0].state != State::value ? without(kids[0].state)
                       : kids[0].flag                ? kids[1]
                                                     : kids[2];
            case Op::in_list: {
                Value any = of(false);
                for (std::size_t i = 1; i < kids.size(); ++i)
                    any = both(any, same(n, kids[0], kids[i]), true);
                return any;
            }
            case Op::all:
            case Op::any:
            case Op::count:
            case Op::sum:
            case Op::minimum:
            case Op::maximum:
                return aggregate(n, kids[0], rows);
            default:
                break;
        }
        for (const State worse : {State::absent, State::unknown}) {
            for (const Value& k : kids) {
                if (k.state == worse) return without(worse);
            }
        }
        switch (n.op) {
            case Op::equal:
                return same(n, kids[0], kids[1]);
            case Op::unequal:
                return of(!same(n, kids[0], kids[1]).flag);
            default:
                break;
        }
        const double a = kids[0].number, b = kids.size() > 1 ? kids[1].number : 0;
        const bool close = std::fabs(a - b) <= 1e-9 * std::max(std::fabs(a), std::fabs(b));
        switch (n.op) {
            case Op::negate:
                return of(-a);
            case Op::absolute:
                return of(std::fabs(a));
            case Op::add:
                return of(a + b);
            case Op::subtract:
                return of(a - b);
            case Op::multiply:
                return of(a * b);
            case Op::divide:
                return b == 0 ? Value() : of(a / b);
            case Op::least:
                return of(std::min(a, b));
            case Op::greatest:
                return of(std::max(a, b));
            case Op::less:
                return of(a < b && !close);
            case Op::less_equal:
                return of(a < b || close);
            case Op::greater:
                return of(a > b && !close);
            case Op::greater_equal:
                return of(a > b || close);
            default:
                ADD_FAILURE() << "no oracle for this operator";
                return {};
        }
    }

    Value column(const Node& n, const Value& subject) {
        if (subject.state != State::value) return without(subject.state);
        const facts::Column& c = world_.facts.tables[n.table].columns[n.column];
        const std::uint32_t row = subject.row;
        switch (c.type) {
            case Type::number:
                return of(c.numbers[row]);
            case Type::flag:
                return c.flags[row] == 2 ? Value() : of(c.flags[row] == 1);
            case Type::word: {
                if (!c.words[row]) return {};
                Value v = of(true);
                v.word = std::string(world_.facts.words.text(c.words[row]));
                return v;
            }
            case Type::subject: {
                if (c.subjects[row] == facts::no_row) return without(State::absent);
                Value v = of(true);
                v.row = c.subjects[row];
                return v;
            }
            case Type::subjects: {
                Value v = of(true);
                for (std::uint32_t i = 0; i < c.lists[row].count; ++i)
                    v.rows.push_back(c.pool[c.lists[row].first + i]);
                return v;
            }
        }
        return {};
    }

    Value same(const Node& n, const Value& a, const Value& b) {
        for (const State worse : {State::absent, State::unknown}) {
            if (a.state == worse || b.state == worse) return without(worse);
        }
        switch (formula_.nodes[formula_.child(n, 0)].type.kind) {
            case Type::number:
                return of(std::fabs(a.number - b.number) <=
                          1e-9 * std::max(std::fabs(a.number), std::fabs(b.number)));
            case Type::flag:
                return of(a.flag == b.flag);
            case Type::word:
                return of(a.word == b.word);
            default:
                return of(a.row == b.row);
        }
    }

    // `and` with decisive = false, `or` with decisive = true
    static Value both(const Value& a, const Value& b, bool decisive) {
        const auto is = [](const Value& v, State s) { return v.state == s; };
        if ((is(a, State::value) && a.flag == decisive) ||
            (is(b, State::value) && b.flag == decisive))
            return of(decisive);
        const State first = decisive ? State::unknown : State::absent,
                    second = decisive ? State::absent : State::unknown;
        if (is(a, first) || is(b, first)) return without(first);
        if (is(a, second) || is(b, second)) return without(second);
        return of(!decisive);
    }

    Value aggregate(const Node& n, const Value& list, std::vector<std::uint32_t> rows) {
        if (list.state != State::value) return without(list.state);
        if (n.children == 1) return of(static_cast<double>(list.rows.size()));
        std::vector<Value> applying;
        bool unknown = false;
        for (const std::uint32_t element : list.rows) {
            rows.push_back(element);
            Value v = eval(formula_.child(n, 1), rows);
            rows.pop_back();
            unknown = unknown || v.state == State::unknown;
            if (v.state == State::value) applying.push_back(v);
        }
        if (n.op == Op::all || n.op == Op::any) {
            const bool decisive = n.op == Op::any;
            for (const Value& v : applying) {
                if (v.flag == decisive) return of(decisive);
            }
            return unknown ? Value() : of(!decisive);
        }
        if (unknown) return {};
        double total = 0;
        for (const Value& v : applying) {
            if (n.op == Op::count) total += v.flag ? 1 : 0;
            else if (n.op == Op::sum) total += v.number;
            else if (&v == &applying.front()) total = v.number;
            else
                total = n.op == Op::minimum ? std::min(total, v.number) : std::max(total, v.number);
        }
        if (applying.empty() && (n.op == Op::minimum || n.op == Op::maximum))
            return without(State::absent);
        return of(total);
    }

    const World& world_;
    const Formula& formula_;
    const tables::Standard& standard_;
};

// Random formulas of a wanted type over the helper's tables. `in_string`: names are looked up in a
// string, else in a fuse.
class Maker {
public:
    explicit Maker(std::mt19937& random) : random_(random) {}

    std::string flag(int depth, bool in_string) {
        if (depth <= 0)
            return in_string
                       ? pick({"fused", "known(fuse)", "fuse.dc", "site.on-building", "known(voc)"})
                       : pick({"dc", "known(class)"});
        switch (random_() % 10) {
            case 0:
                return "not " + bracket(flag(depth - 1, in_string));
            case 1:
                return bracket(flag(depth - 1, in_string)) + " and " +
                       bracket(flag(depth - 1, in_string));
            case 2:
                return bracket(flag(depth - 1, in_string)) + " or " +
                       bracket(flag(depth - 1, in_string));
            case 3:
                return word(depth - 1, in_string) + pick({" = ", " != "}) +
                       word(depth - 1, in_string);
            case 4:
                return word(depth - 1, in_string) + " in ['plus', 'gPV', 'never-heard']";
            case 5:
                return "if " + bracket(flag(depth - 1, in_string)) + " then " +
                       bracket(flag(depth - 1, in_string)) + " else " +
                       bracket(flag(depth - 1, in_string));
            case 6:
                if (in_string)
                    return pick({"all", "any"}) + "(group.strings, " + flag(depth - 1, true) + ")";
                [[fallthrough]];
            case 7:
                if (in_string)
                    return pick({"fuse = this.fuse", "group = this.group",
                                 "any(group.strings, fuse = this.fuse)"});
                [[fallthrough]];
            default:
                return current(depth - 1, in_string) +
                       pick({" < ", " <= ", " > ", " >= ", " = ", " != "}) +
                       current(depth - 1, in_string);
        }
    }

private:
    std::string pick(std::initializer_list<const char*> from) {
        return *(from.begin() + random_() % from.size());
    }
    static std::string bracket(const std::string& s) { return "(" + s + ")"; }

    std::string word(int, bool in_string) {
        return in_string ? pick({"side", "fuse.class", "'plus'", "'never-heard'",
                                 "standard.pole-earthing"})
                         : pick({"class", "'gPV'"});
    }
    std::string current(int depth, bool in_string) {
        if (depth <= 0)
            return in_string ? pick({"isc", "fuse.rating", "15 A", "0 A", "this.isc"})
                             : pick({"rating", "20 A"});
        switch (random_() % 9) {
            case 0:
                return bracket(current(depth - 1, in_string) + pick({" + ", " - "}) +
                               current(depth - 1, in_string));
            case 1:
                return bracket(current(depth - 1, in_string) + pick({" * ", " / "}) +
                               plain(depth - 1, in_string));
            case 2:
                return pick({"min", "max"}) + "(" + current(depth - 1, in_string) + ", " +
                       current(depth - 1, in_string) + ")";
            case 3:
                return "abs(- " + current(depth - 1, in_string) + ")";
            case 4:
            case 5:
                if (in_string)
                    return pick({"sum", "min", "max"}) + "(group.strings, " +
                           current(depth - 1, true) + ")";
                [[fallthrough]];
            default:
                return current(0, in_string);
        }
    }
    std::string plain(int depth, bool in_string) {
        if (!in_string) return pick({"1.25", "0", "standard.factor"});
        if (depth > 0 && random_() % 3 == 0)
            return "count(group.strings, " + flag(depth - 1, true) + ")";
        return pick({"1.25", "modules", "0", "standard.factor", "standard.spread-limit",
                     "count(group.strings)", "group.spread"});
    }

    std::mt19937& random_;
};

void make_holes(World& world, std::mt19937& random) {
    for (facts::Table& t : world.facts.tables) {
        for (facts::Column& c : t.columns) {
            for (double& x : c.numbers) {
                if (t.subject != "group")
                    x = random() % 4 == 0 ? graph::unknown
                                          : 5.0 + static_cast<double>(random() % 5) * 5;
                else if (random() % 4 == 0) x = graph::unknown;
            }
            for (std::uint8_t& f : c.flags) f = static_cast<std::uint8_t>(random() % 3);
            for (base::Symbol& w : c.words) {
                if (random() % 4 == 0) w = {};
            }
            for (std::uint32_t& s : c.subjects) {
                if (random() % 4 == 0) s = facts::no_row;
            }
        }
    }
    for (facts::Column::List& l : world.column("group", "strings").lists) {
        if (random() % 4 == 0) l.count = 0;
    }
}

TEST(Oracle, AgreesOnRandomFormulas) {
    std::mt19937 random(7);
    World world;
    const rules::RuleSet set = world.load({});
    Maker maker(random);
    std::size_t compared = 0;
    for (std::uint32_t turn = 0; turn < turns(3000); ++turn) {
        if (turn % 100 == 0) {
            world.fill(turn % 300 == 0 ? 1500 : 40);
            make_holes(world, random);
        }
        const std::string text = maker.flag(1 + static_cast<int>(random() % 4), true);
        if (text.size() > 4096) continue;
        const rules::Compiled compiled = world.compile(text, "string", true);
        ASSERT_FALSE(compiled.formula.empty()) << text << "\n"
                                               << world.complaints(text, "string", true);
        const tables::Standard& standard = world.standards[random() % 2];
        rules::Bound bound(set, world.facts, standard);
        rules::Evaluator whole(compiled.formula, bound), evaluator(compiled.formula, bound, rules::Effort::answer);
        Naive naive(world, compiled.formula, standard);
        const std::uint32_t rows = world.table("string").rows;
        const std::uint32_t step =
            rows > 1000 ? 1024 : 1 + static_cast<std::uint32_t>(random() % 40);
        for (std::uint32_t first = 0; first < rows; first += step) {
            rules::Scope scope;
            scope.first = first;
            scope.count = std::min(step, rows - first);
            const rules::Block& block = evaluator.eval(scope);
            for (std::uint32_t i = 0; i<scope.count; i += rows> 1000 ? 97 : 1) {
                const Value wanted = naive.eval(first + i);
                const std::uint8_t flag = wanted.state == State::unknown ? rules::flag_unknown
                                          : wanted.state == State::absent
                                              ? rules::flag_absent
                                              : static_cast<std::uint8_t>(wanted.flag);
                ASSERT_EQ(static_cast<int>(block.flags[i]), static_cast<int>(flag))
                    << text << " in row " << first + i;
                ++compared;
            }
            const rules::Block& same = whole.eval(scope);
            for (std::uint32_t i = 0; i < scope.count; ++i) ASSERT_EQ(static_cast<int>(block.flags[i]), static_cast<int>(same.flags[i])) << text << " in row " << first + i;
            // A row by itself, as those are asked that findings tell of.
            rules::Scope one;
            one.first = first + static_cast<std::uint32_t>(random() % scope.count);
            one.count = 1;
            const std::uint8_t then = same.flags[one.first - first];
            ASSERT_EQ(static_cast<int>(evaluator.eval(one).flags[0]), static_cast<int>(then)) << text << " in row " << one.first;
        }
    }
    EXPECT_GT(compared, turns(50000));
}

// The four values, written out.
TEST(Oracle, LogicOfFourValues) {
    constexpr std::uint8_t F = 0, T = 1, U = rules::flag_unknown, N = rules::flag_absent;
    EXPECT_EQ(rules::logic_and(U, F), F);
    EXPECT_EQ(rules::logic_or(U, T), T);
    EXPECT_EQ(rules::logic_and(U, T), U);
    EXPECT_EQ(rules::logic_or(U, F), U);
    EXPECT_EQ(rules::logic_and(N, U), N);
    EXPECT_EQ(rules::logic_or(N, U), U);
    EXPECT_EQ(rules::logic_and(N, F), F);
    EXPECT_EQ(rules::logic_or(N, T), T);
    EXPECT_EQ(rules::logic_not(N), N);
    for (const std::uint8_t a : {F, T, U, N}) {
        for (const std::uint8_t b : {F, T, U, N}) {
            EXPECT_EQ(rules::logic_and(a, b), rules::logic_and(b, a));
            EXPECT_EQ(rules::logic_or(a, b), rules::logic_or(b, a));
        }
    }
}

}  // namespace

}  // namespace ferrule::tests
