// One rule over all its rows: which rows fail, which cannot be decided, and the findings made of
// them. Internal to the room.
#pragma once

#include <cstdint>
#include <optional>
#include <unordered_set>
#include <vector>

#include "findings/finding.hpp"
#include "rules/accept.hpp"
#include "rules/bound.hpp"
#include "rules/evaluate.hpp"
#include "rules/reasons.hpp"
#include "rules/remember.hpp"

namespace ferrule::rules {

// Where a rule has spoken: circuits, and things for subjects without one.
struct Spoken {
    std::unordered_set<std::uint32_t> circuits, things;
};

struct Judged {
    std::vector<findings::Finding> findings;
    std::vector<findings::Undecided> undecided;
    Spoken spoken;
    Verdict verdict;
};

// A verdict given before, and what has changed since.
struct Known {
    const Verdict* verdict = nullptr;
    Touched touched;
};

// `silent`: what the rules of its `after` have said. `known`: all rows are judged if it has no verdict.
[[nodiscard]] Judged judge(const Rule& rule, const RuleSet& set, Bound& bound,
                           const std::vector<const Spoken*>& silent, Acceptances& acceptances,
                           bool negate, const Known& known);

}  // namespace ferrule::rules
