// Assemblies before anything is expanded: their names, circles among them, and what each comes to.
// Counting first is what keeps forty assemblies that each use the previous one twice from being
// written out.
#pragma once

#include "resolve/build.hpp"
#include "resolve/walk.hpp"

namespace ferrule::resolve {

// Names and counts them. Those in a circle, or too large, are reported and cannot be used.
void read_assemblies(Build& b);

// Whether a statement outside of assemblies fits into what a design may still hold; if not it is
// reported, and what it would declare is declared in vain. Only repeats and ranges cost anything.
[[nodiscard]] bool affordable(Build& b, Statement s, Task task);

}  // namespace ferrule::resolve
