// Names: any order, duplicates, near names, unknown ones (once), things of the wrong sort, arrays
// and ranges.
#include <gtest/gtest.h>

#include <algorithm>

#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

constexpr std::string_view parts = R"(edition 1
site "Test" { standard nec-2023 }
part PM is module { voc 40 V; isc 10 A }
part SW is isolator { pole 1-2; pole 3-4; jumpers none }
part PV-6 is cable { section 6 mm2 copper }
part GF is fuse { rated 1000 V 25 A }
part GF-32 is fuse { rated 1000 V 32 A }
part FH is fuse-holder { pole 1-2 }
place FIELD { outdoors }
)";

Loaded with_parts(std::string_view text) {
    return load(std::string(parts) + std::string(text));
}

TEST(Names, OrderOfStatementsDoesNotMatter) {
    const std::string lines[] = {
        "S.+ -> Q.1 PV-6 red 3 m as W1",
        "string S is 6 x PM on FIELD { tilt 30 deg }",
        "device Q is SW in FIELD",
        "enclosure BOX on FIELD { entry G[1..2] bottom open }",
        "run R { length 4 m; S.- -> Q.3 PV-6 black; enters BOX by G[1] }",
        "device F[1..3] is FH with GF in BOX",
        "except F[2] with GF-32",
        "jumper Q 2-4",
        "bond FIELD -> BOX 6 mm2",
        "assembly A { device X is SW; port in is X.1 }",
        "device A1 is A in BOX",
        "Q.2 -> A1.in PV-6 1 m",
    };
    std::vector<int> order(std::size(lines));
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = static_cast<int>(i);
    const auto facts = [&] {
        std::string text;
        for (const int i : order) text += lines[i] + "\n";
        const Loaded l = with_parts(text);
        EXPECT_EQ(l.told(), "");
        std::vector<std::string> all;
        for (const auto t : l.design.things.ids()) {
            const auto where = l.design.things[t].where;
            all.push_back(
                l.design.name(t) + " in " + (where ? l.design.name(where) : "-") + " with " +
                std::string(
                    l.design.things[t].fitted != 0
                        ? l.design.word(
                              l.design.parts[l.design.fitted[l.design.things[t].first_fitted]].name)
                        : std::string_view()));
        }
        for (const auto c : l.design.conductors.ids())
            all.push_back(l.design.name(c) + " " + std::to_string(l.design.conductors[c].length));
        for (const auto& use : l.design.entry_uses)
            all.push_back("entry of " + l.design.name(use.conductor));
        std::sort(all.begin(), all.end());
        return all;
    };
    const auto first = facts();
    for (int turn = 0; turn < 6; ++turn) {
        std::rotate(order.begin(), order.begin() + 5, order.end());
        if (turn % 2 == 0) std::reverse(order.begin(), order.end());
        EXPECT_EQ(facts(), first);
    }
}

TEST(Names, AnUnknownNameIsReportedOnceWithTheNearest) {
    const Loaded l = with_parts(
        "string EAST is 6 x PM on FIELD\ndevice Q is SW\nEASST.+ -> Q.1 PV-6 1 m\nEASST.- -> Q.3 "
        "PV-6 1 m\n");
    ASSERT_EQ(l.findings.size(), 1U) << l.told();
    EXPECT_EQ(l.rules_and_places(), "design.unknown-name @ EASST\n");
    EXPECT_NE(l.findings[0].message.find("there is EAST"), std::string::npos);
    ASSERT_EQ(l.findings[0].related.size(), 1U);
}

TEST(Names, WhatHangsOnAMistakeStaysSilent) {
    const Loaded l = with_parts(
        "string S is 6 x PN on FIELD\ndevice Q is SW\nS.+ -> Q.1 PV-6 1 m\ngang Q\nlabel \"x\" on "
        "S { voltage 40 V }\n");
    EXPECT_EQ(l.rules_and_places(), "design.unknown-name @ PN\n");
    EXPECT_EQ(l.design.conductors.size(), 0U);
    ASSERT_EQ(l.design.left_open.size(), 1U);
    EXPECT_EQ(l.design.name(l.design.left_open[0]), "Q");
}

TEST(Names, ALineThatCouldNotBeReadMayDeclareAnything) {
    const Loaded l = with_parts(
        "device Q7 SW in FIELD\nstrng T is 6 x PM\ndevice Q is SW\nQ7.1 -> Q.1 PV-6 1 m\nT.+ -> "
        "Q.2 PV-6 1 m\n");
    EXPECT_EQ(l.findings.size(), 2U) << l.told();
    EXPECT_EQ(l.count("design.unknown-statement"), 1U);
    EXPECT_EQ(l.count("design.unknown-name"), 0U);
}

TEST(Names, TwiceTheSame) {
    const Loaded l = with_parts(
        "device Q is SW\nstring Q is 6 x PM\ndevice F[1..3] is FH\ndevice F[3..4] is FH\npart SW "
        "is fuse { }\n");
    EXPECT_EQ(l.count("design.duplicate-name"), 3U) << l.told();
    for (const auto& f : l.findings) EXPECT_EQ(f.related.size(), 1U) << f.message;
}

TEST(Names, NearNames) {
    const Loaded l = with_parts(
        "device BOX-1 is SW\ndevice BOX_1 is SW\ndevice box-1 is SW\ndevice BOX1 is SW\n");
    EXPECT_EQ(l.count("design.near-names"), 2U) << l.told();
    EXPECT_EQ(l.findings.size(), 2U);
    for (const auto& f : l.findings) EXPECT_EQ(f.severity, findings::Severity::warning);
}

