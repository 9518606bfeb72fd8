// The single pages of `explain`. Each prints what it finds under a word and says whether it found anything.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "project/knowledge.hpp"
#include "render/paper.hpp"

namespace ferrule::project {

// The first line of a page: the word, and what sort of word it is.
void title(render::Paper& paper, std::string_view name, std::string_view what);

// The language.
bool explain_statement(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_kind(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_property(const Knowledge& k, std::string_view kind, std::string_view property, render::Paper& paper);  // kind "": any
bool explain_unit(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_dimension(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_tail_word(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_default(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_settings(const Knowledge& k, std::string_view word, render::Paper& paper);

// What is demanded.
bool explain_rule(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_family(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_table(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_fact(const Knowledge& k, std::string_view table, std::string_view fact, render::Paper& paper);  // table "": any
bool explain_standard(const Knowledge& k, std::string_view word, render::Paper& paper);
bool explain_figure(const Knowledge& k, std::string_view word, render::Paper& paper);

}  // namespace ferrule::project
