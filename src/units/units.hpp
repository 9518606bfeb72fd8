// Dimensions, units and quantities. Values are stored in SI (temperatures in kelvin, so that a difference is a
// difference); what a person wrote is kept as the unit beside the number. The table is grammar/units.toml.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "base/ids.hpp"

namespace ferrule::units {

using UnitId = base::Id<struct UnitTag>;

// Exponents of the seven things the trade's units are made of. Angle and count of flashes are kept apart on
// purpose: nobody means a radian when a number without unit stands there.
struct Dimension {
    std::int8_t volt = 0, ampere = 0, metre = 0, kelvin = 0, second = 0, kilogram = 0, angle = 0;
    friend bool operator==(const Dimension&, const Dimension&) = default;
    [[nodiscard]] bool plain() const { return *this == Dimension{}; }
};
[[nodiscard]] Dimension operator*(Dimension a, Dimension b);
[[nodiscard]] Dimension operator/(Dimension a, Dimension b);

struct Unit {
    std::string symbol;                 // the plain spelling that tidy writes
    std::vector<std::string> spellings; // other spellings of the same word (mm², Ω, °C)
    std::string dimension_name;         // "voltage", "area", …: the word used in shapes of properties
    Dimension dimension;
    double factor = 1;                  // SI = number * factor + offset
    double offset = 0;                  // degC, degF
    bool gauge = false;                 // AWG: the number is a gauge, not a multiple
    bool below_zero = false;            // its dimension has values below zero (in SI)
    std::string about;
};

// The words for dimensions that shapes of properties use: name -> dimension, with the unit it is shown in.
struct DimensionName {
    std::string name;  // "voltage"
    Dimension dimension;
    UnitId shown_in;   // the default unit for computed values
    std::string about;
};

class Units {
public:
    UnitId add(Unit unit);
    void add_dimension(DimensionName d);
    // Computed values of this dimension are shown in that unit; false if there is no such dimension or the unit is of another.
    bool show_in(std::string_view dimension, UnitId unit);
    [[nodiscard]] const Unit& operator[](UnitId id) const { return units_[id.value]; }
    [[nodiscard]] UnitId find(std::string_view spelling) const;  // any spelling; none if unknown
    [[nodiscard]] const DimensionName* dimension(std::string_view name) const;
    [[nodiscard]] const DimensionName* dimension_of(Dimension d) const;  // the first name of that dimension
    [[nodiscard]] const std::vector<Unit>& all() const { return units_; }
    [[nodiscard]] const std::vector<DimensionName>& dimensions() const { return dimensions_; }
    // The nearest spelling, for "did you mean"; empty when nothing is near.
    [[nodiscard]] std::string nearest(std::string_view spelling) const;

    // "6 mm2" -> 6e-6. For AWG the gauge 0, -1, -2, -3 stand for 1/0 … 4/0 (number "2/0" is passed as -1).
    [[nodiscard]] double to_si(double number, UnitId unit) const;
    [[nodiscard]] double from_si(double si, UnitId unit) const;
    // A number with its unit as a person writes it: four significant digits, no exponent, no trailing zeros ("224.6 V").
    // AWG is written as "10 AWG", "2/0 AWG".
    [[nodiscard]] std::string show(double si, UnitId unit) const;

private:
    std::vector<Unit> units_;
    std::vector<DimensionName> dimensions_;
    std::unordered_map<std::string, UnitId> by_spelling_;
};

// A plain number as a person writes it: up to `digits` significant digits, no exponent, no trailing zeros.
[[nodiscard]] std::string show_number(double value, int digits = 4);

// Digits with at most one point (and a sign) to a double, whatever the locale. Nothing if it is no such number or overflows.
[[nodiscard]] std::optional<double> parse_number(std::string_view text);

}  // namespace ferrule::units
