#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "render/paper.hpp"
#include "render/report.hpp"

namespace ferrule::render {

namespace {

using findings::Finding;
using findings::Severity;

constexpr std::size_t window = 84;  // code points of a source line shown at once
constexpr std::size_t most_related = 8;
constexpr std::size_t most_rules_named = 4;

Ink ink(Severity s) {
    return s == Severity::error ? Ink::red : s == Severity::warning ? Ink::yellow : Ink::blue;
}

// The byte before which `points` code points lie, counted from the end of the text.
std::size_t last_points(std::string_view text, std::size_t points) {
    std::size_t at = text.size();
    while (at > 0 && points > 0) {
        --at;
        if ((static_cast<unsigned char>(text[at]) & 0xC0U) != 0x80U) --points;
    }
    return at;
}

std::size_t first_points(std::string_view text, std::size_t points) {
    std::size_t at = 0;
    while (at < text.size() && points > 0) {
        ++at;
        while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) ++at;
        --points;
    }
    return at;
}

// The source line with the place between « and »; a long line is cut to what stands around the place.
std::string marked_line(const text::Sources& sources, text::Span span, const Paper& paper) {
    const text::Source& source = sources[span.file];
    const std::uint32_t number = source.at(span.begin).line;
    const std::string_view line = source.line(number);
    const std::size_t start = source.line_begin(number);
    const std::size_t from = std::min<std::size_t>(span.begin - start, line.size());
    const std::size_t to = std::clamp<std::size_t>(span.end - start, from, line.size());
    std::string_view before = line.substr(0, from);
    std::string_view place = line.substr(from, to - from);
    std::string_view after = line.substr(to);
    before.remove_prefix(std::min(before.find_first_not_of(" \t"), before.size()));

    bool cut_before = false, cut_place = false, cut_after = false;
    if (const std::size_t n = first_points(place, window - 16); n < place.size()) {
        place = place.substr(0, n);
        after = {};
        cut_place = true;
    }
    const std::size_t room = window - std::min(window, length(place));
    if (const std::size_t n = last_points(before, std::max(room / 2, room - std::min(room, length(after)))); n > 0) {
        before = before.substr(n);
        cut_before = true;
    }
    if (const std::size_t n = first_points(after, room - std::min(room, length(before))); n < after.size()) {
        after = after.substr(0, n);
        cut_after = true;
    }
    return fmt::format("{}{}{}{}{}", cut_before ? "… " : "", text::printable(before),
                       paper.inked(Ink::strong, fmt::format("«{}{}»", text::printable(place), cut_place ? " …" : "")),
                       text::printable(after), cut_after ? " …" : "");
}

std::string edit_text(const text::Sources& sources, const findings::Edit& e) {
    const std::string_view old = sources.text(e.span);
    const std::string where = place(sources, e.span);
    if (e.text.empty()) return fmt::format("{}  take out «{}»", where, old);
    if (old.empty()) return fmt::format("{}  put in «{}»", where, e.text);
    return fmt::format("{}  «{}» becomes «{}»", where, old, e.text);
}

void headline(Paper& paper, const Finding& f, const text::Sources& sources) {
    const std::string where = place(sources, f.span);
    const std::string severity = f.accepted ? fmt::format("{}: accepted", findings::word(Severity::note))
                                            : std::string(findings::word(f.severity));
    paper.line(fmt::format("{}: {} {} {}", paper.inked(Ink::strong, text::printable(where.empty() ? "ferrule" : where)),
                           paper.inked(f.accepted ? Ink::green : ink(f.severity), severity + ":"),
                           text::printable(f.message), paper.inked(Ink::faint, fmt::format("[{}]", text::printable(f.rule)))));
}

// The first line of the group carries the label, the rest hang under it.
void list(Paper& paper, std::string_view label, const std::vector<std::string>& lines) {
    for (std::size_t i = 0; i < lines.size(); ++i) paper.labelled(i == 0 ? label : "", lines[i]);
}

void finding(Paper& paper, const Finding& f, const text::Sources& sources, const TextStyle& style) {
    headline(paper, f, sources);
    if (f.span) paper.labelled_raw("seen", marked_line(sources, f.span, paper));
    if (f.count > 1) {
        std::string others = fmt::format("{} times", f.count);
        for (std::size_t i = 0; i < f.more.size(); ++i) others += (i == 0 ? ", also " : ", ") + f.more[i];
        const std::size_t unnamed = f.count - 1 - std::min<std::size_t>(f.more.size(), f.count - 1);
        if (!f.more.empty() && unnamed > 0) others += fmt::format(" and {} more", unnamed);
        paper.labelled("alike", others);
    }
    if (f.accepted) {
        std::string why = f.accepted->reason;
        if (!f.accepted->until.empty()) why += ", until " + f.accepted->until;
        if (!f.accepted->by.empty()) why += ", by " + f.accepted->by;
        paper.labelled("because", why);
        if (!style.working) return;
    }
    if (style.working || f.severity == Severity::error) list(paper, "reckoned", f.working);
    list(paper, "assumed", f.assumed);
    std::vector<std::string> lines;
    for (const findings::Citation& c : f.sources) lines.push_back(cited(c));
    list(paper, "by", lines);
    lines.clear();
    for (const findings::Related& r : f.related) {
        if (lines.size() == most_related) {
            lines.push_back(fmt::format("and {} more places", f.related.size() - most_related));
            break;
        }
        lines.push_back(fmt::format("{}  {}", place(sources, r.span), r.message));
    }
    list(paper, "see", lines);
    if (!f.remedy.empty()) paper.labelled("do", f.remedy);
    lines.clear();
    for (const findings::Edit& e : f.edits) lines.push_back(edit_text(sources, e));
    list(paper, "edit", lines);
}

// Which rules could not decide, gathered by what they lack: a datum wanted by five rules is one line.
void undecided(Paper& paper, const findings::Report& report, const text::Sources& sources) {
    struct Lack {
        std::vector<std::string> rules, subjects;
        std::uint32_t count = 0;
    };
    std::map<std::pair<text::Span, std::string>, Lack> lacks;
    const auto add = [](std::vector<std::string>& list, const std::string& s) {
        if (!s.empty() && std::find(list.begin(), list.end(), s) == list.end()) list.push_back(s);
    };
    for (const findings::Undecided& u : report.undecided) {
        Lack& lack = lacks[{u.span, u.missing}];
        lack.count += u.count;
        add(lack.rules, u.rule);
        add(lack.subjects, u.subject);
    }
    const auto listed = [](const std::vector<std::string>& all) {
        std::string s;
        for (std::size_t i = 0; i < std::min(all.size(), most_rules_named); ++i) s += (i == 0 ? "" : ", ") + all[i];
        if (all.size() > most_rules_named) s += fmt::format(" and {} more", all.size() - most_rules_named);
        return s;
    };
    for (const auto& [key, lack] : lacks) {
        std::string body = place(sources, key.first);
        body += fmt::format("{}{} is missing; {} cannot judge", body.empty() ? "" : "  ", key.second, listed(lack.rules));
        const bool named = lack.subjects.size() == 1 && key.second.find(lack.subjects.front()) != std::string::npos;
        if (named) body += " it";
        else if (!lack.subjects.empty()) body += ' ' + listed(lack.subjects);
        paper.labelled("undecided", body, 0);
    }
}

}  // namespace

