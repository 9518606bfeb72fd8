#include "facts/pieces.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace ferrule::facts {

namespace {

// How deeply parallel ways may lie within ways of other parallel ways before the rest counts as a mesh.
constexpr int most_rounds = 32;

Nets pieces_of(const graph::Design& d, const std::vector<PartData>& parts, const Network& n) {
    UnionFind sets(n.terminals);
    for (const Edge& e : n.edges) {
        if (e.conductor != none || e.kind != Edge::Kind::wire) continue;
        const PartData& part = parts[d.things[graph::ThingId(e.thing)].part.value];
        // A shunt or a diode is no piece of metal, though it is a wire.
        if (part.one_metal || part.conducts != Conducts::wire) sets.join(e.a, e.b);
    }
    return sets.nets();
}

// One edge, or several taken together.
struct PieceWay {
    std::uint32_t a = none, b = none;        // pieces
    std::uint32_t edge = none;               // of the network, when it is one edge
    bool parallel = false;                   // else in series
    bool alive = true;
    double resistance = graph::unknown;      // length / area; unknown: not stated
    std::vector<std::uint32_t> children;
};

class Reducer {
public:
    Reducer(const graph::Design& d, const Network& n, const std::vector<Load>& own, Pieces& p) : d_(d), n_(n), own_(own), p_(p) {}

    // `edges`: those of the network that join two pieces.
    void reduce(const std::vector<std::uint32_t>& edges) {
        std::vector<GraphEdge> graph(edges.size());
        for (std::uint32_t k = 0; k < edges.size(); ++k) graph[k] = {p_.of[n_.edges[edges[k]].a], p_.of[n_.edges[edges[k]].b]};
        const Sides sides(own_, graph);
        bare_.assign(own_.size(), 1);
        for (std::uint32_t v = 0; v < own_.size(); ++v) bare_[v] = own_[v].empty() ? 1 : 0;
        at_.resize(own_.size());
        for (std::uint32_t k = 0; k < edges.size(); ++k) {
            if (sides.ring(k)) {
                add_leaf(edges[k], graph[k]);
                continue;
            }
            p_.parts[edges[k]].trunk = static_cast<std::uint32_t>(p_.trunks.size());
            p_.trunks.push_back(graph[k]);
            for (const auto& [here, there] : {std::pair{graph[k].a, graph[k].b}, {graph[k].b, graph[k].a}}) {
                if (!sides.side(k, there).empty()) bare_[here] = 0;
            }
        }
        for (int round = 0; round < most_rounds; ++round) {
            const bool series = join_series();
            if (!join_parallel() && !series) break;
        }
        for (std::uint32_t w = 0; w < ways_.size(); ++w) {
            if (!ways_[w].alive) continue;
            const auto trunk = static_cast<std::uint32_t>(p_.trunks.size());
            p_.trunks.push_back({ways_[w].a, ways_[w].b});
            hand_out(w, trunk);
        }
    }

private:
    void add(PieceWay w) {
        const auto id = static_cast<std::uint32_t>(ways_.size());
        at_[w.a].push_back(id);
        at_[w.b].push_back(id);
        ways_.push_back(std::move(w));
    }

    void add_leaf(std::uint32_t edge, const GraphEdge& g) {
        PieceWay w;
        w.a = g.a;
        w.b = g.b;
        w.edge = edge;
        w.resistance = 0;
        if (const std::uint32_t c = n_.edges[edge].conductor; c != none) {
            const graph::Conductor& conductor = d_.conductors[graph::ConductorId(c)];
            w.resistance = conductor.length / conductor.area;
        }
        add(std::move(w));
    }

    // Two ways that meet where nothing else is.
    bool join_series() {
        bool any = false;
        for (std::uint32_t v = 0; v < at_.size(); ++v) {
            if (bare_[v] == 0 || at_[v].size() < 2) continue;
            std::erase_if(at_[v], [&](std::uint32_t w) { return !ways_[w].alive; });
            if (at_[v].size() != 2) continue;
            const std::uint32_t s = at_[v][0], t = at_[v][1];
            const std::uint32_t from = ways_[s].a == v ? ways_[s].b : ways_[s].a, to = ways_[t].a == v ? ways_[t].b : ways_[t].a;
            if (from == to || from == v || to == v) continue;
            PieceWay w;
            w.a = from;
            w.b = to;
            w.resistance = ways_[s].resistance + ways_[t].resistance;
            w.children = {s, t};
            ways_[s].alive = ways_[t].alive = false;
            add(std::move(w));
            any = true;
        }
        return any;
    }

