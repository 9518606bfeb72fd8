// Conductors and what they are made of, jumpers, bonds, earths, gangs, positions, runs and the
// entries they pass.
#include <gtest/gtest.h>

#include <cmath>

#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

constexpr std::string_view wiring_start = R"(edition 1
site "Test" { standard nec-2023 }
part PM is module { voc 40 V; isc 10 A }
part SW is isolator { pole 1-2; pole 3-4; pole 5-6; pole 7-8; jumpers 2-4, 6-8; face { upper 2 4 6 8; lower 7 5 3 1 } }
part SW-2 is isolator { pole 1-2; pole 3-4 }
part PV-6 is cable { section 6 mm2 copper; rated 1500 V; diameter 6 mm; colour red black }
part PV-16 is cable { section 16 mm2 copper; diameter 9 mm }
part YY-3 is cable { section 2.5 mm2 copper; cores 3; colour brown blue green-yellow; diameter 8 mm }
part LK is links { section 16 mm2 copper; rated 1000 V 63 A }
part EB is earth-bar { ways 4 }
part BB is busbar { ways 4 }
part ROD is electrode { type rod }
part EC-P is connector { family EC-4; half pin }
part GL-12 is gland { clamps 5 mm .. 7 mm }
part GL-20 is gland { clamps 8 mm .. 12 mm }
part GL-2 is gland { clamps 5 mm .. 7 mm; holes 2 }
place FIELD, HUT { outdoors }
string S, T is 6 x PM on FIELD
enclosure BOX in HUT { entry G[1..2] bottom GL-12; entry K bottom GL-20; entry M bottom GL-2; entry D side open }
device Q is SW in BOX
device R is SW-2 in HUT
device BAR is EB in HUT
device E is ROD on FIELD
device P is BB in BOX
)";

Loaded wired(std::string_view text) {
    return load(std::string(wiring_start) + std::string(text));
}

const graph::Conductor& only(const Loaded& l) {
    EXPECT_EQ(l.design.conductors.size(), 1U);
    return l.design.conductors[graph::ConductorId(0U)];
}

TEST(Wiring, ATailInAnyOrder) {
    for (const char* tail : {"PV-6 red 3 m as W1 ends EC-P, ferrule rated 750 V",
                             "as W1 rated 750 V ends EC-P, ferrule 3 m red PV-6",
                             "3 m ends EC-P, ferrule red as W1, PV-6 rated 750 V"}) {
        const Loaded l = wired(std::string("S.+ -> Q.1 ") + tail + "\n");
        EXPECT_EQ(l.told(), "");
        const graph::Conductor& c = only(l);
        EXPECT_EQ(l.design.word(c.mark), "W1");
        EXPECT_EQ(l.design.word(c.colour), "red");
        EXPECT_EQ(l.design.word(c.end_b), "ferrule");
        EXPECT_EQ(c.end_part_a, l.part("EC-P"));
        EXPECT_FALSE(c.end_part_b);
        EXPECT_DOUBLE_EQ(c.length, 3);
        EXPECT_DOUBLE_EQ(c.rated_voltage, 750);
        EXPECT_NEAR(c.area, 6e-6, 1e-15);
        EXPECT_TRUE(c.copper_stated);
    }
}

TEST(Wiring, WhatATailCannotHold) {
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 rde 3 m\n").rules_and_places(), "design.tail @ rde\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-7 red 3 m\n").rules_and_places(),
              "design.unknown-name @ PV-7\n");
    EXPECT_EQ(wired("S.+ -> Q.1 SW red 3 m\n").rules_and_places(), "design.wrong-kind @ SW\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 red 3\n").count("design.unit-wrong"), 1U);
    EXPECT_EQ(wired("S.+ -> Q.1 6 copper red 3 m\n").rules_and_places(), "design.unit-wrong @ 6\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 red 3 m 40 degC\n").rules_and_places(),
              "design.unit-wrong @ 40 degC\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 red 3 m 700 V\n").rules_and_places(), "design.tail @ 700 V\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 red black 3 m\n").rules_and_places(),
              "design.stated-twice @ black\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 red 3 m ends ferrule\n").rules_and_places(),
              "design.tail @ ends\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 red 3 m ends EC-Q, ferrule\n").rules_and_places(),
              "design.unknown-name @ EC-Q\n");
    EXPECT_EQ(wired("S.+ -> S.+ PV-6 red 3 m\n").rules_and_places(),
              "design.conductor @ S.+ -> S.+ PV-6 red 3 m\n");
    // the conductor is there all the same
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 rde 3 m\n").design.conductors.size(), 1U);
}

