// All files of a design, each once, in the order in which they are first included; and their
// statements, sorted by the step that reads them.
#pragma once

#include "resolve/build.hpp"

namespace ferrule::resolve {

void gather(Build& b, text::FileId root);

}  // namespace ferrule::resolve
