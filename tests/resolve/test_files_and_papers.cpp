// Files within files; labels, steps, readings and accepts as far as their names go.
#include <gtest/gtest.h>

#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

TEST(Files, EachIsReadOnce) {
    const Loaded l = load(
        "edition 1\ninclude \"a\"\ninclude \"b\"\ninclude \"a\"\ndevice Q is SW in HUT\nsite \"x\" "
        "{ }\n",
        {{"a", "edition 1\npart SW is isolator { pole 1-2 }\ninclude \"b\"\n"},
         {"b", "edition 1\nplace HUT { indoors }\n"}});
    EXPECT_EQ(l.told(), "");
    EXPECT_EQ(l.files.size(), 3U);
    EXPECT_EQ(l.files[0], l.root);
}

TEST(Files, ACircleIsOneFindingWithItsWay) {
    const Loaded l =
        load("edition 1\ninclude \"a\"\n",
             {{"a", "edition 1\ninclude \"b\"\n"}, {"b", "edition 1\ninclude \"site.fer\"\n"}});
    ASSERT_EQ(l.rules_and_places(), "design.include @ \"site.fer\"\n");
    EXPECT_EQ(l.findings[0].related.size(), 2U);
    EXPECT_EQ(load("edition 1\ninclude \"site.fer\"\n").rules_and_places(),
              "design.include @ \"site.fer\"\n");
}

TEST(Files, MissingAndTooDeep) {
    EXPECT_EQ(load("edition 1\ninclude \"x\"\n").rules_and_places(), "design.include @ \"x\"\n");
    NamedTexts chain;
    for (int i = 0; i < 40; ++i)
        chain.emplace_back("f" + std::to_string(i),
                           "edition 1\ninclude \"f" + std::to_string(i + 1) + "\"\n");
    EXPECT_EQ(load("edition 1\ninclude \"f0\"\n", chain).count("design.limit"), 1U);
}

TEST(Files, OfAMissingOneNoNameIsMissed) {
    const Loaded l = load(
        "edition 1\ninclude \"x\"\nplace HUT { indoors }\npart SW is isolator { pole 1-2 }\n"
        "device Q is SW in HUT\ndevice R is RR in HUT\nstring S is 2 x PM on YARD\ncable W is CC\n"
        "S.+ -> Q.1 W core 1 2 m\nQ.2 -> R.1 PV-6 red 1 m\n");
    EXPECT_EQ(l.rules_and_places(), "design.include @ \"x\"\n");
}

TEST(Files, EachHasItsEdition) {
    const Loaded l = load("edition 1\ninclude \"a\"\n", {{"a", "place HUT { indoors }\n"}});
    ASSERT_EQ(l.count("design.edition"), 1U);
    ASSERT_EQ(l.findings[0].edits.size(), 1U);
    EXPECT_EQ(l.findings[0].edits[0].text, "edition 1\n\n");
    EXPECT_EQ(load("editon 1\nplace HUT { indoors }\n").rules_and_places(), "design.unknown-statement @ editon\n");
}

constexpr std::string_view paper_start = R"(edition 1
site "Test" { standard nec-2023 }
part PM is module { voc 40 V; isc 10 A }
part SW is isolator { pole 1-2; pole 3-4 }
place FIELD { outdoors }
string EAST, WEST is 6 x PM on FIELD
device Q1, Q2 is SW on FIELD
)";

Loaded papers(std::string_view text) {
    return load(std::string(paper_start) + std::string(text));
}

TEST(Papers, Labels) {
    const Loaded l = papers(
        "label \"OFF \\\"HERE\\\"\" on Q1, Q2 { isolates Q2 from EAST, WEST; warns "
        "both-sides-live; voltage 270 V }\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.labels.size(), 1U);
    const graph::Label& label = l.design.labels[0];
    EXPECT_EQ(l.design.word(label.text), "OFF \"HERE\"");
    EXPECT_EQ(label.on.size(), 2U);
    const auto row = l.design.row(label.rows, "isolates");
    ASSERT_TRUE(row);
    EXPECT_EQ(l.design.rows[row].fields.count, 3U);
    EXPECT_EQ(l.design.field(row, "equipment")->target, l.thing("Q2").value);
    EXPECT_EQ(papers("label \"x\" on Q3 { warns shock }\n").count("design.unknown-name"), 1U);
    EXPECT_EQ(papers("label \"x\" on Q1 { isolates Q2 form EAST }\n").rules_and_places(),
              "design.property-shape @ form\n");
}

TEST(Papers, StepsKeepTheirOrder) {
    const Loaded l = papers(
        "steps \"stop\" { open Q1; lock Q1; wait 5 min; prove Q1.2 to Q1.4 dead; open Q2 }\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.steps.size(), 1U);
    std::string order;
    for (const auto r : l.design.steps[0].rows)
        order += std::string(l.design.word(l.design.rows[r].property)) + " ";
    EXPECT_EQ(order, "open lock wait prove open ");
    EXPECT_EQ(
        papers("steps \"stop\" { prove Q1.2 to Q1.9 dead; waite 5 min }\n").rules_and_places(),
        "design.unknown-terminal @ 9\ndesign.unknown-property @ waite\n");
}

TEST(Papers, Readings) {
    const Loaded l = papers(
        "reading \"before\" {\n Q1 off   1-2 open, 3-4 open\n EAST voc 245 V, polarity correct, "
        "610 W/m2, cell 18 degC\n EAST.+ insulation 500 V 180 Mohm\n"
        " Q1.1 torque 2.0 N.m\n state Q1 on, Q2 off {\n  Q1.2 to Q2.1 closed\n }\n}\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.readings.size(), 1U);
    EXPECT_EQ(l.design.readings[0].rows.count, 5U);
    EXPECT_EQ(l.design.rows[l.design.readings[0].rows[4]].block.count, 1U);
    EXPECT_EQ(
        papers(
            "reading \"x\" { EASTT voc 4 V; Q1 off 1-9 open; Q1.7 torque 2 N.m; WEST voc 4 V }\n")
            .rules_and_places(),
        "design.unknown-name @ EASTT\ndesign.unknown-terminal @ 1-9\ndesign.unknown-terminal @ "
        "7\n");
}

TEST(Papers, Accepts) {
    const Loaded l = papers(
        "accept rating.module on EAST because \"a reason\" until 2027-06-30 by \"me\"\naccept "
        "rating.cable { because \"another\" }\n");
    EXPECT_EQ(l.told(), "");
    ASSERT_EQ(l.design.accepts.size(), 2U);
    EXPECT_EQ(l.design.word(l.design.accepts[0].rule), "rating.module");
    EXPECT_EQ(l.design.accepts[0].until, "2027-06-30");
    EXPECT_EQ(l.design.accepts[0].by, "me");
    EXPECT_EQ(l.design.accepts[1].because, "another");
    EXPECT_EQ(papers("accept rating.module on EAST\n").rules_and_places(),
              "design.needed-property @ rating.module\n");
    const Loaded odd = papers("accept rating.module on EAST because \"x\" until 2030-1-1\n");
    EXPECT_EQ(odd.rules_and_places(), "design.tail @ 2030-1-1\n");
    // what it is about is not known: it must not hold everywhere
    EXPECT_EQ(papers("accept rating.module on EASTT because \"x\"\n").design.accepts.size(), 0U);
}

}  // namespace
}  // namespace ferrule::tests
