// Banks: batteries in parallel, and batteries one after the other where the - of one is wired to the + of the next. A battery by
// itself is a bank of one. What stands between two nets is one bank; what lands between its batteries is a tap. Linear.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/circuits.hpp"

namespace ferrule::facts {

// Figures of one battery device, or of one string of cells or blocks; SI. Unknown where its data sheet is silent.
struct BatteryData {
    double nominal = graph::unknown, most = graph::unknown, least = graph::unknown;    // V
    double capacity = graph::unknown;                                                  // A s; of the smallest cell or block in series
    double capacity_spread = 0;                                                        // within it
    double charge = graph::unknown, discharge = graph::unknown, peak = graph::unknown;  // A
    double short_circuit = graph::unknown;                                             // A; stated, or voltage / internal resistance
    bool short_circuit_estimated = false;
    double cells = graph::unknown;                                                     // in series
    double blocks = 1;                                                                 // cells or blocks in series that the text counts
    double age = graph::unknown;                                                       // years
    double charge_from = graph::unknown, charge_to = graph::unknown;                   // K
    graph::Symbol chemistry;
    bool mixed = false, heater = false, cold_cut_off = false, commands = false, fused_inside = false;
    graph::PartId part;                                                                // the (first) data sheet
};

[[nodiscard]] BatteryData battery_data(const graph::Design& design, graph::ThingId thing);

// Batteries between one pair of nets, all in parallel: a stage. Stages one after the other, from + to -: a chain. Chains between
// the same two nets: a bank.
struct Bank {
    using Stage = std::vector<std::uint32_t>;  // sources
    std::uint32_t plus = none, minus = none;   // nets of Network::on
    std::vector<std::vector<Stage>> chains;
    std::vector<std::uint32_t> between;        // nets between its batteries
    std::vector<std::uint32_t> ports;          // battery ports and loads on its two ends
    std::uint32_t tap = none;                  // a port that takes current, with an end between its batteries
    std::uint32_t tapped = none;               // the conductor it hangs on there
    bool reversed = false, balanced = false;   // a battery is the wrong way round; something evens its batteries out

    [[nodiscard]] std::vector<std::uint32_t> batteries() const;  // all sources, in the order of the design
    [[nodiscard]] std::uint32_t parallel() const;                // side by side at its widest
    [[nodiscard]] bool plain() const { return chains.size() == 1 && chains.front().size() == 1; }  // all in parallel, none in series
    [[nodiscard]] bool laddered() const;                         // batteries side by side between nets that others share
};

struct Banks {
    std::vector<Bank> banks;
    std::vector<std::uint32_t> of_source;  // per source; none for strings of modules and batteries that are not wired
    std::vector<std::uint32_t> of_port;    // per port: the bank with both ends on its nets
    std::vector<std::uint8_t> own_fuse;    // per source: an overcurrent device, or one inside it, stands in its way to the others
};

[[nodiscard]] Banks find_banks(const graph::Design& design, const std::vector<PartData>& parts, const Network& network, const Circuits& circuits);

}  // namespace ferrule::facts
