// The steps in which the columns of wiring are filled, and what they share.
#pragma once

#include <memory>

#include "facts/carrying.hpp"

namespace ferrule::facts {

// From the currents in the conductor table, which must be filled.
[[nodiscard]] std::shared_ptr<const Carrying> make_carrying(const Facts& facts, const Shared& a);

void fill_bundles(Facts& facts, const Shared& a, const Carrying& k);  // conductors side by side
void fill_ends(Facts& facts, const Shared& a, const Carrying& k);     // what terminals and plugs take

}  // namespace ferrule::facts
