// A circuit of direct current as plain numbers: nodes, resistances between them, sources. What it stands for is none of this
// room's business. Every source is a current source with a conductance beside it (Norton), so the node equations are symmetric.
#pragma once

#include <cstdint>
#include <limits>
#include <vector>

namespace ferrule::solve {

inline constexpr std::uint32_t none = 0xffffffffU;
inline constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

// Below this a resistance counts as 0: two pieces of metal that are one node. 1 m of 300 mm2 copper has 60 million times as much.
inline constexpr double least_ohm = 1e-12;

// Between two nodes; 0 ohm joins them. Negative, infinite or NaN is a programmer's mistake.
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

}  // namespace ferrule::solve
