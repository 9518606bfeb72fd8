#include "syntax/alike.hpp"

#include <algorithm>
#include <utility>

#include "base/limits.hpp"
#include "findings/places.hpp"
#include "syntax/edit.hpp"

namespace ferrule::syntax {

namespace {

bool lies_in(const text::Span& place, const text::Span& lines) { return lines.begin < lines.end && place.begin >= lines.begin && place.end <= lines.end; }

// The last node that begins no later than this.
NodeIndex last_at(const Tree& tree, std::uint32_t place) {
    const auto behind = std::upper_bound(tree.nodes.begin(), tree.nodes.end(), place, [](std::uint32_t at, const Node& n) { return at < n.begin; });
    return static_cast<NodeIndex>(behind - tree.nodes.begin()) - (behind == tree.nodes.begin() ? 0 : 1);
}

// Up to two nodes can begin or end where a number glued to its unit does.
NodeIndex number_around(const Tree& tree, const Edit& edit) {
    NodeIndex at = last_at(tree, edit.begin);
    for (int k = 0; k < 2 && at > 0; ++k, --at) {
        const Node& n = tree[at];
        if (n.kind == NodeKind::number && n.begin <= edit.begin && edit.end_before <= n.end) return at;
    }
    return 0;
}

// Between two statements, or before the first, or behind the last: the bytes from the one to the other. The statements stand on lines of
// their own before and after, as findings of one line are told together.
std::optional<Edit> gap_around(const Tree& before, NodeIndex from, std::string_view text_before, std::string_view text_now, const Edit& edit) {
    Edit gap{0, static_cast<std::uint32_t>(text_before.size()), static_cast<std::uint32_t>(text_now.size())};
    bool first = true, last = true;
    for (NodeIndex top = from; top < before.nodes.size(); top = before[top].next) {
        const Node& n = before[top];
        if (n.end <= edit.begin) {
            gap.begin = n.end;
            first = false;
            continue;
        }
        if (n.begin < edit.end_before) return std::nullopt;
        gap.end_before = n.begin;
        gap.end_now = n.begin + (edit.end_now - edit.end_before);
        last = false;
        break;
    }
    const auto breaks = [&](std::string_view text, std::uint32_t end) { return text.substr(gap.begin, end - gap.begin).find('\n') != std::string_view::npos; };
    if (!first && !last && !(breaks(text_before, gap.end_before) && breaks(text_now, gap.end_now))) return std::nullopt;
    return gap;
}

bool same(const findings::Finding& before, const findings::Finding& now, const text::Moved& moved) {
    findings::Finding was = before, is = now;
    if (was.rule != is.rule || was.message != is.message || was.remedy != is.remedy || was.count != is.count || was.more != is.more) return false;
    std::vector<text::Span> places_before, places_now;
    findings::each_place(was, [&](const text::Span& s) { places_before.push_back(s); });
    findings::each_place(is, [&](const text::Span& s) { places_now.push_back(s); });
    const auto at_its_place = [&](const text::Span& a, const text::Span& b) { return moved.knows(a) && moved(a) == b; };
    return std::equal(places_before.begin(), places_before.end(), places_now.begin(), places_now.end(), at_its_place);
}

bool same_findings(const Tree& before, const Tree& now, const text::Moved& moved) {
    const auto alike = [&](const findings::Finding& was, const findings::Finding& is) { return same(was, is, moved); };
    return std::equal(before.findings.begin(), before.findings.end(), now.findings.begin(), now.findings.end(), alike);
}

// Of what is said of other lines than these.
bool same_findings_but(const Tree& before, const Tree& now, const Alike& change) {
    if (std::max(before.findings.size(), now.findings.size()) >= base::limits::findings_shown_per_rule || !all_local(before.findings) || !all_local(now.findings)) return false;
    std::size_t k = 0;
    const auto next_elsewhere = [&] {
        while (k < now.findings.size() && lies_in(now.findings[k].span, change.lines_now)) ++k;
    };
    for (const findings::Finding& f : before.findings) {
        if (lies_in(f.span, change.lines_before)) continue;
        next_elsewhere();
        if (k == now.findings.size() || !same(f, now.findings[k], change.moved)) return false;
        ++k;
    }
    next_elsewhere();
    return k == now.findings.size();
}

// Of the nodes up to `front` and from `back` on, in the tree before: those that the reader took over are the same, and the others are
// compared. What lies between may be anything.
bool same_nodes(const Tree& before, const Tree& now, NodeIndex front, NodeIndex back, const text::Moved& moved) {
    const auto more = static_cast<NodeIndex>(now.nodes.size() - before.nodes.size());  // modulo 2^32
    const auto same = [&](NodeIndex i, NodeIndex k) {
        const Node& was = before[i];
        const Node& is = now[k];
        const text::Span place = before.span(i);
        return was.kind == is.kind && was.next + (k - i) == is.next && was.broken == is.broken && moved.knows(place) && moved(place) == now.span(k);
    };
    for (NodeIndex i = std::max(NodeIndex{1}, now.taken_front); i < front; ++i) {
        if (!same(i, i)) return false;
    }
    for (NodeIndex i = back; i + now.taken_back < before.nodes.size(); ++i) {
        if (!same(i, i + more)) return false;
    }
    return true;
}

// The whole trees, and what is found in them.
bool same_shape(const Tree& before, const Tree& now, const text::Moved& moved) {
    const auto nodes = static_cast<NodeIndex>(now.nodes.size());
    return before.nodes.size() == nodes && same_nodes(before, now, nodes - now.taken_back, nodes, moved) && same_findings(before, now, moved);
}

std::optional<Alike> in_gap(const Tree& before, const Tree& now, const Edit& gap) {
    const Alike out{text::Moved(before.file, gap.begin, gap.end_before, gap.end_now)};
    return same_shape(before, now, out.moved) ? std::optional(out) : std::nullopt;
}

std::optional<Alike> in_number(const Tree& before, const Tree& now, const Edit& edit, NodeIndex number) {
    const Node& was = before[number];
    Alike out{text::Moved(before.file, was.begin, was.end, edit.end_now + (was.end - edit.end_before))};
    out.number = number;
    return same_shape(before, now, out.moved) ? std::optional(out) : std::nullopt;
}

// Lines put in or taken out can often be told from their likes above or below: then they begin where a line does.
void begin_a_line(std::string_view before, std::string_view now, Edit& edit) {
    const bool more = edit.end_before == edit.begin;
    if (!more && edit.end_now != edit.begin) return;
    const std::string_view longer = more ? now : before;
    std::uint32_t back = 0, end = more ? edit.end_now : edit.end_before;
    while (back < edit.begin && longer[edit.begin - back - 1] != '\n' && longer[edit.begin - back - 1] == longer[end - back - 1]) ++back;
    if (back < edit.begin && longer[edit.begin - back - 1] != '\n') return;
    edit.begin -= back;
    edit.end_before -= back;
    edit.end_now -= back;
}

// The lines that hold these bytes, if nothing but blanks and a comment stands on them beside the statement. Up to the end of a line, or where one begins.
std::optional<text::Span> lines_of(const Tree& tree, NodeIndex statement, std::string_view text, std::uint32_t begin, std::uint32_t end) {
    const auto blank = [](std::string_view s) { return s.find_first_not_of(" \t") == std::string_view::npos; };
    const std::size_t line = begin == 0 ? std::string_view::npos : text.rfind('\n', begin - 1);
    const auto first = static_cast<std::uint32_t>(line == std::string_view::npos ? 0 : line + 1);
    std::uint32_t last = end;
    if (end != first && text[end - 1] != '\n') last = static_cast<std::uint32_t>(std::min(text.find('\n', end), text.size()));
    if (statement != 0) {
        const std::string_view behind = text.substr(tree[statement].end, last - std::min(last, tree[statement].end));
        if (tree[statement].begin < first || !blank(text.substr(first, tree[statement].begin - first)) || !blank(behind.substr(0, behind.find_first_of("#\n")))) return std::nullopt;
    }
    return text::Span{tree.file, first, last};
}

// A statement that came, went or became another.
std::optional<Alike> in_statement(const Tree& before, std::string_view text_before, const Tree& now, std::string_view text_now, Edit edit, NodeIndex from) {
    begin_a_line(text_before, text_now, edit);
    NodeIndex at = from;
    const auto nodes_before = static_cast<NodeIndex>(before.nodes.size()), nodes_now = static_cast<NodeIndex>(now.nodes.size());
    while (at < nodes_before && at < nodes_now && before[at].end < edit.begin && before[at].end == now[at].end && before[at].next == now[at].next) at = before[at].next;
    const auto may_change = [](const Tree& t, NodeIndex i) { return i < t.nodes.size() && (t[i].kind == NodeKind::conductor || t[i].kind == NodeKind::junk || t[i].kind == NodeKind::property); };
    const auto tail_begins = [](const Tree& t, NodeIndex i, std::string_view text) { return i < t.nodes.size() ? t[i].begin : static_cast<std::uint32_t>(text.size()); };
    for (const auto& [was, is] : {std::pair{at, at}, std::pair{NodeIndex{0}, at}, std::pair{at, NodeIndex{0}}}) {
        if ((was != 0 && !may_change(before, was)) || (is != 0 && !may_change(now, is))) continue;
        const NodeIndex back = was != 0 ? before[was].next : at, back_now = is != 0 ? now[is].next : at;
        if (nodes_before - back != nodes_now - back_now) continue;
        std::uint32_t begin = edit.begin, end = edit.end_before, end_now = edit.end_now;
        if (was != 0) {
            begin = std::min(begin, before[was].begin);
            end = std::max(end, before[was].end);
        }
        if (is != 0) {
            begin = std::min(begin, now[is].begin);
            end_now = std::max(end_now, now[is].end);
        }
        const auto lines_before = lines_of(before, was, text_before, begin, end), lines_now = lines_of(now, is, text_now, begin, end_now);
        if (!lines_before || !lines_now || lines_before->begin != lines_now->begin) continue;
        if (lines_now->end - lines_before->end != edit.end_now - edit.end_before) continue;  // modulo 2^32
        if (tail_begins(before, back, text_before) < lines_before->end || tail_begins(now, back_now, text_now) < lines_now->end) continue;
        Alike out{text::Moved(before.file, lines_before->begin, lines_before->end, lines_now->end)};
        out.was = was;
        out.is = is;
        out.lines_before = *lines_before;
        out.lines_now = *lines_now;
        if (same_nodes(before, now, at, back, out.moved) && same_findings_but(before, now, out)) return out;
    }
    return std::nullopt;
}

}  // namespace

std::optional<Alike> alike(const Tree& before, std::string_view text_before, const Tree& now, std::string_view text_now) {
    if (before.file != now.file) return std::nullopt;
    if (text_before == text_now) return Alike{text::Moved({}, 0, 0, 0)};
    const Edit edit = edit_between(text_before, text_now);
    // The first statement that was read anew: a neighbour of the one that the edit touched, or the first of all.
    const NodeIndex from = std::max(NodeIndex{1}, now.taken_front);
    if (const std::optional<Edit> gap = gap_around(before, from, text_before, text_now, edit)) {
        if (const std::optional<Alike> same = in_gap(before, now, *gap)) return same;
    }
    for (NodeIndex top = from; top < before.nodes.size(); top = before[top].next) {
        const Node& n = before[top];
        if (n.end < edit.begin || (n.end == edit.begin && n.end < edit.end_before)) continue;
        if (n.begin > edit.begin || n.end < edit.end_before || n.kind == NodeKind::conductor) break;
        const NodeIndex number = number_around(before, edit);
        if (number != 0) return in_number(before, now, edit, number);
        break;
    }
    return in_statement(before, text_before, now, text_now, edit, from);
}

}  // namespace ferrule::syntax
