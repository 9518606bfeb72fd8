// A report as text for a person or as JSON for a program. Nothing here decides anything: it lays out what the
// findings say. Linear in what is shown.
#pragma once

#include <string>
#include <vector>

#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::render {

// Beside the findings: what was looked at, so that a clean report still says what it is worth.
struct Checked {
    std::vector<std::string> files;      // as the user named them
    std::vector<std::string> standards;  // as they are cited: "NFPA 70-2023"; empty if no design named one
    std::string folder = {};             // the working folder, for formats that want paths from there; "" leaves them as they are
};

struct TextStyle {
    bool colour = false;
    bool working = false;  // the arithmetic of every finding; without it only of errors
};

// First line of a finding: `file:line:column: severity: message [rule]`; below it labelled lines. The summary is last.
[[nodiscard]] std::string as_text(const findings::Report& report, const text::Sources& sources, const Checked& checked,
                                  const TextStyle& style);

// Findings alone, without a summary.
[[nodiscard]] std::string findings_as_text(const std::vector<findings::Finding>& found, const text::Sources& sources,
                                           const TextStyle& style);

// One object, version 1; lines and columns from 1, columns in code points, ends exclusive.
[[nodiscard]] std::string as_json(const findings::Report& report, const text::Sources& sources, const Checked& checked);

// "NFPA 70-2023, 690.7(A) (from memory)"
[[nodiscard]] std::string cited(const findings::Citation& citation);

// "site.fer:41:5"; empty for a span without a file.
[[nodiscard]] std::string place(const text::Sources& sources, text::Span span);

}  // namespace ferrule::render
