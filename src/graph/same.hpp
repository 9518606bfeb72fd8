// Do two designs say the same, but for where it stands in the text, how long conductors are and for how many volts they are rated, and how many
// parts stand in a string?
#pragma once

#include "graph/design.hpp"

namespace ferrule::graph {

// Symbols count as the same under the same number alone, so names that came in another order are a difference. Linear.
[[nodiscard]] bool same_statements(const Design& a, const Design& b);
[[nodiscard]] bool same_number(double a, double b);  // bit for bit, so that one unknown is like another
[[nodiscard]] bool same_but_figures(const Conductor& a, const Conductor& b);
// Of two such designs: are those figures the same, too?
[[nodiscard]] bool same_figures(const Design& a, const Design& b);

}  // namespace ferrule::graph
