// Columns of runs, protective conductors and jumpers.
#include "facts/columns.hpp"

namespace ferrule::facts {

Columns runs_columns() { return {}; }

}  // namespace ferrule::facts
