// What a finding is: data only. Whoever shows it adds layout, never facts.
//   what is the case (message, with both numbers and units) · where (span, related) ·
//   how do you know and who says so (working, sources, assumed) · what can I do (remedy, edits)
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "text/source.hpp"

namespace ferrule::findings {

enum class Severity : std::uint8_t { error, warning, note };

[[nodiscard]] std::string_view word(Severity s);

struct Related {
    text::Span span;
    std::string message;
};

struct Edit {  // replace these bytes by this text
    text::Span span;
    std::string text;
    bool certain = false;  // what was meant is beyond doubt; else a person looks first
};

struct Citation {
    std::string standard;  // with its edition, as it is cited: "NFPA 70-2023"; empty for common practice
    std::string clause;    // "690.7(A)"; may be empty
    std::string status;    // "" confirmed, else "from memory" or "common practice, no source"
};

struct Acceptance {
    std::string reason;
    std::string by;
    std::string until;
    text::Span span;
    bool external = false;  // in a file of acceptances, not in the design
};

struct Finding {
    std::string rule;
    Severity severity = Severity::error;
    std::string message;  // lower case, no full stop
    text::Span span;
    std::string subject;  // the name of the thing, as written
    std::uint32_t count = 1;
    std::vector<std::string> more;  // the names of the others when count > 1 (the first few)
    std::vector<std::uint32_t> things;  // all that it is about, as the graph counts them: on these it can be accepted
    std::vector<Related> related;
    std::vector<std::string> working;  // one step of arithmetic a line
    std::vector<std::string> assumed;
    std::vector<Citation> sources;
    std::string remedy;
    std::vector<Edit> edits;
    std::optional<Acceptance> accepted;
    bool known = false;  // listed as known before: told apart in the counts, fails nothing
};

// A rule that could not decide, and what it lacked.
struct Undecided {
    std::string rule;
    std::string subject;
    std::string missing;
    text::Span span;
    std::uint32_t count = 1;
};

struct Summary {
    std::uint32_t errors = 0, warnings = 0, notes = 0, accepted = 0, undecided = 0, known = 0;
    std::uint32_t rules = 0, devices = 0, conductors = 0;
};

struct Report {
    std::vector<Finding> findings;
    std::vector<Undecided> undecided;
    Summary summary;
    std::vector<std::uint8_t> outside_used;  // of the acceptances from outside: which met a finding
};

// Sorts by file, place, severity and rule; joins findings of one rule on one line of text into one with a count (a line that
// declares several things, or stands in a repeat, is one mistake); counts the summary's findings. Linear but for the sort.
void settle(Report& report, const text::Sources& sources);

// Counts the summary's findings anew, after some were marked as known or given another severity.
void count(Report& report);

}  // namespace ferrule::findings
