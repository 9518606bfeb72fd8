#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <numbers>
#include <sstream>
#include <string>

#include "grammar/unit_words.hpp"
#include "syntax/tree.hpp"
#include "tables/kinds_file.hpp"
#include "tables/toml.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::units {
namespace {

class UnitTable : public ::testing::Test {
protected:
    static const Units& units() {
        static const tables::UnitsFile file = [] {
            text::Sources sources;
            std::ostringstream bytes;
            bytes << std::ifstream(FERRULE_SOURCE_DIR "/grammar/units.toml").rdbuf();
            const auto id = sources.add("units.toml", bytes.str());
            return tables::read_units(tables::read_toml(sources, id));
        }();
        EXPECT_TRUE(file.findings.empty()) << file.findings.front().message;
        return file.units;
    }
    static double si(double number, std::string_view unit) { return units().to_si(number, units().find(unit)); }
    static std::string show(double value, std::string_view unit) { return units().show(value, units().find(unit)); }
};

TEST_F(UnitTable, EveryUnitRoundTrips) {
    ASSERT_GT(units().all().size(), 50U);
    for (std::size_t i = 0; i < units().all().size(); ++i) {
        const UnitId id(i);
        for (const double number : {0.0, 1.0, 2.0, 12.5, 450.0}) {
            if (units()[id].gauge && number > 40) continue;
            EXPECT_NEAR(units().from_si(units().to_si(number, id), id), number, 1e-9 * (1 + number)) << units()[id].symbol;
        }
    }
}

TEST_F(UnitTable, EverySpellingIsTheSameUnit) {
    for (std::size_t i = 0; i < units().all().size(); ++i) {
        const Unit& u = units().all()[i];
        EXPECT_EQ(units().find(u.symbol), UnitId(i)) << u.symbol;
        for (const std::string& s : u.spellings) EXPECT_EQ(units().find(s), UnitId(i)) << s;
        ASSERT_NE(units().dimension(u.dimension_name), nullptr) << u.dimension_name;
        EXPECT_EQ(units().dimension(u.dimension_name)->dimension, u.dimension) << u.symbol;
        EXPECT_FALSE(u.about.empty()) << u.symbol;
    }
    EXPECT_EQ(units().find("\u2126"), units().find("ohm"));
    EXPECT_EQ(units().find("\u03A9"), units().find("ohm"));
    EXPECT_EQ(units().find("\u00B5F"), units().find("\u03BCF"));
    EXPECT_EQ(units().find("mm\u00B2"), units().find("mm2"));
    EXPECT_EQ(units().find("\u00B0C"), units().find("degC"));
    EXPECT_FALSE(units().find("in"));
    EXPECT_FALSE(units().find(""));
}

TEST_F(UnitTable, NoWordOfTheLanguageIsAUnit) {
    for (const std::string_view word : syntax::joining_words()) EXPECT_FALSE(units().find(word)) << word;
    for (const std::string_view word : syntax::keywords()) EXPECT_FALSE(units().find(word)) << word;
}

// The parser has to know what is a unit without the table: it keeps the words alone.
TEST_F(UnitTable, TheParserKnowsTheSameWords) {
    for (const std::string_view word : syntax::grammar::unit_list) EXPECT_TRUE(units().find(word)) << word;
    for (const Unit& u : units().all()) {
        EXPECT_TRUE(syntax::grammar::unit_table.has(u.symbol)) << u.symbol;
        for (const std::string& s : u.spellings) EXPECT_TRUE(syntax::grammar::unit_table.has(s)) << s;
    }
}

TEST_F(UnitTable, DimensionsAreShownInAUnitOfTheirOwn) {
    for (const DimensionName& d : units().dimensions()) {
        ASSERT_TRUE(d.shown_in) << d.name;
        EXPECT_EQ(units()[d.shown_in].dimension_name, d.name);
    }
    EXPECT_EQ(units().dimension_of(units().dimension("voltage")->dimension)->name, "voltage");
    EXPECT_EQ(units().dimension("nonsense"), nullptr);
}

TEST_F(UnitTable, Conversions) {
    EXPECT_DOUBLE_EQ(si(6, "mm2"), 6e-6);
    EXPECT_DOUBLE_EQ(si(-9, "degC"), 264.15);
    EXPECT_NEAR(si(32, "degF"), 273.15, 1e-9);
    EXPECT_NEAR(si(212, "degF"), 373.15, 1e-9);
    EXPECT_DOUBLE_EQ(si(30, "K"), 30);
    EXPECT_DOUBLE_EQ(si(1, "inch"), 0.0254);
    EXPECT_DOUBLE_EQ(si(10, "ft"), 3.048);
    EXPECT_DOUBLE_EQ(si(-0.25, "%/K"), -0.0025);
    EXPECT_DOUBLE_EQ(si(100, "Ah"), 360000);
    // NIST SP 811, appendix B.8: 1 lbf.in = 0.112 984 8 N.m, 1 lbf.ft = 1.355 818 N.m, 1 circular mil = 5.067 075e-10 m2
    EXPECT_NEAR(si(1, "lbf.in"), 0.1129848, 5e-8);
    EXPECT_NEAR(si(1, "lbf.ft"), 1.355818, 5e-7);
    EXPECT_NEAR(si(250, "kcmil"), 250e3 * 5.067075e-10, 1e-10);
}

// ASTM B258: 4/0 AWG has a diameter of 0.4600 inch, 36 AWG of 0.0050 inch, and 38 equal steps lie between.
TEST_F(UnitTable, GaugesHaveTheDiametersOfTheStandard) {
    const auto diameter_inch = [&](double gauge) { return std::sqrt(4 * si(gauge, "AWG") / std::numbers::pi) / 0.0254; };
    EXPECT_NEAR(diameter_inch(-3), 0.4600, 1e-9);
    EXPECT_NEAR(diameter_inch(36), 0.0050, 1e-12);
    // Circular mils by the formula of ASTM B258, as listed beside those of NEC Chapter 9 Table 8.
    const struct {
        double gauge, circular_mils;
    } rows[] = {{18, 1624},  {16, 2583},  {14, 4107},  {12, 6530},   {10, 10383},  {8, 16510},    {6, 26251},   {4, 41741},
                {3, 52634},  {2, 66371},  {1, 83693},  {0, 105535},  {-1, 133077}, {-2, 167806}, {-3, 211600}};
    for (const auto& row : rows) {
        EXPECT_NEAR(diameter_inch(row.gauge) * diameter_inch(row.gauge) * 1e6, row.circular_mils, 3) << row.gauge;
    }
}

TEST_F(UnitTable, ValuesAreShownAsAPersonWritesThem) {
    EXPECT_EQ(show(224.6, "V"), "224.6 V");
    EXPECT_EQ(show(270, "V"), "270 V");
    EXPECT_EQ(show(41.2, "V"), "41.2 V");
    EXPECT_EQ(show(1438.3, "V"), "1438 V");
    EXPECT_EQ(show(12345.6, "V"), "12350 V");
    EXPECT_EQ(show(6e-6, "mm2"), "6 mm2");
    EXPECT_EQ(show(-0.0025, "%/K"), "-0.25 %/K");
    EXPECT_EQ(show(264.15, "degC"), "-9 degC");
    EXPECT_EQ(show(4000, "kA"), "4 kA");
    EXPECT_EQ(show(0.05, "%"), "5 %");
    EXPECT_EQ(show(si(10, "AWG"), "AWG"), "10 AWG");
    EXPECT_EQ(show(si(0, "AWG"), "AWG"), "1/0 AWG");
    EXPECT_EQ(show(si(-1, "AWG"), "AWG"), "2/0 AWG");
    EXPECT_EQ(show(si(-3, "AWG"), "AWG"), "4/0 AWG");
    EXPECT_EQ(show(si(250, "kcmil"), "AWG"), "250 kcmil");  // NEC Chapter 9 Table 8: above 4/0 there is no gauge
    EXPECT_EQ(show(0, "AWG"), "0 mm2");
    EXPECT_EQ(show(-1e-6, "AWG"), "-1 mm2");
    EXPECT_EQ(units().show(1.25, UnitId()), "1.25");
    EXPECT_EQ(show(std::numeric_limits<double>::quiet_NaN(), "V"), "unknown");
}

TEST_F(UnitTable, TheNearestUnitIsProposed) {
    EXPECT_EQ(units().nearest("volt"), "");
    EXPECT_EQ(units().nearest("degc"), "degC");
    EXPECT_EQ(units().nearest("kmcil"), "kcmil");
}

TEST(Numbers, AreShownWithoutExponent) {
    EXPECT_EQ(show_number(0), "0");
    EXPECT_EQ(show_number(1), "1");
    EXPECT_EQ(show_number(-0.5), "-0.5");
    EXPECT_EQ(show_number(9999.7), "10000");
    EXPECT_EQ(show_number(0.99996), "1");
    EXPECT_EQ(show_number(1.0 / 3), "0.3333");
    EXPECT_EQ(show_number(0.00001234567), "0.00001235");
    EXPECT_EQ(show_number(1.5625, 3), "1.56");
    EXPECT_EQ(show_number(4294967296.0), "4295000000");
    EXPECT_EQ(show_number(4294967296.0, 15), "4294967296");
    for (const double x : {1e-9, 1e15, 1e22, 6.02e23}) EXPECT_EQ(show_number(x).find('e'), std::string::npos);
}

TEST(Numbers, AreReadWhateverTheLocale) {
    EXPECT_EQ(parse_number("2.5"), 2.5);
    EXPECT_EQ(parse_number("+0.05"), 0.05);
    EXPECT_EQ(parse_number("-9"), -9.0);
    EXPECT_EQ(parse_number("007"), 7.0);
    for (const char* bad : {"", "+", "-", ".", ".5", "5.", "1.2.3", "1e3", "0x10", "nan", "inf", "2,5", " 1", "1 ", "--1", "+-1"}) {
        EXPECT_FALSE(parse_number(bad).has_value()) << bad;
    }
    EXPECT_FALSE(parse_number(std::string(400, '9')).has_value());
}

TEST(Dimensions, MultiplyAndDivide) {
    const Dimension volt{.volt = 1};
    const Dimension ampere{.ampere = 1};
    EXPECT_EQ((volt * ampere).volt, 1);
    EXPECT_EQ((volt * ampere).ampere, 1);
    EXPECT_EQ((volt / ampere).ampere, -1);
    EXPECT_TRUE((volt / volt).plain());
}

}  // namespace
}  // namespace ferrule::units
