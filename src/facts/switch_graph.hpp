// Nets with every contact open, and the clusters that handles make of them: the graph on which switches are judged.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/cluster.hpp"
#include "facts/network.hpp"
#include "facts/sides.hpp"

namespace ferrule::facts {

class SwitchGraph {
public:
    SwitchGraph(const graph::Design& design, const Network& network, const std::vector<Load>& terminal_loads);

    [[nodiscard]] const std::vector<Cluster>& clusters() const { return clusters_; }
    // What hangs on the i-th net of a cluster when the cluster's handle is off there.
    [[nodiscard]] Load side(std::uint32_t cluster, std::uint32_t i) const;
    // Is the i-th net joined to the k-th by a way outside this cluster?
    [[nodiscard]] bool joined_outside(std::uint32_t cluster, std::uint32_t i, std::uint32_t k) const;
    // The sources whose ends hang there, at most `most` of them, in the order of the design.
    [[nodiscard]] std::vector<std::uint32_t> sources(std::uint32_t cluster, std::uint32_t i, std::size_t most) const;

private:
    [[nodiscard]] std::uint32_t link(std::uint32_t cluster, std::uint32_t i) const { return first_link_[cluster] + i; }
    // Nets reached from a net without passing a cluster. Only for nets on a ring; stops at `limit` nets.
    [[nodiscard]] std::vector<std::uint32_t> flood(std::uint32_t net, std::uint32_t without) const;

    std::vector<Cluster> clusters_;
    std::vector<std::uint32_t> first_link_;   // per cluster: its first edge
    std::vector<GraphEdge> links_;            // net - (nets + cluster)
    std::vector<Load> loads_;                 // per net
    std::uint32_t nets_ = 0;
    std::vector<Sides> sides_;                // one; made last
    SourceEnds ends_;
    std::vector<std::uint32_t> first_of_net_, links_of_net_;
};

}  // namespace ferrule::facts
