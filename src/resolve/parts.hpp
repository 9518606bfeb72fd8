// Data sheets: the parts of a design with their terminals, poles, joins, ports and faces.
#pragma once

#include "resolve/build.hpp"

namespace ferrule::resolve {

// Gives every part its name first, so that they may stand in any order, then reads them.
void read_parts(Build& b);

// The part that places, strings, runs and plain boxes have: their own kind of block with its
// terminals.
[[nodiscard]] PartId own_part(Build& b, KindId block, Symbol name, Span span);

}  // namespace ferrule::resolve
