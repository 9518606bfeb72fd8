// Columns that answer: what would do, and what then is the next limit.
#include "facts/columns.hpp"

namespace ferrule::facts {

Columns answers_columns() { return {}; }

}  // namespace ferrule::facts