TEST(Names, TheWrongSortOfThing) {
    const Loaded l = with_parts(
        "device Q is SW\ndevice R is SW in Q\nstring S is 6 x SW\nstring T is 6 x PM on Q\nQ.1 -> "
        "R.1 PM 1 m\ndevice U is FIELD\n");
    EXPECT_EQ(l.count("design.wrong-kind"), 5U) << l.told();
    EXPECT_EQ(l.findings.size(), 5U);
}

TEST(Names, RangesRunInStep) {
    const Loaded l = with_parts(
        "device A[1..3], B[1..3] is SW\nA[1..3].1 -> B[1..3].2 PV-6 1 m\nA[1..3].3 -> B[1].4 PV-6 "
        "1 m\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.conductors.size(), 6U);
    EXPECT_EQ(l.design.name(graph::ConductorId(2U)), "A[3].1 -> B[3].2");
    EXPECT_EQ(l.design.name(graph::ConductorId(5U)), "A[3].3 -> B[1].4");
}

TEST(Names, RangesThatCannot) {
    const Loaded l = with_parts(
        "device A[1..3], B[1..2] is SW\nA[1..3].1 -> B[1..2].2 PV-6 1 m\nA[4].1 -> B[1].1 PV-6 1 "
        "m\nA.1 -> B[1].1 PV-6 1 m\n"
        "device C[3..1] is SW\ndevice D[0] is SW\ndevice E is SW\nE[1].1 -> B[1].1 PV-6 1 m\n");
    EXPECT_EQ(l.count("design.range"), 6U) << l.told();
    EXPECT_EQ(l.findings.size(), 6U);
}

TEST(Names, RepeatsAndArithmetic) {
    const Loaded l = with_parts(
        "part BAR is busbar { ways 8 }\ndevice P is BAR\nrepeat i in 1..4 { string S[i] is 6 x PM "
        "on FIELD\n"
        "device F[i] is FH\nS[i].+ -> F[i].1 PV-6 1 m as W[i]\nF[i].2 -> P.[2*i-1] PV-6 1 m }\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.conductors.size(), 8U);
    EXPECT_EQ(l.design.name(graph::ConductorId(6U)), "S[4].+ -> F[4].1 (W[4])");
    EXPECT_EQ(l.design.name(graph::ConductorId(7U)), "F[4].2 -> P.7");
}

TEST(Names, ARunInARepeatIsOneOfEachTurn) {
    const Loaded l = with_parts(
        "device A[1..2], B[1..2] is SW\nrepeat i in 1..2 { run T[i] \"way\" { length 2 m\nA[i].1 -> B[i].1 PV-6\n} }\n"
        "A[1].3 -> B[1].3 PV-6 via T[2]\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.conductors.size(), 3U);
    for (std::uint32_t c = 0; c < 3; ++c) EXPECT_EQ(l.design.conductors[graph::ConductorId(c)].length, 2) << c;
    EXPECT_EQ(l.design.name(l.design.conductors[graph::ConductorId(1U)].run), "T[2]");
    EXPECT_EQ(with_parts("run T[1..2] { length 2 m }\n").rules_and_places(), "design.range @ [1..2]\n");
    const Loaded plain = with_parts(
        "device A[1..2], B[1..2] is SW\nrepeat i in 1..2 { run T { length 2 m\nA[i].1 -> B[i].1 PV-6\n} }\n");
    ASSERT_EQ(plain.rules_and_places(), "design.duplicate-name @ T\n");
    EXPECT_EQ(plain.findings[0].remedy, "give it the repeat's name for an index, such as T[i]");
    EXPECT_TRUE(plain.findings[0].related.empty());
}

TEST(Names, WhatStandsInARunIsWiredWhateverItsNameIs) {
    const Loaded l = with_parts("device A, B is SW\nrun 2T { length 2 m\nA.1 -> B.1 PV-6\n}\n");
    EXPECT_EQ(l.count("syntax.name"), 1U) << l.told();
    EXPECT_EQ(l.findings.size(), 1U) << l.told();
    EXPECT_EQ(l.design.conductors.size(), 1U);
}

TEST(Names, RepeatsThatCannot) {
    EXPECT_EQ(with_parts("repeat i in 1..4294967296 { device D[i] is SW }\n").rules_and_places(),
              "design.repeat @ 1..4294967296\n");
    EXPECT_EQ(with_parts("repeat i in 5..1 { device D[i] is SW }\n").rules_and_places(),
              "design.repeat @ 5..1\n");
    EXPECT_EQ(with_parts("repeat i in 1..2 { device D[j] is SW }\n").rules_and_places(),
              "design.unknown-name @ j\n");
    EXPECT_EQ(with_parts("repeat i in 900000..900001 { device D[i*900000] is SW }\n")
                  .count("design.range"),
              1U);
    EXPECT_EQ(with_parts("repeat i in 1..3 { device D is SW }\n").count("design.duplicate-name"),
              1U);
}

TEST(Names, SiteAndEdition) {
    EXPECT_EQ(load("").told(), "");
    EXPECT_EQ(load("# nothing\n").told(), "");
    EXPECT_EQ(load("place A { indoors }\n").rules_and_places(), "design.edition @ A\n");
    EXPECT_EQ(load("edition 7\nplace A { indoors }\n").rules_and_places(), "design.edition @ 7\n");
    EXPECT_EQ(load("edition 1\nplace A { indoors }\nedition 1\n").rules_and_places(),
              "design.edition @ edition 1\n");
    EXPECT_EQ(load("edition 1\nsite \"A\" { }\nsite \"B\" { }\n").rules_and_places(),
              "design.site @ \"B\"\n");
    EXPECT_EQ(
        load("edition 1\npart B is battery { nominal 48 V }\ndevice X is B\n").count("design.site"),
        1U);
}

}  // namespace
}  // namespace ferrule::tests
