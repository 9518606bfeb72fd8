// A circuit of direct current as plain numbers: nodes, resistances between them, sources. What it stands for is none of this
// room's business. Every source is a current source with a conductance beside it (Norton), so the node equations are symmetric.
#pragma once

#include <cstdint>
#include <vector>

namespace ferrule::solve {

inline constexpr std::uint32_t none = 0xffffffffU;

// Between two nodes; 0 ohm joins them. Infinite or NaN is a programmer's mistake.
struct Resistance {
    std::uint32_t a = 0, b = 0;
    double ohm = 0;
};

// Drives `ampere` out of `plus` into what is connected there, and takes it in at `minus`, with `siemens` across it: the current
// it gives at the voltage V between plus and minus is ampere - siemens x V. A battery of E volts behind R ohm: ampere = E / R,
// siemens = 1 / R. A load of constant current: ampere negative.
struct Source {
    std::uint32_t plus = 0, minus = 0;
    double ampere = 0;
    double siemens = 0;
};

struct Circuit {
    std::uint32_t nodes = 0;
    std::vector<Resistance> resistances;
    std::vector<Source> sources;
};

// Volts of every node against the reference of its island (the sets of nodes joined by resistances and sources), amperes of every
// resistance from a to b, amperes that each source gives. NaN: cannot be judged (a loop of zero resistances has no certain share of
// current; an island whose equations are near singular).
struct Solution {
    std::vector<double> volt;
    std::vector<double> through;
    std::vector<double> given;
    std::vector<std::uint32_t> island;  // per node, dense from 0
    std::uint32_t islands = 0;
};

// The reference of an island, 0 V, is the `minus` node of its first source, or its first node. Linear for circuits without
// meshes; for others what Eigen's sparse LDLT with an order from the leaves takes.
[[nodiscard]] Solution solve(const Circuit& circuit);

}  // namespace ferrule::solve
