// A number of the text that became another, where a figure of the design is all that hangs on it.
#pragma once

#include "graph/design.hpp"
#include "resolve/written.hpp"

namespace ferrule::resolve {

// Of two texts that differ in this number alone (syntax/alike.hpp): how many parts stand in the strings of a statement is changed in the
// design that was resolved of the first. False, and nothing is changed: more may hang on the number, or the reader would have something
// to say. The statement stands outside of repeats and assemblies, and nothing was said of it before.
[[nodiscard]] bool change_count(graph::Design& design, Text before, Text now, syntax::NodeIndex number);

}  // namespace ferrule::resolve
