// The rules over the facts of one design: findings, what could not be decided, and what a person
// has accepted.
//
// Logic has four values. `unknown` (a datum is missing) spreads as usual: unknown and false =
// false, unknown or true = true, a comparison with unknown is unknown. `not applicable` comes of a
// path through a subject that does not exist (a string without a fuse: fuse.rating): it spreads
// likewise, and `and` prefers it to unknown, `or` unknown to it. A row is judged so:   when: false
// or not applicable -> nothing; unknown -> undecided; true -> require:
//                       true or not applicable -> nothing; unknown -> undecided; false -> a
//                       finding.
// Numbers are compared with a relative tolerance of 1e-9, so that 0.1 kV * 10 is 1000 V.
//
// Cost: some nanoseconds a rule and row; nothing is allocated for a row that passes. Texts are made
// for rows that fail.
#pragma once

#include <string>

#include "base/files.hpp"
#include "facts/table.hpp"
#include "findings/finding.hpp"
#include "rules/accept.hpp"
#include "rules/remember.hpp"
#include "rules/rule.hpp"
#include "tables/standard.hpp"

namespace ferrule::rules {

struct Options {
    std::string only;    // report this rule alone; empty: all
    std::string negate;  // read the `require` of this rule the other way round: its examples must
                         // then flip (for tests)
    base::Date today;    // for `accept … until`; the default never expires
    std::vector<OutsideAcceptance> outside;  // besides those that stand in the design
};

// Findings are in the order of the rules; findings::settle() sorts and counts. Summary: only
// `rules` is filled in. `remembered`, if it is given, saves work and learns what this run came to; without effect on the answer,
// and on a run of one rule or of a negated one.
[[nodiscard]] findings::Report run(const RuleSet& set, const facts::Facts& facts,
                                   const tables::Standard& standard, const Options& options, Remembered* remembered = nullptr);

}  // namespace ferrule::rules
