// Only what differs from a commit, and whatever that affects: the designs that hold a changed file are checked as they are and as they
// were, and what is new, says something else, or stands on a changed line is kept.
#pragma once

#include <deque>
#include <string>

#include "cli/groups.hpp"

namespace ferrule::cli {

struct Changed {
    project::CheckResult result;  // settled
    std::string trouble;          // then nothing was compared
};

[[nodiscard]] Changed check_changed(const Arguments& a, text::Sources& sources, project::Loader& loader, const base::FileSystem& files,
                                    const std::deque<Group>& groups);

// The designs of a group checked with its settings; not settled.
[[nodiscard]] project::CheckResult checked(text::Sources& sources, project::Loader& loader, const Group& g, const Arguments& a);

// Adds the report of some designs to that of others.
void merge(project::CheckResult& into, project::CheckResult from);

}  // namespace ferrule::cli