    bool join_parallel() {
        std::vector<std::uint32_t> order;
        for (std::uint32_t w = 0; w < ways_.size(); ++w) {
            if (ways_[w].alive) order.push_back(w);
        }
        auto key = [&](std::uint32_t w) { return std::minmax(ways_[w].a, ways_[w].b); };
        std::stable_sort(order.begin(), order.end(), [&](std::uint32_t x, std::uint32_t y) {
            const std::pair<std::uint32_t, std::uint32_t> p = key(x), q = key(y);
            return p < q;
        });
        bool any = false;
        for (std::size_t i = 0; i < order.size();) {
            std::size_t k = i + 1;
            const std::pair<std::uint32_t, std::uint32_t> first = key(order[i]);
            while (k < order.size() && std::pair<std::uint32_t, std::uint32_t>(key(order[k])) == first) ++k;
            if (k - i > 1) {
                PieceWay w;
                w.a = ways_[order[i]].a;
                w.b = ways_[order[i]].b;
                w.parallel = true;
                double conductance = 0;
                for (; i < k; ++i) {
                    PieceWay& child = ways_[order[i]];
                    child.alive = false;
                    conductance += 1 / child.resistance;
                    if (child.parallel) w.children.insert(w.children.end(), child.children.begin(), child.children.end());
                    else w.children.push_back(order[i]);
                }
                w.resistance = 1 / conductance;
                add(std::move(w));
                any = true;
            }
            i = k;
        }
        return any;
    }

    // From the whole down to the edges: how much of the current each has, and which way round it lies.
    void hand_out(std::uint32_t top, std::uint32_t trunk) {
        struct Item {
            std::uint32_t way = none, from = none;   // from: its piece towards the trunk's a
            Pieces::Part part;
        };
        std::vector<Item> stack{{top, ways_[top].a, {trunk, none, 1, 0, 1, true, false}}};
        while (!stack.empty()) {
            const Item item = stack.back();
            stack.pop_back();
            const PieceWay& w = ways_[item.way];
            if (w.edge != none) {
                Pieces::Part part = item.part;
                part.forward = p_.of[n_.edges[w.edge].a] == item.from;
                p_.parts[w.edge] = part;
                continue;
            }
            if (w.parallel) {
                Pieces::Part part = item.part;
                part.bundle = p_.bundles++;
                part.ways = static_cast<std::uint32_t>(w.children.size());
                part.outermost = item.part.bundle == none;
                part.way = 0;
                double sum = 0;
                for (const std::uint32_t c : w.children) sum += 1 / ways_[c].resistance;
                // A way of no known resistance leaves nothing but to share alike.
                const bool known = std::isfinite(sum) && sum > 0;
                for (const std::uint32_t c : w.children) {
                    part.share = item.part.share * (known ? 1 / ways_[c].resistance / sum : 1.0 / static_cast<double>(w.children.size()));
                    stack.push_back({c, item.from, part});
                    ++part.way;
                }
                continue;
            }
            // In series the first child ends at `a`.
            const bool turned = w.a != item.from;
            const std::uint32_t near = w.children[turned ? 1 : 0], far = w.children[turned ? 0 : 1];
            const std::uint32_t middle = ways_[near].a == item.from ? ways_[near].b : ways_[near].a;
            stack.push_back({near, item.from, item.part});
            stack.push_back({far, middle, item.part});
        }
    }

    const graph::Design& d_;
    const Network& n_;
    const std::vector<Load>& own_;
    Pieces& p_;
    std::vector<PieceWay> ways_;
    std::vector<std::vector<std::uint32_t>> at_;  // per piece: ways that end there, also such as are no longer alive
    std::vector<std::uint8_t> bare_;              // per piece: nothing on it that gives or takes current
};

}  // namespace

std::vector<Load> piece_loads(const Pieces& p, const std::vector<Load>& loads) {
    std::vector<Load> sums(p.of.count);
    for (std::uint32_t t = 0; t < loads.size(); ++t) sums[p.of[t]] += loads[t];
    return sums;
}

Pieces find_pieces(const graph::Design& d, const std::vector<PartData>& parts, const Network& n, const std::vector<Load>& loads) {
    Pieces p;
    p.of = pieces_of(d, parts, n);
    p.parts.resize(n.edges.size());
    std::vector<std::uint32_t> edges;
    edges.reserve(n.edges.size());
    UnionFind trees(p.of.count);
    bool rings = false;
    for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
        const std::uint32_t a = p.of[n.edges[e].a], b = p.of[n.edges[e].b];
        if (!n.edges[e].closed || a == b) continue;
        edges.push_back(e);
        if (!trees.join(a, b)) rings = true;
    }
    p.trunks.reserve(edges.size());
    if (rings) {
        const std::vector<Load> own = piece_loads(p, loads);
        Reducer(d, n, own, p).reduce(edges);
        return p;
    }
    for (const std::uint32_t e : edges) {
        p.parts[e].trunk = static_cast<std::uint32_t>(p.trunks.size());
        p.trunks.push_back({p.of[n.edges[e].a], p.of[n.edges[e].b]});
    }
    return p;
}

}  // namespace ferrule::facts
