// Columns of overcurrent devices, what they let pass and what they protect.
#include "facts/columns.hpp"

namespace ferrule::facts {

Columns protection_columns() { return {}; }

}  // namespace ferrule::facts
