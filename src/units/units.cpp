#include "units/units.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "base/nearest.hpp"

namespace ferrule::units {

namespace {

// ASTM B258: the diameter of gauge n is 0.005 inch times the 39th root of 92, (36 - n) times.
constexpr double gauge_36_diameter = 0.127e-3;

double gauge_area(double gauge) {
    const double d = gauge_36_diameter * std::pow(92.0, (36.0 - gauge) / 39.0);
    return std::numbers::pi / 4 * d * d;
}

double area_gauge(double area) {
    const double d = std::sqrt(4 * area / std::numbers::pi);
    return 36.0 - 39.0 * std::log(d / gauge_36_diameter) / std::log(92.0);
}

constexpr double largest_gauge = -3;  // 4/0
constexpr double between = 0.01;      // a gauge that is further from a whole one is none

// 10 AWG, and 1/0 to 4/0 for the gauges 0 to -3.
std::string show_gauge(double gauge) {
    const double whole = std::round(gauge);
    if (whole < 1) return fmt::format("{}/0", 1 - static_cast<int>(whole));
    return show_number(whole);
}

}  // namespace

UnitId Units::add(Unit unit) {
    const UnitId id(units_.size());
    by_spelling_.emplace(unit.symbol, id);
    for (const std::string& s : unit.spellings) by_spelling_.emplace(s, id);
    units_.push_back(std::move(unit));
    return id;
}

void Units::add_dimension(DimensionName d) { dimensions_.push_back(std::move(d)); }

UnitId Units::find(std::string_view spelling) const {
    const auto found = by_spelling_.find(std::string(spelling));
    return found == by_spelling_.end() ? UnitId() : found->second;
}

bool Units::show_in(std::string_view name, UnitId unit) {
    for (DimensionName& d : dimensions_) {
        if (d.name != name || !unit || units_[unit.value].dimension != d.dimension) continue;
        d.shown_in = unit;
        return true;
    }
    return false;
}

const DimensionName* Units::dimension(std::string_view name) const {
    for (const DimensionName& d : dimensions_) {
        if (d.name == name) return &d;
    }
    return nullptr;
}

const DimensionName* Units::dimension_of(Dimension d) const {
    for (const DimensionName& known : dimensions_) {
        if (known.dimension == d) return &known;
    }
    return nullptr;
}

std::string Units::nearest(std::string_view spelling) const {
    std::vector<std::string_view> known;
    for (const Unit& u : units_) {
        known.push_back(u.symbol);
        for (const std::string& s : u.spellings) known.push_back(s);
    }
    // A unit cut short (`in` for inch) before one that a slip is away (`min`).
    const auto longer = [&](std::string_view k) { return spelling.size() > 1 && k.size() > spelling.size() && k.starts_with(spelling); };
    const auto cut = std::find_if(known.begin(), known.end(), longer);
    const std::string_view found = cut != known.end() ? *cut : base::nearest(spelling, known);
    return found.empty() ? std::string() : units_[find(found).value].symbol;
}

double Units::to_si(double number, UnitId unit) const {
    assert(unit);
    const Unit& u = units_[unit.value];
    return u.gauge ? gauge_area(number) : number * u.factor + u.offset;
}

double Units::from_si(double si, UnitId unit) const {
    assert(unit);
    const Unit& u = units_[unit.value];
    return u.gauge ? area_gauge(si) : (si - u.offset) / u.factor;
}

std::string Units::show(double si, UnitId unit) const {
    if (!unit || std::isnan(si)) return show_number(si);
    const Unit& u = units_[unit.value];
    const double number = from_si(si, unit);
    if (u.gauge && !(std::abs(number - std::round(number)) <= between && number > largest_gauge - between)) {
        // Above the gauges stands kcmil; what is no size of wire, such as the difference of two, is in mm2.
        const UnitId other = find(number < largest_gauge && std::isfinite(number) ? "kcmil" : "mm2");
        if (other) return show(si, other);
    }
    return fmt::format("{} {}", u.gauge ? show_gauge(number) : show_number(number), u.symbol);
}

}  // namespace ferrule::units
