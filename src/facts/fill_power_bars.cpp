// bar: the current that crosses each busbar, from what lands on it.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/bank_figures.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

struct Bar {
    ThingId device;
    double crossing = 0;
    std::uint32_t after = 0;          // the most current crosses behind this terminal (its place within the part)
    bool onward = true;               // it crosses from what lands up to there to what lands beyond
    double fed = 0, taken = 0;        // on the one side and the other
    std::uint32_t past = none, unknown = none, foreign = none;  // conductors
};

bool aluminium(std::string_view material) { return material.substr(0, 5) == "alumi"; }

// What a conductor can bring to the bar and take from it.
struct Ways {
    double in = 0, out = 0;
    Ways& operator+=(const Ways& o) {
        in += o.in;
        out += o.out;
        return *this;
    }
};
Ways ways_of(const Analysis& a, std::uint32_t edge, std::uint32_t terminal) {
    const Feed& f = a.feeds.of(edge);
    const Pieces::Part& part = a.feeds.pieces().parts[edge];
    if (part.trunk == none) return {};
    const Feeds::Terms t = a.feeds.terms(edge);
    const bool first = a.net.edges[edge].a == terminal;
    Ways w{std::max(first ? t.to_near : t.to_far, t.series), std::max(first ? t.to_far : t.to_near, t.series)};
    // The array feeds from its own side; also from the other, where there is an input on both.
    const bool away = f.near == terminal;
    const std::uint32_t source = a.feeds.pieces().towards(a.net, edge, f.near);
    const double array = f.isc * a.climate.irradiance;
    const double against = f.mesh ? array : a.feeds.sides().side(part.trunk, source).inputs != 0 ? f.back * a.climate.irradiance : 0;
    w.in = std::max(w.in, away ? against : array) * f.share;
    w.out = std::max(w.out, away ? array : against) * f.share;
    return w;
}

// The terminals of a bar lie in a row: what crosses from one to the next is no more than what is fed in on one side of the gap, and no
// more than what is taken on the other.
Bar measure(const Analysis& a, ThingId id, const std::vector<double>& current) {
    Bar bar;
    bar.device = id;
    const graph::Thing& thing = a.d.things[id];
    const graph::Part& part = a.d.part_of(id);
    const auto ways = static_cast<std::uint32_t>(part.terminals.size());
    std::vector<Ways> at(ways);
    double largest = -1;
    const std::string_view metal = a.d.text(part.rows, "material", "material");
    const bool plated = a.d.states(part.rows, "plated");
    for (std::uint32_t w = 0; w < ways; ++w) {
        const std::uint32_t t = thing.first_terminal.value + w;
        for (std::uint32_t k = a.net.first[t]; k < a.net.first[t + 1]; ++k) {
            const std::uint32_t c = a.net.edges[a.net.at[k]].conductor;
            if (c == none) continue;
            const Ways here = ways_of(a, a.net.at[k], t);
            if (std::isnan(current[c] + here.in + here.out)) bar.unknown = c;
            at[w] += here;
            if (current[c] > largest) {
                largest = current[c];
                bar.past = c;
            }
            const std::string_view of = a.d.word(a.d.conductors[graph::ConductorId(c)].material);
            if (!metal.empty() && !plated && !of.empty() && aluminium(of) != aluminium(metal)) bar.foreign = c;
        }
    }
    if (bar.unknown != none) {
        bar.crossing = graph::unknown;
        return bar;
    }
    Ways all, before;
    for (const Ways& x : at) all += x;
    for (std::uint32_t w = 0; w + 1 < ways; ++w) {
        before += at[w];
        const auto see = [&](bool onward, double fed, double taken) {
            if (std::min(fed, taken) <= bar.crossing) return;
            bar.crossing = std::min(fed, taken);
            bar.after = w;
            bar.onward = onward;
            bar.fed = fed;
            bar.taken = taken;
        };
        see(true, before.in, all.out - before.out);
        see(false, all.in - before.in, before.out);
    }
    return bar;
}

}  // namespace

void fill_bars(Facts& facts, const Shared& a) {
    const Column* current = facts.table("conductor")->column("current");
    auto bars = std::make_shared<std::vector<Bar>>();
    for (const ThingId id : a->devices) {
        if (a->part(id).kind != "busbar") continue;
        const std::uint32_t net = a->net.on[a->d.things[id].first_terminal.value];
        if (a->circuits.plus_ends[net] + a->circuits.minus_ends[net] + a->circuits.battery_plus_ends[net] + a->circuits.battery_minus_ends[net] == 0) continue;
        bars->push_back(measure(*a, id, current->numbers));
    }
    Filler fill(facts, "bar", bars->size());
    Table& t = fill.table();
    t.name = [a, bars](std::uint32_t r) { return a->d.name((*bars)[r].device); };
    t.place = [a, bars](std::uint32_t r) { return a->d.things[(*bars)[r].device].span; };
    t.thing = [bars](std::uint32_t r) { return (*bars)[r].device.value; };
    t.circuit = [a, bars](std::uint32_t r) { return a->circuit_of(a->d.things[(*bars)[r].device].first_terminal.value); };
    t.properties = [a, bars](std::uint32_t r) { return a->d.things[(*bars)[r].device].rows; };
    t.part_properties = [a, bars](std::uint32_t r) { return a->d.part_of((*bars)[r].device).rows; };
    auto& device = fill.subjects("device");
    auto& crossing = fill.numbers("crossing");
    auto& past = fill.subjects("past");
    auto& foreign = fill.subjects("foreign");
    for (std::uint32_t r = 0; r < bars->size(); ++r) {
        device[r] = a->device_row[(*bars)[r].device.value];
        crossing[r] = (*bars)[r].crossing;
        if ((*bars)[r].past != none) past[r] = (*bars)[r].past;
        if ((*bars)[r].foreign != none) foreign[r] = (*bars)[r].foreign;
    }
    fill.column("crossing").missing = [a, bars](std::uint32_t r) {
        const graph::ConductorId c((*bars)[r].unknown);
        return Missing{fmt::format("the current in {}", a->d.name(c)), a->d.conductors[c].span};
    };
    fill.column("crossing").working = [a, bars](std::uint32_t r) {
        const Bar& b = (*bars)[r];
        if (!(b.crossing > 0)) return std::vector<std::string>{};
        const auto& terminals = a->d.part_of(b.device).terminals;
        return std::vector{fmt::format("between {} and {}: {} is fed in {} and {} taken {}, so that {} crosses at most", a->d.word(terminals[b.after].label),
                                       a->d.word(terminals[b.after + 1].label), a->show(b.fed, "A"), b.onward ? "up to there" : "beyond",
                                       a->show(b.taken, "A"), b.onward ? "beyond" : "up to there", a->show(b.crossing, "A"))};
    };
}

}  // namespace ferrule::facts
