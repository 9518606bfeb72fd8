// Volts and amperes of a circuit. It is taken apart once; any number of source currents can then be tried on it.
//
// Nothing ends in an accidental NaN: one in what comes out means that it cannot be judged, and why is said below.
#pragma once

#include <span>
#include <vector>

#include "solve/contraction.hpp"
#include "solve/core.hpp"

namespace ferrule::solve {

// Of one island: the nodes joined by resistances and by sources that have a conductance.
enum class Trouble : std::uint8_t {
    no,
    floating,  // a source of fixed current has nowhere to send it: only one of its ends is in this island
    singular,  // its equations are too near to singular: mesh resistances too unlike
};

struct Solution {
    std::vector<double> volt;      // per node, against the reference of its island; NaN: its island has trouble
    std::vector<double> through;   // per resistance, A from a to b; NaN too for each in a loop of 0 ohm: no certain share
    std::vector<double> given;     // per source, A out of its plus
    std::vector<Trouble> trouble;  // per island
};

class Solver {
public:
    // Linear for circuits whose meshes are all in series and parallel; for the rest what Eigen's sparse LDLT takes.
    explicit Solver(const Circuit& circuit);  // must outlive it

    // The reference of an island, 0 V, is the `minus` node of the first source that lies in it, or its first node.
    [[nodiscard]] Solution solve() const;
    // The same circuit with other currents: ampere[s] in the place of circuit.sources[s].ampere.
    [[nodiscard]] Solution solve(std::span<const double> ampere) const;
    // What 1 A into a and out of b causes, all sources' currents at 0; both must be in one island. Linear.
    [[nodiscard]] Solution response(std::uint32_t a, std::uint32_t b) const;
    // Ohms between two nodes with all sources' currents at 0; infinite in different islands, NaN: near singular. Linear.
    [[nodiscard]] double resistance(std::uint32_t a, std::uint32_t b) const;

    [[nodiscard]] std::uint32_t island(std::uint32_t node) const { return island_[metal_.of[node]]; }
    [[nodiscard]] std::uint32_t islands() const { return islands_; }
    // Nodes joined by 0 ohm have the same number.
    [[nodiscard]] std::uint32_t metal(std::uint32_t node) const { return metal_.of[node]; }

private:
    struct Taken {  // the branches between pieces of metal, and where they come from
        std::vector<Elimination::Branch> branches;
        std::vector<std::uint32_t> of_resistance, of_source;  // its branch, or none
    };
    [[nodiscard]] static Taken take(const Circuit& circuit, const Contraction& metal);
    void find_islands();
    struct State { std::vector<double> volt, out; };
    [[nodiscard]] State run(std::vector<double> injected) const;
    // `extra`: a current that enters at one node and leaves at another, besides those of the sources.
    [[nodiscard]] Solution solve(std::span<const double> ampere, const Contraction::Extra& extra) const;

    const Circuit* circuit_;
    Contraction metal_;
    Taken taken_;
    Elimination simple_;
    Core core_;
    std::vector<std::uint32_t> island_;     // per piece of metal
    std::vector<std::uint32_t> reference_;  // per island: a piece of metal
    std::uint32_t islands_ = 0;
};

}  // namespace ferrule::solve
