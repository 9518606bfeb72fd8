// Names that a reader takes for one another: they differ only in case, or in - and _.
#pragma once

#include "resolve/build.hpp"

namespace ferrule::resolve {

void near_names(Build& b);

}  // namespace ferrule::resolve
