#include "facts/blame.hpp"

#include <algorithm>
#include <unordered_map>

#include "facts/shortest_way.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::Design;

bool closed(const Edge& e) { return e.closed; }

// The conductors of a way, in order; jumpers left out.
struct Step {
    std::uint32_t conductor = none;
    std::uint32_t entered_at = none;  // terminal on the near side
    std::uint32_t left_at = none;     // terminal on the far side
};
std::vector<Step> conductors_of(const Design& d, const Network& n, std::uint32_t from, const std::vector<std::uint32_t>& way) {
    std::vector<Step> steps;
    std::uint32_t t = from;
    for (const std::uint32_t e : way) {
        const std::uint32_t u = n.other(e, t);
        const Edge& edge = n.edges[e];
        if (edge.conductor != none && d.conductors[ConductorId(edge.conductor)].role != graph::ConductorRole::jumper) {
            steps.push_back({edge.conductor, t, u});
        }
        t = u;
    }
    return steps;
}

bool is_switch(const Design& d, std::uint32_t terminal) { return d.kind_of(d.terminals[graph::TerminalId(terminal)]).conducts == "contact"; }

// A wire ends here: at a source, a converter or a load. What else lands on the terminal belongs to another branch.
bool is_end(const Design& d, std::uint32_t terminal) {
    const graph::ThingId thing = d.terminals[graph::TerminalId(terminal)];
    if (d.things[thing].cls == graph::ThingClass::string) return true;
    const graph::Kind& kind = d.kind_of(thing);
    return kind.conducts == "source" || kind.conducts == "converter" || kind.name == "load";
}

// Which pole of its device a terminal belongs to; a large number if to none.
std::uint32_t pole_at(const Design& d, std::uint32_t terminal) {
    const graph::TerminalId id(terminal);
    const graph::Part& part = d.part_of(d.terminals[id]);
    for (std::uint32_t k = 0; k < part.poles.size(); ++k) {
        if (part.poles[k].a == d.local(id) || part.poles[k].b == d.local(id)) return k;
    }
    return 1000;
}

// Strings stand first, then batteries; each of the two in the order of the design.
std::uint32_t source_with_minus(const Design& d, const Network& n, std::uint32_t terminal) {
    const graph::ThingId thing = d.terminals[graph::TerminalId(terminal)];
    const auto first = n.sources.begin(), strings_end = first + n.strings;
    for (const auto& [begin, end] : {std::pair{first, strings_end}, std::pair{strings_end, n.sources.end()}}) {
        const auto at = std::lower_bound(begin, end, thing, [](const PowerSource& s, graph::ThingId t) { return s.thing.value < t.value; });
        if (at != end && at->minus == terminal) return static_cast<std::uint32_t>(at - first);
    }
    return none;
}

// The conductor through which the other end of the source reaches the same switch.
Step companion(const Design& d, const Network& n, std::uint32_t source_end, std::uint32_t device) {
    const auto way = shortest_way_to(
        n, source_end, [&](std::uint32_t t) { return d.terminals[graph::TerminalId(t)].value == device; },
        [&](const Edge& e) { return e.closed; });
    const auto steps = conductors_of(d, n, source_end, way);
    return steps.empty() ? Step{} : steps.back();
}

}  // namespace

int claimed_sign(const Design& d, ConductorId id) {
    const std::string_view colour = d.word(d.conductors[id].colour);
    if (colour == "red") return 1;
    if (colour == "black" || colour == "blue") return -1;
    return 0;
}

Reversal blame_source(const Design& d, const Network& n, std::uint32_t source, std::uint32_t parallel) {
    const PowerSource& s = n.sources[source];
    Reversal r;
    r.what = s.battery ? Reversal::What::battery : Reversal::What::string;
    r.source = source;
    r.parallel = parallel;
    r.conductor = n.landing(s.plus);
    r.other = n.landing(s.minus);
    // From its + end along its own branch: the last conductor before it meets others, or the first whose colour says -.
    std::uint32_t t = s.plus;
    std::uint32_t came = none;
    while (true) {
        std::uint32_t go = none;
        int ways = 0;
        for (std::uint32_t k = n.first[t]; k < n.first[t + 1]; ++k) {
            if (n.at[k] == came || !n.edges[n.at[k]].closed) continue;
            go = n.at[k];
            ++ways;
        }
        if (ways != 1) break;
        came = go;
        const std::uint32_t conductor = n.edges[go].conductor;
        t = n.other(go, t);
        if (conductor == none || d.conductors[ConductorId(conductor)].role == graph::ConductorRole::jumper) continue;
        r.conductor = conductor;
        if (claimed_sign(d, ConductorId(conductor)) < 0 || is_end(d, t)) break;
    }
    return r;
}

