// Takes apart what is radial, in series or in parallel, one node at a time and without a subtraction: conductances stay sums,
// products and quotients of positive numbers, so that neither a micro-ohm beside a megohm nor a long feeder costs digits. What is
// left over (each node with three neighbours or more) is meshed and is for `Core`.
#pragma once

#include <cstdint>
#include <vector>

#include "solve/circuit.hpp"

namespace ferrule::solve {

// Each branch has two ends, 2e and 2e + 1, each in the list of its own node for good; eliminating a node pairs the ends beyond it.
class Elimination {
public:
    // Branches between nodes 0 .. nodes - 1, both ends different. Linear but for the order in which large nodes are merged, which is
    // bounded; what that leaves goes to the core.
    struct Branch { std::uint32_t a, b; double siemens; };
    Elimination(std::uint32_t nodes, const std::vector<Branch>& branches);

    // What is left over: its nodes, and its branches as ends (one end of each).
    std::vector<std::uint32_t> core_nodes;
    std::vector<std::uint32_t> core_ends;
    [[nodiscard]] std::uint32_t node_of(std::uint32_t end) const { return node_[end]; }
    [[nodiscard]] std::uint32_t partner(std::uint32_t end) const { return partner_[end]; }
    [[nodiscard]] double siemens(std::uint32_t end) const { return siemens_[end]; }

    // Carries the injected currents (A into each node) of eliminated nodes on to those that remain.
    void forward(std::vector<double>& injected) const;
    // From the volts of the core's nodes and the current out of each end of the core's branches to all others. Nodes that end up
    // alone are at 0 V.
    void backward(const std::vector<double>& injected, std::vector<double>& volt, std::vector<double>& out) const;
    // Calls f(node, neighbour or none) in an order in which the neighbour is known already, core nodes apart.
    template <class F>
    void from_roots(F f) const {
        for (std::size_t i = steps_.size(); i-- > 0;) {
            if (steps_[i].kind != Step::Kind::parallel) f(steps_[i].node, steps_[i].kind == Step::Kind::root ? none : node_[steps_[i].far_x]);
        }
    }

private:
    struct Step {
        enum class Kind : std::uint8_t { root, leaf, series, parallel };
        Kind kind = Kind::root;
        std::uint32_t node = none;                  // the node taken out
        std::uint32_t near_x = none, far_x = none;  // its ends and those beyond; parallel: the ends kept
        std::uint32_t near_y = none, far_y = none;  // parallel: the ends dropped
        double x = 0, y = 0;                        // conductances at that moment
    };
    void look_at(std::uint32_t node);
    void tidy(std::uint32_t node);
    void merge(std::uint32_t kept, std::uint32_t dropped);
    void call(std::uint32_t node);
    void drain();

    std::vector<std::uint32_t> first_, length_, at_;  // lists of ends by node; they only shrink
    std::vector<std::uint32_t> degree_;
    std::vector<std::uint32_t> node_, partner_;       // by end
    std::vector<double> siemens_;
    std::vector<std::uint8_t> gone_, done_, called_;
    std::vector<std::uint32_t> work_;
    std::vector<Step> steps_;
};

}  // namespace ferrule::solve
