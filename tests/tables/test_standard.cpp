#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "helper_language.hpp"

namespace ferrule::tables {
namespace {

using tests::Language;

const Standard& standard(std::string_view id) {
    for (const Standard& s : Language::get().standards) {
        if (s.id == id) return s;
    }
    ADD_FAILURE() << "no standard " << id;
    static const Standard none;
    return none;
}

TEST(Standards, AreReadWithoutAFinding) {
    EXPECT_EQ(Language::get().complaints(), "");
    ASSERT_EQ(Language::get().standards.size(), 3U);  // and the figures common to both
    EXPECT_EQ(standard("nec-2023").cited, "NFPA 70-2023");
    EXPECT_EQ(standard("iec-62548").cited, "IEC 62548-1:2023");
}

TEST(Standards, EveryFigureSaysWhereItIsFrom) {
    const auto holds = [](const findings::Citation& c, const std::string& name) {
        EXPECT_TRUE(!c.clause.empty() || !c.status.empty() || !c.standard.empty()) << name;
        EXPECT_TRUE(!c.standard.empty() || c.status == "common practice, no source") << name;
    };
    for (const Standard& s : Language::get().standards) {
        for (const Figure& f : s.figures) {
            holds(f.source, f.name);
            EXPECT_FALSE(f.about.empty()) << f.name;
            EXPECT_NE(std::isnan(f.value), f.word.empty()) << f.name;
        }
        for (const FigureTable& t : s.tables) {
            holds(t.source, t.name);
            EXPECT_FALSE(t.rows.empty()) << t.name;
        }
    }
}

// What holds under every standard is added to each, so no standard may have a figure or table of the same name.
TEST(Standards, LeaveCommonFiguresAlone) {
    for (const char* id : {"nec-2023", "iec-62548"}) {
        for (const Figure& f : standard("common").figures) EXPECT_EQ(standard(id).figure(f.name), nullptr) << f.name;
        for (const FigureTable& t : standard("common").tables) EXPECT_EQ(standard(id).table(t.name), nullptr) << t.name;
    }
}

// A rule names a figure once for all standards.
TEST(Standards, AgreeOnWhatANameMeans) {
    const units::Units& units = Language::get().units;
    const auto dimension = [&units](units::UnitId u) { return u ? units[u].dimension : units::Dimension{}; };
    for (const Figure& f : standard("nec-2023").figures) {
        const Figure* other = standard("iec-62548").figure(f.name);
        if (other == nullptr) continue;
        EXPECT_EQ(f.word.empty(), other->word.empty()) << f.name;
        EXPECT_EQ(dimension(f.unit), dimension(other->unit)) << f.name;
    }
    for (const FigureTable& t : standard("nec-2023").tables) {
        const FigureTable* other = standard("iec-62548").table(t.name);
        if (other == nullptr) continue;
        for (const FigureTable::ColumnHead& c : t.columns) {
            const int at = other->column(c.name);
            if (at < 0) continue;
            const FigureTable::ColumnHead& same = other->columns[static_cast<std::size_t>(at)];
            EXPECT_EQ(c.words, same.words) << t.name << "." << c.name;
            EXPECT_EQ(dimension(c.unit), dimension(same.unit)) << t.name << "." << c.name;
        }
    }
}

// Every key between the first and the last band finds a row; bands rise and never overlap by more than an edge.
TEST(Standards, BandsHaveNoGaps) {
    for (const Standard& s : Language::get().standards) {
        for (const FigureTable& t : s.tables) {
            const int from = t.column("from");
            const int to = t.column("to");
            if (from < 0 && to < 0) continue;
            ASSERT_GE(from, 0) << t.name;
            ASSERT_GE(to, 0) << t.name;
            const auto f = static_cast<std::size_t>(from);
            const auto e = static_cast<std::size_t>(to);
            for (std::size_t i = 0; i < t.rows.size(); ++i) {
                EXPECT_LE(t.rows[i][f].number, t.rows[i][e].number) << t.name << " row " << i;
                if (i == 0) continue;
                const double gap = t.rows[i][f].number - t.rows[i - 1][e].number;
                EXPECT_GE(gap, 0) << t.name << " row " << i;
                EXPECT_LE(gap, 1 + 1e-9) << t.name << " row " << i;  // whole degrees or whole numbers follow each other
            }
        }
    }
}

// NFPA 70-2023, Table 690.7(A): all 13 rows, at both edges of each band and between bands (the colder one holds).
TEST(Standards, ColdFactorsOfTheTable) {
    const struct {
        double warm, cold, factor;
    } rows[] = {{24, 20, 1.02},   {19, 15, 1.04},   {14, 10, 1.06},   {9, 5, 1.08},     {4, 0, 1.10},     {-1, -5, 1.12},  {-6, -10, 1.14},
                {-11, -15, 1.16}, {-16, -20, 1.18}, {-21, -25, 1.20}, {-26, -30, 1.21}, {-31, -35, 1.23}, {-36, -40, 1.25}};
    for (const char* id : {"nec-2023", "iec-62548"}) {
        const FigureTable* t = standard(id).table("voc-temperature-factor");
        ASSERT_NE(t, nullptr);
        EXPECT_EQ(t->rows.size(), 13U);
        for (const auto& r : rows) {
            EXPECT_EQ(t->band(r.warm + 273.15, "factor"), r.factor) << r.warm;
            EXPECT_EQ(t->band(r.cold + 273.15, "factor"), r.factor) << r.cold;
            if (r.warm < 24) {
                EXPECT_EQ(t->band(r.warm + 273.65, "factor"), r.factor) << r.warm + 0.5;
            }
        }
        EXPECT_FALSE(t->band(25 + 273.15, "factor"));
        EXPECT_FALSE(t->band(-41 + 273.15, "factor"));
        EXPECT_FALSE(t->band(273.15, "nonsense"));
    }
    EXPECT_EQ(standard("iec-62548").table("voc-temperature-factor")->source.status, "from memory");
    EXPECT_EQ(standard("nec-2023").table("voc-temperature-factor")->source.status, "");
}

TEST(Standards, FiguresThatRulesLeanOn) {
    const Standard& nec = standard("nec-2023");
    EXPECT_EQ(nec.number("pv-current-factor"), 1.25);    // 690.8(A)(1)
    EXPECT_EQ(nec.number("continuous-factor"), 1.25);    // 690.8(B)(1)
    EXPECT_EQ(nec.number("max-voltage-dwelling"), 600);  // 690.7
    EXPECT_EQ(nec.number("max-voltage-building"), 1000);
    EXPECT_EQ(nec.number("max-voltage-ground"), 1500);
    EXPECT_EQ(nec.number("ground-fault-voltage"), 30);   // 690.41(B)
    EXPECT_EQ(nec.number("ground-fault-current"), 8);
    EXPECT_TRUE(std::isnan(nec.number("string-fuse-most-factor")));
    EXPECT_TRUE(std::isnan(nec.number("pole-colours")));
    EXPECT_EQ(nec.figure("pole-colours")->word, "required");
    const Standard& iec = standard("iec-62548");
    EXPECT_EQ(iec.number("continuous-factor"), 1);
    EXPECT_EQ(iec.number("string-fuse-least-factor"), 1.5);  // IEC 62548, string overcurrent protection
    EXPECT_EQ(iec.number("string-fuse-most-factor"), 2.4);
}

TEST(Standards, TablesAnswer) {
    const Standard& nec = standard("nec-2023");
    // NFPA 70-2023 240.6(A)
    EXPECT_EQ(nec.table("fuse-sizes")->next_size("size", 21), 25);
    EXPECT_EQ(nec.table("fuse-sizes")->next_size("size", 25), 25);
    EXPECT_FALSE(nec.table("fuse-sizes")->next_size("size", 6001));
    // Table 250.122: a 60 A device asks for 10 AWG copper, one above it for 8 AWG.
    const units::Units& units = Language::get().units;
    EXPECT_DOUBLE_EQ(*nec.table("bonding-sizes")->band(60, "copper"), units.to_si(10, units.find("AWG")));
    EXPECT_DOUBLE_EQ(*nec.table("bonding-sizes")->band(63, "copper"), units.to_si(8, units.find("AWG")));
    // 310.15(B)(1): 30 degC has no correction, 31 degC 0.96 at 90 degC; above 55 degC a 60 degC conductor is not allowed.
    EXPECT_EQ(nec.table("ambient-factor")->band(303.15, "at-90"), 1.0);
    EXPECT_EQ(nec.table("ambient-factor")->band(304.15, "at-90"), 0.96);
    EXPECT_FALSE(nec.table("ambient-factor")->band(333.15, "at-60"));
    const FigureTable* ingress = nec.table("outdoor-ingress");
    EXPECT_EQ(ingress->at("exposure", "exposed", "water")->number, 5);
    EXPECT_EQ(ingress->at("exposure", "nowhere", "water"), nullptr);
    EXPECT_EQ(standard("iec-62548").table("switch-categories")->at("category", "DC-PV2", "several-strings")->word, "yes");
}

}  // namespace
}  // namespace ferrule::tables