Reversal blame_port(const Design& d, const Network& n, std::uint32_t port) {
    const Port& p = n.ports[port];
    Reversal r;
    r.port = port;
    r.what = p.role == Port::Role::array ? Reversal::What::input : Reversal::What::battery;
    const bool battery = p.role != Port::Role::array;
    auto is_minus_end = [&](std::uint32_t t) {
        const graph::ThingId thing = d.terminals[graph::TerminalId(t)];
        if (d.terminal(graph::TerminalId(t)).sign >= 0) return false;
        const bool string = d.things[thing].cls == graph::ThingClass::string;
        return battery ? d.kind_of(thing).conducts == "source" : string;
    };
    const auto way = shortest_way_to(n, p.plus, is_minus_end, closed);
    auto steps = conductors_of(d, n, p.plus, way);
    if (steps.empty()) return r;
    std::reverse(steps.begin(), steps.end());  // now from the source to the port; entered_at is the far end of each
    const std::uint32_t source_end = steps.front().left_at;
    r.source = source_with_minus(d, n, source_end);
    r.conductor = steps.back().conductor;
    std::size_t wrong = steps.size();
    for (std::size_t i = 0; i < steps.size() && wrong == steps.size(); ++i) {
        if (claimed_sign(d, ConductorId(steps[i].conductor)) > 0) wrong = i;
    }
    const std::uint32_t plus_end = r.source == none ? none : n.sources[r.source].plus;
    if (wrong == 0) {
        r.what = battery ? Reversal::What::battery : Reversal::What::string;
        r.conductor = steps[0].conductor;
        r.other = n.landing(plus_end);
        return r;
    }
    const bool no_colours = wrong == steps.size();
    if (no_colours) wrong = steps.size() - 1;
    // The conductor that leaves the place of the change: does it leave a switch?
    const std::uint32_t leaves = steps[wrong].left_at;
    if (!battery && wrong > 0 && is_switch(d, leaves) && plus_end != none) {
        const std::uint32_t device = d.terminals[graph::TerminalId(leaves)].value;
        const Step plus_in = companion(d, n, plus_end, device);
        const std::uint32_t minus_pole = pole_at(d, steps[wrong - 1].entered_at);
        const bool crossed_in = plus_in.conductor != none && minus_pole < pole_at(d, plus_in.left_at);
        if (!no_colours || crossed_in) {
            r.what = Reversal::What::at_switch;
            r.device = device;
            r.conductor = crossed_in ? plus_in.conductor : steps[wrong].conductor;
            r.other = crossed_in ? steps[wrong - 1].conductor : none;
            return r;
        }
    }
    r.conductor = steps[wrong].conductor;
    r.other = n.landing(p.minus);
    if (r.other == r.conductor) r.other = none;
    return r;
}

