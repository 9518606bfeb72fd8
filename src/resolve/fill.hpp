// Where things stand and what they state about themselves: places, boxes and rows; the entries of boxes.
#pragma once

#include "resolve/build.hpp"

namespace ferrule::resolve {

void read_site(Build& b);
void fill_blocks(Build& b);

}  // namespace ferrule::resolve
