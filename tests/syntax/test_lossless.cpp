// Whatever the bytes, the parser ends, the tree nests, and the tokens are the file.
#include <gtest/gtest.h>

#include "support/turns.hpp"
#include "syntax/helper_tree.hpp"
#include "syntax/recognise.hpp"

namespace ferrule::syntax {
namespace {

// Children lie within their parents, in order and apart; `next` leads past the subtree.
void expect_nested(const Tree& tree, NodeIndex i) {
    std::uint32_t at = tree[i].begin;
    for (const NodeIndex c : children(tree, i)) {
        ASSERT_GE(tree[c].begin, at);
        ASSERT_LE(tree[c].begin, tree[c].end);
        ASSERT_LE(tree[c].end, tree[i].end);
        ASSERT_GT(tree[c].next, c);
        ASSERT_LE(tree[c].next, tree[i].next);
        at = tree[c].end;
        expect_nested(tree, c);
    }
}

void expect_lossless(const std::string& text) {
    const Read read(text);
    ASSERT_EQ(read.tree[0].kind, NodeKind::file);
    ASSERT_EQ(read.tree[0].next, read.tree.nodes.size());
    expect_nested(read.tree, 0);
    std::uint32_t at = 0;
    std::string printed;
    for (const Token& t : tokens(read.sources, read.tree)) {
        ASSERT_EQ(t.begin, at);
        ASSERT_GT(t.end, t.begin);
        at = t.end;
        printed += read.bytes().substr(t.begin, t.end - t.begin);
    }
    ASSERT_EQ(printed, text);
    for (const findings::Finding& f : read.tree.findings) {
        ASSERT_LE(f.span.begin, f.span.end);
        ASSERT_LE(f.span.end, text.size());
        ASSERT_FALSE(f.message.empty());
    }
}

// What is junk or broken has been reported; and the other way round, unless the report is of the
// whole file.
void expect_reported(const Read& read) {
    bool broken = false;
    for (const Node& n : read.tree.nodes) broken = broken || n.broken || n.kind == NodeKind::junk;
    bool error = false;
    for (const findings::Finding& f : read.tree.findings)
        error = error || f.severity == findings::Severity::error;
    if (broken) {
        EXPECT_TRUE(error) << read.bytes();
    }
}

TEST(Lossless, TheSample) {
    expect_lossless(sample());
}

TEST(Lossless, ThousandsOfMutatedFiles) {
    const std::string text = sample();
    for (std::uint32_t seed = 0; seed < tests::turns(4000); ++seed) {
        const std::string changed = mutated(text, seed);
        expect_lossless(changed);
        expect_reported(Read(changed));
        if (HasFatalFailure() || HasNonfatalFailure()) FAIL() << "seed " << seed;
    }
}

TEST(Lossless, CutAtEveryByte) {
    const std::string text = sample();
    for (std::size_t size = 0; size < text.size(); ++size) {
        expect_lossless(text.substr(0, size));
        if (HasFatalFailure()) FAIL() << "cut at " << size;
    }
}

TEST(Lossless, ShortTextsOfSigns) {
    static constexpr std::string_view signs[] = {"a",  "1", "{", "}",  "[",      "]",
                                                 ".",  ",", ";", "\"", "\\",     "->",
                                                 "\n", " ", "#", "is", "device", "-"};
    std::vector<std::string> texts{""};
    for (int length = 0; length < 3; ++length) {
        std::vector<std::string> longer;
        for (const std::string& t : texts)
            for (const std::string_view s : signs) longer.push_back(t + std::string(s));
        for (const std::string& t : longer) expect_lossless(t);
        texts = std::move(longer);
    }
}

TEST(Lossless, TheGrammarAloneTakesWhatTheParserTakes) {
    EXPECT_TRUE(recognise(sample()));
}

TEST(Tokens, SayWhatTheyAre) {
    const Read read("device Q.- in 6 mm2 \"t\" 1-2 # c\n");
    std::string kinds;
    for (const Token& t : tokens(read.sources, read.tree))
        kinds += std::to_string(static_cast<int>(t.kind)) + " ";
    const Read good("rated Q.1 in 6 mm2 \"t\" 2026-10 # c\n");
    std::vector<TokenKind> found;
    for (const Token& t : tokens(good.sources, good.tree))
        if (t.kind != TokenKind::blank) found.push_back(t.kind);
    EXPECT_EQ(found,
              (std::vector<TokenKind>{TokenKind::label, TokenKind::name, TokenKind::punctuation,
                                      TokenKind::label, TokenKind::joining, TokenKind::number,
                                      TokenKind::unit, TokenKind::text, TokenKind::date,
                                      TokenKind::comment, TokenKind::newline}));
}

}  // namespace
}  // namespace ferrule::syntax
