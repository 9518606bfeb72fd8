// Holds what stands behind a property's word to the shape that the table of kinds gives it. Small,
// with backtracking; repeated values are taken greedily, so its depth is that of the shape and
// never that of the text.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "graph/kinds.hpp"
#include "resolve/view.hpp"
#include "units/units.hpp"

namespace ferrule::resolve {

// One value as written. A quantity that stands where labels do (`upper 1 N 2 A`) is split into two
// atoms.
struct Atom {
    NodeIndex node = no_node;
    NodeKind kind = NodeKind::junk;
    std::uint32_t begin = 0, end = 0;
    std::string_view text;
    units::UnitId unit;  // of a quantity
    // of a reference: nothing but a name (EC-4); a name with or without an index (G[1..4]), no
    // terminal
    bool bare = false, local = false;
};

// The atoms of a statement: its children after `first`, without its block. Nothing if one of them
// is junk.
struct Atoms {
    std::vector<Atom> all;
    bool junk = false;
};
[[nodiscard]] Atoms read_atoms(const View& v, NodeIndex statement, NodeIndex first,
                               const units::Units& units);
[[nodiscard]] std::vector<Atom> split_quantities(const View& v, const std::vector<Atom>& atoms);

struct Capture {
    const graph::Shape* field = nullptr;
    std::uint32_t first = 0;  // atom
    std::uint32_t count = 1;  // 3 for a range, and for a pair written `A to B`
};

class ShapeMatch {
public:
    ShapeMatch(const units::Units& units, const std::vector<Atom>& atoms)
        : units_(&units), atoms_(&atoms) {}

    [[nodiscard]] bool fits(const graph::Shape& shape);
    [[nodiscard]] const std::vector<Capture>& captures() const { return captures_; }
    // When it does not fit: how far it did, and what could have stood there.
    [[nodiscard]] std::size_t furthest() const { return furthest_; }
    [[nodiscard]] const std::vector<const graph::Shape*>& wanted() const { return wanted_; }
    [[nodiscard]] bool surplus() const { return surplus_; }  // the shape could have ended there

private:
    // What is left of the shapes around, innermost first.
    struct Rest {
        const graph::Shape* sequence;
        std::size_t child;
        const Rest* up;
    };
    bool match(const graph::Shape& s, std::size_t at, const Rest* rest);
    bool resume(const Rest* rest, std::size_t at);
    bool match_repeat(const graph::Shape& s, std::size_t at, const Rest* rest);
    [[nodiscard]] std::size_t accept(const graph::Shape& field,
                                     std::size_t at) const;  // atoms taken; 0: none
    bool miss(const graph::Shape& s, std::size_t at);

    const units::Units* units_;
    const std::vector<Atom>* atoms_;
    std::vector<Capture> captures_;
    std::vector<const graph::Shape*> wanted_;
    std::size_t furthest_ = 0;
    std::size_t end_ = 0;  // where a match that may stop anywhere stopped
    bool surplus_ = false;
    bool anywhere_ = false;
};

}  // namespace ferrule::resolve
