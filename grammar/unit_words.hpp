// The spellings of the units, as the parser must know them: a word after a number is that number's unit if it stands
// here, and a name if not. What each one means stands in units.toml; a test holds the two lists together.
#pragma once

#include <string_view>

#include "grammar/words.hpp"

namespace ferrule::syntax::grammar {

inline constexpr std::string_view unit_list[] = {
    // voltage, current, power, energy, charge
    "V", "mV", "kV", "A", "mA", "uA", "\u00B5A", "\u03BCA", "kA", "W", "mW", "kW", "MW", "VA",
    "kVA", "MVA", "Wh", "kWh", "MWh", "Ah", "mAh", "kAh",
    // resistance and capacitance, with both code points of each sign
    "ohm", "\u2126", "\u03A9", "uohm", "\u00B5\u2126", "\u00B5\u03A9", "\u03BC\u2126",
    "\u03BC\u03A9", "mohm", "m\u2126", "m\u03A9", "kohm", "k\u2126", "k\u03A9", "Mohm", "M\u2126",
    "M\u03A9", "ohm/km", "\u2126/km", "\u03A9/km", "ohm/kft", "F", "mF", "uF", "\u00B5F",
    "\u03BCF", "nF",
    // area, length, mass
    "mm2", "mm\u00B2", "cm2", "cm\u00B2", "m2", "m\u00B2", "AWG", "kcmil", "m", "mm", "cm", "km",
    "ft", "inch", "kg", "g", "lb",
    // temperature and what goes with it
    "degC", "\u00B0C", "degF", "\u00B0F", "K", "%/K", "%/degC", "%/\u00B0C", "V/K", "V/degC",
    "V/\u00B0C", "mV/K", "mV/degC", "mV/\u00B0C", "A/K", "A/degC", "A/\u00B0C", "mA/K", "mA/degC",
    "mA/\u00B0C",
    // the rest
    "W/m2", "W/m\u00B2", "N.m", "Nm", "lbf.in", "lbf.ft", "s", "ms", "min", "h", "day", "year",
    "Hz", "%", "deg", "\u00B0", "flashes/km2", "flashes/km\u00B2",
};

inline constexpr WordTable unit_table{unit_list};

}  // namespace ferrule::syntax::grammar
