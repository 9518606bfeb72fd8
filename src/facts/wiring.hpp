// The steps in which the columns of wiring are filled, and what they share.
#pragma once

#include <memory>

#include "facts/carrying.hpp"

namespace ferrule::facts {

// From the currents in the conductor table, which must be filled.
[[nodiscard]] std::shared_ptr<const Carrying> make_carrying(const Facts& facts, const Shared& a);

// A link that belongs to the switch as it is supplied.
[[nodiscard]] bool is_supplied(const graph::Design& d, const graph::Conductor& c);

// All that is asked of one conductor's size, in amperes; what is not known asks for nothing.
struct Demands {
    double current = graph::unknown, continuous = graph::unknown, reverse = graph::unknown, device = graph::unknown;
    double parallel = 1;  // conductors in parallel; all of the above is of this one
};
// The smallest standard size of its own kind that meets them, m²; unknown if the list ends before.
[[nodiscard]] double smallest_size(const Carrying& k, graph::ConductorId conductor, const graph::Conductor& c, const Demands& d);

void fill_bundles(Facts& facts, const Shared& a, const Carrying& k);  // conductors side by side
void fill_ends(Facts& facts, const Shared& a, const Carrying& k);     // what terminals and plugs take

}  // namespace ferrule::facts
