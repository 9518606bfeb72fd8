// The files of editors/ that hold words of the language, made from the program's own tables.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace ferrule::tests {

// Path below editors/ and content, of each.
[[nodiscard]] std::vector<std::pair<std::string, std::string>> editor_files();

}  // namespace ferrule::tests
