// Look-up of ampacity: which row a section takes, what happens at and beyond the edges of a table, and when bounds decide. The cells
// themselves are held to the published tables in tests/reference.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "facts/carrying.hpp"
#include "support/design_text.hpp"
#include "tables/standard.hpp"

namespace ferrule::facts {
namespace {

const tables::Standard& standard(const std::string& id) {
    static std::map<std::string, tables::Standard> all;
    const auto at = all.find(id);
    if (at != all.end()) return at->second;
    std::ifstream in(std::string(FERRULE_SOURCE_DIR) + "/rules/standards/" + id + ".toml", std::ios::binary);
    text::Sources sources;
    const text::FileId file = sources.add(id, std::string{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()});
    return all.emplace(id, tables::read_standard(tables::read_toml(sources, file), tests::language().units).standard).first->second;
}

double si(double number, std::string_view unit) { return tests::language().units.to_si(number, tests::language().units.find(unit)); }
double mm2(double x) { return si(x, "mm2"); }

TEST(Ampacity, TakesTheLargestListedSizeNotAbove) {
    const AmpacityTables t(standard("nec-2023"));
    const std::uint8_t hot = t.class_of(si(90, "degC"));
    EXPECT_EQ(t.amps(Method::raceway, hot, false, si(10, "AWG")).low, 40);
    EXPECT_EQ(t.amps(Method::raceway, hot, false, mm2(6)).low, 40);     // 10 AWG is 5.26 mm2
    EXPECT_EQ(t.amps(Method::raceway, hot, false, mm2(6)).high, 40);
    EXPECT_EQ(t.amps(Method::raceway, hot, false, mm2(8.36)).low, 40);  // 8 AWG is 8.37 mm2
    EXPECT_EQ(t.amps(Method::raceway, hot, false, mm2(8.37)).low, 55);
    const Bounds small = t.amps(Method::raceway, hot, false, mm2(1.5));
    EXPECT_EQ(small.low, 0);
    EXPECT_EQ(small.high, 25);  // less than 14 AWG
    const Bounds large = t.amps(Method::raceway, hot, false, si(600, "kcmil"));
    EXPECT_EQ(large.low, 430);
    EXPECT_EQ(large.high, no_limit);
    EXPECT_EQ(t.amps(Method::free_air, hot, true, si(1, "AWG")).low, 175);  // a row that stands from memory
    EXPECT_TRUE(t.listed(Method::free_air, hot, true, si(1, "AWG"))->unchecked);
}

TEST(Ampacity, TakesTheInsulationClassNotAbove) {
    const AmpacityTables nec(standard("nec-2023"));
    EXPECT_EQ(nec.class_of(si(90, "degC")), nec.class_of(si(105, "degC")));
    EXPECT_EQ(nec.class_of(si(75, "degC")), nec.class_of(si(89, "degC")));
    EXPECT_EQ(nec.class_of(si(59, "degC")), AmpacityTables::no_class);
    EXPECT_EQ(nec.class_of(std::nan("")), AmpacityTables::no_class);
    const AmpacityTables iec(standard("iec-62548"));
    EXPECT_EQ(iec.classes(), 2);
    EXPECT_EQ(iec.amps(Method::b1, iec.class_of(si(70, "degC")), false, mm2(4)).low, 32);
    EXPECT_EQ(iec.amps(Method::f, iec.class_of(si(70, "degC")), false, mm2(35)).low, 162);
    EXPECT_EQ(iec.amps(Method::c, 0, true, mm2(35)).high, no_limit);  // no aluminium in these tables
}

TEST(Ampacity, CorrectsForHeatUpToTheEdgeOfABand) {
    const AmpacityTables nec(standard("nec-2023"));
    const std::uint8_t cool = nec.class_of(si(60, "degC")), hot = nec.class_of(si(90, "degC"));
    EXPECT_EQ(nec.ambient_factor(Method::raceway, hot, si(45, "degC")), 0.87);
    EXPECT_EQ(nec.ambient_factor(Method::raceway, hot, si(45.1, "degC")), 0.82);
    EXPECT_EQ(nec.ambient_factor(Method::raceway, hot, si(-60, "degC")), 1.15);
    EXPECT_EQ(nec.ambient_factor(Method::raceway, cool, si(56, "degC")), 0);  // not allowed there
    EXPECT_EQ(nec.ambient_factor(Method::raceway, hot, si(86, "degC")), 0);
    EXPECT_EQ(nec.ambient_factor(Method::raceway, hot, si(37, "degC") + 33), 0.58);  // 70 degC by addition
    const AmpacityTables iec(standard("iec-62548"));
    EXPECT_EQ(iec.ambient_factor(Method::c, 0, si(35, "degC")), 0.94);  // of two tables: from memory, and
    EXPECT_EQ(iec.ambient_factor(Method::c, 0, si(40, "degC")), 0.87);  // checked
    EXPECT_EQ(iec.ambient_factor(Method::c, 0, si(61, "degC")), 0);
    EXPECT_EQ(iec.ambient_factor(Method::pv_side_by_side, 1, si(65, "degC")), 0.92);
    EXPECT_EQ(iec.ambient_factor(Method::pv_side_by_side, 1, si(20, "degC")), 1);
}

TEST(Ampacity, CorrectsForCompany) {
    const AmpacityTables nec(standard("nec-2023"));
    EXPECT_EQ(nec.grouping(3).low, 1);
    EXPECT_EQ(nec.grouping(4).low, 0.8);
    EXPECT_EQ(nec.grouping(9).low, 0.7);
    EXPECT_EQ(nec.grouping(10).low, 0.5);
    const AmpacityTables iec(standard("iec-62548"));
    EXPECT_EQ(iec.grouping(9).low, 0.5);
    EXPECT_EQ(iec.grouping(10).low, 0);  // the table ends there
    EXPECT_EQ(iec.grouping(10).high, 0.5);
}

TEST(Ampacity, LimitsDevicesOfSmallConductors) {
    const AmpacityTables nec(standard("nec-2023"));
    EXPECT_EQ(nec.small_conductor(false, si(14, "AWG")), 15);
    EXPECT_EQ(nec.small_conductor(false, mm2(6)), 30);
    EXPECT_EQ(nec.small_conductor(false, si(8, "AWG")), no_limit);
    EXPECT_EQ(nec.small_conductor(true, si(10, "AWG")), 25);
    EXPECT_EQ(nec.small_conductor(false, si(16, "AWG")), 10);
    EXPECT_EQ(AmpacityTables(standard("iec-62548")).small_conductor(false, mm2(1.5)), no_limit);
}

TEST(Ampacity, BoundsDecideWhenTheyAgree) {
    EXPECT_EQ(settled({40, 40}, 100), 40);
    EXPECT_EQ(settled({30, 40}, 30), 30);  // even the lowest is enough
    EXPECT_EQ(settled({30, 40}, 41), 40);  // even the highest is not
    EXPECT_TRUE(std::isnan(settled({30, 40}, 35)));
    EXPECT_TRUE(std::isnan(settled({0, no_limit}, 1)));
    EXPECT_TRUE(std::isnan(settled({30, 40}, std::nan(""))));
}

}  // namespace
}  // namespace ferrule::facts
