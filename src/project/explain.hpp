// The reference, printed from the same tables that the program runs on: statements, kinds, properties, units, rules,
// computed values, standards. Without a word: how a design is written, from the start.
#pragma once

#include <string>
#include <vector>

#include "project/knowledge.hpp"
#include "render/paper.hpp"

namespace ferrule::project {

// Everything that bears one of these words; two words may be a kind and its property, or a table and its value
// ("isolator rated", "string voc-coldest"). The words that nothing bears are returned.
[[nodiscard]] std::vector<std::string> explain(const Knowledge& knowledge, const std::vector<std::string>& words,
                                               render::Paper& paper);

// For a word nothing bears: the nearest one that something does, or "".
[[nodiscard]] std::string nearest_word(const Knowledge& knowledge, std::string_view word);

// How a design is written: a small design that can be checked as it stands, the statements, how to go on.
void overview(const Knowledge& knowledge, render::Paper& paper);
[[nodiscard]] std::string_view overview_design();

// The list of rules under a standard (an id; "": all rules), by family.
void list_rules(const Knowledge& knowledge, std::string_view standard, render::Paper& paper);

}  // namespace ferrule::project
