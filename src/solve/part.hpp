// A part of a circuit that nothing joins to the rest of it, as a circuit of its own.
#pragma once

#include <span>
#include <vector>

#include "solve/circuit.hpp"

namespace ferrule::solve {

// What is solved of it comes to what the whole comes to there: bit for bit, and in a mesh to where `Core` stops refining (1e-14).
struct Part {
    Circuit circuit;
    std::vector<std::uint32_t> nodes, resistances, sources;  // what its own are in the whole; rising
};

// All that is joined to one of these nodes by resistances and sources, whatever they carry. Linear in the whole circuit.
[[nodiscard]] Part part_with(const Circuit& whole, std::span<const std::uint32_t> nodes);

}  // namespace ferrule::solve
