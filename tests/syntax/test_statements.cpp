// Every statement of the language: the tree it gives.
#include <gtest/gtest.h>

#include "syntax/helper_tree.hpp"

namespace ferrule::syntax {
namespace {

struct Case {
    std::string_view text, tree;
};

void PrintTo(const Case& c, std::ostream* out) {
    *out << c.text;
}

class Statement : public testing::TestWithParam<Case> {};

TEST_P(Statement, IsRead) {
    const Read read{std::string(GetParam().text)};
    EXPECT_TRUE(read.tree.findings.empty()) << read.tree.findings.front().message;
    EXPECT_EQ(read.first(), GetParam().tree);
}

INSTANTIATE_TEST_SUITE_P(
    Each, Statement,
    testing::Values(
        Case{"edition 1", "(edition (number 1))"},
        Case{"site \"A\" { }", "(site (text \"A\") (block { }))"},
        Case{"include \"a.fer\"", "(include (text \"a.fer\"))"},
        Case{"place A, B { }", "(place (declared (name A)) (declared (name B)) (block { }))"},
        Case{"part P is module { voc 41 V }",
             "(part (name P) (word module) (block (property (label voc) (quantity (number 41) "
             "(unit V)))))"},
        Case{"part P is cable {\n}", "(part (name P) (word cable) (block {\n}))"},
        Case{"string E, W[1..3] is 6 x P, 2 x R on F { tilt 30 deg }",
             "(string (declared (name E)) (declared (name W) (index (number 1) (number 3))) (group "
             "(number 6) (name P)) "
             "(group (number 2) (name R)) (where (ref (name F))) (block (property (label tilt) "
             "(quantity (number 30) (unit deg)))))"},
        Case{"string E is 6 \u00D7 P", "(string (declared (name E)) (group (number 6) (name P)))"},
        Case{"string E is 6x P", "(string (declared (name E)) (group (number 6) (name P)))"},
        Case{"enclosure B is BOX-4 in F",
             "(enclosure (declared (name B)) (is (name BOX-4)) (where (ref (name F))))"},
        Case{"device Q is SW with A, B on M.x { }",
             "(device (declared (name Q)) (is (name SW)) (with (name A) (name B)) (where (ref "
             "(name M) (mark x))) (block { }))"},
        Case{"run R \"a way\" { length 2 m }",
             "(run (name R) (text \"a way\") (block (property (label length) (quantity (number 2) "
             "(unit m)))))"},
        Case{"cable W is PV-6 20 m",
             "(cable (declared (name W)) (is (name PV-6)) (quantity (number 20) (unit m)))"},
        Case{"jumper Q none", "(jumper (ref (name Q)) (none none))"},
        Case{"jumper Q supplied", "(jumper (ref (name Q)) (supplied supplied))"},
        Case{"jumper Q 2-4, 6-8 PV-6",
             "(jumper (ref (name Q)) (pairing (label 2) (label 4)) (pairing (label 6) (label 8)) "
             "(ref (name PV-6)))"},
        Case{"jumper Q 1 to L1", "(jumper (ref (name Q)) (pairing (label 1) (label L1)))"},
        Case{"bond A, B -> C -> D 6 mm2",
             "(bond (refs (ref (name A)) (ref (name B))) (refs (ref (name C))) (refs (ref (name "
             "D))) (quantity (number 6) (unit mm2)))"},
        Case{"earth POS.8 -> E", "(earth (refs (ref (name POS) (mark 8))) (refs (ref (name E))))"},
        Case{"gang Q1, Q2", "(gang (refs (ref (name Q1)) (ref (name Q2))))"},
        Case{"label \"X\" on Q { voltage 9 V }",
             "(label-on (text \"X\") (refs (ref (name Q))) (block (property (label voltage) "
             "(quantity (number 9) (unit V)))))"},
        Case{"steps \"stop\" { open Q1 }",
             "(steps (text \"stop\") (block (property (label open) (ref (name Q1)))))"},
        Case{"assembly A { port out+ is Q1.2 }",
             "(assembly (name A) (block (port (label out+) (ref (name Q1) (mark 2)))))"},
        Case{"part P is inverter { port pv[1..2] is array { plus pv[i]+ } }",
             "(part (name P) (word inverter) (block (port (label (index (number 1) (number 2))) "
             "(word array) "
             "(block (property (label plus) (signed-label (name pv) (index (name i))))))))"},
        Case{"repeat i in 1..24 { S[i].+ -> F[i].1 }",
             "(repeat (name i) (number 1) (number 24) (block (conductor (ref (name S) (index (name "
             "i)) (mark +)) "
             "(ref (name F) (index (name i)) (mark 1)))))"},
        Case{"except C[1].F[7] with G \"why\"",
             "(except (ref (name C) (index (number 1)) (mark F) (index (number 7))) (with (name "
             "G)) (text \"why\"))"},
        Case{"except S is 11 x P", "(except (ref (name S)) (group (number 11) (name P)))"},
        Case{"except S is P", "(except (ref (name S)) (is (name P)))"},
        Case{"accept a.b-c on Q because \"r\" until 2027-06",
             "(accept (rule a.b-c) (refs (ref (name Q))) (label because) (text \"r\") (label "
             "until) (date 2027-06))"},
        Case{"accept label.wording { because \"r\" }",
             "(accept (rule label.wording) (block (property (label because) (text \"r\"))))"},
        Case{"reading \"r\" { EAST.+ voc 9 V; EAST voc 8 V; 1-2 open }",
             "(reading (text \"r\") (block (property (ref (name EAST) (mark +)) (ref (name voc)) "
             "(quantity (number 9) (unit V))) "
             "(property (label EAST) (ref (name voc)) (quantity (number 8) (unit V))) (property "
             "(label 1-2) (ref (name open)))))"},
        Case{"A.1 -> B.2 PV-6 red 34 m as W3",
             "(conductor (ref (name A) (mark 1)) (ref (name B) (mark 2)) (ref (name PV-6)) (ref "
             "(name red)) "
             "(quantity (number 34) (unit m)) (label as) (ref (name W3)))"},
        Case{"A -> B", "(conductor (ref (name A)) (ref (name B)))"}));

// The atoms of a property's tail.
INSTANTIATE_TEST_SUITE_P(
    Atoms, Statement,
    testing::Values(
        Case{"p 1 in series", "(property (label p) (number 1) (label in) (ref (name series)))"},
        Case{"p 6mm2", "(property (label p) (quantity (number 6) (unit mm2)))"},
        Case{"p 6mmm2", "(property (label p) (quantity (number 6) (unit mmm2)))"},
        Case{"p 25 foo", "(property (label p) (number 25) (ref (name foo)))"},
        Case{"p 10x38 1N 2T1 IP65 M20",
             "(property (label p) (label 10x38) (label 1N) (label 2T1) (ref (name IP65)) (ref "
             "(name M20)))"},
        Case{"p 2/0 AWG 1/L1",
             "(property (label p) (quantity (number 2/0) (unit AWG)) (label 1/L1))"},
        Case{"p -9 degC .. 5\u00B0C",
             "(property (label p) (quantity (number -9) (unit degC)) (dots ..) (quantity (number "
             "5) (unit \u00B0C)))"},
        Case{
            "p 2 N.m 3 %/K 4 \u2126 5 \u03A9",
            "(property (label p) (quantity (number 2) (unit N.m)) (quantity (number 3) (unit %/K)) "
            "(quantity (number 4) (unit \u2126)) (quantity (number 5) (unit \u03A9)))"},
        Case{"p 2026-10 2026-10-05 13-14 6-PV PV-6",
             "(property (label p) (date 2026-10) (date 2026-10-05) (pair 13-14) (pair 6-PV) (ref "
             "(name PV-6)))"},
        Case{"p 09:30", "(property (label p) (time 09:30))"},
        Case{"p pv+ pv1- pv[i]- + -",
             "(property (label p) (signed-label (name pv)) (signed-label (name pv1)) "
             "(signed-label (name pv) (index (name i))) (label +) (label -))"},
        Case{"p 1 x 4 \u00D7 2",
             "(property (label p) (number 1) (label x) (number 4) (label \u00D7) (number 2))"},
        Case{"p Q.upper[3] Q.[2*i-1] C.pv[2]+",
             "(property (label p) (ref (name Q) (mark upper) (index (number 3))) "
             "(ref (name Q) (index (difference (product (number 2) (name i)) (number 1)))) "
             "(ref (name C) (mark pv) (index (number 2))))"},
        Case{"p A[i+1] A[i - 1] A[ 1 .. 6 ]",
             "(property (label p) (ref (name A) (index (sum (name i) (number 1)))) "
             "(ref (name A) (index (difference (name i) (number 1)))) (ref (name A) (index (number "
             "1) (number 6))))"},
        Case{"ends A, B", "(property (label ends) (ref (name A)) (ref (name B)))"},
        Case{"+ EC-4", "(property (label +) (ref (name EC-4)))"},
        Case{"p 41.2 V,\n  # a comment\n  3 A",
             "(property (label p) (quantity (number 41.2) (unit V)) (quantity (number 3) (unit "
             "A)))"},
        Case{"S\u00FCd.1 -> N\u00F6rd.2",
             "(conductor (ref (name S\u00FCd) (mark 1)) (ref (name N\u00F6rd) (mark 2)))"},
        Case{"SITE.is -> String.on",
             "(conductor (ref (name SITE) (mark is)) (ref (name String) (mark on)))"}));

TEST(Lines, EndAtNewlineOrSemicolon) {
    const Read read("a 1; b 2\nc 3 ;; d 4\r\ne 5 # f 6\n");
    EXPECT_TRUE(read.tree.findings.empty());
    EXPECT_EQ(read.show(),
              "(file (property (label a) (number 1)) (property (label b) (number 2)) (property "
              "(label c) (number 3)) "
              "(property (label d) (number 4)) (property (label e) (number 5)))");
}

TEST(Lines, TheSpanOfAStatementEndsWithItsLastToken) {
    const Read read("device Q is SW  # what\n");
    EXPECT_EQ(read.sources.text(read.tree.span(1)), "device Q is SW");
}

TEST(Sample, HasNoMistakes) {
    const Read read(sample());
    ASSERT_GT(read.bytes().size(), 3000U);
    EXPECT_TRUE(read.tree.findings.empty()) << read.tree.findings.front().message;
}

TEST(Words, KeywordsAndJoiningWordsAreApart) {
    for (const std::string_view k : keywords())
        for (const std::string_view j : joining_words()) EXPECT_NE(k, j);
    EXPECT_EQ(keywords().size(), 22U);
}

}  // namespace
}  // namespace ferrule::syntax
