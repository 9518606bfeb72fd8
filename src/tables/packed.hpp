// A TOML file as it was read, written down as bytes: what is inside the program is read once, when the program is built, and only
// unpacked when it starts. Places stay what they were, as offsets in the file's text.
#pragma once

#include <string>
#include <string_view>

#include "tables/toml.hpp"

namespace ferrule::tables {

// The root table of a file without findings.
[[nodiscard]] std::string pack(const Value& root);

// What was packed; the places are in `file`. The bytes are trusted: they come from `pack`.
[[nodiscard]] Value unpack(std::string_view bytes, text::FileId file);

}  // namespace ferrule::tables
