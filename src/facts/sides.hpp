// What lies on either side of each edge of a graph. An edge whose removal parts its net (a bridge) has two sides; what hangs
// on each is summed up in one walk (Tarjan, 1974: finding bridges by depth-first search), so that "all that feeds this
// conductor" is a look-up. Edges on a ring have no sides: `ring` says so, and the sum over the ring stands for them.
#pragma once

#include <cstdint>
#include <vector>

namespace ferrule::facts {

// What hangs on a part of the circuit. Sets of strings are compared by count and a sum of scattered numbers.
struct Load {
    double isc = 0;              // A, of strings, without factors
    std::uint32_t strings = 0;   // string ends (+ and - ends both count here)
    std::uint32_t plus = 0;      // of these, + ends
    std::uint32_t dark = 0;      // of these, ends of strings whose isc is not known: `isc` is without them
    std::uint32_t one = 0;       // exclusive or of their indices: the string itself when there is one
    std::uint64_t set = 0;       // sum of scattered indices: equal sets have equal sums
    std::uint32_t batteries = 0;
    std::uint32_t battery_plus = 0;
    std::uint32_t inputs = 0;    // terminals of array ports
    std::uint32_t input_plus = 0;  // of these, + terminals
    std::uint32_t one_input = 0; // exclusive or of their indices
    std::uint32_t sinks = 0;     // terminals of battery ports and loads

    Load& operator+=(const Load& o);
    [[nodiscard]] Load minus(const Load& o) const;
    [[nodiscard]] bool empty() const { return strings == 0 && batteries == 0 && inputs == 0 && sinks == 0; }
};

[[nodiscard]] std::uint64_t scatter(std::uint32_t index);

struct GraphEdge {
    std::uint32_t a = 0, b = 0;
};

class Sides {
public:
    // Nodes 0 … loads.size()-1. Linear.
    Sides(std::vector<Load> loads, const std::vector<GraphEdge>& edges);

    [[nodiscard]] bool ring(std::uint32_t edge) const { return child_[edge] == no_child; }
    // Anything else that is summed: `own` per node becomes the sum of each node and all below it in the walk. Needs += and minus.
    template <class T>
    void sum_up(std::vector<T>& own) const {
        for (auto v = order_.rbegin(); v != order_.rend(); ++v) {
            if (parent_[*v] != no_child) own[parent_[*v]] += own[*v];
        }
    }
    // Of such sums, what is on the side of `node`; of all its net.
    template <class T>
    [[nodiscard]] T side_of(const std::vector<T>& sums, std::uint32_t edge, std::uint32_t node) const {
        const std::uint32_t c = child_[edge];
        if (c == no_child) return whole_of(sums, node);
        return c == node ? sums[c] : whole_of(sums, node).minus(sums[c]);
    }
    template <class T>
    [[nodiscard]] const T& whole_of(const std::vector<T>& sums, std::uint32_t node) const { return sums[root(node)]; }
    // The node from which the walk of its net began.
    [[nodiscard]] std::uint32_t root(std::uint32_t node) const { return order_[first_place_[net_[node]]]; }
    [[nodiscard]] std::uint32_t parent(std::uint32_t node) const { return parent_[node]; }
    // Nodes in the order of the walk: parents before what is below them.
    [[nodiscard]] const std::vector<std::uint32_t>& order() const { return order_; }
    // The lower end of a bridge.
    [[nodiscard]] std::uint32_t child(std::uint32_t edge) const { return child_[edge]; }
    // What hangs on the side of `node`, one of the edge's two ends, when the edge is taken out. For a ring edge: everything in its net.
    [[nodiscard]] Load side(std::uint32_t edge, std::uint32_t node) const;
    [[nodiscard]] const Load& whole(std::uint32_t node) const { return total_[net_[node]]; }
    // For a ring edge: the sum of what hangs on its ring by ways that have no input on their side.
    [[nodiscard]] const Load& ring_feed(std::uint32_t edge) const { return ring_feed_[ring_of_[edge]]; }
    // Place in the order of the walk. The nodes on the child's side of a bridge are one run of places.
    [[nodiscard]] std::uint32_t place(std::uint32_t node) const { return place_[node]; }
    struct Run {
        std::uint32_t begin = 0, end = 0;  // places
        bool outside = false;              // the side is everything in the net but this run
    };
    [[nodiscard]] Run run(std::uint32_t edge, std::uint32_t node) const;
    // All nodes of a node's net.
    [[nodiscard]] Run whole_run(std::uint32_t node) const { return {first_place_[net_[node]], first_place_[net_[node] + 1], false}; }
    [[nodiscard]] std::uint32_t net(std::uint32_t node) const { return net_[node]; }

private:
    static constexpr std::uint32_t no_child = 0xffffffffU;
    void walk(const std::vector<GraphEdge>& edges);
    void rings(const std::vector<GraphEdge>& edges);

    std::vector<Load> below_;            // per node: itself and all below it in the walk
    std::vector<Load> total_;            // per net
    std::vector<std::uint32_t> first_place_;  // per net, and the end of the last
    std::vector<Load> ring_feed_;
    std::vector<std::uint32_t> child_;   // per edge: its lower end if it is a bridge
    std::vector<std::uint32_t> ring_of_; // per edge
    std::vector<std::uint32_t> net_, place_, last_, parent_, low_, order_;
};

// The ends of sources in the order of the walk, so that those on one side of a bridge are one or two runs.
class SourceEnds {
public:
    void add(std::uint32_t place, std::uint32_t source) { ends_.push_back({place, source}); }
    void sort();
    // Adds the sources with an end in [begin, end), until `found` holds `most`.
    void take(std::uint32_t begin, std::uint32_t end, std::size_t most, std::vector<std::uint32_t>& found) const;
    // The same for a side: its run, or all of its net but the run.
    void take(const Sides::Run& run, const Sides::Run& whole, std::size_t most, std::vector<std::uint32_t>& found) const;

private:
    struct End {
        std::uint32_t place = 0, source = 0;
    };
    std::vector<End> ends_;
};

}  // namespace ferrule::facts
