#include "tables/quantity.hpp"

#include <fmt/format.h>

#include <optional>

namespace ferrule::tables {

namespace {

// The number before the unit; 1/0 to 4/0 are the gauges 0 to -3.
std::optional<double> number_or_gauge(std::string_view text, bool gauge) {
    if (gauge && text.size() == 3 && text.substr(1) == "/0" && text[0] >= '1' && text[0] <= '4') return '1' - text[0];
    return units::parse_number(text);
}

}  // namespace

Quantity read_quantity(const Value& value, const units::Units& units) {
    Quantity q;
    if (value.kind == Value::Kind::number) {
        q.si = value.number;
        return q;
    }
    if (value.kind != Value::Kind::text) {
        q.error = "neither a number nor a number with its unit";
        return q;
    }
    const std::string_view text = value.text;
    const std::size_t blank = text.find(' ');
    if (blank == std::string_view::npos) {
        q.error = fmt::format("`{}` is no number with a unit behind a blank", text);
        return q;
    }
    const units::UnitId unit = units.find(text.substr(blank + 1));
    if (!unit) {
        q.error = fmt::format("`{}` is no unit", text.substr(blank + 1));
        return q;
    }
    const std::optional<double> number = number_or_gauge(text.substr(0, blank), units[unit].gauge);
    if (!number) {
        q.error = fmt::format("`{}` is no number", text.substr(0, blank));
        return q;
    }
    q.si = units.to_si(*number, unit);
    q.unit = unit;
    return q;
}

}  // namespace ferrule::tables
