#include "solve/contraction.hpp"


namespace ferrule::solve {

namespace {

// A number without pattern for each loop: those that meet on a branch do not cancel out (splitmix64, public domain).
std::uint64_t scatter(std::uint64_t x) {
    x += 0x9E3779B97F4A7C15ULL;
    x = (x ^ (x >> 30U)) * 0xBF58476D1CE4E5B9ULL;
    x = (x ^ (x >> 27U)) * 0x94D049BB133111EBULL;
    return x ^ (x >> 31U);
}

}  // namespace

Contraction::Contraction(const Circuit& c) : of(c.nodes, none) {
    std::vector<std::uint32_t> first(std::size_t{c.nodes} + 2, 0), at;
    for (const Resistance& r : c.resistances) {
        if (!(r.ohm < least_ohm)) continue;
        ++first[r.a + 2];
        ++first[r.b + 2];
    }
    for (std::size_t i = 2; i < first.size(); ++i) first[i] += first[i - 1];
    at.resize(first.back());
    for (std::uint32_t e = 0; e < c.resistances.size(); ++e) {
        const Resistance& r = c.resistances[e];
        if (!(r.ohm < least_ohm)) continue;
        at[first[r.a + 1]++] = e;
        at[first[r.b + 1]++] = e;
    }
    // Each piece is walked from its first node. A resistance that meets a node of the same piece again closes a loop; every branch
    // of the tree on its way gets its mark: a branch is in a loop when the marks beyond it do not cancel.
    std::vector<std::uint32_t> by(c.nodes, none), queue;
    for (std::uint32_t root = 0; root < c.nodes; ++root) {
        if (of[root] != none) continue;
        of[root] = count;
        if (first[root] != first[root + 1]) {
            queue.assign(1, root);
            for (std::size_t q = 0; q < queue.size(); ++q) {
                const std::uint32_t node = queue[q];
                for (std::uint32_t k = first[node]; k < first[node + 1]; ++k) {
                    const Resistance& r = c.resistances[at[k]];
                    if (at[k] == by[node]) continue;
                    const std::uint32_t far = r.a == node ? r.b : r.a;
                    if (of[far] == none) {
                        of[far] = count;
                        by[far] = at[k];
                        steps_.push_back({far, node, at[k], false});
                        queue.push_back(far);
                    } else if (r.a == node) {  // met from both ends: counted once
                        loops_.push_back(at[k]);
                    }
                }
            }
        }
        ++count;
    }
    if (loops_.empty()) return;
    std::vector<std::uint64_t> mark(c.nodes, 0);
    for (const std::uint32_t e : loops_) {
        mark[c.resistances[e].a] ^= scatter(e);
        mark[c.resistances[e].b] ^= scatter(e);
    }
    for (std::size_t i = steps_.size(); i-- > 0;) {
        steps_[i].in_loop = mark[steps_[i].node] != 0;
        mark[steps_[i].parent] ^= mark[steps_[i].node];
    }
}

void Contraction::recover(const Circuit& c, const std::vector<double>& given, const Extra& extra, std::vector<double>& through) const {
    if (steps_.empty() && loops_.empty()) return;
    std::vector<double> excess(c.nodes, 0);
    for (std::uint32_t e = 0; e < c.resistances.size(); ++e) {
        if (c.resistances[e].ohm < least_ohm) continue;
        excess[c.resistances[e].a] -= through[e];
        excess[c.resistances[e].b] += through[e];
    }
    for (std::uint32_t s = 0; s < c.sources.size(); ++s) {
        excess[c.sources[s].plus] += given[s];
        excess[c.sources[s].minus] -= given[s];
    }
    if (extra.ampere != 0) {
        excess[extra.in] += extra.ampere;
        excess[extra.out] -= extra.ampere;
    }
    for (std::size_t i = steps_.size(); i-- > 0;) {
        const Step& s = steps_[i];
        const double up = excess[s.node];
        through[s.resistance] = s.in_loop ? unknown : c.resistances[s.resistance].a == s.node ? up : -up;
        excess[s.parent] += up;
    }
    for (const std::uint32_t e : loops_) through[e] = unknown;
}

}  // namespace ferrule::solve
