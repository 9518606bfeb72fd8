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
    struct Lack {
        std::uint32_t row = 0;  // the first that lacks it
        bool in_when = false;
        std::uint32_t count = 0;
    };
    std::vector<Lack> lacking;  // what those lack, each once
};

struct Remembered {
    std::vector<Verdict> verdicts;  // by the rules of the set; empty: nothing is remembered
    facts::Difference since;        // from the facts they are of to those that are judged next; the standard is the same
};

struct Touched {
    std::vector<std::uint32_t> rows;  // of its table, which a rule may judge otherwise than before, rising
    bool anything = false;            // some fact it asks for was worked out again
};
// Nothing: all rows.
[[nodiscard]] std::optional<Touched> touched(const Rule& rule, const Bound& bound, const facts::Difference& since);

}  // namespace ferrule::rules
