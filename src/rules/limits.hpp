// The limits that rules set: each comparison of numbers in a `require`, with what is and what may be, for every row that
// the rule applies to. Of `or` the branch with the most room among those that can be met: what else such a branch demands is so.
// (The room of a branch is the least of its limits.) Where a branch is met by no number, there is no limit. Of `if` the branch that
// is taken; of `all` the element that comes nearest to the limit, `any` is as `or`. Equalities, and comparisons with nothing
// (`electrodes > 0`), set no limit.
//
// What is stands left and what may be stands right, unless the right side is computed and the left is stated (a literal, a
// figure of the standard, a property of a data sheet).
//
// Cost of all(): as a run of the rules; read() and words() evaluate one row.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include "rules/bound.hpp"
#include "rules/evaluate.hpp"
#include "rules/rule.hpp"

namespace ferrule::rules {

// A share of a temperature would go by where its scale starts: that of a limit in kelvin is of a plain span, our own choice.
inline constexpr double kelvin_scale = 50;

struct Limit {
    std::uint32_t rule = none;     // index into RuleSet::rules
    std::uint32_t row = none;      // of the rule's table
    std::uint32_t node = none;     // the comparison, in the rule's `require`
    std::uint32_t element = none;  // within all, any: the row it is about
    double is = 0, may = 0;        // SI
    bool at_most = true;           // is <= may; else is >= may
    bool strict = false;           // < or >
    bool holds = true;
    bool kelvin = false;           // compares temperatures, or differences of them

    // Zero where the comparison takes them for equal.
    [[nodiscard]] double margin() const { return nearly_equal(is, may) ? 0 : at_most ? may - is : is - may; }
    [[nodiscard]] double share() const;  // margin as a share of what may be, or of kelvin_scale; negative where the limit is broken
};

// The same comparison in other facts.
struct Reading {
    enum class State : std::uint8_t { holds, broken, unknown };
    State state = State::unknown;
    double is = 0, may = 0, margin = 0;
    bool fails = false;  // the rule as a whole would report the row
};

// A limit in words; numbers in the unit their author used.
struct LimitWords {
    std::string is, may;              // the formula's own text: "voltage", "0.98 * max-voltage"
    std::string is_shown, may_shown;  // "139.3 V"
    std::string margin_shown;         // the distance, never negative: "10.7 V"
};

class Limits {
public:
    // All must outlive it.
    Limits(const RuleSet& set, const facts::Facts& facts, const tables::Standard& standard);

    [[nodiscard]] std::vector<Limit> all();
    [[nodiscard]] Reading read(const Limit& limit);
    [[nodiscard]] LimitWords words(const Limit& limit);
    [[nodiscard]] const facts::Table* table(const Limit& limit) const;

private:
    struct Formulas {
        std::unique_ptr<Evaluator> when, require;
        std::uint32_t row = none;  // last evaluated
        bool applies = true;
    };
    Formulas& at_row(const Limit& limit);

    const RuleSet& set_;
    Bound bound_;
    std::unordered_map<std::uint32_t, Formulas> formulas_;
};

}  // namespace ferrule::rules
