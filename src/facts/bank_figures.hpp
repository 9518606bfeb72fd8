// The figures of each bank, added up from its batteries: volts over what is in series, amperes over what is in parallel. SI; unknown
// where a data sheet is silent.
#pragma once

#include <memory>
#include <vector>

#include "facts/analysis.hpp"

namespace ferrule::facts {

enum class Family : std::uint8_t { unknown, lithium, lead, other };

struct BankFigures {
    double nominal = graph::unknown, most = graph::unknown, least = graph::unknown;  // V; least: below it a battery stops by itself
    double limit = graph::unknown;            // V; what it may be charged to: the least of its parallel strings
    bool limit_by_cells = false;              // from the number of cells, as a battery gives no `max-voltage`
    double capacity = graph::unknown;         // A s
    double charge = graph::unknown, discharge = graph::unknown, peak = graph::unknown, short_circuit = graph::unknown;  // A
    double in_series = 0;                     // batteries, blocks or cells
    double capacity_spread = 0, voltage_spread = 0, age_spread = graph::unknown;
    double takes = 0, gives = 0, surge = graph::unknown;   // A
    double coldest = graph::unknown, warmest = graph::unknown;  // K
    double charge_from = graph::unknown, charge_to = graph::unknown;  // K
    bool charge_from_assumed = false, ages_stated = false, mixed = false, heated = false, cold_cut_off = false, commands = false;
    Family family = Family::unknown;
    double preset_absorb = graph::unknown, preset_float = graph::unknown;  // V
    std::uint32_t first = none, odd = none, oldest = none, unprotected = none;  // sources
};

// What is the same for all tables of this field: made once, in the order of Analysis::banks.
struct Power {
    std::vector<BatteryData> batteries;       // per battery source
    std::vector<BankFigures> banks;
    std::vector<double> path;                 // ohm, per battery source: its share of the way to where its bank is taken off
    std::vector<std::uint32_t> path_lacking;  // per battery source: a conductor whose resistance is unknown, or none
    std::vector<std::uint32_t> port_row;      // per port: row of battery-port, or none
    std::vector<std::uint32_t> battery_ports; // rows of battery-port: ports
    [[nodiscard]] const BatteryData& battery(const Analysis& a, std::uint32_t source) const { return batteries[source - a.net.strings]; }
};
using SharedPower = std::shared_ptr<const Power>;

[[nodiscard]] std::vector<BankFigures> bank_figures(const Analysis& a, const std::vector<BatteryData>& batteries);

// The resistance of the way from each battery of a bank of several in parallel to the place where all their ways have met, in + and
// in -, the links between batteries in series included: conductors alone, `resistance` in ohm per conductor.
struct Paths {
    std::vector<double> ohms;            // per battery source; unknown where there is nothing to compare
    std::vector<std::uint32_t> lacking;  // a conductor without a resistance on that way; none
};
[[nodiscard]] Paths bank_paths(const Analysis& a, const std::vector<double>& resistance);

// What a converter is set to, or what its port says: `absorb`, `float`, `equalise`. Off: the setting says so.
struct SetPoint {
    double value = graph::unknown;
    graph::RowId row;
    bool off = false;
};
[[nodiscard]] SetPoint set_point(const Analysis& a, const Port& port, std::string_view what, std::string_view field);

void fill_banks(Facts& facts, const Shared& a, const SharedPower& p);        // bank, more of battery
void fill_charging(Facts& facts, const Shared& a, const SharedPower& p);     // more of battery-port
void fill_inputs_power(Facts& facts, const Shared& a, const SharedPower& p); // more of input
void fill_steps(Facts& facts, const Shared& a, const SharedPower& p);        // switching-order; more of battery-port
void fill_bars(Facts& facts, const Shared& a);                               // bar
void fill_loads(Facts& facts, const Shared& a, const SharedPower& p);        // load, load-output

}  // namespace ferrule::facts
