// What the program knows before it reads a design: units, kinds and statements of the language, the standards, the
// fact tables, the rules. Made once a run from the files inside the program and the user's own rule folders.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/files.hpp"
#include "facts/table.hpp"
#include "findings/finding.hpp"
#include "graph/kinds.hpp"
#include "rules/rule.hpp"
#include "tables/standard.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::project {

struct Knowledge {
    units::Units units;
    graph::Kinds kinds;
    std::vector<tables::Standard> standards;
    facts::Facts schema;
    rules::RuleSet rules;
    // About rule files that cannot be used, and folders that cannot be read (those without a place). With any of
    // these the job is not done: exit status 2, whatever else was found.
    std::vector<findings::Finding> findings;

    [[nodiscard]] const tables::Standard* standard(std::string_view id) const;
    [[nodiscard]] std::string standard_ids() const;  // "iec-62548, nec-2023"
};

struct KnowledgeOptions {
    std::vector<std::string> rule_folders = {};  // house rules: every .toml below them
    bool examples = false;                  // read the rules' examples too: only `explain` and the tests look at them
    bool built_in_rules = true;             // the rules inside the program; a writer of rules may want only a folder's
    std::vector<std::pair<std::string, std::string>> shown_units = {};  // dimension and unit: how computed values are shown
};

// The sources get a copy of every file read, so that findings about them have a place.
[[nodiscard]] Knowledge learn(text::Sources& sources, const base::FileSystem& files, const KnowledgeOptions& options);

}  // namespace ferrule::project
