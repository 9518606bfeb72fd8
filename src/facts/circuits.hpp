// Sources against each other: which are in parallel, which way round, what voltage stands between any two nets, what is shorted.
// All on the nets with every switch on: closing contacts only joins, so a short or a reversal that exists in any position of
// on/off switches shows there. Change-over switches are tried position by position by `short_states`.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/network.hpp"
#include "facts/strings.hpp"

namespace ferrule::facts {

// Sources whose two ends meet on the same two nets.
struct Parallel {
    std::uint32_t net_a = none, net_b = none;   // net_a: where most of the + ends are
    std::vector<std::uint32_t> members;         // sources, right way round, in the order of the design
    std::vector<std::uint32_t> reversed;        // those that are not
    bool battery = false;

    [[nodiscard]] std::size_t count() const { return members.size() + reversed.size(); }
    [[nodiscard]] std::vector<std::uint32_t> all() const;  // both, in the order of the design
};

// Something the wrong way round.
struct Reversal {
    enum class What : std::uint8_t { string, input, at_switch, battery };
    What what = What::string;
    std::uint32_t source = none;
    std::uint32_t port = none;
    std::uint32_t device = none;       // the switch at which polarity changes sides
    std::uint32_t conductor = none;    // the one on the wrong terminal
    std::uint32_t other = none;        // its companion
    std::uint32_t parallel = 1;
};

struct Short {
    std::uint32_t source = none;
    std::uint32_t conductor = none;    // the jumper or conductor that closes the loop
    std::uint32_t device = none;       // the switch it passes
    std::vector<std::uint32_t> loop;   // edges from + to -
    bool always = false;               // joined by wires and fuses alone, whatever the switches do
    std::uint32_t state = none;        // index into Positions::states, when it takes another position than all on
};

struct Circuits {
    std::vector<Parallel> groups;
    std::vector<std::uint32_t> group_of;         // per source; none when an end is missing or it is shorted
    std::vector<std::uint8_t> reversed;          // per source
    std::vector<Reversal> reversals;
    std::vector<Short> shorts;

    // Potentials: nets that sources join have a potential against each other. Per net of Network::on.
    std::vector<std::uint32_t> island;           // the set of nets joined by sources; none if no source joins it
    std::vector<double> potential;               // V against the island's lowest net
    std::vector<double> net_voltage;             // the largest open-circuit voltage at this net: to the other end of a source or port on it
    std::vector<double> battery_voltage;         // the same of batteries and battery ports alone: on a negative that array and battery share,
                                                 // what a contact or link in the battery's circuit has to break
    std::uint32_t islands = 0;
    // The galvanic circuit of each net: nets joined by sources and by the two ends of ports. For `after`.
    std::vector<std::uint32_t> circuit;
    std::uint32_t circuit_count = 0;
    // Ends on each net, by sign: strings and batteries.
    std::vector<std::uint32_t> plus_ends, minus_ends, battery_plus_ends, battery_minus_ends;
};

// `emf`: the largest open-circuit voltage of each source (V; NaN if unknown).
[[nodiscard]] Circuits find_circuits(const graph::Design& design, const Network& network, const std::vector<double>& emf);

}  // namespace ferrule::facts