std::string cited(const findings::Citation& c) {
    std::string text = c.standard;
    if (!c.clause.empty()) text += (text.empty() ? "" : ", ") + c.clause;
    if (text.empty()) return c.status;
    if (!c.status.empty()) text += " (" + c.status + ")";
    return text;
}

std::string place(const text::Sources& sources, text::Span span) {
    if (!span) return {};
    const text::LineColumn at = sources[span.file].at(span.begin);
    return fmt::format("{}:{}:{}", sources[span.file].path(), at.line, at.column);
}

std::string findings_as_text(const std::vector<Finding>& found, const text::Sources& sources, const TextStyle& style) {
    Paper paper(style.colour);
    for (const Finding& f : found) {
        if (f.known) continue;  // counted in the summary
        finding(paper, f, sources, style);
        paper.line();
    }
    return paper.take();
}

std::string as_text(const findings::Report& report, const text::Sources& sources, const Checked& checked,
                    const TextStyle& style) {
    Paper paper(style.colour);
    const findings::Summary& s = report.summary;
    undecided(paper, report, sources);
    std::string what = fmt::format("{}: {}, {}, against {}", counted(checked.files.size(), "file"),
                                   counted(s.devices, "device"), counted(s.conductors, "conductor"), counted(s.rules, "rule"));
    for (std::size_t i = 0; i < checked.standards.size(); ++i) {
        what += (i == 0 ? " with the figures of " : " and ") + checked.standards[i];
    }
    paper.labelled("checked", what, 0);
    const auto number = [&](std::uint32_t n, std::string_view noun, Ink colour) {
        return paper.inked(n == 0 ? Ink::plain : colour, counted(n, noun));
    };
    paper.labelled_raw("found",
                       fmt::format("{}, {}, {}; {} accepted; {}{} undecided", number(s.errors, "error", Ink::red),
                                   number(s.warnings, "warning", Ink::yellow), number(s.notes, "note", Ink::blue),
                                   s.accepted, s.known == 0 ? std::string() : fmt::format("{} known before; ", s.known), s.undecided),
                       0);
    return findings_as_text(report.findings, sources, style) + paper.text();
}

}  // namespace ferrule::render
