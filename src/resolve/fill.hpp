// Where things stand and what they state about themselves: places, boxes and rows; the entries of
// boxes.
#pragma once

#include "resolve/build.hpp"

namespace ferrule::resolve {

void read_site(Build& b);
void fill_blocks(Build& b);  // what had to wait

// A block that can name no thing is read as soon as its things are made.
[[nodiscard]] bool must_wait(const Build& b, ThingClass cls);
void fill_block(Build& b, const Pending& p, NodeIndex block);

}  // namespace ferrule::resolve
