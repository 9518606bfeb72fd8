#include "solve/part.hpp"

#include <numeric>

namespace ferrule::solve {

Part part_with(const Circuit& whole, std::span<const std::uint32_t> nodes) {
    std::vector<std::uint32_t> parent(whole.nodes);
    std::iota(parent.begin(), parent.end(), 0U);
    const auto find = [&](std::uint32_t x) {
        while (parent[x] != x) x = parent[x] = parent[parent[x]];
        return x;
    };
    for (const Resistance& r : whole.resistances) parent[find(r.a)] = find(r.b);
    for (const Source& s : whole.sources) parent[find(s.plus)] = find(s.minus);
    std::vector<std::uint8_t> wanted(whole.nodes, 0);
    for (const std::uint32_t n : nodes) wanted[find(n)] = 1;

    Part part;
    std::vector<std::uint32_t> number(whole.nodes, none);
    for (std::uint32_t n = 0; n < whole.nodes; ++n) {
        if (wanted[find(n)] == 0) continue;
        number[n] = static_cast<std::uint32_t>(part.nodes.size());
        part.nodes.push_back(n);
    }
    part.circuit.nodes = static_cast<std::uint32_t>(part.nodes.size());
    for (std::uint32_t e = 0; e < whole.resistances.size(); ++e) {
        const Resistance& r = whole.resistances[e];
        if (number[r.a] == none) continue;
        part.resistances.push_back(e);
        part.circuit.resistances.push_back({number[r.a], number[r.b], r.ohm});
    }
    for (std::uint32_t s = 0; s < whole.sources.size(); ++s) {
        const Source& x = whole.sources[s];
        if (number[x.plus] == none) continue;
        part.sources.push_back(s);
        part.circuit.sources.push_back({number[x.plus], number[x.minus], x.ampere, x.siemens});
    }
    return part;
}

}  // namespace ferrule::solve