TEST(Wiring, UnknownTerminals) {
    const Loaded l = wired(
        "S.+ -> Q.9 PV-6 3 m\nS.minus -> Q.3 PV-6 3 m\nT -> Q.5 PV-6 3 m\nS.+ -> P PV-6 3 m\n");
    EXPECT_EQ(l.rules_and_places(),
              "design.unknown-terminal @ 9\ndesign.unknown-terminal @ "
              "minus\ndesign.unknown-terminal @ T\n");
    EXPECT_EQ(l.findings[0].message, "Q has no terminal 9; it has 1, 2, 3, 4, 5, 6, 7 and 8");
    EXPECT_EQ(l.design.name(only(l).b), "P");  // a bar is one piece of metal: it needs no number
    EXPECT_EQ(l.design.left_open.size(), 6U);
}

TEST(Wiring, MarksAreTheirOwn) {
    const Loaded l = wired(
        "S.+ -> Q.1 PV-6 3 m as W1\nS.- -> Q.3 PV-6 3 m as W1\nT.+ -> Q.5 PV-6 3 m \"PV\"\nT.- -> "
        "Q.7 PV-6 3 m \"PV\"\n");
    ASSERT_EQ(l.rules_and_places(), "design.mark-twice @ W1\n");
    EXPECT_EQ(l.findings[0].related.size(), 1U);
}

TEST(Wiring, CoresOfACable) {
    const Loaded l = wired(
        "cable K is YY-3 12 m\nS.+ -> Q.1 K core 1\nS.- -> Q.3 K core 2\nbond BOX -> BAR K core "
        "3\n");
    EXPECT_EQ(l.told(), "");
    const graph::Conductor& second = l.design.conductors[graph::ConductorId(1U)];
    EXPECT_EQ(l.design.word(second.colour), "blue");
    EXPECT_DOUBLE_EQ(second.length, 12);
    EXPECT_EQ(l.design.name(second.named_cable), "K");
    EXPECT_EQ(wired("cable K is YY-3\nS.+ -> Q.1 K core 4 1 m\n").rules_and_places(),
              "design.cable-core @ core 4\n");
    EXPECT_EQ(wired("cable K is YY-3\nS.+ -> Q.1 K 1 m\n").rules_and_places(),
              "design.cable-core @ K\n");
    EXPECT_EQ(wired("S.+ -> Q.1 YY-3 core 1 1 m\n").rules_and_places(),
              "design.cable-core @ core 1\n");
    // of what part it is, is not known; that it is declared, is
    EXPECT_EQ(wired("cable K is YY-4\nS.+ -> Q.1 K core 1 1 m\n").rules_and_places(),
              "design.unknown-name @ YY-4\n");
    const Loaded twice =
        wired("cable K is YY-3\nS.+ -> Q.1 K core 1 1 m\nS.- -> Q.3 K core 1 1 m\n");
    ASSERT_EQ(twice.rules_and_places(), "design.cable-core @ core 1\n");
    EXPECT_EQ(twice.findings[0].related.size(), 1U);
}

TEST(Wiring, LengthIsItsOwnElseTheRunsElseTheSumOfItsWays) {
    const Loaded l = wired(
        "run A { length 14 m; S.+ -> Q.1 PV-6; S.- -> Q.3 PV-6 9 m }\nrun B { length 5 m }\nrun C "
        "{ via A, B; T.+ -> Q.5 PV-6 }\n"
        "T.- -> Q.7 PV-6 via A, B\nQ.2 -> R.1 PV-6\n");
    ASSERT_EQ(l.rules_and_places(), "design.length-missing @ Q.2 -> R.1 PV-6\n");
    EXPECT_EQ(l.findings[0].severity, findings::Severity::warning);
    std::vector<double> lengths;
    for (const auto& c : l.design.conductors) lengths.push_back(c.length);
    ASSERT_EQ(lengths.size(), 5U);
    EXPECT_DOUBLE_EQ(lengths[0], 14);
    EXPECT_DOUBLE_EQ(lengths[1], 9);
    EXPECT_DOUBLE_EQ(lengths[2], 19);
    EXPECT_DOUBLE_EQ(lengths[3], 19);
    EXPECT_TRUE(std::isnan(lengths[4]));
    EXPECT_EQ(l.design.conductors[graph::ConductorId(2U)].vias, 3U);  // the run itself too
}

