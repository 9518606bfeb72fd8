// Resistances of 0 ohm join nodes to one. What flows through them follows afterwards from the currents that enter and leave at each
// node (Kirchhoff's current law), along a tree of them; in a loop of them it has no certain share.
#pragma once

#include "solve/circuit.hpp"

namespace ferrule::solve {

class Contraction {
public:
    // Linear. Keeps no reference to the circuit.
    explicit Contraction(const Circuit& circuit);

    std::vector<std::uint32_t> of;  // per node: the piece of metal it is on, dense from 0
    std::uint32_t count = 0;

    struct Extra { std::uint32_t in = none, out = none; double ampere = 0; };  // a current that enters at a node and leaves at another

    // `through` holds the currents of all other resistances and `given` those of the sources; fills in those of 0 ohm, from a to b:
    // NaN for each that lies in a loop of them.
    void recover(const Circuit& circuit, const std::vector<double>& given, const Extra& extra, std::vector<double>& through) const;

private:
    struct Step {
        std::uint32_t node, parent, resistance;
        bool in_loop;
    };
    std::vector<Step> steps_;           // away from the roots: a node's parent comes before it
    std::vector<std::uint32_t> loops_;  // resistances of 0 ohm that close a loop
};

}  // namespace ferrule::solve
