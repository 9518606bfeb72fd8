// The design as a circuit: terminals are nodes; conductors, jumpers and metal are wires; fuse ways are guards; poles of
// switches are contacts; strings and batteries are sources from - to +. Converters join nothing but what they `join`.
//
// A net is the set of terminals joined by some of these. Closing a contact only ever joins nets, so what is joined in some
// position of on/off switches is joined with all on, and what is parted in some position is parted with all off. Only
// change-over switches need their positions tried one by one.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/parts.hpp"
#include "graph/design.hpp"

namespace ferrule::facts {

inline constexpr std::uint32_t none = 0xffffffffU;

struct Edge {
    enum class Kind : std::uint8_t { wire, guard, contact };
    std::uint32_t a = none, b = none;      // terminals
    std::uint32_t thing = none;            // the device it is inside of; none for conductors between devices
    std::uint32_t conductor = none;        // the conductor or jumper it is; none inside devices
    std::uint16_t pole = 0xffff;           // contacts and guards: which pole of the part
    Kind kind = Kind::wire;
    bool load_break = false;               // contacts: made to open under load
    bool closed = true;                    // contacts: closed in the state called "on" (first position of a change-over switch)
};

struct PowerSource {
    std::uint32_t plus = none, minus = none;  // terminals
    graph::ThingId thing;
    bool battery = false;
};

// A two-ended side of a device that is no source: an array input, a battery port, a load.
struct Port {
    enum class Role : std::uint8_t { array, battery, load };
    graph::ThingId device;
    std::uint16_t port = 0xffff;  // index in the part; 0xffff: the device itself is the load
    std::uint32_t plus = none, minus = none;
    Role role = Role::load;
};

// Net numbers, dense from 0, of every terminal.
struct Nets {
    std::vector<std::uint32_t> of;
    std::uint32_t count = 0;
    [[nodiscard]] std::uint32_t operator[](std::uint32_t terminal) const { return terminal == none ? none : of[terminal]; }
};

// Two nets as one key; (a, b) is not (b, a).
[[nodiscard]] constexpr std::uint64_t pair_of(std::uint32_t a, std::uint32_t b) { return std::uint64_t{a} << 32U | b; }

class UnionFind {
public:
    explicit UnionFind(std::uint32_t n);
    std::uint32_t find(std::uint32_t x);
    bool join(std::uint32_t a, std::uint32_t b);
    [[nodiscard]] Nets nets();

private:
    std::vector<std::uint32_t> parent_;
};

struct Network {
    std::uint32_t terminals = 0;
    std::vector<Edge> edges;
    std::vector<PowerSource> sources;  // strings first, in the order of the design, then batteries
    std::uint32_t strings = 0;         // how many of the sources are strings of PV modules
    std::vector<Port> ports;
    Nets wires;      // conductors, jumpers, metal
    Nets off;        // and guards: every switch off
    Nets idle;       // and contacts not made to open under load: every load-break switch off
    Nets on;         // and all contacts
    // adjacency: edges at terminal t are at[first[t] .. first[t+1])
    std::vector<std::uint32_t> first, at;
    std::vector<std::uint8_t> landings;  // ends of power conductors (no jumpers) on a terminal, at most 255
    std::vector<std::uint8_t> links;     // ends of jumpers on a terminal

    [[nodiscard]] std::uint32_t other(std::uint32_t edge, std::uint32_t terminal) const {
        return edges[edge].a == terminal ? edges[edge].b : edges[edge].a;
    }
    // The first conductor or jumper at a terminal; none if there is none.
    [[nodiscard]] std::uint32_t landing(std::uint32_t terminal) const;
    // Is this conductor part of the protective earthing: a bond, an earthing conductor, or one that lands on a PE terminal?
    [[nodiscard]] static bool protective(const graph::Design& d, const graph::Conductor& c);
};

// What moves a device's contacts: its own handle, or the one its gang shares.
[[nodiscard]] std::uint32_t handle_of(const graph::Design& design, std::uint32_t device);

[[nodiscard]] Network build_network(const graph::Design& design, const std::vector<PartData>& parts);

}  // namespace ferrule::facts