namespace {

// Terminals of a device on which a power conductor lands.
std::vector<std::uint32_t> landed_terminals(const Design& d, const Network& n, std::uint32_t device) {
    const graph::ThingId id(device);
    const std::uint32_t base = d.things[id].first_terminal.value;
    std::vector<std::uint32_t> out;
    for (std::uint32_t i = 0; i < d.part_of(id).terminals.size(); ++i) {
        if (n.landings[base + i] != 0) out.push_back(base + i);
    }
    return out;
}

// How many landed terminals of the device still have a partner of the same claimed sign through the device alone,
// with one jumper taken out; and whether the two given terminals are then parted.
int partners_without(const Design& d, const Network& n, std::uint32_t device, std::uint32_t jumper) {
    const graph::ThingId id(device);
    const std::uint32_t base = d.things[id].first_terminal.value;
    const auto count = static_cast<std::uint32_t>(d.part_of(id).terminals.size());
    UnionFind sets(count);
    for (std::uint32_t i = 0; i < count; ++i) {
        for (std::uint32_t k = n.first[base + i]; k < n.first[base + i + 1]; ++k) {
            const std::uint32_t e = n.at[k];
            const Edge& edge = n.edges[e];
            if (e == jumper || !edge.closed) continue;
            const std::uint32_t u = n.other(e, base + i);
            if (u < base || u >= base + count) continue;
            sets.join(i, u - base);
        }
    }
    const auto landed = landed_terminals(d, n, device);
    int good = 0;
    for (const std::uint32_t t : landed) {
        const int sign = claimed_sign(d, ConductorId(n.landing(t)));
        const bool partner = std::any_of(landed.begin(), landed.end(), [&](std::uint32_t u) {
            if (u == t || sets.find(u - base) != sets.find(t - base)) return false;
            const int other = claimed_sign(d, ConductorId(n.landing(u)));
            return sign == 0 || other == 0 || sign == other;
        });
        if (partner) ++good;
    }
    return good;
}

void blame_short(const Design& d, const Network& n, Short& s) {
    const PowerSource& source = n.sources[s.source];
    std::vector<std::uint32_t> jumpers;
    for (const std::uint32_t e : s.loop) {
        const Edge& edge = n.edges[e];
        if (edge.kind == Edge::Kind::contact && s.device == none) s.device = edge.thing;
        if (edge.conductor != none && d.conductors[ConductorId(edge.conductor)].role == graph::ConductorRole::jumper) jumpers.push_back(e);
    }
    // A link that the switch works better without is the one; else somebody landed on the wrong terminal.
    std::uint32_t best = none;
    int best_score = -1;
    bool superfluous = false;
    for (const std::uint32_t e : jumpers) {
        const std::uint32_t device = d.terminals[graph::TerminalId(n.edges[e].a)].value;
        const int landed = static_cast<int>(landed_terminals(d, n, device).size());
        const int score = partners_without(d, n, device, e);
        if (score >= best_score) {
            best_score = score;
            best = e;
            superfluous = score == landed;
        }
    }
    const auto steps = conductors_of(d, n, source.plus, s.loop);
    if (best != none && (superfluous || best_score > 0 || steps.size() < 2)) {
        s.conductor = n.edges[best].conductor;
        return;
    }
    s.conductor = steps.empty() ? none : steps.back().conductor;
    for (std::size_t i = 1; i < steps.size(); ++i) {
        if (claimed_sign(d, ConductorId(steps[i].conductor)) < 0 && claimed_sign(d, ConductorId(steps[i - 1].conductor)) >= 0) {
            s.conductor = steps[i].conductor;
            break;
        }
    }
}

}  // namespace

std::vector<Short> find_position_shorts(const Design& d, const Network& n, const Positions& positions) {
    std::vector<Short> shorts;
    std::unordered_map<std::uint32_t, bool> told;
    for (const PositionRow& row : positions.rows) {
        for (const std::uint32_t i : row.plus) {
            if (!std::binary_search(row.minus.begin(), row.minus.end(), i)) continue;
            const PowerSource& s = n.sources[i];
            if (n.on[s.plus] == n.on[s.minus] || !told.emplace(i, true).second) continue;
            const std::vector<Setting>& state = positions.states[row.state];
            Short found;
            found.source = i;
            found.state = row.state;
            found.loop = shortest_way(n, s.plus, s.minus, [&](const Edge& e) {
                if (e.kind != Edge::Kind::contact) return true;
                const std::uint32_t handle = handle_of(d, e.thing);
                const graph::Symbol wanted = d.part_of(graph::ThingId(e.thing)).poles[e.pole].closed_in;
                return std::any_of(state.begin(), state.end(), [&](const Setting& x) { return x.handle == handle && !x.off && x.position == wanted; });
            });
            blame_short(d, n, found);
            shorts.push_back(std::move(found));
        }
    }
    return shorts;
}

std::vector<Short> find_shorts(const Design& d, const Network& n) {
    std::vector<Short> shorts;
    std::unordered_map<std::uint32_t, std::size_t> by_net;  // one loop explains all the sources it shorts
    for (std::uint32_t i = 0; i < n.sources.size(); ++i) {
        const PowerSource& s = n.sources[i];
        if (s.plus == none || s.minus == none || n.on[s.plus] != n.on[s.minus]) continue;
        const auto [first, is_new] = by_net.emplace(n.on[s.plus], shorts.size());
        Short found;
        if (!is_new) {
            found = shorts[first->second];
            found.source = i;
            found.always = n.off[s.plus] == n.off[s.minus];
            shorts.push_back(std::move(found));
            continue;
        }
        found.source = i;
        found.loop = shortest_way(n, s.plus, s.minus, closed);
        found.always = n.off[s.plus] == n.off[s.minus];
        blame_short(d, n, found);
        shorts.push_back(std::move(found));
    }
    return shorts;
}

}  // namespace ferrule::facts
