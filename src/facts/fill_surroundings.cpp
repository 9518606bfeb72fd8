#include "facts/analysis.hpp"

namespace ferrule::facts {

void fill_surroundings(Facts&, const Shared&) {}

}  // namespace ferrule::facts
