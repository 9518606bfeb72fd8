// What each conductor, fuse way and contact carries: which sources are behind it, from one walk over all pieces of metal; and what
// batteries, chargers and loads send through it in service.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/demand.hpp"
#include "facts/pieces.hpp"
#include "facts/sides.hpp"

namespace ferrule::facts {

struct Feed {
    double isc = 0;              // A, without factors: of the strings behind it, towards the load; unknown if one is
    double back = 0;             // A: of the strings beyond it
    double service = 0;          // A: the largest that batteries, chargers and loads send through it without end; unknown if one is
    double share = 1;            // of these, what this conductor or contact has when others lie in parallel with it
    std::uint32_t strings = 0;   // string ends behind it
    std::uint32_t one = none;    // the string, when there is one
    std::uint32_t alone = none;  // the string that is alone on one of its sides: it protects that string
    bool battery = false;        // a battery is on one side and something to feed on the other
    bool mesh = false;           // it is part of a mesh: all of the current may go one way
    bool live = false;           // a source, an array input, a battery port or a load is on its net
    bool plus = false;           // it is in the + conductor of what is behind it
    std::uint32_t near = none;   // its terminal on the source's side
};

// What hangs on a part of a battery's circuit.
struct Flow {
    double takes = 0, gives = 0;     // A, of ports; those that are known
    double capacity = 0;             // C, of batteries
    double through = 0;              // A: what its batteries carry, out of + counts up and into - down
    std::uint32_t ports = 0, dark_takes = 0, dark_gives = 0;
    std::uint32_t plus_ends = 0, minus_ends = 0;  // of batteries
    std::uint32_t dark_capacity = 0, dark_through = 0;

    Flow& operator+=(const Flow& o);
    [[nodiscard]] Flow minus(const Flow& o) const;
    [[nodiscard]] std::uint32_t batteries() const { return plus_ends + minus_ends; }
};

class Feeds {
public:
    Feeds(const graph::Design& design, const std::vector<PartData>& parts, const Network& network, const std::vector<Load>& terminal_loads,
          const Demand& demand);
    [[nodiscard]] const Feed& of(std::uint32_t edge) const { return of_[edge]; }
    // The strings behind an edge, at most `most` of them.
    [[nodiscard]] std::vector<std::uint32_t> strings(std::uint32_t edge, std::size_t most) const;

    [[nodiscard]] const Pieces& pieces() const { return pieces_; }
    [[nodiscard]] const Sides& sides() const { return sides_; }
    [[nodiscard]] const Load& own(std::uint32_t piece) const { return own_[piece]; }
    // How `service` of an edge came about, one line a term; empty if nothing flows.
    struct Terms {
        Flow near, far;          // on the side of the edge's a, and of its b
        double share_near = 1, share_far = 1;
        double to_far = 0, to_near = 0;  // A
        double series = 0;       // A: what batteries on one side carry, between batteries in series; unknown if one is
    };
    [[nodiscard]] Terms terms(std::uint32_t edge) const;
    // A port on the edge's net whose figure is lacking; none if there is none.
    [[nodiscard]] std::uint32_t lacking(std::uint32_t edge) const;

private:
    void find_flows(const graph::Design& d);
    [[nodiscard]] Feed find(std::uint32_t edge) const;
    [[nodiscard]] double service(const Terms& t) const;

    const Network* network_;
    const Demand* demand_;
    Pieces pieces_;
    std::vector<Load> own_;         // per piece
    Sides sides_;
    SourceEnds ends_;
    std::vector<Flow> flows_;       // summed up the walk; empty when there is neither battery nor port
    std::vector<Feed> of_;          // per edge
};

}  // namespace ferrule::facts
