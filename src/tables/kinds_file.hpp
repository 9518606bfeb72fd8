// grammar/units.toml, grammar/kinds.toml and grammar/statements.toml into the tables of `units` and `graph`.
#pragma once

#include <string_view>
#include <vector>

#include "findings/finding.hpp"
#include "graph/kinds.hpp"
#include "tables/toml.hpp"
#include "units/units.hpp"

namespace ferrule::tables {

struct UnitsFile {
    units::Units units;
    std::vector<findings::Finding> findings;
};
[[nodiscard]] UnitsFile read_units(const TomlFile& file);

struct KindsFile {
    graph::Kinds kinds;
    std::vector<findings::Finding> findings;
};
[[nodiscard]] KindsFile read_kinds(const TomlFile& kinds, const TomlFile& statements, const units::Units& units);

// A shape as the tables write it into its tree; the text of what is wrong if it cannot be read.
struct ShapeResult {
    graph::Shape shape;
    std::string error;
};
[[nodiscard]] ShapeResult read_shape(std::string_view text, const units::Units& units);

}  // namespace ferrule::tables
