// Numbers and quantities of the text as values.
#pragma once

#include <optional>
#include <string_view>

#include "resolve/build.hpp"

namespace ferrule::resolve {

struct Quantity {
    double value = graph::unknown;  // SI
    units::UnitId unit;
    std::string_view number;  // as written
    explicit operator bool() const { return static_cast<bool>(unit); }
};

// A `quantity` node. None if its unit or number is not known, or if it is negative or zero where nothing
// can be (the reader of files has said so, or it is reported here). `above_zero` leaves quantities alone
// that may be negative, such as a coefficient beside a voltage.
enum class Sign { of_dimension, any, above_zero };
[[nodiscard]] Quantity read_quantity(Build& b, const View& v, NodeIndex node, Sign sign = Sign::of_dimension);
void report_zero(Build& b, const View& v, NodeIndex node);

// The number as it stands, wire gauges 1/0 to 4/0 as 0 to -3. Reported if it is none.
[[nodiscard]] std::optional<double> read_number(Build& b, std::string_view digits, Span at);

}  // namespace ferrule::resolve
