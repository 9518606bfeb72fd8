// Data sheets: terminals, poles, ports, joins, faces, links, and how they are held together.
#include <gtest/gtest.h>

#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

std::string labels(const Loaded& l, std::string_view part) {
    std::string all;
    for (const auto& t : l.design.parts[l.part(part)].terminals) {
        if (!all.empty()) all += ' ';
        all += l.design.word(t.label);
    }
    return all;
}

TEST(Parts, Terminals) {
    const Loaded l = load(
        "edition 1\npart M is module { voc 4 V; isc 3 A }\npart B is busbar { ways 3 }\npart E is "
        "earth-bar { ways 2 }\n"
        "part S is isolator { pole 1-2; pole L1 to T1; aux 13-14 closes; aux 21-22 opens; "
        "protective PE }\n"
        "part C is controller { port pv[1..2] is array { max-voltage 4 V }; port bat is battery { "
        "plus B+; minus B- }; protective PE; join pv1- pv2- B- }\n"
        "part I is inverter { port ac is ac-out { lines L1 L2; neutral N } }\npart Y is lead { end "
        "a EC-4 pin; end out EC-4 socket }\n");
    EXPECT_EQ(l.told(), "");
    EXPECT_EQ(labels(l, "M"), "+ - frame");
    EXPECT_EQ(labels(l, "B"), "bar 1 2 3");
    EXPECT_EQ(labels(l, "S"), "1 2 L1 T1 13 14 21 22 PE");
    EXPECT_EQ(labels(l, "C"), "PE pv1+ pv1- pv2+ pv2- B+ B-");
    EXPECT_EQ(labels(l, "I"), "L1 L2 N");
    EXPECT_EQ(labels(l, "Y"), "a out");
    const graph::Part& c = l.design.parts[l.part("C")];
    ASSERT_EQ(c.ports.size(), 3U);
    EXPECT_EQ(c.ports[1].index, 2U);
    EXPECT_EQ(l.design.word(c.terminals[c.ports[1].plus].label), "pv2+");
    EXPECT_EQ(c.terminals[c.ports[2].minus].sign, -1);
    EXPECT_EQ(c.joins.size(), 2U);
    const graph::Part& s = l.design.parts[l.part("S")];
    ASSERT_EQ(s.poles.size(), 4U);
    EXPECT_TRUE(s.poles[2].aux);
    EXPECT_FALSE(s.poles[2].opens);
    EXPECT_TRUE(s.poles[3].opens);
    EXPECT_TRUE(s.terminals[8].protective);
    EXPECT_TRUE(l.design.parts[l.part("E")].terminals[2].protective);
}

TEST(Parts, PolarityLinksPositionsAndFace) {
    const Loaded l = load(
        "edition 1\npart S is isolator { pole 1-2; pole 3-4; polarised in at 1, 4; jumpers 2-4; "
        "face { upper 2 4; lower 1 3 } }\n"
        "part U is isolator { positions 1 0 2; pole 1-2 closed in 1; pole 1-4 closed in 2; "
        "polarised no; jumpers none }\n");
    EXPECT_EQ(l.told(), "");
    const graph::Part& s = l.design.parts[l.part("S")];
    EXPECT_TRUE(s.polarised);
    EXPECT_EQ(s.poles[0].current_in, 1);
    EXPECT_EQ(s.poles[1].current_in, -1);
    ASSERT_EQ(s.supplied_jumpers.size(), 1U);
    ASSERT_EQ(s.face.size(), 4U);
    const graph::Part& u = l.design.parts[l.part("U")];
    EXPECT_EQ(l.design.word(u.poles[1].closed_in), "2");
    EXPECT_TRUE(u.polarised_stated);
    EXPECT_FALSE(u.polarised);
    EXPECT_TRUE(u.jumpers_stated);
    EXPECT_TRUE(u.supplied_jumpers.empty());
}

TEST(Parts, WhatDoesNotHoldTogether) {
    const Loaded l = load(
        "edition 1\npart S is isolator { pole 1-2; pole 3-4; polarised in at 9; jumpers 2-7; face "
        "{ upper 2 2; lower 5 3 }; pole 2-1; pole 3-3 }\n"
        "part T is isolatr { pole 1-2 }\npart C is controller { port pv is aray { }; port bat is "
        "battery { }; port bat is load { } }\n");
    EXPECT_EQ(l.rules_and_places(),
              "design.unknown-kind @ isolatr\ndesign.stated-twice @ pole "
              "2-1\ndesign.property-shape @ 3-3\ndesign.stated-twice @ 2\n"
              "design.unknown-kind @ aray\ndesign.duplicate-name @ bat\n");
    // each word that names a terminal it does not have
    const Loaded m = load(
        "edition 1\npart S is isolator { pole 1-2; polarised in at 9; jumpers 2-7; face { upper 5 "
        "} }\n");
    EXPECT_EQ(m.rules_and_places(),
              "design.unknown-terminal @ 9\ndesign.unknown-terminal @ 2-7\ndesign.unknown-terminal "
              "@ 5\n");
}

TEST(Parts, ADoubtfulPartIsNotBlamedForItsTerminals) {
    const Loaded l = load(
        "edition 1\nsite \"x\" { }\npart S is isolator { pole 1-2; pole 3 }\npart C is cable { "
        "section 6 mm2 }\ndevice Q is S\nQ.1 -> Q.3 C 1 m\n");
    EXPECT_EQ(l.findings.size(), 1U) << l.told();
    EXPECT_EQ(l.count("design.property-shape"), 1U);
}

TEST(Parts, MisplacedStatements) {
    const Loaded l = load(
        "edition 1\npart S is isolator { pole 1-2; device Q is S }\npart T is isolator { pole 1-2 "
        "; Q.1 -> Q.2 }\n");
    EXPECT_GE(l.findings.size(), 1U);
    EXPECT_EQ(l.count("design.misplaced"), 1U) << l.told();
}

}  // namespace
}  // namespace ferrule::tests
