// Columns of heat, altitude, light and surge protection.
#include "facts/columns.hpp"

namespace ferrule::facts {

Columns surroundings_columns() { return {}; }

}  // namespace ferrule::facts
