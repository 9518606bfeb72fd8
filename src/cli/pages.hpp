// The pages of the rules, one a rule, that findings link to: where they lie beside the installed program, and how they are made.
#pragma once

#include <optional>
#include <string>

#include "base/files.hpp"
#include "project/knowledge.hpp"

namespace ferrule::cli {

// The folder of pages that belongs to this program: share/doc/ferrule/rules beside its bin/, or rule-pages beside it in a build
// folder. "" if there is none.
[[nodiscard]] std::string rule_pages();

// Where the program runs; "" if that is no longer there.
[[nodiscard]] std::string working_folder();

// Makes a folder and those above it; what went wrong, or nothing.
[[nodiscard]] std::optional<std::string> make_folder(const std::string& folder);

// Writes a page ID.md for every rule, its examples included; what went wrong, or nothing. The knowledge must hold the examples.
[[nodiscard]] std::optional<std::string> write_rule_pages(const project::Knowledge& knowledge, const base::FileSystem& files, const std::string& folder);

}  // namespace ferrule::cli
