// What may be changed in a frozen design to see how far it can go: the site's coldest and hottest temperature, the air of a place
// that states its own, the length of a run or conductor, the number of modules in a string. One change is what an author would change in one line of the text: a repeat, or
// several names in one statement, change together.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "graph/design.hpp"

namespace ferrule::project {

struct Change {
    enum class Kind : std::uint8_t { coldest, hottest, modules, length };
    Kind kind = Kind::coldest;
    std::string of;         // "the site", "ROOF", "EAST.+ -> Q1.1"
    text::Span place;       // the datum in the text
    double base = 0;        // K, m, modules: as the design has it
    units::UnitId unit;     // as its author wrote it
    enum class End : std::uint8_t { both, low, high };
    End end = End::both;    // of a range: which end moves
    std::int64_t down = 0, up = 0;  // steps it may go either way: of 0.01 K (up: worse, colder or hotter), 0.01 m or one module
    std::vector<graph::FieldId> fields;
    std::vector<std::pair<graph::ConductorId, std::uint32_t>> conductors;  // how often the length counts in each
    std::vector<std::uint32_t> groups;                                     // Design::groups

    [[nodiscard]] double steps_a_unit() const { return kind == Kind::modules ? 1 : 100; }
    // The datum after so many steps, SI; rounded as a person would write it.
    [[nodiscard]] double value(std::int64_t steps, const units::Units& units) const;
    // Lays it on a copy of the design it was made from; no steps put it back.
    void lay(graph::Design& copy, const graph::Design& original, std::int64_t steps) const;
};

struct Changes {
    std::vector<Change> all;
    std::vector<std::string> left_out;  // those beyond limits::margin_statements
};

[[nodiscard]] Changes possible_changes(const graph::Design& design);

}  // namespace ferrule::project
