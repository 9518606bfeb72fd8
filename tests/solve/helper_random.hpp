// Invented circuits by number: trees of feeders with sources and loads at their ends, and the same with loops closed.
#pragma once

#include <cmath>
#include <cstdint>
#include <random>

#include "solve/circuit.hpp"

namespace random_circuit {

namespace solve = ferrule::solve;

struct Kind {
    bool meshed = false;
    bool zeros = false;       // some resistances of 0 ohm, in no loop of them
    double least = 1e-3, most = 1e2;  // ohm, spread evenly over the decades
    std::uint32_t nodes = 24;
};

inline solve::Circuit make(std::uint32_t seed, const Kind& kind) {
    std::mt19937 dice(seed);
    auto below = [&](std::uint32_t n) { return static_cast<std::uint32_t>(dice() % n); };
    auto unit = [&] { return static_cast<double>(dice()) / 4294967296.0; };
    auto ohm = [&] { return kind.least * std::pow(kind.most / kind.least, unit()); };
    solve::Circuit c;
    c.nodes = kind.nodes + below(kind.nodes);
    // A tree from + of the main source, a tree from its -; what stands between them are the sources and loads.
    const std::uint32_t half = c.nodes / 2;
    for (std::uint32_t n = 1; n < c.nodes; ++n) {
        if (n == half) continue;
        const std::uint32_t to = n < half ? below(n) : half + below(n - half);
        c.resistances.push_back({n, to, kind.zeros && below(4) == 0 ? 0 : ohm()});
    }
    if (kind.meshed) {
        for (std::uint32_t k = 0; k < c.nodes / 2; ++k) {
            const std::uint32_t a = below(c.nodes), b = below(c.nodes);
            if (a != b && (a < half) == (b < half)) c.resistances.push_back({a, b, ohm()});
        }
    }
    const std::uint32_t count = 2 + below(c.nodes / 3);
    for (std::uint32_t s = 0; s < count; ++s) {
        solve::Source x{below(half), half + below(c.nodes - half), (unit() - 0.2) * 20, 0};
        if (s == 0 || below(2) == 0) {
            x.siemens = 1 / ohm();
            x.ampere = 48 * x.siemens;
        }
        c.sources.push_back(x);
    }
    return c;
}

}  // namespace random_circuit
