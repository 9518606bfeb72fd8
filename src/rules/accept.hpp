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

// One that stands in a file of its own, for designs that are not one's own to write in.
struct OutsideAcceptance {
    std::string rule;
    std::string on;  // the name of a thing, or of a place on it; "" everywhere
    findings::Acceptance acceptance;
};

class Acceptances {
public:
    // Those from outside must outlive it.
    Acceptances(const RuleSet& set, const graph::Design* design, const std::vector<OutsideAcceptance>& outside, base::Date today);
    // The acceptance that covers a finding of this rule on this thing (ThingId value, or
    // facts::no_row), as an index; none when there is none. It then counts as used. Rules may ask side by side: an acceptance
    // is of one rule alone.
    [[nodiscard]] std::uint32_t covering(const Rule& rule, std::uint32_t thing);
    [[nodiscard]] findings::Acceptance text(std::uint32_t acceptance) const;
    // Those that are wrong in themselves and, if `all_ran`, those that met no finding.
    [[nodiscard]] std::vector<findings::Finding> findings(bool all_ran) const;
    // Of those from outside: which met a finding. Whether one is of no use only shows when all designs are checked.
    [[nodiscard]] std::vector<std::uint8_t> outside_used() const;

private:
    struct One {
        std::string_view rule, because, until, by;
        text::Span span;
    };
    [[nodiscard]] One one(std::uint32_t i) const;
    [[nodiscard]] bool is_named(graph::ThingId thing, std::string_view on) const;

    const graph::Design* design_;
    const std::vector<OutsideAcceptance>& outside_;
    std::uint32_t inside_ = 0;  // how many stand in the design; the others follow
    std::vector<std::uint8_t> valid_, used_;
    std::vector<findings::Finding> wrong_;
};

// 2027-06-30, or 2027-06 for its last day; the default if it is no date.
[[nodiscard]] base::Date parse_date(std::string_view text);

}  // namespace ferrule::rules
