// Rules in the order in which they run: those named in another's `after` before it, else by id.
// Internal to the room.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "rules/rule.hpp"

namespace ferrule::rules {

// `ids`: the ids of all files with their places, in the order of the files, for duplicates and
// unknown names. A rule that is a duplicate, names an unknown rule or stands in a ring is left out,
// with a finding added to `findings`.
[[nodiscard]] RuleSet in_order(std::vector<Rule> rules,
                               const std::vector<std::pair<std::string, text::Span>>& ids,
                               std::vector<findings::Finding> findings);

}  // namespace ferrule::rules
