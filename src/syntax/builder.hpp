// What the parser's actions write into: the nodes of the tree in the order of the text, and the
// findings. One builder reads one file. It keeps the first mistake of each statement and no other:
// what follows it is usually its echo.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "syntax/tree.hpp"

namespace ferrule::syntax {

// What was expected at a place where it does not stand.
struct Expectation {
    std::string_view rule;    // "syntax.expected"
    std::string_view what;    // "the name of a part"
    std::string_view remedy;  // what to write
};

class Builder {
public:
    Builder(std::string_view bytes, Tree& tree) : base_(bytes.data()), bytes_(bytes), tree_(tree) {
        more_room();
    }

    // ---- nodes
    [[nodiscard]] std::uint32_t offset(const char* at) const {
        return static_cast<std::uint32_t>(at - base_);
    }
    [[nodiscard]] std::uint32_t size() const { return size_; }
    [[nodiscard]] Node& node(std::uint32_t index) { return nodes_[index]; }
    std::uint32_t open(NodeKind kind, const char* at) {
        if (size_ == room_) more_room();
        nodes_[size_] = {offset(at), 0, 0, kind, false};
        return size_++;
    }
    void close(std::uint32_t index, const char* at) {
        nodes_[index].end = offset(at);
        nodes_[index].next = size_;
    }
    void drop(std::uint32_t index) { size_ = index; }
    void leaf(NodeKind kind, const char* begin, const char* end) {
        const std::uint32_t index = open(kind, begin);
        close(index, end);
    }
    void become(NodeKind kind) { nodes_[parent].kind = kind; }
    void become_leaf(NodeKind kind) {  // the open node turns out to be a single token
        drop(parent + 1);
        become(kind);
    }
    void bare_head();                   // a line's first word is a word, no thing
    void wrap_last_two(NodeKind kind);  // puts a node around the last two children of the open node
    void spoil(std::uint32_t index);    // a statement that was not understood
    void junk(const char* begin,
              const char* end);  // without the blanks at its ends; nothing if nothing is left

    std::uint32_t parent = 0;  // the innermost open node

    // ---- statements
    struct Statement {
        std::uint32_t node = 0;  // the first node it will get
        std::uint32_t begin = 0;
        bool bad = false;  // its finding has been made
    };
    Statement statement;
    int quiet = 0;  // inside junk nothing is reported

    // ---- blocks
    struct Block {
        std::uint32_t begin = 0;  // its `{`, or where that is missing
        bool holds_ports = false;
        bool opened = true;  // false: its `{` was forgotten, so its `}` may well be
    };
    std::vector<Block> blocks;
    static constexpr std::uint32_t nowhere = 0xffffffffU;
    std::uint32_t cut_at = nowhere;  // where a statement closed blocks that cannot hold it
    bool too_deep = false;
    [[nodiscard]] bool closes_blocks(
        const char* keyword);  // does this keyword belong outside the open blocks?
    [[nodiscard]] bool conductor_outside(const char* at) const;
    [[nodiscard]] bool is_indented(
        const char* at) const;  // further in than the statement being read
    const char* skip_block(
        const char* open_brace);  // from `{` past its `}`, without reading what is in it
    void unclosed(const char* at);

    // ---- findings
    [[nodiscard]] bool speaks(
        std::uint32_t at);  // may a mistake be reported here? If not, it is counted if it must be
    void report(std::string_view rule, std::string message, std::uint32_t begin, std::uint32_t end,
                std::string remedy, std::vector<findings::Edit> edits = {});
    void missing(const Expectation& expected, const char* at);
    void limit(std::string_view what, std::size_t most, const char* begin, const char* end);
    void odd_blank(const char* begin, const char* end);
    void lone_return(const char* at);
    void finish();  // the nodes are complete; the findings that are one a file

    [[nodiscard]] std::string_view bytes() const { return bytes_; }
    [[nodiscard]] text::FileId file() const { return tree_.file; }
    bool bad_encoding = false;  // has been reported: bytes that are no UTF-8 are not reported again
    std::vector<text::Span> long_lines;  // have been reported and are not read
    [[nodiscard]] const char* end_of_long_line(
        const char* at) const;  // null if `at` stands on none

private:
    void more_room();
    [[nodiscard]] std::uint32_t indent(
        std::uint32_t at) const;  // blanks before the first word of the line at holds

    const char* base_;
    std::string_view bytes_;
    Tree& tree_;
    // The tree's nodes are written through a pointer and made many at a time: that is a third of
    // the cost of adding one.
    Node* nodes_ = nullptr;
    std::uint32_t size_ = 0, room_ = 0;
    std::vector<text::Span> odd_blanks_;
    std::uint32_t odd_blank_count_ = 0;
    std::uint32_t lone_return_ = nowhere;
    std::uint32_t unlisted_ = 0;  // mistakes beyond the limit
    std::uint32_t first_unlisted_ = 0;
};

}  // namespace ferrule::syntax
