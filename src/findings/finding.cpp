#include "findings/finding.hpp"

#include <algorithm>
#include <tuple>

namespace ferrule::findings {

namespace {

constexpr std::size_t names_kept = 8;  // of the others in a joined finding

// Files first, then the place; a finding without a place comes last.
auto key(const Finding& f) {
    return std::make_tuple(f.span.file.value, f.span.begin, f.severity, std::string_view(f.rule),
                           f.span.end);
}

bool joins(const Finding& a, const Finding& b) {
    // Without a subject it is about a word of the text, which the message names: what is wrong with `coper` is not alike what is wrong with `redd`.
    if (a.subject.empty() && b.subject.empty() && a.message != b.message) return false;
    return a.rule == b.rule && a.severity == b.severity &&
           a.accepted.has_value() == b.accepted.has_value();
}

// Is there no line break between two places of one file? Looks no further than `near` bytes.
bool on_one_line(const text::Span& a, const text::Span& b, const text::Sources& sources) {
    constexpr std::uint32_t near = 4096;
    if (!a || a.file != b.file || b.begin < a.begin || b.begin - a.begin > near) return !a && !b;
    return sources[a.file].bytes().substr(a.begin, b.begin - a.begin).find('\n') ==
           std::string_view::npos;
}

void join(Finding& into, Finding& from) {
    into.count += from.count;
    const auto add = [&into](std::string& name) {
        const bool known = name.empty() || name == into.subject ||
                           std::find(into.more.begin(), into.more.end(), name) != into.more.end();
        if (!known && into.more.size() < names_kept) into.more.push_back(std::move(name));
    };
    into.things.insert(into.things.end(), from.things.begin(), from.things.end());
    add(from.subject);
    for (std::string& name : from.more) add(name);
}

}  // namespace

std::string_view word(Severity s) {
    switch (s) {
        case Severity::error:
            return "error";
        case Severity::warning:
            return "warning";
        case Severity::note:
            return "note";
    }
    return "";
}

void settle(Report& report, const text::Sources& sources) {
    std::vector<Finding>& all = report.findings;
    std::stable_sort(all.begin(), all.end(),
                     [](const Finding& a, const Finding& b) { return key(a) < key(b); });
    std::vector<Finding> kept;
    kept.reserve(all.size());
    for (Finding& f : all) {
        Finding* same = nullptr;
        for (auto k = kept.rbegin(); k != kept.rend() && on_one_line(k->span, f.span, sources);
             ++k) {
            if (joins(*k, f)) same = &*k;
        }
        if (same != nullptr) join(*same, f);
        else kept.push_back(std::move(f));
    }
    all = std::move(kept);
    count(report);
}

void count(Report& report) {
    Summary& sum = report.summary;
    sum.errors = sum.warnings = sum.notes = sum.accepted = sum.known = 0;
    for (const Finding& f : report.findings) {
        if (f.accepted) ++sum.accepted;
        else if (f.known) ++sum.known;
        else if (f.severity == Severity::error) ++sum.errors;
        else if (f.severity == Severity::warning) ++sum.warnings;
        else ++sum.notes;
    }
    sum.undecided = static_cast<std::uint32_t>(report.undecided.size());
}

}  // namespace ferrule::findings
