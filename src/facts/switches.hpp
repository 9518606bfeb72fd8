// What a switch does to the circuits that pass it. For every handle: the circuits it breaks, the contacts really in series in + and
// in -, counted on the graph with jumpers and landings; what a pole is for; what stays joined when the handle is off.
//
// How it is counted. With every contact open, terminals fall into nets. A handle's contacts join some of these nets into clusters:
// each cluster is one conductor's way through the switch. What hangs on each net of a cluster, outside the cluster, is known from
// one walk over the graph of nets and clusters (sides.hpp). The net with a source on it and the net with the load on it are the two
// ends; the contacts between them are counted by breadth-first search, contacts side by side by maximum flow.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "facts/circuits.hpp"
#include "facts/sides.hpp"

namespace ferrule::facts {

struct BrokenCircuit {
    std::uint32_t device = none;             // the switch (of a gang: its first device on this circuit)
    std::uint32_t handle = 0;
    bool battery = false;
    std::vector<std::uint32_t> sources;      // indices into Network::sources, all unless limits::switch_sources is passed
    std::uint32_t input = none;              // index into Network::ports, when it is one
    std::uint32_t poles_plus = 0, poles_minus = 0;
    std::uint32_t paralleled = 1, paralleled_least = 1;  // side by side in the one conductor and in the other: the most, the fewest
    std::uint32_t beside = none;             // a contact edge of the conductor with the most
    std::uint32_t net_plus = none, net_minus = none;  // nets of Network::on; none if the handle does not meet that conductor
    bool joined_plus = false, joined_minus = false;   // the conductor stays joined with the handle off
    std::uint32_t bypass = none;             // conductor or jumper that joins it
    double isc = 0;                          // A without factors, of all that feeds it
    std::uint32_t strings = 0;
    bool more_beyond = false;                // further sources on the load side
    std::uint32_t pole_a = none;             // a contact edge on its way: for the place of the finding
};

struct PoleState {
    std::uint32_t edge = none;               // the contact
    std::uint32_t device = none;
    bool in_circuit = false, bridged = false, dead_branch = false, live_tail = false, protective = false, backwards = false;
    std::uint32_t bridge = none;             // conductor
    std::uint32_t jumper = none;             // conductor
    std::uint32_t landing = none;            // conductor
    std::uint32_t circuit_landing = none;    // conductor
};

struct SwitchState {
    std::uint32_t device = none;
    std::uint32_t circuits = 0;
    bool in_dc = false, in_array = false, no_path = false, mispaired = false;
    std::uint32_t unfed = none;              // conductor
    std::uint32_t arrives = none;            // no_path: a terminal that a source reaches and nothing leads on from
};

struct Switches {
    std::vector<BrokenCircuit> circuits;
    std::vector<PoleState> poles;
    std::vector<SwitchState> switches;
};

[[nodiscard]] Switches find_switches(const graph::Design& design, const Network& network, const Circuits& circuits,
                                     const std::vector<StringData>& strings);

// What hangs on every terminal itself: its source ends and port ends. Where currents are added up, a shorted source counts
// once, its two ends being one net; where contacts are counted, both its ends do.
enum class Ends : std::uint8_t { both, shorted_once };
[[nodiscard]] std::vector<Load> terminal_loads(const Network& network, const std::vector<StringData>& strings, Ends ends);

}  // namespace ferrule::facts
