// The circuit in pieces of metal, with ways side by side taken together. A bus bar, a branch lead, terminals that are joined inside
// are one piece. Conductors (or conductors with a fuse or contact in line) that join the same two pieces share one current; left
// as they are they would be rings, on which nothing can be said of a single one. Each closed edge of the network becomes part of
// a trunk: one edge between two pieces, alone or a bundle. Series and parallel steps are taken in rounds until none is left
// (Duffin 1965: series-parallel networks); a ring that then remains is a mesh, and its trunks are marked by Sides::ring. Linear
// in the edges for every nesting that occurs; rounds are limited, and what is left over counts as a mesh.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/network.hpp"
#include "facts/sides.hpp"

namespace ferrule::facts {

struct Pieces {
    Nets of;                            // terminal -> piece
    std::vector<GraphEdge> trunks;      // between pieces
    struct Part {
        std::uint32_t trunk = none;     // none: open when on, or both ends are on one piece
        std::uint32_t bundle = none;    // which parallel group it is in, the innermost; none if it is alone
        std::uint32_t ways = 1;         // parallel ways of that group
        std::uint32_t way = 0;          // which of them
        double share = 1;               // of the trunk's current
        bool forward = true;            // its end a is towards the trunk's a
        bool outermost = false;         // the group carries all of the trunk's current
    };
    std::vector<Part> parts;            // per edge of the network
    std::uint32_t bundles = 0;

    // The piece at the trunk's end towards a terminal of the edge.
    [[nodiscard]] std::uint32_t towards(const Network& n, std::uint32_t edge, std::uint32_t terminal) const {
        const Part& p = parts[edge];
        return (n.edges[edge].a == terminal) == p.forward ? trunks[p.trunk].a : trunks[p.trunk].b;
    }
};

// `loads`: what hangs on every terminal itself.
[[nodiscard]] Pieces find_pieces(const graph::Design& design, const std::vector<PartData>& parts, const Network& network, const std::vector<Load>& loads);

// The same summed on each piece.
[[nodiscard]] std::vector<Load> piece_loads(const Pieces& pieces, const std::vector<Load>& terminal_loads);

}  // namespace ferrule::facts
