// The house layout, and that it never touches what is said.
#include <gtest/gtest.h>

#include "format/tidy.hpp"
#include "support/turns.hpp"
#include "syntax/helper_tree.hpp"

namespace ferrule::format {
namespace {

std::string tidied(const std::string& text) {
    const syntax::Read read(text);
    return tidy(read.sources, read.tree);
}

TEST(Tidy, LaysOutBlocksAndLines) {
    EXPECT_EQ(tidied("part   P is cable{\nsection 6mm2;strands class-5\n\n\n   diameter    6.1 mm  "
                     " \n}\n\n\n\ndevice Q is SW"),
              "part P is cable {\n    section 6mm2; strands class-5\n\n    diameter 6.1 "
              "mm\n}\n\ndevice Q is SW\n");
    EXPECT_EQ(tidied("site \"s\" { coldest 1 degC\n  face { upper 1 2\nlower 3 4 } }"),
              "site \"s\" {\n    coldest 1 degC\n    face {\n        upper 1 2\n        lower 3 "
              "4\n    }\n}\n");
    EXPECT_EQ(tidied("place A {indoors dry;pests   mice ;}"),
              "place A { indoors dry; pests mice }\n");
    EXPECT_EQ(tidied("place A { }\nplace B {\n\n}\n"), "place A { }\nplace B {\n}\n");
    EXPECT_EQ(tidied("device Q is SW; device R is SW"), "device Q is SW\ndevice R is SW\n");
}

TEST(Tidy, AlignsRunsOfLinesOfOneForm) {
    EXPECT_EQ(tidied("p {\na 1\nlonger 2 V\nbare\n\npole 1-2\npole 3-4\n}\n"),
              "p {\n    a       1\n    longer  2 V\n    bare\n\n    pole 1-2\n    pole 3-4\n}\n");
    EXPECT_EQ(
        tidied(
            "EAST.+ -> Q.1 PV-6 red as W1\nE.- -> QQ.13 PV-6 black as W2 ends A, B\nE.1 -> Q.2\n"),
        "EAST.+ -> Q.1    PV-6 red    as W1\nE.-    -> QQ.13  PV-6 black  as W2  ends A, B\nE.1    "
        "-> Q.2\n");
    EXPECT_EQ(tidied("device Q is SW-4P in B\ndevice MPPT is CC in ROOM\ndevice X is Y\n"),
              "device Q    is SW-4P in B\ndevice MPPT is CC    in ROOM\ndevice X is Y\n");
    EXPECT_EQ(tidied("place A { indoors }\nplace LONG { outdoors }\n"),
              "place A    { indoors }\nplace LONG { outdoors }\n");
}

TEST(Tidy, KeepsComments) {
    EXPECT_EQ(tidied("#top\n\n  a 1   #x  \nbbb 2 # y\n# end"),
              "#top\n\na    1  #x\nbbb  2  # y\n# end\n");
    EXPECT_EQ(tidied("p { # why\n# inside\na 1\n} # after\n"),
              "p {  # why\n    # inside\n    a 1\n}  # after\n");
    EXPECT_EQ(tidied("a 1,# first\n 2\n"), "a 1,  # first\n        2\n");
}

TEST(Tidy, KeepsLinesThatGoOn) {
    EXPECT_EQ(tidied("p {\nvoc 41 V,\n -0.25 %/K\n}\n"),
              "p {\n    voc 41 V,\n            -0.25 %/K\n}\n");
}

TEST(Tidy, WritesPlainSpellings) {
    EXPECT_EQ(tidied("a 4 mm\u00B2 5 \u03A9 6 M\u2126 7 \u00B0C 8 \u00B5F 9 \u03BCF 10 W/m\u00B2 1 "
                     "\u00D7 2 %/\u00B0C \"\u00B5\""),
              "a 4 mm2 5 ohm 6 Mohm 7 degC 8 uF 9 uF 10 W/m2 1 x 2 %/degC \"\u00B5\"\n");
    EXPECT_EQ(tidied("string A is 6 \u00D7P"), "string A is 6 x P\n");
}

TEST(Tidy, SpacesSigns) {
    EXPECT_EQ(tidied("A[ 1 .. 6 ].+  ->  F[1..6].[ 2 * i - 1 ]  a , b,c  2 V..3 V"),
              "A[1..6].+ -> F[1..6].[2*i-1]  a, b, c 2 V .. 3 V\n");
    EXPECT_EQ(tidied("repeat i in 1 .. 24{ S[i].+ -> F.1 }"),
              "repeat i in 1..24 { S[i].+ -> F.1 }\n");
}

TEST(Tidy, KeepsTheLineEndsOfTheFile) {
    EXPECT_EQ(tidied("a  1\r\n\r\nb 2"), "a 1\r\n\r\nb 2\r\n");
    EXPECT_EQ(tidied("a  1\rb  2\r"), "a 1\rb 2\r");
    EXPECT_EQ(tidied("\xEF\xBB\xBF"
                     "a  1"),
              "\xEF\xBB\xBF"
              "a 1\n");
    EXPECT_EQ(tidied("a\u00A01\n\fb 2\n"), "a 1\nb 2\n");
}

TEST(Tidy, LeavesNothingAsNothing) {
    EXPECT_EQ(tidied(""), "");
    EXPECT_EQ(tidied("\xEF\xBB\xBF"), "\xEF\xBB\xBF");
    EXPECT_EQ(tidied("\n\n"), "");
}

TEST(Tidy, LeavesBadStatementsUntouched) {
    EXPECT_EQ(tidied("a   1\npart   P is module {\n  voc   2,5 V\n x  1\n}   # so\nb   1\n"),
              "a 1\npart   P is module {\n  voc   2,5 V\n x  1\n}   # so\nb 1\n");
    EXPECT_EQ(tidied("a  1\n  }\nb  2\n"), "a 1\n  }\nb 2\n");
}

void expect_stable(const std::string& text, const std::string& what) {
    const std::string once = tidied(text);
    ASSERT_EQ(tidied(once), once) << what;
}

TEST(Tidy, IsAFixedPointOverTheSampleAndItsMutations) {
    const std::string text = syntax::sample();
    EXPECT_NE(tidied(text), text);
    expect_stable(text, "the sample");
    for (std::uint32_t seed = 0; seed < tests::turns(3000); ++seed) {
        expect_stable(syntax::mutated(text, seed), "seed " + std::to_string(seed));
        if (HasFatalFailure()) return;
    }
}

// If the layout ever changed what is said, the text would come back as it was: so it must not come
// back.
TEST(Tidy, NeverGivesUpOnATextWithoutMistakes) {
    const std::string text = syntax::sample();
    std::size_t clean = 0;
    for (std::uint32_t seed = 0; seed < tests::turns(3000); ++seed) {
        const std::string changed = "a   1\n" + syntax::mutated(text, seed);
        const syntax::Read read(changed);
        if (!read.tree.findings.empty()) continue;
        ++clean;
        ASSERT_NE(tidied(changed), changed) << "seed " << seed;
    }
    EXPECT_GT(clean, tests::turns(100));
}

TEST(Tidy, AddsNoFindingAndLosesNone) {
    const std::string text = syntax::sample();
    for (std::uint32_t seed = 0; seed < tests::turns(1000); ++seed) {
        const syntax::Read before(syntax::mutated(text, seed));
        const syntax::Read after(tidied(syntax::mutated(text, seed)));
        const auto errors = [](const syntax::Read& r) {
            return std::count_if(
                r.tree.findings.begin(), r.tree.findings.end(),
                [](const findings::Finding& f) { return f.severity == findings::Severity::error; });
        };
        ASSERT_EQ(errors(before), errors(after)) << "seed " << seed;
    }
}

}  // namespace
}  // namespace ferrule::format
