// The designs of one run by the settings that hold for them, and what the program knows with those.
#pragma once

#include <deque>
#include <string>
#include <vector>

#include "base/files.hpp"
#include "cli/arguments.hpp"
#include "project/check.hpp"
#include "project/knowledge.hpp"
#include "project/loader.hpp"
#include "project/settings.hpp"
#include "text/source.hpp"

namespace ferrule::cli {

struct Group {
    project::Settings settings;
    project::Knowledge knowledge;
    std::vector<text::FileId> roots;
    // Mistakes in the settings, the acceptances or the rule files: with any of these the group's designs are not checked.
    std::vector<findings::Finding> mistakes;
    [[nodiscard]] project::CheckOptions options(const Arguments& a) const;
};

// In the order of the designs. References to groups stay valid.
[[nodiscard]] std::deque<Group> group(const Arguments& a, text::Sources& sources, const base::FileSystem& files, const std::vector<text::FileId>& roots);

// What holds and from where, as lines for a person.
[[nodiscard]] std::string show_settings(const Group& g, const Arguments& a, const text::Sources& sources);

}  // namespace ferrule::cli
