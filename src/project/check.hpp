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

// One design read and computed, its findings those of reading alone. Facts refer to the design and the
// standard, so a Study stays where it is made.
struct Study {
    graph::Design design;
    tables::Standard no_standard;  // without any figure: for a design that names none that is known
    const tables::Standard* standard = nullptr;
    facts::Facts facts;
    std::vector<findings::Finding> findings;
    std::vector<text::FileId> files;
    bool doubted = false;  // resolve::Result::doubted
    rules::Remembered remembered;
    std::unique_ptr<Study> replaced;  // what this one was made from and needs no more: taking it down may take longer than telling the findings
};
[[nodiscard]] std::unique_ptr<Study> study(text::Sources& sources, Loader& loader, text::FileId root,
                                           const Knowledge& knowledge, const CheckOptions& options);
// The very same, sooner where `before`, of the same design with the same knowledge and options, has judged facts that are the same, or mostly.
[[nodiscard]] std::unique_ptr<Study> study_again(text::Sources& sources, Loader& loader, text::FileId root, const Knowledge& knowledge,
                                                 const CheckOptions& options, std::unique_ptr<Study> before);

// The findings of one design, those of reading and those of the rules, not settled yet. The study remembers what the rules came to.
[[nodiscard]] findings::Report judge(Study& study, const Knowledge& knowledge, const CheckOptions& options);

struct CheckResult {
    findings::Report report;  // settled
    render::Checked checked;
};

// Each root is a design of its own; what several of them share is reported once.
[[nodiscard]] CheckResult check(text::Sources& sources, Loader& loader, const std::vector<text::FileId>& roots,
                                const Knowledge& knowledge, const CheckOptions& options);

}  // namespace ferrule::project
