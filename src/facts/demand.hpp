// What every port takes from its circuit and what it gives to it without end, in amperes, and what that follows from. A battery
// port of an inverter takes most at the lowest battery voltage; a load of so many watts does so too.
#pragma once

#include <string>
#include <vector>

#include "facts/circuits.hpp"

namespace ferrule::facts {

// A figure and the line of the design that states it; no row if it was worked out.
struct Stated {
    double value = graph::unknown;  // SI
    graph::RowId row;
    [[nodiscard]] bool known() const { return value == value; }
};

struct PortDemand {
    enum class By : std::uint8_t { nothing, power, current, limit };
    double takes = 0;                // A; unknown if a figure is lacking
    double gives = 0;                // A; the same
    By takes_by = By::nothing;       // power: power / (efficiency x voltage); current: stated; limit: its port's own limit alone is known
    Stated power, efficiency;        // W, share; of what it takes
    Stated voltage;                  // V; the lowest at which it takes it
    Stated current;                  // A; what it takes, where that is stated
    Stated charge;                   // A; what it gives
    std::uint32_t battery = none;    // the source whose lowest voltage counts, when no cut-off is stated
    const char* lacking = nullptr;   // property of the device's part without which `takes` is unknown
    const char* lacking_charge = nullptr;  // the same for `gives`
};

struct Demand {
    std::vector<PortDemand> ports;       // as Network::ports
    std::vector<double> battery_lowest;  // V, per port: the lowest voltage of the batteries between its two nets; unknown if none or not stated
};

[[nodiscard]] Demand find_demand(const graph::Design& design, const std::vector<PartData>& parts, const Network& network, const Circuits& circuits);

// `set WHAT VALUE` of a device: the value's row, or none.
[[nodiscard]] graph::RowId setting(const graph::Design& design, graph::ThingId device, std::string_view what);
// A setting, or the port's own figure: `set charge 60 A` before `charge` of the port.
[[nodiscard]] Stated set_or_stated(const graph::Design& design, const Port& port, std::string_view what, std::string_view field);

// How `takes` came about: "power 5 kW / (efficiency 93 % x lowest voltage 46 V) = 116.9 A".
[[nodiscard]] std::string takes_text(const graph::Design& design, const PortDemand& demand);
// What is lacking for it, and where.
[[nodiscard]] Lack takes_lack(const graph::Design& design, const Port& port, const PortDemand& demand);
[[nodiscard]] Lack gives_lack(const graph::Design& design, const Port& port, const PortDemand& demand);

}  // namespace ferrule::facts
