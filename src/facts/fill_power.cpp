#include "facts/analysis.hpp"

namespace ferrule::facts {

void fill_power(Facts&, const Shared&) {}

}  // namespace ferrule::facts
