#include "facts/chains.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <unordered_map>
#include <utility>

namespace ferrule::facts {

namespace {

// Whichever way round.
std::uint64_t ends_of(std::uint32_t a, std::uint32_t b) { return pair_of(std::min(a, b), std::max(a, b)); }

// Per net: do strings meet there end to end?
std::vector<std::uint8_t> find_joints(const Network& n, const Circuits& c) {
    std::vector<std::uint8_t> joint(n.on.count, 0);
    for (std::uint32_t v = 0; v < n.on.count; ++v) joint[v] = c.plus_ends[v] != 0 && c.minus_ends[v] != 0 && c.battery_plus_ends[v] + c.battery_minus_ends[v] == 0 ? 1 : 0;
    for (const Port& p : n.ports) {
        for (const std::uint32_t t : {p.plus, p.minus}) {
            if (t != none) joint[n.on[t]] = 0;
        }
    }
    // Where one is turned round, + and - meet for that reason.
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        if (c.reversed[i] == 0 && c.group_of[i] != none) continue;
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            if (t != none) joint[n.on[t]] = 0;
        }
    }
    return joint;
}

void measure(Chain& chain, const Network& n, const Circuits& c, const std::vector<double>& emf, const std::vector<std::uint8_t>& joint) {
    double low = c.potential[n.on[n.sources[chain.strings.front()].plus]], high = low;
    std::vector<std::uint32_t> ends;
    for (const std::uint32_t i : chain.strings) {
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            const std::uint32_t net = n.on[t];
            low = std::min(low, c.potential[net]);
            high = std::max(high, c.potential[net]);
            if (joint[net] == 0) ends.push_back(net);
        }
    }
    const bool known = std::none_of(chain.strings.begin(), chain.strings.end(), [&](std::uint32_t i) { return std::isnan(emf[i]); });
    chain.voltage = known ? high - low : graph::unknown;
    std::sort(ends.begin(), ends.end());
    ends.erase(std::unique(ends.begin(), ends.end()), ends.end());
    if (ends.size() == 2) std::tie(chain.net_a, chain.net_b) = std::pair(ends[0], ends[1]);
}

}  // namespace

Chains find_chains(const Network& n, const Circuits& c, const std::vector<double>& emf) {
    Chains out;
    out.of.assign(n.strings, none);
    const std::vector<std::uint8_t> joint = find_joints(n, c);
    if (std::find(joint.begin(), joint.end(), 1) == joint.end()) return out;

    // A joint's number of strings may be large; each is joined to the first that ended there.
    UnionFind sets(n.strings);
    std::vector<std::uint32_t> first(n.on.count, none);
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            if (t == none || joint[n.on[t]] == 0) continue;
            std::uint32_t& other = first[n.on[t]];
            if (other == none) other = i;
            sets.join(other, i);
            out.of[i] = 0;
        }
    }
    const Nets set = sets.nets();
    std::vector<std::uint32_t> number(set.count, none);
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        if (out.of[i] == none) continue;
        std::uint32_t& chain = number[set[i]];
        if (chain == none) {
            chain = static_cast<std::uint32_t>(out.all.size());
            out.all.emplace_back();
        }
        out.of[i] = chain;
        out.all[chain].strings.push_back(i);
    }
    std::unordered_map<std::uint64_t, std::uint32_t> between;
    for (Chain& chain : out.all) {
        measure(chain, n, c, emf, joint);
        if (chain.net_a != none) ++between[ends_of(chain.net_a, chain.net_b)];
    }
    for (const Parallel& g : c.groups) {
        const auto at = between.find(ends_of(g.net_a, g.net_b));
        if (!g.battery && at != between.end()) ++at->second;
    }
    for (Chain& chain : out.all) chain.beside = chain.net_a != none && between.at(ends_of(chain.net_a, chain.net_b)) > 1;
    return out;
}

}  // namespace ferrule::facts
