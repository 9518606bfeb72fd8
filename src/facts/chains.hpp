// Strings one after the other: of two faces of a roof, say, the - of one on the + of the next, and nothing else there. Together they are
// one string: their modules and the place bear the voltage of all of them.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/circuits.hpp"

namespace ferrule::facts {

struct Chain {
    std::vector<std::uint32_t> strings;  // sources, in the order of the design; two or more
    double voltage = 0;                  // V: the largest open-circuit voltage from end to end; unknown if that of one is
    std::uint32_t net_a = none, net_b = none;  // its two ends; none if it has not just two
    bool beside = false;                 // another string or chain lies between the same two nets
};

struct Chains {
    std::vector<Chain> all;
    std::vector<std::uint32_t> of;  // per string: its chain, or none
    [[nodiscard]] const Chain* at(std::uint32_t string) const { return of[string] == none ? nullptr : &all[of[string]]; }
};

// `emf`: see find_circuits. A net with a port on it is no joint: there a converter takes the middle, and each half feeds an input of its own.
[[nodiscard]] Chains find_chains(const Network& network, const Circuits& circuits, const std::vector<double>& emf);

}  // namespace ferrule::facts
