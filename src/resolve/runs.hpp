// Which cables pass which entries of a box: `enters BOX by G[1..4]` in a run.
//
// Those of the run's cables with one end in the box, or all if none has, pass the entries named.
// One entry: all pass it. Several: one cable each (as many as a gland has holes), matched by
// diameter, whatever the order of the lines. A cable of several cores is one cable. A conductor
// that says `by BOX.G1` itself is not counted again.
#pragma once

#include "resolve/build.hpp"
#include "resolve/cables.hpp"

namespace ferrule::resolve {

void pass_entries(Build& b, Cables& cables);

}  // namespace ferrule::resolve
