// A number with its unit as the table files write it: 1.25, "60 V", "-9 degC", "2/0 AWG".
#pragma once

#include <string>

#include "tables/toml.hpp"
#include "units/units.hpp"

namespace ferrule::tables {

struct Quantity {
    double si = 0;
    units::UnitId unit;  // none for a plain number
    std::string error;   // what is wrong; empty if it could be read
};

[[nodiscard]] Quantity read_quantity(const Value& value, const units::Units& units);

}  // namespace ferrule::tables
