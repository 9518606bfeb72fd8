// What a run of the rules over a design remembers for the next one, after an edit: what each rule came to, row by row. What is said of
// a row rests on the row's own facts and on those that the rule's formulas lead to; where none of them has changed it holds.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "facts/difference.hpp"
#include "rules/bound.hpp"
#include "rules/rule.hpp"

namespace ferrule::rules {

// The rows of one rule that are no good or cannot be told, both rising.
struct Verdict {
    std::vector<std::uint32_t> failing;
    std::vector<std::pair<std::uint32_t, bool>> undecided;  // whether it is `when` that is unknown
};

struct Remembered {
    std::vector<Verdict> verdicts;  // by the rules of the set; empty: nothing is remembered
    facts::Difference since;        // from the facts they are of to those that are judged next; the standard is the same
};

// The rows of its table that a rule may judge otherwise than before, rising; nothing: all of them.
[[nodiscard]] std::optional<std::vector<std::uint32_t>> touched(const Rule& rule, const Bound& bound, const facts::Difference& since);

}  // namespace ferrule::rules
