// Columns of battery banks, battery ports, controllers and inverters.
#include "facts/columns.hpp"

namespace ferrule::facts {

Columns power_columns() { return {}; }

}  // namespace ferrule::facts