TEST(Wiring, ARunGoesThroughPlacesAndRuns) {
    EXPECT_EQ(wired("run A { length 1 m; through FIELD, HUT }\nrun B { via A }\n").told(), "");
    EXPECT_EQ(wired("run A { length 1 m; through Q; via HUT }\n").rules_and_places(),
              "design.wrong-kind @ Q\ndesign.wrong-kind @ HUT\n");
    EXPECT_EQ(wired("run A { length 1 m }\nrun B { via A, A; S.+ -> Q.1 PV-6 }\n")
                  .count("design.stated-twice"),
              1U);
}

TEST(Wiring, EndsOfARunHoldForThoseThatSayNothing) {
    const Loaded l = wired(
        "run A { length 1 m; ends EC-P, ferrule; S.+ -> Q.1 PV-6; S.- -> Q.3 PV-6 ends bare, "
        "lug-M8 }\n");
    EXPECT_EQ(l.told(), "");
    EXPECT_EQ(l.design.conductors[graph::ConductorId(0U)].end_part_a, l.part("EC-P"));
    EXPECT_EQ(l.design.word(l.design.conductors[graph::ConductorId(1U)].end_b), "lug-M8");
}

TEST(Wiring, Jumpers) {
    const Loaded l = wired("jumper Q 2-4, 6 to 8 LK\njumper R none\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.conductors.size(), 2U);
    const graph::Conductor& c = l.design.conductors[graph::ConductorId(1U)];
    EXPECT_EQ(c.role, graph::ConductorRole::jumper);
    EXPECT_EQ(l.design.name(graph::ConductorId(1U)), "jumper Q 6 to 8");
    EXPECT_NEAR(c.area, 16e-6, 1e-15);
    EXPECT_DOUBLE_EQ(c.rated_voltage, 1000);
    EXPECT_EQ(l.design.jumpers_stated.size(), 2U);
    EXPECT_EQ(wired("jumper Q supplied\n").design.conductors.size(), 2U);
    EXPECT_EQ(wired("jumper R supplied\n").rules_and_places(),
              "design.needed-property @ R supplied\n");
    EXPECT_EQ(wired("jumper Q 2-4\njumper Q 6-8\n").told(), "");
    EXPECT_EQ(wired("jumper Q none\njumper Q 6-8\n").rules_and_places(),
              "design.stated-twice @ Q 6-8\n");
    EXPECT_EQ(wired("jumper Q 2-9\n").rules_and_places(), "design.unknown-terminal @ 9\n");
    EXPECT_EQ(wired("jumper Q 2-2\n").rules_and_places(), "design.conductor @ 2-2\n");
    EXPECT_EQ(wired("jumper S 1-2\n").rules_and_places(), "design.wrong-kind @ S\n");
}

TEST(Wiring, BondsEarthsAndGangs) {
    const Loaded l = wired(
        "bond FIELD, BOX, S -> BAR 6 mm2 copper green-yellow 3 m\nbond HUT -> BOX -> BAR.2 6 mm2 "
        "copper\nearth BAR -> E 16 mm2 copper\n"
        "earth P.1 -> BAR.3 6 mm2\ngang Q, R\n");
    EXPECT_EQ(l.told(), "");
    std::string all;
    for (const auto c : l.design.conductors.ids()) all += l.design.name(c) + "\n";
    EXPECT_EQ(all,
              "FIELD -> BAR\nBOX -> BAR\nS.frame -> BAR\nHUT -> BOX\nBOX -> BAR.2\nBAR -> E\nP.1 "
              "-> BAR.3\n");
    EXPECT_NE(l.design.things[l.thing("Q")].handle, 0U);
    EXPECT_EQ(l.design.things[l.thing("Q")].handle, l.design.things[l.thing("R")].handle);
    EXPECT_EQ(l.design.things[l.thing("P")].handle, 0U);
    EXPECT_EQ(wired("bond Q -> BAR 6 mm2\n").rules_and_places(), "design.unknown-terminal @ Q\n");
}

TEST(Wiring, Positions) {
    const Loaded l = wired("S.+ -> Q.upper[3] PV-6 1 m\nS.- -> Q.3 PV-6 1 m at Q lower 3\n");
    EXPECT_EQ(l.told(), "");
    EXPECT_EQ(l.design.name(l.design.conductors[graph::ConductorId(0U)].b), "Q.6");
    ASSERT_EQ(l.design.claims.size(), 2U);
    EXPECT_FALSE(l.design.claims[0].landed);
    EXPECT_EQ(l.design.name(l.design.claims[1].landed), "Q.3");
    EXPECT_EQ(wired("S.+ -> R.upper[1] PV-6 1 m\n").rules_and_places(),
              "design.position @ upper[1]\n");
    EXPECT_EQ(wired("S.+ -> Q.upper[5] PV-6 1 m\n").rules_and_places(),
              "design.position @ upper[5]\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 1 m at R upper 1\n").rules_and_places(),
              "design.position @ at R upper 1\n");
}

