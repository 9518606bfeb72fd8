// The network solved: the whole circuit with every switch on as resistances and sources, in the states that matter. Volts, amperes,
// ohms; unknown where a figure is lacking on the way, never a guess.
//
// Strings give their imp in full sun (1000 W/m2, 25 degC). Of strings side by side each has a curve of two straight pieces from isc
// to (vmp, imp) to voc; they share the voltage that gives most power. One of them, the reference, carries the conductance imp / vmp
// that ties + to -, the others are plain currents, and the input takes the sum.
#pragma once

#include <cstdint>
#include <future>
#include <memory>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "facts/resist.hpp"
#include "solve/solver.hpp"

namespace ferrule::facts {

struct Analysis;

// The way from every terminal to where its net's current goes: the tree of fewest edges from an array input's terminal, or a battery
// port's, a load's, a source's, whichever there is first.
struct Ways {
    std::vector<std::uint32_t> edge;    // per terminal: the first edge of its way; none at the end of it
    std::vector<double> ohm;            // per terminal, to the end; unknown if one edge's is
    std::vector<std::uint8_t> meshed;   // per net of Network::on: there are several ways
};

// One string in full sun.
struct Operating {
    double volt = graph::unknown, ampere = graph::unknown;  // at its own terminals
    double vmp = graph::unknown, imp = graph::unknown;      // of itself alone, at 25 degC
    std::uint32_t input = none;                             // port it feeds
};

// A piece of circuit: all that is joined in it, by whatever carries current.
struct Piece {
    std::vector<std::uint32_t> terminals, edges, strings, ports;  // rising
};

class Solved {
public:
    explicit Solved(const Analysis& analysis);

    Resistances resist;
    Ways ways;
    std::vector<Operating> strings;
    std::vector<double> input_volt, input_power;  // per port: array inputs in full sun
    std::vector<double> flow;                     // per edge: A from a to b, in full sun; of a battery's circuit at full demand or charge, the larger
    std::vector<double> sun;                      // per edge: A in full sun alone
    std::vector<double> string_drop;              // per string: V over both conductors
    std::vector<double> port_drop;                // per port: V lost between batteries and it, at full demand or charge, the larger
    std::vector<std::uint8_t> drops_charging;     // per port: that is at full charge
    std::vector<double> taken, given;             // per edge: A from a to b, at full demand and at full charge; empty without batteries
    std::vector<double> battery_gives;            // per source: A at full demand; batteries alone
    std::vector<double> sun_volt, battery_volt;   // per terminal; against the - of the first source of its piece of circuit
    double array_power = 0, array_loss = 0;       // W in full sun; unknown if one part of it is

    // Solved again after conductors got other lengths: in the pieces of circuit that their edges (none: no edge) are in, which is what comes back.
    // Nothing, and then this is of no more use: there are batteries or loads in these.
    struct Again { std::uint32_t conductor, edge; };
    [[nodiscard]] std::optional<Piece> set_lengths(const Analysis& a, std::span<const Again> conductors);

    // Ohms of a string's two ways to its input; unknown if one is.
    [[nodiscard]] double way_of(const Analysis& a, std::uint32_t string) const;
    // The nominal voltage of the batteries between two terminals; unknown if there are none, or one does not state it.
    [[nodiscard]] double nominal_between(const Analysis& a, std::uint32_t plus, std::uint32_t minus) const;
    // Volts of every terminal with nothing drawn: strings at the coldest temperature behind (voc - vmp) / imp, batteries at their highest
    // voltage behind what they resist; against the - of the first source of its piece of circuit.
    [[nodiscard]] std::vector<double> open_circuit(const Analysis& a) const;
    // The same of what set_lengths solved, by the order of its terminals.
    [[nodiscard]] const std::vector<double>& open_circuit_again() const { return open_again_; }
    // The circuits behind all this, as they were solved, one a state: nodes are terminals. For whoever wants to solve them otherwise.
    struct State { const char* name; solve::Circuit circuit; };
    [[nodiscard]] std::vector<State> states(const Analysis& a) const;
    // The first conductor on the way from a terminal whose resistance is unknown; none.
    [[nodiscard]] std::uint32_t lacking(const Analysis& a, std::uint32_t terminal) const;

private:
    void find_ways(const Analysis& a);
    void operate(const Analysis& a);
    void build(const Analysis& a);
    void run(const Analysis& a);
    void find_nominal(const Analysis& a);
    void find_drop(const Analysis& a, std::uint32_t string);
    void find_arriving(const Analysis& a, std::uint32_t port);
    void add_up(const Analysis& a);
    void walk_again(const Analysis& a, const std::vector<std::uint32_t>& terminals, std::vector<std::uint8_t>& to_do);

    [[nodiscard]] solve::Circuit open_state(const Analysis& a) const;
    void open_source(const Analysis& a, std::uint32_t source, solve::Source& s) const;
    // Volts at every node; `source`: per source of the circuit, which one it is.
    template <class Source>
    [[nodiscard]] std::vector<double> open_volts(const Analysis& a, const solve::Circuit& circuit, Source source) const;

    solve::Circuit circuit_;                   // nodes are terminals; sources: those of the network, then its ports
    std::vector<double> sun_ampere_, takes_ampere_, gives_ampere_;  // of the circuit's sources, by state
    std::vector<double> internal_;             // per source: ohm of batteries
    std::vector<double> nominal_;              // per net of Network::on: V of batteries alone, within its bank
    std::vector<std::uint32_t> bank_;          // per net: nets that batteries join have the same
    std::vector<std::uint32_t> resistance_of_; // per edge; none: open
    std::vector<std::uint32_t> arrives_;       // ports: array inputs whose power is known
    bool complete_ = true;                     // of all that have strings it is
    std::vector<double> open_again_;
};

// Short circuits in the circuits of batteries, the resistance of cold cables included.
struct Faults {
    // Per terminal: A between it and the other pole, at its device, else where that is most in its place. Unknown if a figure is lacking; 0:
    // no battery reaches it.
    std::vector<double> at;
    std::vector<double> through;   // per edge (fuses, breakers and switches): the largest current through it for a short on either side
    std::vector<std::uint32_t> lacking;   // per island of Circuits: a battery whose short-circuit current is unknown; none
    std::vector<std::uint8_t> rough;      // per island: cables count as 0 ohm, as it has more terminals than base/limits.hpp allows
    std::vector<std::uint32_t> node;      // per terminal: its node in the circuit of its island; none
    std::vector<std::uint32_t> against;   // per terminal: the other pole that it was shorted to; none
    std::vector<std::pair<std::uint32_t, solve::Circuit>> circuits;  // island and circuit without the short; only when asked for
};
[[nodiscard]] Faults find_faults(const Analysis& analysis, const Resistances& resist, bool keep_circuits = false);

// The network solved, and its short circuits.
struct Solution {
    explicit Solution(const Analysis& analysis);
    std::shared_ptr<Solved> solved;
    Faults faults;
    std::vector<std::uint32_t> points;  // the terminals of nets that a source is on; none if they are more than base/limits.hpp allows
    std::future<std::vector<double>> open_volt;  // per terminal, as Solved::open_circuit says; with points alone. The analysis must live until then
};

}  // namespace ferrule::facts
