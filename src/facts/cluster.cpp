#include "facts/cluster.hpp"

#include <algorithm>

namespace ferrule::facts {

namespace {

constexpr std::uint32_t unreached = 0xffffffffU;

std::vector<std::uint32_t> distances(const Cluster& c, std::uint32_t from) {
    std::vector<std::uint32_t> d(c.nets.size(), unreached);
    d[from] = 0;
    std::vector<std::uint32_t> front{from};
    while (!front.empty()) {
        std::vector<std::uint32_t> next;
        for (const std::uint32_t v : front) {
            for (const Contact& k : c.contacts) {
                for (const auto& [x, y] : {std::pair{k.a, k.b}, std::pair{k.b, k.a}}) {
                    if (x != v || d[y] != unreached) continue;
                    d[y] = d[v] + 1;
                    next.push_back(y);
                }
            }
        }
        front.swap(next);
    }
    return d;
}

// Ways that share no contact: unit flow, one augmenting way at a time.
std::uint32_t disjoint_ways(const Cluster& c, std::uint32_t from, std::uint32_t to) {
    std::vector<int> flow(c.contacts.size(), 0);  // +1 a to b, -1 b to a
    std::uint32_t ways = 0;
    while (ways < c.contacts.size()) {
        std::vector<std::uint32_t> came(c.nets.size(), unreached);
        std::vector<std::uint32_t> front{from};
        std::vector<bool> seen(c.nets.size(), false);
        seen[from] = true;
        while (!front.empty() && !seen[to]) {
            std::vector<std::uint32_t> next;
            for (const std::uint32_t v : front) {
                for (std::uint32_t k = 0; k < c.contacts.size(); ++k) {
                    const Contact& e = c.contacts[k];
                    if (e.a == v && !seen[e.b] && flow[k] < 1) {
                        seen[e.b] = true;
                        came[e.b] = k;
                        next.push_back(e.b);
                    } else if (e.b == v && !seen[e.a] && flow[k] > -1) {
                        seen[e.a] = true;
                        came[e.a] = k;
                        next.push_back(e.a);
                    }
                }
            }
            front.swap(next);
        }
        if (!seen[to]) break;
        for (std::uint32_t v = to; v != from;) {
            const std::uint32_t k = came[v];
            const bool forward = c.contacts[k].b == v;
            flow[k] += forward ? 1 : -1;
            v = forward ? c.contacts[k].a : c.contacts[k].b;
        }
        ++ways;
    }
    return ways;
}

// Marks contacts on any way that visits no net twice. Switches have a handful of poles; above that the shortest ways must do.
bool mark(const Cluster& c, std::uint32_t at, std::uint32_t to, std::vector<bool>& visited, std::vector<std::uint8_t>& used,
          std::uint32_t& budget) {
    if (at == to) return true;
    if (budget == 0) return false;
    --budget;
    visited[at] = true;
    bool any = false;
    for (std::uint32_t k = 0; k < c.contacts.size(); ++k) {
        const Contact& e = c.contacts[k];
        if (e.a == e.b || (e.a != at && e.b != at)) continue;
        const std::uint32_t u = e.a == at ? e.b : e.a;
        if (visited[u]) continue;
        if (mark(c, u, to, visited, used, budget)) {
            used[k] = 1;
            any = true;
        }
    }
    visited[at] = false;
    return any;
}

}  // namespace

Way way_through(const Cluster& c, std::uint32_t from, std::uint32_t to) {
    Way way;
    way.used.assign(c.contacts.size(), 0);
    if (from == to) return way;
    // The usual switch: one contact between two nets.
    if (c.contacts.size() == 1 && c.nets.size() == 2) {
        way.contacts = way.side_by_side = 1;
        way.used[0] = 1;
        way.distance = {from == 0 ? 0U : 1U, from == 0 ? 1U : 0U};
        return way;
    }
    const auto from_here = distances(c, from);
    if (from_here[to] == unreached) return way;
    way.contacts = from_here[to];
    way.distance = from_here;
    way.side_by_side = disjoint_ways(c, from, to);
    if (c.contacts.size() <= 16) {
        std::vector<bool> visited(c.nets.size(), false);
        std::uint32_t budget = 20000;
        mark(c, from, to, visited, way.used, budget);
    } else {
        const auto to_there = distances(c, to);
        for (std::uint32_t k = 0; k < c.contacts.size(); ++k) {
            const Contact& e = c.contacts[k];
            if (from_here[e.a] == unreached || e.a == e.b) continue;
            const std::uint32_t through = std::min(from_here[e.a] + to_there[e.b], from_here[e.b] + to_there[e.a]) + 1;
            way.used[k] = through == way.contacts ? 1 : 0;
        }
    }
    return way;
}

}  // namespace ferrule::facts
