// How much room is left below every limit, as text or JSON.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "text/source.hpp"

namespace ferrule::render {

// How far the design may go one way until a limit is just met, or has to go until it is.
struct Distance {
    enum class Found : std::uint8_t {
        met,          // at `to` the limit holds, one step of 0.01 K, 0.01 m or one module on it does not
        unknown,      // the same, but one step on it cannot be judged
        not_within,   // it holds as far as was tried
        unjudged,     // it comes and goes on the way
        given_up      // the bound on the work was reached first
    };
    Found found = Found::met;
    std::string change;   // "colder", "warmer", "hotter", "cooler", "longer", "shorter", "more", "fewer"
    std::string of;       // whose: "the site", "the run ROOF", "EAST"
    std::string by, to;   // "4.3 K", "-13.3 degC"
    double amount = 0;    // of `by`, never negative: K, m, modules
    std::string unit;     // "K", "m", "modules"
    bool speaks = true;   // the rule itself reports the row where the limit is broken (another limit may come first)
    text::Span place;     // what the author would change
};

struct Margin {
    std::string subject, kind, rule, title;
    text::Span span;
    bool holds = true, at_most = true, strict = false;
    std::string is, is_shown, may, may_shown;  // the formula's words (may be empty) and the values
    std::string margin_shown;
    std::string share_of;            // "50 K": what `share` is of; empty: of what may be
    double is_value = 0, may_value = 0, margin = 0, share = 0;  // SI; negative where the limit is broken
    std::string unit;                // SI; empty for a plain number
    std::vector<Distance> distances;
    std::size_t count = 1;           // rows with the same figures
    std::vector<std::string> more;   // some of their names
};

struct Margins {
    std::vector<Margin> rows;            // the smallest share first, broken limits before all
    std::vector<std::string> left_out;   // what was not tried, and which bound says so
};

[[nodiscard]] std::string margins_as_text(const Margins& margins, const text::Sources& sources, bool colour);
[[nodiscard]] std::string margins_as_json(const Margins& margins, const text::Sources& sources);

}  // namespace ferrule::render
