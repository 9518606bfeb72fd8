// What a person has decided to live with: `accept RULE on THING because "…" until DATE by "…"`. An
// acceptance without a reason, of an unknown rule, past its date or without effect is a finding
// itself.
#pragma once

#include <cstdint>
#include <vector>

#include "base/files.hpp"
#include "findings/finding.hpp"
#include "graph/design.hpp"
#include "rules/rule.hpp"

namespace ferrule::rules {

class Acceptances {
public:
    Acceptances(const RuleSet& set, const graph::Design* design, base::Date today);
    // The acceptance that covers a finding of this rule on this thing (ThingId value, or
    // facts::no_row), as an index; none when there is none. It then counts as used.
    [[nodiscard]] std::uint32_t covering(const Rule& rule, std::uint32_t thing);
    [[nodiscard]] findings::Acceptance text(std::uint32_t acceptance) const;
    // Those that are wrong in themselves and, if `all_ran`, those that met no finding.
    [[nodiscard]] std::vector<findings::Finding> findings(bool all_ran) const;

private:
    const graph::Design* design_;
    std::vector<std::uint8_t> valid_, used_;
    std::vector<findings::Finding> wrong_;
};

// 2027-06-30, or 2027-06 for its last day; the default if it is no date.
[[nodiscard]] base::Date parse_date(std::string_view text);

}  // namespace ferrule::rules
