// The whole way of a check: text, tree, graph, facts, rules, findings.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "facts/table.hpp"
#include "findings/finding.hpp"
#include "project/knowledge.hpp"
#include "project/loader.hpp"
#include "render/report.hpp"
#include "resolve/resolve.hpp"
#include "rules/run.hpp"
#include "text/source.hpp"

namespace ferrule::project {

struct CheckOptions {
    std::string standard;          // id; overrides the site's
    std::string default_standard;  // id; for designs whose site names none
    rules::Options rules;
};

// One design read and computed, its findings so far those of reading alone. Facts refer to the design and the
// standard, so a Study stays where it is made.
struct Study {
    resolve::Result read;
    tables::Standard no_standard;  // without any figure: for a design that names none that is known
    const tables::Standard* standard = nullptr;
    facts::Facts facts;
    std::vector<findings::Finding> findings;
    std::vector<text::FileId> files;
};
[[nodiscard]] std::unique_ptr<Study> study(text::Sources& sources, Loader& loader, text::FileId root,
                                           const Knowledge& knowledge, const CheckOptions& options, bool keep_uses = false);

// The findings of one design, those of reading and those of the rules, not settled yet; the study keeps none.
[[nodiscard]] findings::Report judge(Study& study, const Knowledge& knowledge, const CheckOptions& options);

struct CheckResult {
    findings::Report report;  // settled
    render::Checked checked;
};

// Each root is a design of its own; what several of them share is reported once.
[[nodiscard]] CheckResult check(text::Sources& sources, Loader& loader, const std::vector<text::FileId>& roots,
                                const Knowledge& knowledge, const CheckOptions& options);

}  // namespace ferrule::project
