// The inside of each step as text, for whoever works on ferrule. Nothing depends on these lines staying as they are.
#pragma once

#include <string>

#include "facts/table.hpp"
#include "graph/design.hpp"
#include "syntax/tree.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::project {

[[nodiscard]] std::string tree_text(const text::Sources& sources, const syntax::Tree& tree);
[[nodiscard]] std::string graph_text(const graph::Design& design);
[[nodiscard]] std::string facts_text(const facts::Facts& facts, const units::Units& units);  // one row a block, without working

}  // namespace ferrule::project
