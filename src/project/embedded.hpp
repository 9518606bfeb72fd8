// The files the program carries inside itself, put there when it is built (project/embed): the rules, the standards'
// tables, the units, kinds and statements of the language. What they hold is in memory from the start; nothing is
// copied or read before somebody asks.
#pragma once

#include <span>
#include <string_view>

namespace ferrule::project {

struct EmbeddedFile {
    std::string_view name;      // from the project's root: "rules/polarity/string-reversed.toml"
    std::string_view text;      // all up to the first [[example]]
    std::string_view examples;  // from there to the end: only `explain` and the tests read it
    std::string_view packed;    // the text as read (tables/packed.hpp)
};

// Sorted by name.
[[nodiscard]] std::span<const EmbeddedFile> embedded_files();

// The file of that name; a programmer's mistake if there is none.
[[nodiscard]] const EmbeddedFile& embedded_file(std::string_view name);

}  // namespace ferrule::project
