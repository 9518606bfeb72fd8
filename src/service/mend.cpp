#include "service/mend.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "project/tidy.hpp"

namespace ferrule::service {

namespace {

using findings::Edit;
using findings::Finding;

bool touches(text::Span s, std::uint32_t begin, std::uint32_t end) { return s.begin <= end && begin <= s.end; }

std::string said(const View& view, const std::vector<Edit>& edits) {
    if (edits.size() == 1) {
        const std::string_view old = view.design->sources.text(edits[0].span);
        if (old.empty()) return fmt::format("insert `{}`", edits[0].text);
        if (edits[0].text.empty()) return fmt::format("take `{}` out", old);
        return fmt::format("write `{}` for `{}`", edits[0].text, old);
    }
    return fmt::format("mend it in {} places", edits.size());
}

// The things as an acceptance lists them: Q1, F[2..4]. Nothing if one has no name.
std::optional<std::string> listed(const graph::Design& d, std::vector<std::uint32_t> things) {
    std::sort(things.begin(), things.end());
    things.erase(std::unique(things.begin(), things.end()), things.end());
    std::string all, stem;
    std::uint32_t first = 0, last = 0;
    const auto close = [&] {
        if (stem.empty()) return;
        if (!all.empty()) all += ", ";
        all += last == 0 ? stem : first == last ? fmt::format("{}[{}]", stem, first) : fmt::format("{}[{}..{}]", stem, first, last);
    };
    for (const std::uint32_t id : things) {
        const graph::Thing& t = d.things[graph::ThingId(id)];
        if (!t.name) return std::nullopt;
        std::string name = (t.owner ? d.name(t.owner) + '.' : std::string()) + std::string(d.word(t.name));
        if (name == stem && last != 0 && t.index == last + 1) {
            last = t.index;
            continue;
        }
        close();
        stem = std::move(name);
        first = last = t.index;
    }
    close();
    return all;
}

// An `accept` statement at the end of the file, its reason still to be written. `nothing is accepted without one`.
std::optional<Action> acceptance(const View& view, const Finding& f) {
    const rules::Rule* rule = view.knowledge->rules.find(f.rule);
    if (rule == nullptr || rule->found_by == "reading" || f.accepted) return std::nullopt;
    const std::string_view bytes = view.bytes();
    const auto size = static_cast<std::uint32_t>(bytes.size());
    const std::optional<std::string> things = listed(view.design->graph(), f.things);
    if (!things) return std::nullopt;
    const std::string on = things->empty() ? "" : " on " + *things;  // of no thing, such as the site: there is one of it
    Action a;
    std::string line = fmt::format("{}accept {}{} because \"", bytes.empty() || bytes.back() == '\n' ? "" : "\n", f.rule, on);
    const auto at = size + static_cast<std::uint32_t>(line.size());
    line += rule->life_safety ? "\" until YYYY-MM-DD by \"\"\n" : "\"\n";
    a.title = fmt::format("accept {}{}: the reason is left to be written", f.rule, on.empty() ? " wherever it is found" : on);
    a.edits = {Edit{{view.file, size, size}, std::move(line)}};
    a.finding = &f;
    a.accepts = true;
    a.cursor = {view.file, at, at};
    return a;
}

bool certain(const Finding& f) {
    return !f.edits.empty() && std::all_of(f.edits.begin(), f.edits.end(), [](const Edit& e) { return e.certain; });
}

}  // namespace

std::vector<Action> actions(const View& view, std::uint32_t begin, std::uint32_t end) {
    std::vector<Action> all, later;
    for (const Finding& f : view.design->report.findings) {
        if (f.span.file != view.file || !touches(f.span, begin, end)) continue;
        const bool here = std::all_of(f.edits.begin(), f.edits.end(), [&](const Edit& e) { return e.span.file == view.file; });
        if (!f.edits.empty() && here) {
            Action a;
            a.title = said(view, f.edits);
            a.edits = f.edits;
            a.finding = &f;
            a.certain = certain(f);
            all.push_back(std::move(a));
        }
        if (auto accept = acceptance(view, f)) later.push_back(std::move(*accept));
    }
    std::move(later.begin(), later.end(), std::back_inserter(all));
    return all;
}

std::vector<Edit> all_certain(const View& view) {
    std::vector<Edit> all;
    for (const Finding& f : view.design->report.findings) {
        if (!certain(f)) continue;
        for (const Edit& e : f.edits) {
            if (e.span.file == view.file) all.push_back(e);
        }
    }
    std::stable_sort(all.begin(), all.end(), [](const Edit& a, const Edit& b) { return a.span < b.span; });
    std::vector<Edit> apart;
    for (Edit& e : all) {
        if (apart.empty() || e.span.begin >= apart.back().span.end) {
            if (!apart.empty() && apart.back().span == e.span) continue;
            apart.push_back(std::move(e));
        }
    }
    return apart;
}

namespace {

std::vector<std::string_view> lines_of(std::string_view text) {
    std::vector<std::string_view> lines;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
        lines.push_back(text.substr(at, end - at));
        at = end;
    }
    return lines;
}

}  // namespace

std::optional<std::vector<Edit>> layout(const View& view, std::uint32_t begin, std::uint32_t end) {
    const project::Tidied tidied = project::tidy(view.design->sources, *view.design->loader, view.file);
    if (!tidied.findings.empty()) return std::nullopt;
    std::vector<Edit> edits;
    if (!tidied.changed) return edits;
    const std::string_view old_text = view.bytes();
    const std::vector<std::string_view> before = lines_of(old_text), after = lines_of(tidied.text);
    std::size_t head = 0, tail = 0;
    while (head < std::min(before.size(), after.size()) && before[head] == after[head]) ++head;
    while (tail < std::min(before.size(), after.size()) - head && before[before.size() - 1 - tail] == after[after.size() - 1 - tail]) ++tail;
    const auto offset = [&](std::size_t line) {
        return line < before.size() ? static_cast<std::uint32_t>(before[line].data() - old_text.data()) : static_cast<std::uint32_t>(old_text.size());
    };
    if (before.size() == after.size()) {
        for (std::size_t i = head; i < before.size() - tail; ++i) {
            const std::uint32_t from = offset(i), to = offset(i + 1);
            if (before[i] == after[i] || to <= begin || from >= std::max(end, begin + 1)) continue;
            edits.push_back({{view.file, from, to}, std::string(after[i]), true});
        }
        return edits;
    }
    // Lines came or went: the whole piece that differs, if it lies within what was asked for.
    const std::uint32_t from = offset(head), to = offset(before.size() - tail);
    if (from < begin || to > end) return edits;
    std::string piece;
    for (std::size_t i = head; i < after.size() - tail; ++i) piece += after[i];
    edits.push_back({{view.file, from, to}, std::move(piece), true});
    return edits;
}

}  // namespace ferrule::service
