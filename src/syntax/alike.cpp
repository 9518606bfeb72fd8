#include "syntax/alike.hpp"

#include <algorithm>

#include "findings/places.hpp"
#include "syntax/edit.hpp"

namespace ferrule::syntax {

namespace {

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

bool same_findings(const Tree& before, const Tree& now, const text::Moved& moved) {
    if (before.findings.size() != now.findings.size()) return false;
    for (std::size_t i = 0; i < now.findings.size(); ++i) {
        findings::Finding was = before.findings[i], is = now.findings[i];
        if (was.rule != is.rule || was.message != is.message || was.remedy != is.remedy || was.count != is.count || was.more != is.more) return false;
        std::vector<text::Span> places_before, places_now;
        findings::each_place(was, [&](const text::Span& s) { places_before.push_back(s); });
        findings::each_place(is, [&](const text::Span& s) { places_now.push_back(s); });
        const auto at_its_place = [&](const text::Span& a, const text::Span& b) { return moved.knows(a) && moved(a) == b; };
        if (!std::equal(places_before.begin(), places_before.end(), places_now.begin(), places_now.end(), at_its_place)) return false;
    }
    return true;
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

// Nothing was found in either text: what is said of a statement may rest on what could not be read elsewhere.
std::optional<Alike> in_wire(const Tree& before, const Tree& now, const Edit& edit, NodeIndex wire) {
    if (!before.findings.empty() || !now.findings.empty() || wire >= now.nodes.size()) return std::nullopt;
    const Node& was = before[wire];
    const Node& is = now[wire];
    if (is.kind != NodeKind::conductor || is.begin != was.begin || is.end != was.end + (edit.end_now - edit.end_before)) return std::nullopt;
    if (now.nodes.size() - is.next != before.nodes.size() - was.next) return std::nullopt;
    Alike out{text::Moved(before.file, was.begin, was.end, is.end)};
    out.wire = wire;
    return same_nodes(before, now, wire, was.next, out.moved) ? std::optional(out) : std::nullopt;
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
        if (n.begin > edit.begin || n.end < edit.end_before) return std::nullopt;
        if (n.kind == NodeKind::conductor) return in_wire(before, now, edit, top);
        const NodeIndex number = number_around(before, edit);
        return number == 0 ? std::nullopt : in_number(before, now, edit, number);
    }
    return std::nullopt;
}

}  // namespace ferrule::syntax
