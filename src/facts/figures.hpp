// Facts after conductors got other lengths, or other voltages that they are rated for. Where no battery is, a length tells of what its
// conductor resists, and so of the solved piece of circuit that it is in; of how conductors side by side share their current; of how near a
// device stands; and of nothing else. A rated voltage tells of how many modules the strings on it may have, and of nothing else.
#pragma once

#include <optional>
#include <span>

#include "facts/difference.hpp"
#include "facts/table.hpp"

namespace ferrule::facts {

struct NewFigures {
    graph::ConductorId conductor;
    double length = graph::unknown, rated = graph::unknown;  // m, V: as they were; the design says what they are now
};

// Makes facts that were computed of the design before hold for it as it is, and says what has changed. Nothing, and then they
// are of no more use: more may hang on one of these lengths.
[[nodiscard]] std::optional<Difference> change_figures(Facts& facts, std::span<const NewFigures> figures);

}  // namespace ferrule::facts
