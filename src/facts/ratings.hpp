// Which row of a switch's rating plate applies. Never extrapolated: a row counts for as many contacts in series as it says; more
// contacts than that may use it, fewer may not.
#pragma once

#include "facts/parts.hpp"

namespace ferrule::facts {

struct Contacts {
    std::uint32_t in_series = 0;       // + and - together: what `in series` counts
    std::uint32_t per_conductor = 0;   // the smaller group: what `per conductor` counts
    std::uint32_t side_by_side = 1;
    double ambient = graph::unknown;   // K, of the place; rows for a lower ambient do not apply
};

struct Rating {
    double voltage = graph::unknown;   // the largest that applies
    double current = graph::unknown;   // the largest at a row that stands the voltage asked for
    graph::RowId voltage_row, current_row;
    double parallel_current = graph::unknown;
    graph::RowId parallel_row;
    bool any_series = false, any_parallel = false;
};

[[nodiscard]] Rating look_up(const PartData& part, const Contacts& contacts, double voltage);

}  // namespace ferrule::facts
