// Labels, steps, readings and accepts: what names in them mean. Judging them is not the business of
// this room.
#pragma once

#include "resolve/build.hpp"

namespace ferrule::resolve {

void read_paper(Build& b, Statement s, Scope scope);

}  // namespace ferrule::resolve
