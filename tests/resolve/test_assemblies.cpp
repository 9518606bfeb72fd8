// Assemblies: instances, members, ports, exceptions, circles, and what they may come to.
#include <gtest/gtest.h>

#include <algorithm>

#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

constexpr std::string_view assembly_start = R"(edition 1
site "Test" { standard nec-2023 }
part PM is module { voc 40 V; isc 10 A }
part SW is isolator { pole 1-2; pole 3-4 }
part SW-3 is isolator { pole 1-2; pole 3-4; pole 5-6 }
part FH is fuse-holder { pole 1-2 }
part GF is fuse { rated 1000 V 25 A }
part GF-32 is fuse { rated 1000 V 32 A }
part BAR is busbar { ways 8 }
part EB is earth-bar { ways 8 }
part PV-6 is cable { section 6 mm2 copper }
place FIELD, YARD { outdoors }
device EARTHS is EB on FIELD
assembly PAIR {
    device F[1..2] is FH with GF
    port in[1..2]+ is F[1..2].1
    port out[1..2]+ is F[1..2].2
}
assembly COMBINER {
    enclosure BOX { entry G bottom open }
    device P is PAIR in BOX
    device BAR-1 is BAR in BOX
    device Q is SW in BOX
    repeat i in 1..2 { P.out[i]+ -> BAR-1.[i] PV-6 red 0.3 m as W[i] }
    BAR-1.8 -> Q.1 PV-6 0.3 m
    jumper Q none
    bond BOX -> EARTHS 6 mm2 copper
    port in[1..2]+ is P.in[1..2]+
    port out+ is Q.2
}
)";

// Without the notes about assemblies that a test does not use.
Loaded without_notes(Loaded l) {
    std::erase_if(l.findings, [](const auto& f) { return f.severity == findings::Severity::note; });
    return l;
}

Loaded built(std::string_view text) {
    return without_notes(load(std::string(assembly_start) + std::string(text)));
}

TEST(Assemblies, InstancesHaveMembersAndPorts) {
    const Loaded l = built(
        "device CB[1..3] is COMBINER on FIELD\nstring S[1..6] is 6 x PM on FIELD\n"
        "repeat i in 1..3 { S[2*i-1].+ -> CB[i].in[1]+ PV-6 5 m; S[2*i].+ -> CB[i].in2+ PV-6 5 m "
        "}\n");
    EXPECT_EQ(l.told(), "");
    const graph::ThingId fuse = l.thing("CB[3].P.F[2]");
    ASSERT_TRUE(fuse);
    EXPECT_EQ(l.design.name(l.design.things[fuse].where),
              "CB[3].BOX");  // where its instance stands
    EXPECT_EQ(l.design.name(l.design.things[l.thing("CB[3].BOX")].where), "FIELD");
    EXPECT_EQ(l.design.word(l.design.part_of(l.thing("CB[2]")).name), "COMBINER");
    std::vector<std::string> names;
    for (const auto c : l.design.conductors.ids()) names.push_back(l.design.name(c));
    EXPECT_EQ(names.size(), 6U + 3U * 4U);
    EXPECT_NE(std::find(names.begin(), names.end(), "S[6].+ -> CB[3].P.F[2].1"), names.end());
    EXPECT_NE(std::find(names.begin(), names.end(), "CB[2].P.F[1].2 -> CB[2].BAR-1.1 (W[1])"),
              names.end());
    EXPECT_NE(std::find(names.begin(), names.end(), "CB[1].BOX -> EARTHS"), names.end());
}

TEST(Assemblies, FromOutsideConductorsLandOnPortsOnly) {
    const Loaded l = built(
        "device CB is COMBINER on FIELD\nstring S is 6 x PM on FIELD\nS.+ -> CB.Q.1 PV-6 5 m\nS.- "
        "-> CB.out- PV-6 5 m\n"
        "label \"x\" on CB.Q { warns shock }\n");
    EXPECT_EQ(l.rules_and_places(), "design.assembly @ CB.Q.1\ndesign.unknown-terminal @ out-\n");
    EXPECT_EQ(l.design.labels.size(), 1U);
}

