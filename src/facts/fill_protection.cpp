#include "facts/analysis.hpp"

namespace ferrule::facts {

void fill_protection(Facts&, const Shared&) {}

}  // namespace ferrule::facts
