// A text read anew after an edit gives what it gives when it is read for the first time, whatever the edit.
#include <gtest/gtest.h>

#include <filesystem>

#include "support/turns.hpp"
#include "syntax/helper_tree.hpp"

namespace ferrule::syntax {
namespace {

std::vector<std::string> texts() {
    std::vector<std::string> all{sample(), "", "site \"A\" { }", "# nothing\n"};
    for (const auto& entry : std::filesystem::recursive_directory_iterator(FERRULE_SOURCE_DIR "/examples")) {
        if (entry.path().extension() == ".fer") all.push_back(read_file(entry.path()));
    }
    return all;
}

std::string shown(const findings::Finding& f) {
    std::string out = f.rule + " " + std::to_string(f.span.file.value) + ":" + std::to_string(f.span.begin) + "-" + std::to_string(f.span.end) + " " + f.message + " / " + f.remedy;
    for (const findings::Related& r : f.related) out += " @" + std::to_string(r.span.begin) + "-" + std::to_string(r.span.end) + " " + r.message;
    for (const findings::Edit& e : f.edits) out += " =" + std::to_string(e.span.begin) + "-" + std::to_string(e.span.end) + e.text;
    return out;
}

void expect_same(const Tree& a, const Tree& b, const std::string& text) {
    ASSERT_EQ(a.file, b.file);
    ASSERT_EQ(a.nodes.size(), b.nodes.size()) << text;
    for (NodeIndex i = 0; i < a.nodes.size(); ++i) {
        ASSERT_TRUE(a[i].kind == b[i].kind && a[i].begin == b[i].begin && a[i].end == b[i].end && a[i].next == b[i].next && a[i].broken == b[i].broken)
            << "node " << i << " at byte " << b[i].begin << "\n" << text;
    }
    std::vector<std::string> left, right;
    for (const findings::Finding& f : a.findings) left.push_back(shown(f));
    for (const findings::Finding& f : b.findings) right.push_back(shown(f));
    ASSERT_EQ(left, right) << text;
}

// What somebody types, one stroke or one word at a time.
std::string typed(std::string text, std::uint32_t seed) {
    static constexpr std::string_view strokes[] = {" ", "\n", "9", "x", "}", "{", "\"", "-", "->", "#", ";", "\n\n", "device Q9 is", " 3 m", "\n}", "(", "\xC3\xA9", "\xC2\xA0", "EAST.+ -> Q1.1\n", "place Y { }\n"};
    Dice next(seed);
    const std::size_t at = next(text.size() + 1);
    switch (next(4)) {
        case 0: text.erase(at, 1 + next(3)); break;
        case 1: text.erase(at, next(200)); break;
        default: text.insert(at, strokes[next(std::size(strokes))]); break;
    }
    return text;
}

template <class Change>
void try_edits(std::uint32_t chains, std::uint32_t length, Change change) {
    for (const std::string& begin : texts()) {
        for (std::uint32_t chain = 0; chain < chains; ++chain) {
            std::string text = begin;
            Tree tree = Read(begin).tree;
            for (std::uint32_t k = 0; k < length; ++k) {
                const std::string now = change(text, chain * length + k + 1);
                text::Sources sources;
                if (k % 2 == 0) (void)sources.add("other.fer", "");  // the number of a file is another each time
                const text::FileId file = sources.add("design.fer", now);
                Tree again = parse(sources, file, tree, text);
                expect_same(again, parse(sources, file), now);
                if (testing::Test::HasFatalFailure()) return;
                tree = std::move(again);
                text = now;
            }
        }
    }
}

constexpr std::uint32_t chains = tests::turns(25);

TEST(Reparse, OfTypingIsTheSame) {
    try_edits(chains, 12, typed);
}

TEST(Reparse, OfAnyDamageIsTheSame) {
    try_edits(chains, 4, [](const std::string& text, std::uint32_t seed) { return mutated(text, seed); });
}

// There and back again, as the mistakes of a half-typed line come and go.
TEST(Reparse, OfAnEditTakenBackIsTheSame) {
    std::string other;
    try_edits(chains, 6, [&](const std::string& text, std::uint32_t seed) {
        if (seed % 2 == 0) return other;
        other = text;
        return typed(text, seed);
    });
}

// A mark on the tree before, far from the edit, survives: nothing was read there.
TEST(Reparse, ReadsOnlyWhatTheEditTouched) {
    const std::string begin = "place A { indoors dry }\nplace B { indoors dry }\nplace C { indoors dry }\nplace D { indoors dry }\nplace E { indoors dry }\n";
    for (const std::string typed_in : {"indoors", "indoors damp; ambient", "indoors {"}) {
        Read before(begin + begin);
        const NodeIndex far = before.tree.nodes.size() - 1;
        before.tree.nodes[far].kind = NodeKind::dots;
        std::string now = begin + begin;
        now.replace(now.find("indoors", 50), 7, typed_in);
        text::Sources sources;
        const Tree again = parse(sources, sources.add("design.fer", now), before.tree, before.bytes());
        EXPECT_EQ(again.nodes.back().kind == NodeKind::dots, typed_in.find('{') == std::string::npos) << typed_in;
    }
}

}  // namespace
}  // namespace ferrule::syntax
