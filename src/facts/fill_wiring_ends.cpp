// conductor: those side by side between the same two pieces of metal, and what the terminals at both ends take.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "facts/wiring.hpp"

namespace ferrule::facts {

namespace {

using graph::Conductor;
using graph::ConductorId;
using graph::ConductorRole;
using graph::TerminalId;
using graph::ThingClass;

// What some conductors side by side have in common.
struct Bundle {
    std::uint32_t first = no_row, count = 0;
    double area_least = no_limit, area_most = 0, length_least = no_limit, length_most = 0;
    bool metals = false, length_unknown = false, area_unknown = false;
};

// Terminals by piece of metal: joined inside a device by nothing that opens.
Nets pieces_of_metal(const Network& n) {
    UnionFind u(n.terminals);
    for (const Edge& e : n.edges) {
        if (e.conductor == none && e.kind == Edge::Kind::wire) u.join(e.a, e.b);
    }
    return u.nets();
}

}  // namespace

void fill_bundles(Facts& facts, const Shared& a, const Carrying& k) {
    Filler fill(facts, "conductor");
    const std::uint32_t rows = fill.table().rows;
    auto& parallel = fill.numbers("parallel");
    auto& bundle = fill.subjects("bundle");
    auto& unlike = fill.flags("parallel-unlike");
    const double difference = a->standard.number("parallel-difference");
    const Nets piece = pieces_of_metal(a->net);
    const auto counts = [&](std::uint32_t r) { return a->edge_of[r] != none && a->d.conductors[ConductorId(r)].role == ConductorRole::power; };
    std::vector<std::uint32_t> ends(piece.count, 0);
    for (std::uint32_t r = 0; r < rows; ++r) {
        if (!counts(r)) continue;
        const Conductor& c = a->d.conductors[ConductorId(r)];
        ++ends[piece[c.a.value]];
        ++ends[piece[c.b.value]];
    }
    std::unordered_map<std::uint64_t, Bundle> bundles;
    std::vector<std::pair<std::uint32_t, std::uint64_t>> members;  // of pieces on which several land
    for (std::uint32_t r = 0; r < rows; ++r) {
        parallel[r] = 1;
        if (!counts(r)) continue;
        const Conductor& c = a->d.conductors[ConductorId(r)];
        const std::uint32_t x = piece[c.a.value], y = piece[c.b.value];
        if (x == y || ends[x] < 2 || ends[y] < 2) continue;
        const std::uint64_t key = std::uint64_t{std::min(x, y)} << 32U | std::max(x, y);
        members.emplace_back(r, key);
        Bundle& b = bundles[key];
        if (b.first == no_row) b.first = r;
        ++b.count;
        b.area_least = std::fmin(b.area_least, c.area);
        b.area_most = std::fmax(b.area_most, c.area);
        b.length_least = std::fmin(b.length_least, c.length);
        b.length_most = std::fmax(b.length_most, c.length);
        b.metals = b.metals || k.aluminium(c) != k.aluminium(a->d.conductors[ConductorId(b.first)]);
        b.length_unknown = b.length_unknown || std::isnan(c.length);
        b.area_unknown = b.area_unknown || std::isnan(c.area);
    }
    for (const auto& [r, key] : members) {
        const Bundle& b = bundles[key];
        if (b.count < 2) continue;
        parallel[r] = b.count;
        bundle[r] = b.first;
        const auto differ = [&](double least, double most) { return most - least > difference * most * (1 + 1e-9); };
        if (b.metals || differ(b.area_least, b.area_most) || differ(b.length_least, b.length_most)) unlike[r] = 1;
        else if (b.length_unknown || b.area_unknown) unlike[r] = flag_unknown;
    }
    fill.column("parallel-unlike").missing = [a](std::uint32_t row) {
        return Missing{"the lengths and sections of the conductors beside " + a->d.name(ConductorId(row)), a->d.conductors[ConductorId(row)].span};
    };
}

void fill_ends(Facts& facts, const Shared& a, const Carrying& k) {
    Filler fill(facts, "conductor");
    const std::uint32_t rows = fill.table().rows;
    auto& size = fill.flags("fits-size");
    auto& metal = fill.flags("fits-metal");
    auto& misfit = fill.column("misfit").words;
    auto& part = fill.subjects("misfit-part");
    size.assign(rows, 1);
    metal.assign(rows, 1);
    const Takes& takes = k.takes();
    const graph::Design& d = a->d;
    for (std::uint32_t r = 0; r < rows; ++r) {
        const Conductor& c = d.conductors[ConductorId(r)];
        const bool power = a->edge_of[r] != none;
        // A maker's link fits its own terminals.
        if (std::isnan(c.area) || (c.role == ConductorRole::jumper && !k.cable(c).cable && c.cable)) continue;
        std::string text;
        for (const bool b : {false, true}) {
            const TerminalId t = b ? c.b : c.a;
            if (!t) continue;
            const graph::PartId plugged = b ? c.end_part_b : c.end_part_a;
            const graph::Thing& thing = d.things[d.terminals[t]];
            if (!plugged && thing.cls != ThingClass::device) continue;
            if (d.word(b ? c.end_b : c.end_a).substr(0, 7) == "adapter") continue;
            // A terminal for the earth wire has its own clamp, which `takes` of a device does not describe; a bar is nothing else.
            if (!plugged && !power && !a->part(d.terminals[t]).one_metal) continue;
            const TerminalData& data = plugged ? takes.of(plugged) : takes.at(t);
            const std::uint32_t together = plugged ? 1 : std::uint32_t{a->net.landings[t.value]} + a->net.links[t.value];
            const Fit fit = takes.fit(data, c.area, k.aluminium(c), std::max(together, 1U));
            switch (fit) {
                case Fit::yes:
                case Fit::no_terminal: continue;
                case Fit::not_stated:
                    if (power && size[r] == 1) size[r] = flag_unknown;
                    if (power && metal[r] == 1 && k.aluminium(c)) metal[r] = flag_unknown;
                    continue;
                case Fit::metal_unknown:
                    if (metal[r] == 1) metal[r] = flag_unknown;
                    continue;
                case Fit::metal: metal[r] = 0; break;
                case Fit::too_thin:
                case Fit::too_thick: size[r] = 0; break;
            }
            const std::string who = plugged ? std::string(d.word(d.parts[plugged].name)) : d.name(t);
            const Takes::Range range = takes.range(data, std::max(together, 1U));
            if (!text.empty()) text += ", ";
            if (fit == Fit::metal) text += fmt::format("{} takes {} only", who, k.aluminium(c) ? "copper" : "aluminium");
            else if (range.low == range.high) text += fmt::format("{} takes {}", who, d.units->show(range.high, range.high_unit));
            else text += fmt::format("{} takes {} to {}", who, d.units->show(range.low, range.low_unit), d.units->show(range.high, range.high_unit));
            if (part[r] == no_row) part[r] = plugged ? plugged.value : thing.part.value;
        }
        if (!text.empty()) misfit[r] = facts.words.intern(text);
    }
    fill.column("fits-metal").missing = fill.column("fits-size").missing = [a, takes_of = std::make_shared<const Takes>(a->d)](std::uint32_t row) {
        const Conductor& c = a->d.conductors[ConductorId(row)];
        const Takes& all = *takes_of;
        for (const bool b : {false, true}) {
            const TerminalId t = b ? c.b : c.a;
            const graph::PartId plugged = b ? c.end_part_b : c.end_part_a;
            if (!t || (!plugged && a->d.things[a->d.terminals[t]].cls != ThingClass::device)) continue;
            const TerminalData& data = plugged ? all.of(plugged) : all.at(t);
            const bool aluminium = a->d.word(c.material) == "aluminium";
            const Fit fit = all.fit(data, c.area, aluminium, 1);
            if (fit != Fit::not_stated && fit != Fit::metal_unknown) continue;
            const graph::Part& p = plugged ? a->d.parts[plugged] : a->d.part_of(a->d.terminals[t]);
            return Missing{fmt::format("{} of {} (`takes`)", fit == Fit::metal_unknown ? "the metals taken by terminals" : "what is taken by terminals", a->d.word(p.name)), p.span};
        }
        return Missing{"what its terminals take (`takes`)", c.span};
    };
}

}  // namespace ferrule::facts
