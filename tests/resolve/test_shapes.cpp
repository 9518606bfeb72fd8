// Properties against their shapes: what is kept, and what is said at which word when one does not
// fit.
#include <gtest/gtest.h>

#include <cmath>

#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

// The one finding about a line of a part, as "rule @ place: message".
std::string told_of(std::string_view kind, std::string_view line) {
    const Loaded l = load("edition 1\npart GL is gland { }\npart P is " + std::string(kind) +
                          " { " + std::string(line) + " }\n");
    std::string all;
    for (const auto& f : l.findings) {
        if (f.rule != "design.needed-property")
            all += f.rule + " @ " + std::string(l.marked(f)) + ": " + f.message;
    }
    return all;
}

TEST(Shapes, AUnitIsMissing) {
    EXPECT_EQ(told_of("module", "voc 41.2"),
              "design.unit-wrong @ 41.2: voc wants a voltage, with its unit: 41.2 V");
    EXPECT_EQ(told_of("module", "bifacial 70"),
              "design.unit-wrong @ 70: bifacial wants a share, with its unit: 70 %");
    EXPECT_EQ(told_of("cable", "section 6"),
              "design.unit-wrong @ 6: section wants an area, with its unit: 6 mm2");
}

TEST(Shapes, AUnitOfAnotherDimension) {
    EXPECT_EQ(told_of("cable", "section 6 m"),
              "design.unit-wrong @ 6 m: m is a length; section wants an area, such as 6 mm2");
    EXPECT_EQ(told_of("module", "isc 13 V"),
              "design.unit-wrong @ 13 V: V is a voltage; isc wants a current, such as 13 A");
    EXPECT_NE(told_of("module", "voc 41.2 V, -0.25 %")
                  .find("% is a share; voc wants a change in % per kelvin"),
              std::string::npos);
}

TEST(Shapes, AnUnknownUnit) {
    EXPECT_EQ(told_of("module", "voc 41.2 Volt").substr(0, 26), "design.unknown-unit @ Volt");
    EXPECT_EQ(told_of("cable", "section 6 qmm").substr(0, 25), "design.unknown-unit @ qmm");
    EXPECT_EQ(told_of("cable", "section 6mmm2").substr(0, 19), "design.unknown-unit");
}

TEST(Shapes, AnUnknownWord) {
    EXPECT_EQ(told_of("module", "technology silicn"),
              "design.property-shape @ silicn: silicn does not fit here; technology wants silicon, "
              "thin-film or other");
    EXPECT_EQ(told_of("isolator", "lockable of").substr(0, 26), "design.property-shape @ of");
}

TEST(Shapes, AFigureThatIsNotKnown) {
    for (const char* const line : {"isc TBD", "isc n/a", "isc - A"}) {
        const Loaded l = load("edition 1\npart P is module { " + std::string(line) + " }\n");
        ASSERT_FALSE(l.findings.empty()) << line;
        EXPECT_NE(l.findings[0].remedy.find("is left out, and it is asked for"), std::string::npos) << line << l.told();
    }
    EXPECT_EQ(told_of("battery", "capacity 0 Ah").substr(0, 19), "design.zero @ 0 Ah:");
    EXPECT_EQ(told_of("isolator", "rated 2 in series 700 V 0.0 A").substr(0, 20), "design.zero @ 0.0 A:");
    EXPECT_EQ(told_of("module", "voc 41 V, 0 %/K"), "");
    EXPECT_EQ(told_of("cable", "section 1/0 AWG"), "");
}

TEST(Shapes, TooLittleAndTooMuch) {
    EXPECT_EQ(told_of("isolator", "rated 2 in series 700 V"),
              "design.property-shape @ rated 2 in series 700 V: rated ends too soon; next it wants "
              "a current, with its unit");
    EXPECT_EQ(told_of("module", "imp 3 A 4 A"),
              "design.property-shape @ 4 A: 4 A is more than imp takes, which is: <current>");
    EXPECT_EQ(told_of("module", "imp").substr(0, 35), "design.property-shape @ imp: imp sa");
    EXPECT_EQ(told_of("module", "imp 3 A { x }").substr(0, 25), "design.property-shape @ {");
}

TEST(Shapes, UnknownPropertyWithTheNearest) {
    EXPECT_EQ(told_of("module", "vmpp 3 V"),
              "design.unknown-property @ vmpp: vmpp is no property of a module; there is vmp");
}

