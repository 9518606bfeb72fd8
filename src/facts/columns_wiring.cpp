// Columns of what conductors carry, what they may carry, and what their ends take.
#include "facts/columns.hpp"

namespace ferrule::facts {

Columns wiring_columns() { return {}; }

}  // namespace ferrule::facts
