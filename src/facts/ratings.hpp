// Which row of a switch's rating plate applies. Never extrapolated: a row counts for as many contacts in series as it says; more
// contacts than that may use it, fewer may not. Of the rows for these contacts only those count whose utilisation category fits the
// duty best.
#pragma once

#include <string_view>
#include <vector>

#include "facts/parts.hpp"
#include "facts/switches.hpp"

namespace ferrule::facts {

struct Contacts {
    std::uint32_t in_series = 0;       // + and - together: what `in series` counts
    std::uint32_t per_conductor = 0;   // the smaller group: what `per conductor` counts
    std::uint32_t side_by_side = 1;
    double ambient = graph::unknown;   // K, of the place; rows for a lower ambient do not apply
    Duty duty = Duty::one_string;
};

struct Analysis;

// Of a circuit at a switch, without the ambient.
[[nodiscard]] Contacts contacts_of(const Analysis& analysis, const BrokenCircuit& circuit);
// The smaller of its two groups of contacts; if one conductor is not switched, the other's.
[[nodiscard]] std::uint32_t least_poles(const BrokenCircuit& circuit);
// Two strings or more in parallel, or a battery, can feed it.
[[nodiscard]] bool several_feed(const Analysis& analysis, const BrokenCircuit& circuit);

// Is it a row for that many contacts, arranged so, whatever its category?
[[nodiscard]] bool for_contacts(const RatingRow& row, const Contacts& contacts);
// The best fit among those; 0 if there is none.
[[nodiscard]] std::uint8_t best_fit(const PartData& part, const Contacts& contacts, bool parallel);

struct Rating {
    double voltage = graph::unknown;   // the largest that applies
    double current = graph::unknown;   // the largest at a row that stands the voltage asked for
    graph::RowId voltage_row, current_row;
    double parallel_voltage = graph::unknown, parallel_current = graph::unknown;
    graph::RowId parallel_row;
    bool any_series = false, any_parallel = false;
    bool cooler = false;               // a row for these contacts is for cooler air
};

// What `derate` lines leave of a rated current in air of some temperature.
struct Derating {
    double factor = graph::unknown;    // unknown if they do not reach that far, or if the temperature is unknown
    graph::RowId line;                 // the one it was taken from; none if nothing is taken off
    bool stated = false;               // the data sheet has such lines
};
// `holds_to`: the air up to which nothing is taken off where no line says so. A line between two temperatures is not drawn.
[[nodiscard]] Derating derating(const graph::Design& design, const graph::Part& part, double temperature, double holds_to);

// What utilisation categories say (IEC 60947-3; the words are those of its table of categories).
struct Category {
    bool known = false, breaks_load = false, pv = false, only_single = true, only_resistive = true;
};
[[nodiscard]] Category category_of(const std::vector<std::string_view>& categories);
// The categories of the rows that count for these contacts.
[[nodiscard]] std::vector<std::string_view> categories_in_use(const graph::Design& design, const graph::Part& part, const PartData& data, const Contacts& contacts);

[[nodiscard]] Rating look_up(const PartData& part, const Contacts& contacts, double voltage);

}  // namespace ferrule::facts