TEST(Assemblies, Exceptions) {
    const Loaded l = built(
        "device CB[1..3] is COMBINER on FIELD\nstring S[1..3] is 6 x PM on FIELD\nexcept S[2] is 5 "
        "x PM\n"
        "except CB[2].P.F[1] with GF-32 \"out of stock\"\nexcept CB[3].Q is SW-3\n");
    EXPECT_EQ(l.told(), "");
    const auto fitted = [&](std::string_view name) {
        return l.design.word(
            l.design.parts[l.design.fitted[l.design.things[l.thing(name)].first_fitted]].name);
    };
    EXPECT_EQ(fitted("CB[2].P.F[1]"), "GF-32");
    EXPECT_EQ(fitted("CB[1].P.F[1]"), "GF");
    EXPECT_EQ(l.design.groups[l.design.things[l.thing("S[2]")].first_group].count, 5U);
    EXPECT_EQ(l.design.part_of(l.thing("CB[3].Q")).terminals.size(), 6U);
    EXPECT_EQ(l.design.conductors.size(), 12U);
    // A finding about an exception points at the line that made it one.
    EXPECT_EQ(l.sources->text(l.design.things[l.thing("CB[2].P.F[1]")].span), "CB[2].P.F[1]");
    EXPECT_EQ(l.sources->text(l.design.things[l.thing("CB[1].P.F[1]")].span), "F");
}

TEST(Assemblies, ExceptionsThatChangeNothing) {
    const Loaded l = built(
        "device CB[1..3] is COMBINER on FIELD\nexcept CB[2].P.F[1] with GF\nexcept CB[3].Q is "
        "SW\nexcept CB[9].Q is SW\n"
        "except CB[1].X is SW-3\nexcept CB[1] is SW\n");
    EXPECT_EQ(l.count("design.except"), 3U) << l.told();
    EXPECT_EQ(l.count("design.range"), 1U);
    EXPECT_EQ(l.findings.size(), 5U);
}

TEST(Assemblies, AMistakeInsideIsReportedOnce) {
    const Loaded l = built(
        "assembly BAD { device Q is SW; Q.1 -> Q.9 PV-6 1 m; Q.2 -> Z.1 PV-6 1 m }\ndevice "
        "B[1..50] is BAD\n");
    EXPECT_EQ(l.rules_and_places(), "design.unknown-terminal @ 9\ndesign.unknown-name @ Z\n");
}

TEST(Assemblies, Circles) {
    const Loaded l = built(
        "assembly A { device X is B }\nassembly B { device X is C }\nassembly C { device X is A "
        "}\ndevice D is A\nassembly E { device X is E }\n");
    EXPECT_EQ(l.count("design.assembly"), 2U) << l.told();
    EXPECT_EQ(l.findings.size(), 2U);
    EXPECT_EQ(l.findings[0].related.size(), 5U);  // three assemblies, two uses on the way
}

TEST(Assemblies, DoublingFortyTimesIsCountedNotBuilt) {
    std::string text = "assembly A0 { device Q is SW }\n";
    for (int i = 1; i <= 40; ++i) {
        const std::string before = "A" + std::to_string(i - 1);
        text += "assembly A" + std::to_string(i) + " { device L is " + before + "; device R is " +
                before + " }\n";
    }
    const Loaded l = built(text + "device ALL is A40\n");  // built, 2^40 devices would not fit any machine
    ASSERT_EQ(l.count("design.limit"), 1U) << l.told();
    for (const auto& f : l.findings) {
        if (f.rule == "design.limit") {
            EXPECT_GE(f.related.size(), 8U);
        }
    }
    EXPECT_LT(l.design.things.size(), 100U);
}

TEST(Assemblies, Limits) {
    EXPECT_EQ(built("device D[1..5000000] is SW\n").count("design.limit"), 1U);
    EXPECT_EQ(built("repeat i in 1..1000000 { repeat j in 1..1000000 { gang D, D } }\n")
                  .count("design.limit"),
              1U);
    std::string deep = "assembly A0 { device Q is SW }\n";
    for (int i = 1; i <= 200; ++i)
        deep +=
            "assembly A" + std::to_string(i) + " { device X is A" + std::to_string(i - 1) + " }\n";
    EXPECT_LE(built(deep + "device D is A200\n").count("design.limit"), 1U);
}

TEST(Assemblies, AnUnusedOneIsNotedForItWasNotJudged) {
    const Loaded l = load("edition 1\nassembly A { device Q is NOTHING }\n");
    ASSERT_EQ(l.rules_and_places(), "design.assembly @ A\n");
    EXPECT_EQ(l.findings[0].severity, findings::Severity::note);
}

TEST(Assemblies, WhatCannotStandInThem) {
    const Loaded l = built(
        "assembly A { site \"x\" { }; part X is fuse { }; foo 3; device Q is SW }\ndevice D is "
        "A\n");
    EXPECT_GE(l.count("design.misplaced") + l.count("syntax.brace") + l.count("syntax.expected"),
              1U)
        << l.told();
}

}  // namespace
}  // namespace ferrule::tests
