// The page of what stands beside designs: settings, acceptances, lists, and the findings about them.
#include "project/explain_pages.hpp"

#include <algorithm>
#include <array>

namespace ferrule::project {

bool explain_settings(const Knowledge&, std::string_view word, render::Paper& paper) {
    static constexpr std::array<std::string_view, 7> words = {"settings",          "ferrule.toml",    "acceptances",    "settings.project",
                                                              "settings.toml",     "settings.tables", "settings.rule-files"};
    if (std::find(words.begin(), words.end(), word) == words.end()) return false;
    title(paper, word, word.starts_with("settings.") ? "a mistake beside the designs" : "files beside the designs");
    paper.prose("`ferrule.toml`, the nearest upward from a design, says what holds for it; everything in it is optional. Nothing in it is followed while "
                "one thing in it, in the acceptances or in house rules is wrong: the mistake is told and the exit status is 2. `ferrule check "
                "--show-settings` says what holds and from where.");
    paper.verbatim("standard    = \"nec-2023\"         # for designs whose site names none\n"
                   "rules       = [\"house-rules\"]    # folders, from this file's own\n"
                   "acceptances = \"lived-with.toml\"\n"
                   "\n"
                   "[severity]                       # error, warning or note\n"
                   "\"conductor.voltage-drop\" = \"note\"\n"
                   "\n"
                   "[units]                          # how computed values are shown\n"
                   "length = \"ft\"\n");
    paper.prose("A file of acceptances is for designs one may not write in. A finding of a rule of life and limb takes reason, name and date.");
    paper.verbatim("[[accept]]\n"
                   "rule    = \"conductor.voltage-drop\"\n"
                   "on      = \"EAST.+ -> Q1.1\"      # left out: wherever it is found\n"
                   "because = \"measured: 2.1 %\"\n"
                   "until   = \"2027-06\"             # left out: for good\n"
                   "by      = \"N. Nobody\"\n");
    return true;
}

}  // namespace ferrule::project
