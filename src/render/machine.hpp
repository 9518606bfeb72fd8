// A report for other programs: SARIF 2.1.0 for code scanning, JUnit for test reports, GitHub's annotation commands, GitLab's code
// quality. Each is a whole document even when nothing was found; each field is escaped as its format asks; bytes that are no UTF-8 become
// U+FFFD. Paths below the working folder are written from there: the services take no others.
#pragma once

#include <string>
#include <vector>

#include "findings/finding.hpp"
#include "render/report.hpp"
#include "text/source.hpp"

namespace ferrule::render {

// What a format says of a rule beside its findings.
struct RuleText {
    std::string id, title, why;
    findings::Severity severity = findings::Severity::error;
    bool life_safety = false;
    std::vector<findings::Citation> sources;
};

struct About {
    std::string version;            // of the program
    std::vector<RuleText> rules;    // those that were run, and those of reading
    std::string rule_pages;         // a folder with a page ID.md a rule, or ""
    int exit_status = 0;
};

// Spans with ends, fixes, related places, the chain of numbers as a code flow, fingerprints of rule and component path, acceptances as
// suppressions; what could not be judged as results of kind `open`. At most 25,000 results, the errors first; what is left out is said.
[[nodiscard]] std::string as_sarif(const findings::Report& report, const text::Sources& sources, const Checked& checked, const About& about);

// A suite a file, a case a finding; accepted and undecided ones are skipped cases.
[[nodiscard]] std::string as_junit(const findings::Report& report, const text::Sources& sources, const Checked& checked);

// An annotation a finding that counts, and a last line with the numbers; accepted and known findings are in the numbers alone.
[[nodiscard]] std::string as_github(const findings::Report& report, const text::Sources& sources, const Checked& checked);

// What is accepted is left out.
[[nodiscard]] std::string as_gitlab(const findings::Report& report, const text::Sources& sources, const Checked& checked);

// File, rule and component, with a number for the second and further ones: what stays the same when lines move. One a finding.
[[nodiscard]] std::vector<std::string> identities(const findings::Report& report, const text::Sources& sources, const Checked& checked);

}  // namespace ferrule::render
