// What may be driven through each conductor without end in a fault: a fault somewhere draws on all that can push current to it, and
// every fuse or breaker on the way lets at most its rating pass for long. A battery pushes without limit, a string its
// short-circuit current with the irradiance factor, a charger what it gives, an array input what it feeds back.
//
// One walk down and one up the tree of each net gives the sum from either side of every trunk (rerooting). A device in one pole
// also guards the other: two trunks that have the same things on one of their sides carry the same current, so the least rating
// counts for both. On a negative that several positives share, what pushes to one is kept apart from the others. Linear in the
// trunks.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <unordered_set>
#include <vector>

#include "facts/feeds.hpp"

namespace ferrule::facts {

// What one side of a trunk can push through it.
struct Push {
    double amperes = 0;             // what is known of it
    double guarded = 0;             // of that, what guards let pass
    std::uint32_t unlimited = 0;    // batteries with nothing in between
    std::uint32_t dark = 0;         // contributions whose figure is not known
    std::uint32_t guards = 0;       // contributions that a guard cuts down to its rating
    std::uint32_t guard = 0;        // exclusive or of those guards' edges: the guard, when it is one

    Push& operator+=(const Push& o);
    [[nodiscard]] Push minus(const Push& o) const;
    [[nodiscard]] bool nothing() const { return amperes == 0 && unlimited == 0 && dark == 0; }
};

inline constexpr double endless = std::numeric_limits<double>::infinity();
// The rating of an overcurrent device on an edge, A; endless where there is none, unknown where no link is fitted.
using GuardRatings = std::vector<double>;

class Driven {
public:
    // `source_push`, `port_push`: A; of a battery without a fuse of its own inside: infinite. `tied`: nets (of Sides) where a battery
    // meets earth with no guard between: in a fault of its other pole to earth, guards on such a net carry nothing.
    Driven(const Network& network, const Feeds& feeds, const std::vector<double>& source_push,
           const std::vector<double>& port_push, const GuardRatings& guards, std::unordered_set<std::uint32_t> tied);

    struct Both {
        Push from_a, from_b;   // from the side of the edge's a towards b, and back
    };
    // Through one conductor, contact or fuse: in parallel ways its own part, or what its own guard lets pass.
    [[nodiscard]] Both of(std::uint32_t edge) const;
    // Do two edges carry the same current, in the same or in the other pole?
    [[nodiscard]] bool same_current(std::uint32_t edge, std::uint32_t other) const;
    // The least guard that carries the same current as this edge: in its own pole if there is one, wherever on the way it stands.
    [[nodiscard]] std::uint32_t own_guard(std::uint32_t edge) const;
    // All that guards it stands in the earthed pole, where a fault to earth goes past it.
    [[nodiscard]] bool past_earth(std::uint32_t edge) const;

private:
    struct Cap {
        double amperes = 0;
        std::uint32_t guard = none;
    };
    [[nodiscard]] static Push through(Push push, const Cap& cap);
    void find_caps();
    void pair_poles();
    [[nodiscard]] bool past(std::uint32_t guarded, std::uint32_t trunk) const;
    void match_poles();
    void group_things(const std::vector<double>& source_push, const std::vector<double>& port_push);
    void walk_net(std::uint32_t first, std::uint32_t last, std::uint32_t group, bool split);

    const Network* n_;
    const Feeds* feeds_;
    const GuardRatings* guards_;
    std::unordered_set<std::uint32_t> tied_;
    std::vector<std::uint8_t> past_;         // per trunk: a guard in the other pole is not counted for it, as that is tied to earth
    std::vector<Cap> caps_;                  // per trunk
    std::vector<std::array<std::uint64_t, 2>> names_;  // per trunk: the set of things on a side; 0: it does not name it
    std::vector<std::uint8_t> shared_;       // per trunk: what has its other pole on several nets flows there
    std::vector<std::uint8_t> paired_;       // per trunk: its cap is a guard in the other pole
    std::vector<std::uint32_t> own_;         // per trunk: the least guard of its own pole that carries the same current
    std::vector<Push> down_, up_;            // per trunk: from its a to its b, and back
    std::vector<Push> sum_, rest_;           // per piece, while a net is walked
    std::vector<Push> mesh_;                 // per piece: what may go round the mesh that begins there; empty when there is no mesh
    std::vector<std::uint32_t> rep_, above_; // per piece: the first of its mesh; the trunk to its parent when that is a bridge
    struct Thing {
        std::uint32_t id = 0, piece = 0, net = 0, group = 0;
        Push push;
    };
    std::vector<Thing> things_;              // by net
    std::vector<std::uint32_t> members_;     // per piece, while a net is walked: things of the group on it and below it
    std::vector<double> way_cap_;            // per edge in a bundle: what the guards of its own way let pass
    std::vector<std::uint32_t> way_guard_;
};

}  // namespace ferrule::facts