TEST(Shapes, StatedTwice) {
    const Loaded l = load("edition 1\npart P is cable { section 6 mm2; section 4 mm2 }\n");
    ASSERT_EQ(l.rules_and_places(), "design.stated-twice @ section 4 mm2\n");
    EXPECT_EQ(l.sources->text(l.findings[0].related.at(0).span), "section 6 mm2");
}

TEST(Shapes, NeededPropertiesAreMissedTogether) {
    const Loaded l = load("edition 1\npart P is module { imp 3 A }\n");
    ASSERT_EQ(l.rules_and_places(), "design.needed-property @ P\n");
    EXPECT_EQ(l.findings[0].message, "P states no voc and no isc, which a module needs");
    // one that is there but wrong is not missed
    EXPECT_EQ(load("edition 1\npart P is module { voc 4; isc 3 A }\n").rules_and_places(),
              "design.unit-wrong @ 4\n");
}

TEST(Shapes, ValuesAreSi) {
    const Loaded l = load(
        "edition 1\npart P is module { voc 41.2 V, -0.25 %/K; isc 13800 mA, +0.05 %/K; pmax 0.445 "
        "kW }\n"
        "part C is cable { section 10 AWG; colour red black; insulation xlpe 90 degC }\n"
        "part S is isolator { pole 1-2; rated 2 in series 700 V 32 A at 40 degC; rated 1 per "
        "conductor 350 V 32 A DC-PV2; takes 1 x 4 mm2 .. 16 mm2 copper aluminium, fine "
        "with ferrule }\n");
    EXPECT_EQ(l.told(), "");
    const graph::Design& d = l.design;
    const auto rows = [&](std::string_view part) { return d.parts[l.part(part)].rows; };
    EXPECT_DOUBLE_EQ(d.number(rows("P"), "voc", "voltage"), 41.2);
    EXPECT_NEAR(d.number(rows("P"), "voc", "per-kelvin"), -0.0025, 1e-12);
    EXPECT_NEAR(d.number(rows("P"), "isc", "current"), 13.8, 1e-12);
    EXPECT_DOUBLE_EQ(d.number(rows("P"), "pmax", "power"), 445);
    EXPECT_NEAR(d.number(rows("C"), "section", "area"), 5.261e-6, 1e-9);  // 10 AWG, ASTM B258
    EXPECT_NEAR(d.number(rows("C"), "insulation", "temperature"), 363.15, 1e-9);
    EXPECT_EQ(d.text(rows("S"), "rated", "arrangement"), "series");
    EXPECT_NEAR(d.number(rows("S"), "rated", "ambient"), 313.15, 1e-9);
    const graph::Field* size = d.field(d.row(rows("S"), "takes"), "size");
    ASSERT_NE(size, nullptr);
    EXPECT_NEAR(size->low, 4e-6, 1e-15);
    EXPECT_NEAR(size->high, 16e-6, 1e-15);
    EXPECT_TRUE(std::isnan(d.number(rows("S"), "takes", "nothing")));
    EXPECT_TRUE(d.states(rows("C"), "colour"));
}

TEST(Shapes, RangesDoNotRunBackwards) {
    EXPECT_EQ(told_of("gland", "clamps 9 mm .. 5 mm").substr(0, 32),
              "design.range @ 9 mm .. 5 mm: the");
}

TEST(Shapes, DatesExist) {
    EXPECT_EQ(load("edition 1\nsite \"x\" { revision \"B\", 2026-11-24 }\n").told(), "");
    EXPECT_EQ(load("edition 1\nsite \"x\" { revision \"B\", 2026-13-24 }\n").rules_and_places(),
              "design.property-shape @ 2026-13-24\n");
}

TEST(Shapes, LabelsThatLookLikeQuantities) {
    const Loaded l = load(
        "edition 1\npart S is isolator { pole 1-2; pole 3-4; terminal N A 7; face { upper 1 N 2 A; "
        "lower 7 4 3 } }\n");
    EXPECT_EQ(l.told(), "");
    const auto& face = l.design.parts[l.part("S")].face;
    ASSERT_EQ(face.size(), 7U);
    EXPECT_EQ(l.design.word(l.design.parts[l.part("S")].terminals[face[3].terminal].label), "A");
    EXPECT_EQ(face[3].position, 4);
}

TEST(Shapes, LongListsDoNotGoDeep) {
    std::string labels;
    for (int i = 0; i < 9000; ++i) labels += " T" + std::to_string(i);
    const Loaded l = load("edition 1\npart S is sensor { terminal" + labels + " }\n");
    EXPECT_EQ(l.told(), "");
    EXPECT_EQ(l.design.parts[l.part("S")].terminals.size(), 9000U);
}

}  // namespace
}  // namespace ferrule::tests
