#include "facts/analysis.hpp"

namespace ferrule::facts {

void fill_wiring(Facts&, const Shared&) {}

}  // namespace ferrule::facts
