#include "syntax/builder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>

#include "base/limits.hpp"
#include "syntax/bytes.hpp"
#include "syntax/wording.hpp"

namespace ferrule::syntax {

using findings::Finding;
using findings::Severity;

namespace {

constexpr std::size_t nodes_at_a_time = 2048;
constexpr std::size_t edits_kept = 1000;  // of a slip that stands all over a file

}  // namespace

void Builder::more_room() {
    tree_.nodes.resize(size_ + nodes_at_a_time);
    nodes_ = tree_.nodes.data();
    room_ = static_cast<std::uint32_t>(tree_.nodes.size());
}

void Builder::bare_head() {
    Node& head = nodes_[parent + 1];
    if (head.kind != NodeKind::ref || size_ != parent + 3) return;
    head.kind = NodeKind::label;
    drop(parent + 2);
    head.next = size_;
}

void Builder::wrap_last_two(NodeKind kind) {
    std::uint32_t left = parent + 1;
    if (left >= size_) return;
    std::uint32_t last = left;
    for (std::uint32_t next = nodes_[last].next; next < size_; next = nodes_[last].next) {
        left = last;
        last = next;
    }
    const std::uint32_t end = nodes_[last].end;
    open(kind, base_);  // room for one more
    for (std::uint32_t i = size_ - 1; i > left; --i) {
        nodes_[i] = nodes_[i - 1];
        ++nodes_[i].next;
    }
    nodes_[left] = {nodes_[left + 1].begin, end, size_, kind, false};
}

void Builder::spoil(std::uint32_t index) {
    Node& statement_node = nodes_[index];
    statement_node.broken = true;
    // A line that begins with a terminal was to be a conductor, but its arrow was never reached: no
    // property is meant.
    const bool terminal = index + 1 < size_ && nodes_[index + 1].kind == NodeKind::ref;
    if (statement_node.kind == NodeKind::property && terminal) statement_node.kind = NodeKind::junk;
}

void Builder::junk(const char* begin, const char* end) {
    while (begin != end && is_blank(*begin)) ++begin;
    while (begin != end && is_blank(end[-1])) --end;
    if (begin != end) leaf(NodeKind::junk, begin, end);
}

std::uint32_t Builder::indent(std::uint32_t at) const {
    std::uint32_t begin = at;
    while (begin > 0 && base_[begin - 1] != '\n' && base_[begin - 1] != '\r') --begin;
    std::uint32_t blanks = begin;
    while (blanks < bytes_.size() && is_blank(base_[blanks])) ++blanks;
    return blanks - begin;
}

bool Builder::is_indented(const char* at) const {
    return at == base_ + bytes_.size() || *at == '}' ||
           indent(offset(at)) > indent(statement.begin);
}

bool Builder::closes_blocks(const char* keyword) {
    if (blocks.empty()) return false;
    const std::uint32_t at = offset(keyword);
    const std::uint32_t column = indent(at);
    std::uint32_t line = at;
    while (line > 0 && base_[line - 1] != '\n' && base_[line - 1] != '\r') --line;
    // A line that stands further in than the line of the block, or behind something else, is in the
    // block on purpose.
    if (line + column != at || blocks.back().begin >= line || column > indent(blocks.back().begin))
        return false;
    const bool port = std::string_view(keyword, bytes_.size() - at).starts_with("port");
    return !port || std::any_of(blocks.begin(), blocks.end() - 1,
                                [](const Block& b) { return b.holds_ports; });
}

bool Builder::conductor_outside(const char* at) const {
    const bool at_edge = at != base_ && (at[-1] == '\n' || at[-1] == '\r');
    if (!at_edge || blocks.empty() || blocks.back().begin >= offset(at)) return false;
    const std::string_view rest = bytes_.substr(offset(at), base::limits::line_bytes);
    return rest.substr(0, rest.find_first_of("\n\r;#\"")).find("->") != std::string_view::npos;
}

const char* Builder::skip_block(const char* open_brace) {
    const char* const end = base_ + bytes_.size();
    const char* at = open_brace;
    std::size_t depth = 0;
    bool in_text = false;
    bool in_comment = false;
    for (; at != end; ++at) {
        const char c = *at;
        if (c == '\n' || c == '\r') in_text = in_comment = false;
        else if (in_comment) continue;
        else if (in_text && c == '\\' && at + 1 != end && (at[1] == '"' || at[1] == '\\')) ++at;
        else if (c == '"') in_text = !in_text;
        else if (in_text) continue;
        else if (c == '#') in_comment = true;
        else if (c == '{') ++depth;
        else if (c == '}' && --depth == 0) {
            ++at;
            break;
        }
    }
    if (!too_deep) {
        too_deep = true;
        statement.bad = true;
        Finding f;
        f.rule = "syntax.limit";
        f.message = fmt::format(
            "blocks are nested deeper than {}; what is inside this one is not read", blocks.size());
        f.span = {tree_.file, offset(open_brace), offset(open_brace) + 1};
        f.remedy = "close the blocks around it";
        tree_.findings.push_back(std::move(f));
    }
    return at;
}

void Builder::unclosed(const char* at) {
    const Block& block = blocks.back();
    const bool at_end = offset(at) == bytes_.size();
    if (!at_end) cut_at = offset(at);
    if (!block.opened || (at_end && too_deep)) return;
    statement.bad =
        false;  // it is a mistake of its own, whatever was wrong with the statement's head
    const bool speak = speaks(block.begin);
    statement.bad = true;
    if (!speak) return;
    Finding f;
    f.rule = "syntax.brace";
    f.message = at_end ? "`}` is missing: the file ends inside this block"
                       : fmt::format("`}}` is missing: this block is not closed before {}",
                                     what_stands(bytes_, offset(at)).text);
    f.span = {tree_.file, block.begin, block.begin + 1};
    if (!at_end) {
        const Stands there = what_stands(bytes_, offset(at));
        f.related.push_back(
            {{tree_.file, there.begin, there.end}, "this statement cannot stand inside the block"});
    }
    f.remedy = "write `}` where the block ends";
    tree_.findings.push_back(std::move(f));
}

const char* Builder::end_of_long_line(const char* at) const {
    const auto next = std::upper_bound(
        long_lines.begin(), long_lines.end(), offset(at),
        [](std::uint32_t place, const text::Span& line) { return place < line.end; });
    return next != long_lines.end() && next->begin <= offset(at) ? base_ + next->end : nullptr;
}

bool Builder::speaks(std::uint32_t at) {
    if (quiet > 0 || statement.bad) return false;
    if (tree_.findings.size() < base::limits::findings_shown_per_rule) return true;
    if (unlisted_++ == 0) first_unlisted_ = at;
    statement.bad = true;
    return false;
}

void Builder::report(std::string_view rule, std::string message, std::uint32_t begin,
                     std::uint32_t end, std::string remedy, std::vector<findings::Edit> edits) {
    if (!speaks(begin)) return;
    statement.bad = true;
    Finding f;
    f.rule = rule;
    f.message = std::move(message);
    f.span = {tree_.file, begin, end};
    f.remedy = std::move(remedy);
    f.edits = std::move(edits);
    tree_.findings.push_back(std::move(f));
}

void Builder::missing(const Expectation& expected, const char* at) {
    if (!speaks(offset(at))) return;
    Wording words = word_missing({bytes_, tree_.file, statement.begin}, expected, offset(at));
    if (bad_encoding && words.broken_byte) statement.bad = true;
    else
        report(words.rule, std::move(words.message), words.begin, words.end,
               std::move(words.remedy), std::move(words.edits));
}

void Builder::limit(std::string_view what, std::size_t most, const char* begin, const char* end) {
    report("syntax.limit", fmt::format("this {} is longer than {} bytes", what, most),
           offset(begin), offset(end), "shorten it");
}

void Builder::odd_blank(const char* begin, const char* end) {
    // A place may be read twice when a choice is tried anew; it counts once.
    if (!odd_blanks_.empty() && offset(begin) <= odd_blanks_.back().begin) return;
    ++odd_blank_count_;
    const text::Span span{tree_.file, offset(begin), offset(end)};
    if (odd_blanks_.size() < edits_kept) odd_blanks_.push_back(span);
    else odd_blanks_.back() = span;
}

void Builder::lone_return(const char* at) {
    if (lone_return_ == nowhere) lone_return_ = offset(at);
}

void Builder::finish() {
    tree_.nodes.resize(size_);
    if (unlisted_ > 0) {
        Finding f;
        f.rule = "syntax.limit";
        f.message = fmt::format("{} more mistakes from here on are not listed", unlisted_);
        f.span = {tree_.file, first_unlisted_, first_unlisted_};
        f.remedy = "put the first ones right; often the others go with them";
        tree_.findings.push_back(std::move(f));
    }
    if (!odd_blanks_.empty()) {
        Finding f;
        f.rule = "syntax.blank";
        f.severity = Severity::warning;
        f.message =
            odd_blank_count_ == 1
                ? "this blank is no plain one (a no-break blank or a form feed)"
                : fmt::format(
                      "this and {} more blanks are no plain ones (no-break blanks or form feeds)",
                      odd_blank_count_ - 1);
        f.span = odd_blanks_.front();
        f.remedy =
            "write plain blanks; copying from a web page or a data sheet often brings others";
        for (const text::Span& s : odd_blanks_) f.edits.push_back({s, " ", true});
        tree_.findings.push_back(std::move(f));
    }
    if (lone_return_ != nowhere) {
        Finding f;
        f.rule = "syntax.blank";
        f.severity = Severity::warning;
        f.message = "lines of this file end in a carriage return alone";
        f.span = {tree_.file, lone_return_, lone_return_ + 1};
        f.remedy = "save the file with the line ends of this system (LF, or CR and LF)";
        tree_.findings.push_back(std::move(f));
    }
}

}  // namespace ferrule::syntax
