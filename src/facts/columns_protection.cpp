// Columns of overcurrent devices, what they let pass and what they protect.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr std::string_view continuous_clause = "nec-2023|690.8(B)(1), 706.30|;iec-62548|cl. 7.3|from memory";

constexpr Spec specs[] = {
    Spec{"conductor", "continuous-current", n, "current", "that current with the standard's factor for duty without end", continuous_clause},
    Spec{"fuse", "continuous-current", n, "current", "that current with the standard's factor for duty without end", continuous_clause},
};

}  // namespace

Columns protection_columns() { return {{}, specs}; }

}  // namespace ferrule::facts
