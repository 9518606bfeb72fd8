// Facts after conductors got other lengths. Where no battery is, a length tells of what its conductor resists, and so of the solved piece of
// circuit that it is in; of how conductors side by side share their current; of how near a device stands; and of nothing else.
#pragma once

#include <optional>
#include <span>

#include "facts/difference.hpp"
#include "facts/table.hpp"

namespace ferrule::facts {

struct NewLength {
    graph::ConductorId conductor;
    double was = graph::unknown;  // m; the design says what it is now
};

// Makes facts that were computed of the design before hold for it as it is, and says what has changed. Nothing, and then they
// are of no more use: more may hang on one of these lengths.
[[nodiscard]] std::optional<Difference> change_lengths(Facts& facts, std::span<const NewLength> lengths);

}  // namespace ferrule::facts
