// Tokens: the leaves of the tree in their order, and what stands between them read byte by byte.
#include <algorithm>

#include "syntax/bytes.hpp"
#include "syntax/tree.hpp"

namespace ferrule::syntax {

namespace {

bool is_word_byte(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-';
}

// What a node is as a token; `blank` for nodes that only hold others.
TokenKind token_kind(NodeKind kind) {
    switch (kind) {
        case NodeKind::name:
        case NodeKind::word:
        case NodeKind::rule_id:
            return TokenKind::name;
        case NodeKind::mark:
        case NodeKind::label:
        case NodeKind::pair:
            return TokenKind::label;
        case NodeKind::number:
            return TokenKind::number;
        case NodeKind::unit:
            return TokenKind::unit;
        case NodeKind::text:
            return TokenKind::text;
        case NodeKind::date:
        case NodeKind::time:
            return TokenKind::date;
        case NodeKind::none_word:
        case NodeKind::supplied_word:
            return TokenKind::joining;
        case NodeKind::dots:
            return TokenKind::punctuation;
        case NodeKind::junk:
            return TokenKind::junk;
        default:
            return TokenKind::blank;
    }
}

class Reader {
public:
    explicit Reader(std::string_view bytes) : bytes_(bytes) {
        tokens_.reserve(bytes.size() / 3 + 8);
    }

    void take(TokenKind kind, std::uint32_t end) {
        if (end <= at_) return;
        tokens_.push_back({kind, at_, end});
        at_ = end;
    }
    // What stands before `end`, outside the leaves.
    void between(std::uint32_t end, bool junk) {
        while (at_ < end) {
            if (junk && !is_space(at_)) take(TokenKind::junk, junk_end(end));
            else one(end);
        }
    }
    [[nodiscard]] std::uint32_t at() const { return at_; }
    [[nodiscard]] std::vector<Token> done() { return std::move(tokens_); }

private:
    [[nodiscard]] bool is_space(std::uint32_t i) const {
        return is_blank(bytes_[i]) || bytes_[i] == '\n' || bytes_[i] == '\r';
    }
    [[nodiscard]] std::uint32_t junk_end(std::uint32_t end) const {
        std::uint32_t i = at_;
        while (i < end && bytes_[i] != '\n' && bytes_[i] != '\r') ++i;
        while (is_blank(bytes_[i - 1])) --i;
        return i;
    }
    template <class Test>
    [[nodiscard]] std::uint32_t while_true(std::uint32_t end, Test test) const {
        std::uint32_t i = at_;
        while (i < end && test(bytes_[i])) ++i;
        return i;
    }
    [[nodiscard]] std::uint32_t odd_blank() const {
        const std::string_view rest = bytes_.substr(at_);
        if (rest.starts_with("\u00A0")) return 2;
        return rest.starts_with("\u2007") || rest.starts_with("\u202F") ||
                       rest.starts_with("\xEF\xBB\xBF")
                   ? 3
                   : 0;
    }
    void one(std::uint32_t end) {
        const char c = bytes_[at_];
        if (is_blank(c)) return take(TokenKind::blank, while_true(end, is_blank));
        if (c == '\n') return take(TokenKind::newline, at_ + 1);
        if (c == '\r')
            return take(TokenKind::newline,
                        at_ + 1 < end && bytes_[at_ + 1] == '\n' ? at_ + 2 : at_ + 1);
        if (c == '#')
            return take(TokenKind::comment,
                        while_true(end, [](char b) { return b != '\n' && b != '\r'; }));
        if (const std::uint32_t size = odd_blank())
            return take(TokenKind::blank, std::min(end, at_ + size));
        if (bytes_.substr(at_, 2) == "->" || bytes_.substr(at_, 2) == "..")
            return take(TokenKind::punctuation, std::min(end, at_ + 2));
        if (bytes_.substr(at_).starts_with("\u00D7"))
            return take(TokenKind::joining, std::min(end, at_ + 2));
        const std::uint32_t word_end = while_true(end, is_word_byte);
        const std::string_view word = bytes_.substr(at_, word_end - at_);
        if (in_list(keywords(), word)) return take(TokenKind::keyword, word_end);
        if (in_list(joining_words(), word)) return take(TokenKind::joining, word_end);
        const bool mark = std::string_view("{}[].,;*+-").find(c) != std::string_view::npos;
        take(mark ? TokenKind::punctuation : TokenKind::junk, at_ + 1);
    }

    std::string_view bytes_;
    std::vector<Token> tokens_;
    std::uint32_t at_ = 0;
};

}  // namespace

std::vector<Token> tokens(const text::Sources& sources, const Tree& tree) {
    const std::string_view bytes = sources[tree.file].bytes();
    Reader reader(bytes);
    std::vector<std::uint32_t> junk_ends;  // open junk nodes that hold blocks
    for (NodeIndex i = 1; i < tree.nodes.size(); ++i) {
        const Node& node = tree[i];
        while (!junk_ends.empty() && node.begin >= junk_ends.back()) {
            reader.between(junk_ends.back(), true);
            junk_ends.pop_back();
        }
        const TokenKind kind = token_kind(node.kind);
        if (kind == TokenKind::blank) continue;
        reader.between(node.begin, !junk_ends.empty());
        if (tree.has_children(i)) {
            if (node.kind == NodeKind::junk) junk_ends.push_back(node.end);
            else reader.take(kind, tree[i + 1].begin);  // pv[1..4]: the index has tokens of its own
            continue;
        }
        const bool joins =
            node.kind == NodeKind::label &&
            in_list(joining_words(), bytes.substr(node.begin, node.end - node.begin));
        reader.take(joins ? TokenKind::joining : kind, node.end);
    }
    for (; !junk_ends.empty(); junk_ends.pop_back()) reader.between(junk_ends.back(), true);
    reader.between(static_cast<std::uint32_t>(bytes.size()), false);
    return reader.done();
}

}  // namespace ferrule::syntax
