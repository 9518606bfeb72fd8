// The spellings of the units, as the parser must know them: a word after a number is that number's unit if it stands
// here, and a name if not. What each one means stands in units.toml; a test holds the two lists together.
#pragma once

#include <string_view>

#include "grammar/words.hpp"

namespace ferrule::syntax::grammar {

inline constexpr std::string_view unit_list[] = {
    // voltage, current, power, energy, charge
    "V", "mV", "kV", "A", "mA", "uA", "kA", "W", "mW", "kW", "MW", "Wh", "kWh", "MWh", "Ah", "mAh", "kAh",
    "VA", "kVA", "MVA", "F", "uF", "nF", "mF",
    "\u00B5A", "\u03BCA", "\u00B5F", "\u03BCF",
    // resistance, with both code points of the sign
    "ohm", "mohm", "kohm", "Mohm", "uohm",
    "\u03A9", "m\u03A9", "k\u03A9", "M\u03A9", "\u00B5\u03A9", "\u03BC\u03A9",
    "\u2126", "m\u2126", "k\u2126", "M\u2126", "\u00B5\u2126", "\u03BC\u2126",
    // area, length, mass
    "mm2", "cm2", "m2", "mm\u00B2", "cm\u00B2", "m\u00B2", "AWG", "kcmil",
    "m", "mm", "cm", "km", "ft", "inch", "kg", "g", "lb",
    // temperature and what goes with it
    "degC", "degF", "K", "\u00B0C", "\u00B0F",
    "%/K", "%/degC", "%/\u00B0C", "V/K", "mV/K", "V/\u00B0C", "mV/\u00B0C", "A/K", "mA/K", "A/\u00B0C", "mA/\u00B0C",
    // the rest
    "W/m2", "W/m\u00B2", "N.m", "lbf.in", "s", "ms", "min", "h", "day", "year", "%", "deg", "\u00B0",
    "flashes/km2", "flashes/km\u00B2",
};

inline constexpr WordTable unit_table{unit_list};

}  // namespace ferrule::syntax::grammar
