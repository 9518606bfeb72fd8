// What the tables of inputs, battery ports and DC systems ask of a port and of what watches its circuit.
#pragma once

#include <string>
#include <vector>

#include "facts/analysis.hpp"

namespace ferrule::facts {

// MPPT.pv2, or the device's name when the device itself is the load.
[[nodiscard]] std::string port_name(const Analysis& a, std::uint32_t port);

// A conductor lands on a sensor port of its converter.
[[nodiscard]] bool has_sensor(const Analysis& a, const Port& port);

// How strong a ground-fault function is: 0 none or not said, 1 detects, 2 interrupts.
[[nodiscard]] int strength(std::string_view function);

// Per galvanic circuit: the strongest ground-fault function of a device, converters apart, with a live terminal on it.
[[nodiscard]] std::vector<int> watchers(const Analysis& a);

}  // namespace ferrule::facts
