#include "resolve/quantity.hpp"

#include <cmath>

#include <fmt/format.h>

#include "resolve/lookup.hpp"

namespace ferrule::resolve {

std::optional<double> read_number(Build& b, std::string_view digits, Span at) {
    if (digits.size() == 3 && digits[1] == '/' && digits[2] == '0') return 1 - (digits[0] - '0');
    const auto value = units::parse_number(digits);
    if (!value || !std::isfinite(*value)) {
        b.report.error("design.property-shape", at, fmt::format("{} is no number", quoted(digits)),
                       "write digits with at most one point");
        return std::nullopt;
    }
    return value;
}

void report_zero(Build& b, const View& v, NodeIndex node) {
    b.report.error("design.zero", v.span(node), fmt::format("{} is no figure of anything that works", quoted(v.text(node))),
                   "write what stands on it or in its data sheet; what is not known is left out, and is asked for where it is needed");
}

Quantity read_quantity(Build& b, const View& v, NodeIndex node, Sign sign) {
    Quantity q;
    const NodeIndex number = v.first(node);
    if (number == no_node) return q;
    const NodeIndex unit = v.node(number).next;
    if (unit >= v.node(node).next || v.kind(unit) != NodeKind::unit) return q;
    q.number = v.text(number);
    const units::UnitId id = b.units.find(v.text(unit));
    if (!id) {
        const std::string near = b.units.nearest(v.text(unit));
        b.report.error(
            "design.unknown-unit", v.span(unit),
            fmt::format("{} is no unit that is known here{}", quoted(v.text(unit)), meant(near)));
        return q;
    }
    const auto value = read_number(b, q.number, v.span(number));
    if (!value) return q;
    const double si = b.units.to_si(*value, id);
    // The gauges 0 to -3 are written 1/0 to 4/0: a minus is none of them.
    const bool below = si < 0 || (b.units[id].gauge && q.number.starts_with('-'));
    if (below && sign != Sign::any && !b.units[id].below_zero) {
        const std::string& dimension = b.units[id].dimension_name;
        const bool cold = dimension == "temperature";
        b.report.error("design.below-zero", v.span(node),
                       fmt::format("{} is {}", quoted(v.text(node)), cold ? "colder than anything can be" : "less than nothing"),
                       cold ? "nothing is below 0 K (-273.15 degC, -459.67 degF)" : "write it without the minus; which side is plus is said by the terminals");
        return q;
    }
    if (si == 0 && sign == Sign::above_zero && !b.units[id].below_zero) {
        report_zero(b, v, node);
        return q;
    }
    q.value = si;
    q.unit = id;
    return q;
}

}  // namespace ferrule::resolve
