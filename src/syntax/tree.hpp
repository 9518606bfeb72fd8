// The tree of one file: every node is a kind, two byte offsets and the place of the next sibling, in one flat vector
// in the order of the text (a node's children follow it). No text is copied. Reading it never fails: what could not
// be understood is a `junk` node, and the tree's findings say what was expected there; the statement it belongs to is
// marked `broken`. Only a statement that is not broken is sure to have the children listed here: whoever reads a broken
// one takes what is there and says nothing about what is missing, for that has been said.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "base/large_memory.hpp"
#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::syntax {

enum class NodeKind : std::uint8_t {
    file,  // the root: node 0; its children are statements, conductors and junk
    // Statements. A statement's span runs from its keyword to its last token (its block's `}` if it has one);
    // its children are listed. `block` is always last. atom = text|date|time|quantity|dots|number|pair|signed|ref|label
    edition,    // number
    site,       // text block
    include,    // text
    place,      // declared+ block
    part,       // name word(kind) block
    string,     // declared+ group+ [where] [block]
    enclosure,  // declared+ [is] [where] [block]
    device,     // declared+ is [with] [where] [block]
    run,        // name [index] [text] block
    cable,      // declared+ is atom*
    jumper,     // ref (none_word | supplied_word | pairing+ atom*)
    bond,       // refs refs+ atom*        (each `refs` is one stop of the chain)
    earth,      // refs refs+ atom*
    gang,       // refs atom*
    label_on,   // text refs [block]
    steps,      // text block
    assembly,   // name block
    port,       // label(name, maybe with index) word(role) block, or label ref
    repeat,     // name number number block
    except,     // ref [group | is] [with] [text]
    accept,     // rule_id [refs] atom* [block]
    reading,    // text block
    conductor,  // ref ref atom*
    property,   // (label | ref) atom* [block]     the first child is the property's word: a bare word is a label, also in
                //                                 readings (EAST); with an index or a terminal (EAST.+, S[3]) it is a ref
    junk,       // what could not be read, up to the end of the line or the closing brace
    // Parts of statements
    block,      // the items between { and }, braces included in the span
    declared,   // name [index]
    is,         // name
    with,       // name+
    where,      // ref
    group,      // number name
    refs,       // ref+
    pairing,    // label label     from 2-4 or `A to B`
    none_word, supplied_word,
    rule_id,    // dc-rating.breaking-voltage
    // Atoms
    ref,        // name [index] (mark [index] | index)*      Q1.2  A[1..6].+  CB[3].F[7]  Q1.[2*i-1]  Q1.upper[3]
                // a sign behind an index (CC.pv[2]+) has no node: it is the byte after the index
    quantity,   // number unit      the unit of a glued word that is none (6mmm2) is that word
    index,      // expr [expr]      [3]  [1..6]  [2*i-1]
    sum, difference, product,  // expr expr
    name, word, mark, label, number, unit, text, date, time, pair, dots,
    signed_label,  // pv+ or pv[i]-: a label standing alone: children name [index], its last byte is the sign
};

using NodeIndex = std::uint32_t;

struct Node {
    std::uint32_t begin = 0, end = 0;  // bytes
    std::uint32_t next = 0;            // index just past this node's subtree
    NodeKind kind = NodeKind::junk;
    bool broken = false;               // statements: something in it was not understood, and a finding says so
};


struct Tree {
    text::FileId file;
    base::LargeVector<Node> nodes;
    std::vector<findings::Finding> findings;
    // Of a tree that was made from another (below): so many nodes at either end are those of that one, and its statements.
    NodeIndex taken_front = 0, taken_back = 0;
    std::vector<NodeIndex> statements;

    [[nodiscard]] const Node& operator[](NodeIndex i) const { return nodes[i]; }
    [[nodiscard]] text::Span span(NodeIndex i) const { return {file, nodes[i].begin, nodes[i].end}; }
    [[nodiscard]] bool has_children(NodeIndex i) const { return nodes[i].next > i + 1; }
};

// Visit the children of a node: for (NodeIndex c : children(tree, i))
struct Children {
    const base::LargeVector<Node>* nodes;
    NodeIndex first, last;
    struct Iterator {
        const base::LargeVector<Node>* nodes;
        NodeIndex at;
        NodeIndex operator*() const { return at; }
        Iterator& operator++() { at = (*nodes)[at].next; return *this; }
        friend bool operator==(const Iterator& a, const Iterator& b) { return a.at == b.at; }
    };
    [[nodiscard]] Iterator begin() const { return {nodes, first}; }
    [[nodiscard]] Iterator end() const { return {nodes, last}; }
};
[[nodiscard]] inline Children children(const Tree& t, NodeIndex i) { return {&t.nodes, i + 1, t.nodes[i].next}; }

// Read one file. Never fails, never throws, works within base/limits.hpp; linear in the size of the text.
[[nodiscard]] Tree parse(const text::Sources& sources, text::FileId file);
// The very same, sooner where the text is one that was read before but for an edit in one place: of that text, and its tree.
[[nodiscard]] Tree parse(const text::Sources& sources, text::FileId file, const Tree& before, std::string_view text_before);

// ---- tokens: every byte of the file in exactly one -----------------------------------------------------------
enum class TokenKind : std::uint8_t {
    keyword, joining, name, label, number, unit, text, date, punctuation,  // what the tree is made of
    blank, newline, comment,                                              // what stands between
    junk
};
struct Token {
    TokenKind kind = TokenKind::junk;
    std::uint32_t begin = 0, end = 0;
};
// In order, without gap or overlap, from byte 0 to the end: printing them gives the file back.
[[nodiscard]] std::vector<Token> tokens(const text::Sources& sources, const Tree& tree);

// The reserved words (for explain, completion, the editors and a test that holds them apart from the units).
[[nodiscard]] std::span<const std::string_view> keywords();
[[nodiscard]] std::span<const std::string_view> joining_words();

// The name of a node kind as `steps tree` prints it.
[[nodiscard]] std::string_view word(NodeKind kind);

}  // namespace ferrule::syntax
