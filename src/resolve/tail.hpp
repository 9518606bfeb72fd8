// What stands behind the second terminal of a conductor, in any order. Read once for a statement,
// then given to each of its conductors.
#pragma once

#include <vector>

#include "resolve/build.hpp"
#include "resolve/refs.hpp"

namespace ferrule::resolve {

struct Claim {
    NodeIndex device = no_node;
    Symbol side;
    std::uint16_t position = 0;
    Span span;
};

struct Tail {
    PartId cable;
    NodeIndex named_cable = no_node;  // a reference to a cable with a name
    std::uint32_t core = 0;
    Span core_span;
    double area = graph::unknown;
    units::UnitId area_unit;
    Symbol material, colour;
    double length = graph::unknown;
    double rated_voltage = graph::unknown;
    Symbol mark;  // as W3
    Symbol text;  // what is printed on it, in quotes; need not be its own
    NodeIndex mark_node = no_node;
    bool mark_indexed = false;  // as W[i], as W[1..6]
    Symbol end_a, end_b;
    PartId end_part_a, end_part_b;
    std::vector<NodeIndex> via, by;  // references
    std::vector<Claim> claims;
    bool good = true;  // false: something in it was reported
};

enum class TailOf : std::uint8_t { conductor, jumper };

[[nodiscard]] Tail read_tail(Build& b, const View& v, NodeIndex statement, NodeIndex first,
                             Scope scope, TailOf what);

// A word behind `ends`: ferrule, bare, lug-M8, or a connector; none if it is a name of nothing
// (reported).
struct End {
    Symbol word;
    PartId part;
};
[[nodiscard]] End read_end(Build& b, Symbol word, Span at, std::uint32_t instance);

}  // namespace ferrule::resolve
