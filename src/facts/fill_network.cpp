#include "facts/analysis.hpp"

namespace ferrule::facts {

void fill_network(Facts&, const Shared&) {}

}  // namespace ferrule::facts