std::string uses(const Loaded& l) {
    std::string all;
    for (const auto& u : l.design.entry_uses) {
        const auto& e = l.design.entries[u.entry];
        all += std::string(l.design.word(e.name)) + (e.index != 0 ? std::to_string(e.index) : "") +
               " " + l.design.name(u.conductor) + "\n";
    }
    return all;
}

TEST(Wiring, EntriesAreMatchedByDiameter) {
    // the thick cable goes through the wide gland, whatever the order of the lines
    const Loaded l = wired(
        "run A { length 1 m; enters BOX by K, G[1..2]; S.+ -> Q.1 PV-6; S.- -> Q.3 PV-16; T.+ -> "
        "R.1 PV-6; T.- -> Q.5 PV-6 }\n");
    EXPECT_EQ(l.told(), "");
    EXPECT_EQ(uses(l), "G1 S.+ -> Q.1\nG2 T.- -> Q.5\nK S.- -> Q.3\n");
    // a gland with two holes takes two; one entry takes all
    EXPECT_EQ(uses(wired("run A { length 1 m; enters BOX by M, G[1]; S.+ -> Q.1 PV-6; S.- -> Q.3 "
                         "PV-6; T.+ -> Q.5 PV-6 }\n"))
                  .find("K"),
              std::string::npos);
    EXPECT_EQ(
        uses(wired("run A { length 1 m; enters BOX by D; S.+ -> Q.1 PV-6; S.- -> Q.3 PV-6 }\n")),
        "D S.+ -> Q.1\nD S.- -> Q.3\n");
    // a cable of several cores is one cable
    EXPECT_EQ(uses(wired("cable K1 is YY-3\nrun A { length 1 m; enters BOX by K, D; S.+ -> Q.1 K1 "
                         "core 1; S.- -> Q.3 K1 core 2 }\n")),
              "K S.+ -> Q.1\n");
    // one that says so itself is not counted again
    EXPECT_EQ(uses(wired("run A { length 1 m; enters BOX by D; S.+ -> Q.1 PV-6 by BOX.G[1]; S.- -> "
                         "Q.3 PV-6 }\n")),
              "G1 S.+ -> Q.1\nD S.- -> Q.3\n");
    EXPECT_EQ(wired("run A { length 1 m; enters BOX by X[1..2] }\n").rules_and_places(),
              "design.unknown-entry @ X[1..2]\n");
    EXPECT_EQ(wired("run A { length 1 m; enters HUT by D }\n").rules_and_places(),
              "design.wrong-kind @ HUT\n");
    EXPECT_EQ(wired("S.+ -> Q.1 PV-6 1 m by BOX.G[3]\n").rules_and_places(),
              "design.unknown-entry @ G[3]\n");
}

TEST(Wiring, Boxes) {
    EXPECT_EQ(wired("enclosure A in B2\nenclosure B2 in A\n").count("design.where"), 1U);
    EXPECT_EQ(wired("enclosure A { entry G bottom GL-99 }\nS.+ -> Q.1 PV-6 1 m by A.G\n")
                  .rules_and_places(),
              "design.unknown-name @ GL-99\n");
    EXPECT_EQ(wired("enclosure A { entry G[1..3] bottom open; entry G[2] side open }\n")
                  .count("design.duplicate-name"),
              1U);
    EXPECT_EQ(wired("device X is SW in HUT { spare 7, 9; spare 5-6 }\n").rules_and_places(),
              "design.unknown-terminal @ 9\n");
}

}  // namespace
}  // namespace ferrule::tests
