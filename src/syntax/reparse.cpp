// Reading a text anew after an edit. The statements that the edit touched are read with one neighbour on either side, as a text of
// their own; if the neighbours come out as they were, nothing that the edit could change lies beyond them, and the rest of the tree
// is moved to its new place. In every other case the whole text is read.
#include <algorithm>
#include <iterator>
#include <optional>

#include "findings/places.hpp"
#include "syntax/edit.hpp"
#include "syntax/tree.hpp"

namespace ferrule::syntax {

namespace {

using findings::Finding;

void move(text::Span& span, text::FileId file, std::uint32_t by) {
    span.file = file;
    span.begin += by;
    span.end += by;
}

void move(Finding& f, text::FileId file, std::uint32_t by) {
    findings::each_place(f, [&](text::Span& span) { move(span, file, by); });
}

std::vector<NodeIndex> tops(const Tree& tree) {
    std::vector<NodeIndex> all;
    for (const NodeIndex top : children(tree, 0)) all.push_back(top);
    return all;
}

// What is read again: bytes of both texts, and the statements of the tree before (their places in `tops`).
struct Slice {
    std::uint32_t begin = 0, end_before = 0, end_now = 0;
    std::size_t first = 0, last = 0;  // last: one past the neighbour behind
};

class Edited {
public:
    Edited(const text::Sources& sources, text::FileId file, const Tree& before, std::string_view text_before)
        : now_(sources[file].bytes()), file_(file), before_(before), text_(text_before) {}

    std::optional<Tree> read() {
        if (!all_local(before_.findings)) return std::nullopt;
        if (text_ == now_) {
            Tree same = before_;
            same.file = file_;
            same.taken_front = static_cast<NodeIndex>(same.nodes.size());
            same.taken_back = 0;
            for (Finding& f : same.findings) move(f, file_, 0);
            return same;
        }
        edit_ = edit_between(text_, now_);
        tops_ = before_.statements.empty() ? tops(before_) : before_.statements;
        const Slice s = slice();
        Tree part = parse_part(s);
        if (!all_local(part.findings) || !neighbours_same(s, part)) return std::nullopt;
        // Mistakes elsewhere would have to be put in order among those found now, and counted with them: that is left to the whole.
        for (const Finding& f : before_.findings) {
            if (f.span.begin < s.begin || f.span.end > s.end_before) return std::nullopt;
        }
        return joined(s, std::move(part));
    }

private:
    [[nodiscard]] bool at_line_start(std::uint32_t at) const { return at == 0 || text_[at - 1] == '\n'; }

    [[nodiscard]] Slice slice() const {
        Slice s;
        const auto begins_after = [&](std::uint32_t at) {
            return static_cast<std::size_t>(std::upper_bound(tops_.begin(), tops_.end(), at, [&](std::uint32_t place, NodeIndex top) { return place < before_[top].begin; }) - tops_.begin());
        };
        // An edit at the very begin of a statement belongs to what stands before it, too.
        std::size_t first = begins_after(edit_.begin);
        for (std::size_t neighbours = 0; first > 0;) {
            --first;
            const Node& top = before_[tops_[first]];
            if (top.begin < edit_.begin && at_line_start(top.begin) && ++neighbours > 1) break;
        }
        s.first = first;
        s.begin = first == 0 ? 0 : before_[tops_[first]].begin;
        s.last = std::min(begins_after(edit_.end_before) + 1, tops_.size());
        s.end_before = s.last == tops_.size() ? static_cast<std::uint32_t>(text_.size()) : before_[tops_[s.last]].begin;
        s.end_now = s.end_before + static_cast<std::uint32_t>(now_.size() - text_.size());
        return s;
    }

    [[nodiscard]] Tree parse_part(const Slice& s) const {
        text::Sources alone;
        return parse(alone, alone.add({}, std::string(now_.substr(s.begin, s.end_now - s.begin))));
    }

    // The statements at both ends of the slice, unless it reaches the end of the text there.
    [[nodiscard]] bool neighbours_same(const Slice& s, const Tree& part) const {
        const std::uint32_t grown = s.end_now - s.end_before;
        const auto same = [&](std::size_t top, NodeIndex in_part, std::uint32_t by) {
            const Node& was = before_[tops_[top]];
            const Node& is = part[in_part];
            return !was.broken && !is.broken && was.kind == is.kind && was.kind != NodeKind::junk && was.begin + by == is.begin + s.begin && was.end + by == is.end + s.begin &&
                   was.next - tops_[top] == is.next - in_part;
        };
        const std::vector<NodeIndex> now = tops(part);
        if (s.first > 0 && (now.empty() || !same(s.first, now.front(), 0))) return false;
        if (s.last == tops_.size()) return true;
        return now.size() > (s.first > 0 ? 1U : 0U) && s.last > s.first + 1 && same(s.last - 1, now.back(), grown);
    }

    [[nodiscard]] Tree joined(const Slice& s, Tree part) const {
        const auto node = [&](std::size_t top) { return top == tops_.size() ? static_cast<NodeIndex>(before_.nodes.size()) : tops_[top]; };
        const NodeIndex cut = node(s.first), rest = node(s.last);
        const std::uint32_t grown = s.end_now - s.end_before;  // modulo 2^32, as all sums here
        Tree out;
        out.file = file_;
        out.nodes.reserve(cut + part.nodes.size() + (before_.nodes.size() - rest));
        out.nodes.insert(out.nodes.end(), before_.nodes.begin(), before_.nodes.begin() + cut);
        const auto append = [&](auto begin, auto end, std::uint32_t bytes, std::uint32_t nodes) {
            const std::size_t from = out.nodes.size();
            out.nodes.insert(out.nodes.end(), begin, end);
            for (std::size_t i = from; i < out.nodes.size(); ++i) {
                Node& n = out.nodes[i];
                n.begin += bytes;
                n.end += bytes;
                n.next += nodes;
            }
        };
        append(part.nodes.begin() + 1, part.nodes.end(), s.begin, cut - 1);
        append(before_.nodes.begin() + rest, before_.nodes.end(), grown, static_cast<std::uint32_t>(out.nodes.size()) - rest);
        out.nodes.front().end = static_cast<std::uint32_t>(now_.size());
        out.nodes.front().next = static_cast<NodeIndex>(out.nodes.size());
        const auto place = [&](NodeIndex from, std::uint32_t nodes) { out.statements.push_back(from + nodes); };
        out.statements.reserve(tops_.size() + 8);
        for (std::size_t i = 0; i < s.first; ++i) place(tops_[i], 0);
        for (const NodeIndex top : children(part, 0)) place(top, cut - 1);
        for (std::size_t i = s.last; i < tops_.size(); ++i) place(tops_[i], static_cast<std::uint32_t>(out.nodes.size() - before_.nodes.size()));
        out.taken_front = cut;
        out.taken_back = static_cast<NodeIndex>(before_.nodes.size()) - rest;
        out.findings = std::move(part.findings);
        for (Finding& f : out.findings) move(f, file_, s.begin);
        return out;
    }

    std::string_view now_;
    text::FileId file_;
    const Tree& before_;
    std::string_view text_;
    Edit edit_;
    std::vector<NodeIndex> tops_;                  // the statements of the tree before
};

}  // namespace

Tree parse(const text::Sources& sources, text::FileId file, const Tree& before, std::string_view text_before) {
    std::optional<Tree> tree = Edited(sources, file, before, text_before).read();
    return tree ? std::move(*tree) : parse(sources, file);
}

}  // namespace ferrule::syntax
