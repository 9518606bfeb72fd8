#include "facts/feeds.hpp"

#include <algorithm>

namespace ferrule::facts {

namespace {

std::vector<GraphEdge> graph_edges(const Network& n) {
    std::vector<GraphEdge> edges(n.edges.size());
    for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
        // A contact that is open in the state called "on" joins nothing: an edge from a node to itself.
        edges[e] = {n.edges[e].a, n.edges[e].closed ? n.edges[e].b : n.edges[e].a};
    }
    return edges;
}

}  // namespace

Feeds::Feeds(const Network& n, const std::vector<Load>& loads) : network_(&n), sides_(loads, graph_edges(n)) {
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            if (t != none) ends_.add(sides_.place(t), i);
        }
    }
    ends_.sort();
}

Feed Feeds::of(std::uint32_t edge) const {
    const Edge& e = network_->edges[edge];
    Feed f;
    if (!e.closed) return f;
    if (sides_.ring(edge)) {
        const Load& l = sides_.ring_feed(edge);
        f.isc = l.isc;
        f.strings = l.strings;
        f.plus = l.plus * 2 >= l.strings;
        f.near = e.a;
        const Load& all = sides_.whole(e.a);
        f.battery = l.strings == 0 && all.batteries != 0;
        if (f.battery) f.plus = all.battery_plus * 2 >= all.batteries;
        return f;
    }
    Load a = sides_.side(edge, e.a), b = sides_.side(edge, e.b);
    f.near = e.a;
    // The source's side is the one without an input. Where both have one, the one with more behind it. Where neither has (a
    // circuit that leads nowhere, or the middle of a series), each string carries its own current: the smaller that is not none.
    const bool one_sided = (a.inputs == 0) != (b.inputs == 0);
    const bool dead_end = a.inputs == 0 && b.inputs == 0;
    const bool swap = one_sided ? a.inputs != 0 : dead_end ? a.isc == 0 || (b.isc > 0 && b.isc < a.isc) : b.isc > a.isc;
    if (swap) {
        std::swap(a, b);
        f.near = e.b;
    }
    for (const Load* side : {&a, &b}) {
        if (side->strings == 1 && side->inputs + side->batteries + side->sinks == 0) f.alone = side->one;
    }
    f.back = b.isc;
    f.isc = a.isc;
    f.strings = a.strings;
    f.plus = a.plus * 2 >= a.strings;
    if (a.strings == 1) f.one = a.one;
    if (a.strings != 0 && a.batteries != 0) f.one = none;
    if (a.strings == 0 || a.inputs != 0) {
        const Load& all_a = a;
        f.battery = (all_a.batteries != 0 && b.sinks + b.batteries != 0) || (b.batteries != 0 && a.sinks + a.batteries != 0) ||
                    (a.strings == 0 && b.strings == 0 && a.batteries + b.batteries != 0);
        if (f.battery) {
            const Load& source = a.batteries != 0 && (b.batteries == 0 || a.sinks == 0) ? a : b;
            f.plus = source.battery_plus * 2 >= source.batteries;
            f.near = &source == &a ? f.near : network_->other(edge, f.near);
            if (a.inputs != 0) f.isc = f.strings = 0;
        }
    }
    return f;
}

std::vector<std::uint32_t> Feeds::strings(std::uint32_t edge, std::size_t most) const {
    std::vector<std::uint32_t> found;
    const Feed f = of(edge);
    if (f.one != none) return {f.one};
    if (f.strings == 0) return found;
    const Sides::Run run = sides_.ring(edge) ? sides_.whole_run(f.near) : sides_.run(edge, f.near);
    ends_.take(run, sides_.whole_run(f.near), most, found);
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
    return found;
}

}  // namespace ferrule::facts
