// Everything that has a name and stands somewhere: places, strings, enclosures, devices, runs,
// cables, and the members of assemblies; each with its part and its terminals. What they state
// about themselves comes in the next step.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "resolve/build.hpp"

namespace ferrule::resolve {

void read_exceptions(Build& b);  // `except`, before the things that differ are made
void make_things(Build& b);
void make_ports(Build& b);        // of the instances of assemblies
void check_exceptions(Build& b);  // those that named nothing

// `24` of `24 x M450`; nothing if no string can have so many.
[[nodiscard]] std::optional<std::uint32_t> parts_in_series(std::string_view digits);

}  // namespace ferrule::resolve
