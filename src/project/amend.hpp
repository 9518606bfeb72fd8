// A design that was checked, after an edit of blanks and comments, of one string's count, or of one statement that is a conductor or cannot be
// read: what cannot have changed is taken over.
#pragma once

#include "findings/finding.hpp"
#include "project/check.hpp"
#include "project/loader.hpp"

namespace ferrule::project {

enum class Amended {
    no,       // the study and the report are of no more use: the design is to be checked anew
    moved,    // both are what they would be if it were checked anew
    judged_anew,  // the study is; the report is to be made of it
};
// The tree of the edited file is that of `loader`.
[[nodiscard]] Amended amend(Study& study, findings::Report& report, text::Sources& sources, Loader& loader, const Edited& edited);

}  // namespace ferrule::project
