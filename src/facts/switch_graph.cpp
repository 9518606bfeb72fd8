#include "facts/switch_graph.hpp"

#include <algorithm>
#include <unordered_set>

namespace ferrule::facts {

namespace {

// The contacts of one handle into clusters.
void cluster_handle(const Network& n, std::uint32_t handle, const std::uint32_t* begin, const std::uint32_t* end,
                    std::vector<Cluster>& out) {
    std::vector<std::uint32_t> nets;
    for (const std::uint32_t* e = begin; e != end; ++e) {
        nets.push_back(n.off[n.edges[*e].a]);
        nets.push_back(n.off[n.edges[*e].b]);
    }
    std::sort(nets.begin(), nets.end());
    nets.erase(std::unique(nets.begin(), nets.end()), nets.end());
    auto local = [&](std::uint32_t net) {
        return static_cast<std::uint32_t>(std::lower_bound(nets.begin(), nets.end(), net) - nets.begin());
    };
    UnionFind sets(static_cast<std::uint32_t>(nets.size()));
    for (const std::uint32_t* e = begin; e != end; ++e) sets.join(local(n.off[n.edges[*e].a]), local(n.off[n.edges[*e].b]));
    std::vector<std::uint32_t> cluster_of(nets.size(), none), within(nets.size(), 0);
    for (std::uint32_t v = 0; v < nets.size(); ++v) {
        const std::uint32_t root = sets.find(v);
        if (root == v) {
            cluster_of[v] = static_cast<std::uint32_t>(out.size());
            out.push_back({handle, {}, {}});
        }
        cluster_of[v] = cluster_of[root];
        Cluster& c = out[cluster_of[v]];
        within[v] = static_cast<std::uint32_t>(c.nets.size());
        c.nets.push_back(nets[v]);
    }
    for (const std::uint32_t* e = begin; e != end; ++e) {
        const std::uint32_t a = local(n.off[n.edges[*e].a]), b = local(n.off[n.edges[*e].b]);
        out[cluster_of[a]].contacts.push_back({*e, within[a], within[b]});
    }
}

}  // namespace

SwitchGraph::SwitchGraph(const graph::Design& d, const Network& n, const std::vector<Load>& terminal_loads)
    : loads_(n.off.count), nets_(n.off.count) {
    std::vector<std::pair<std::uint32_t, std::uint32_t>> by_handle;  // handle, edge
    for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
        const Edge& edge = n.edges[e];
        if (edge.kind == Edge::Kind::contact && edge.closed) {
            by_handle.emplace_back(handle_of(d, edge.thing), e);
        }
    }
    std::sort(by_handle.begin(), by_handle.end());
    std::vector<std::uint32_t> edges;
    for (std::size_t i = 0; i < by_handle.size();) {
        edges.clear();
        const std::uint32_t handle = by_handle[i].first;
        for (; i < by_handle.size() && by_handle[i].first == handle; ++i) edges.push_back(by_handle[i].second);
        cluster_handle(n, handle, edges.data(), edges.data() + edges.size(), clusters_);
    }
    for (std::uint32_t t = 0; t < n.terminals; ++t) {
        if (!terminal_loads[t].empty()) loads_[n.off[t]] += terminal_loads[t];
    }
    for (std::uint32_t c = 0; c < clusters_.size(); ++c) {
        first_link_.push_back(static_cast<std::uint32_t>(links_.size()));
        for (const std::uint32_t net : clusters_[c].nets) links_.push_back({net, nets_ + c});
    }
    std::vector<Load> loads(loads_);
    loads.resize(nets_ + clusters_.size());
    sides_.emplace_back(std::move(loads), links_);
    for (std::uint32_t i = 0; i < n.sources.size(); ++i) {
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            if (t != none) ends_.add(sides_[0].place(n.off[t]), i);
        }
    }
    ends_.sort();
    first_of_net_.assign(nets_ + 2, 0);
    for (const GraphEdge& l : links_) ++first_of_net_[l.a + 2];
    for (std::size_t i = 2; i < first_of_net_.size(); ++i) first_of_net_[i] += first_of_net_[i - 1];
    links_of_net_.resize(links_.size());
    for (std::uint32_t l = 0; l < links_.size(); ++l) links_of_net_[first_of_net_[links_[l].a + 1]++] = l;
}

std::vector<std::uint32_t> SwitchGraph::flood(std::uint32_t net, std::uint32_t without) const {
    constexpr std::size_t limit = 20000;  // nets; a ring of switches larger than this is judged as joined
    std::vector<std::uint32_t> reached{net};
    std::unordered_set<std::uint32_t> seen{net};
    for (std::size_t i = 0; i < reached.size() && reached.size() < limit; ++i) {
        const std::uint32_t v = reached[i];
        for (std::uint32_t l = first_of_net_[v]; l < first_of_net_[v + 1]; ++l) {
            const std::uint32_t c = links_[links_of_net_[l]].b - nets_;
            if (c == without) continue;
            for (const std::uint32_t u : clusters_[c].nets) {
                if (seen.insert(u).second) reached.push_back(u);
            }
        }
    }
    return reached;
}

Load SwitchGraph::side(std::uint32_t cluster, std::uint32_t i) const {
    const std::uint32_t l = link(cluster, i);
    const std::uint32_t net = clusters_[cluster].nets[i];
    if (!sides_[0].ring(l)) return sides_[0].side(l, net);
    Load sum;
    for (const std::uint32_t v : flood(net, cluster)) sum += loads_[v];
    return sum;
}

bool SwitchGraph::joined_outside(std::uint32_t cluster, std::uint32_t i, std::uint32_t k) const {
    if (!sides_[0].ring(link(cluster, i)) || !sides_[0].ring(link(cluster, k))) return false;
    const auto reached = flood(clusters_[cluster].nets[i], cluster);
    return std::find(reached.begin(), reached.end(), clusters_[cluster].nets[k]) != reached.end();
}

std::vector<std::uint32_t> SwitchGraph::sources(std::uint32_t cluster, std::uint32_t i, std::size_t most) const {
    std::vector<std::uint32_t> found;
    const std::uint32_t l = link(cluster, i);
    const std::uint32_t net = clusters_[cluster].nets[i];
    const Sides& s = sides_[0];
    if (s.ring(l)) {
        for (const std::uint32_t v : flood(net, cluster)) {
            if (found.size() < most) ends_.take(s.place(v), s.place(v) + 1, most, found);
        }
    } else {
        ends_.take(s.run(l, net), s.whole_run(net), most, found);
    }
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
    return found;
}

}  // namespace ferrule::facts
