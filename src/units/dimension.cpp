#include "units/units.hpp"

namespace ferrule::units {

namespace {

Dimension combine(Dimension a, Dimension b, int sign) {
    const auto with = [sign](std::int8_t x, std::int8_t y) { return static_cast<std::int8_t>(x + sign * y); };
    return {with(a.volt, b.volt),     with(a.ampere, b.ampere),     with(a.metre, b.metre), with(a.kelvin, b.kelvin),
            with(a.second, b.second), with(a.kilogram, b.kilogram), with(a.angle, b.angle)};
}

}  // namespace

Dimension operator*(Dimension a, Dimension b) { return combine(a, b, 1); }
Dimension operator/(Dimension a, Dimension b) { return combine(a, b, -1); }

}  // namespace ferrule::units
