// Breadth-first search over the circuit: the edges of a shortest way over edges that `use` admits, empty if there is none. Only
// places that explain a finding use it; it costs what it visits.
#pragma once

#include <algorithm>
#include <unordered_map>
#include <vector>

#include "facts/network.hpp"

namespace ferrule::facts {

// To the nearest terminal, other than `from`, for which `arrived` holds.
template <class Arrived, class Use>
std::vector<std::uint32_t> shortest_way_to(const Network& n, std::uint32_t from, Arrived arrived, Use use) {
    std::unordered_map<std::uint32_t, std::uint32_t> came_by{{from, none}};  // terminal -> edge
    std::vector<std::uint32_t> front{from};
    std::uint32_t to = none;
    while (!front.empty() && to == none) {
        std::vector<std::uint32_t> next;
        for (const std::uint32_t t : front) {
            for (std::uint32_t k = n.first[t]; k < n.first[t + 1]; ++k) {
                const std::uint32_t e = n.at[k];
                if (!use(n.edges[e])) continue;
                const std::uint32_t u = n.other(e, t);
                if (!came_by.emplace(u, e).second) continue;
                next.push_back(u);
                if (to == none && arrived(u)) to = u;
            }
        }
        front.swap(next);
    }
    std::vector<std::uint32_t> way;
    if (to == none) return way;
    for (std::uint32_t t = to; t != from;) {
        const std::uint32_t e = came_by[t];
        way.push_back(e);
        t = n.other(e, t);
    }
    std::reverse(way.begin(), way.end());
    return way;
}

template <class Use>
std::vector<std::uint32_t> shortest_way(const Network& n, std::uint32_t from, std::uint32_t to, Use use) {
    return shortest_way_to(n, from, [to](std::uint32_t t) { return t == to; }, use);
}

}  // namespace ferrule::facts
