// Banks as graphs: which batteries are one bank, which have a fuse of their own, how equal their ways are, what crosses a bar. The
// expected figures are worked out by hand here. Source: none; it is the definition itself.
#include <cmath>
#include <fstream>
#include <iterator>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "facts/facts.hpp"
#include "support/design_text.hpp"
#include "tables/standard.hpp"

namespace ferrule::tests {
namespace {

constexpr const char* bench_parts = R"(edition 1
site "a bank" { standard iec-62548; coldest -10 degC; hottest 35 degC }
place ROOM { indoors dry; ambient -5 degC .. 30 degC }
part BAT is battery { chemistry lfp; nominal 12.8 V; capacity 100 Ah; max-voltage 14.4 V; charge 50 A; discharge 100 A; short-circuit 2 kA }
part CELL is battery { chemistry lfp; nominal 3.2 V; capacity 280 Ah; max-voltage 3.6 V; charge 140 A; discharge 200 A; short-circuit 5 kA }
part IV is inverter { power 920 W; efficiency 92 %; port dc is battery { nominal 12 V; cut-off 10 V } }
part LAMP is load { current 5 A }
part FH is fuse-holder { pole 1-2; rated 80 V 200 A }
part FT is fuse { rated 80 V 125 A; breaking 20 kA }
part SW is isolator { pole 1-2; pole 3-4; rated 1 in series 80 V 200 A }
part BB is busbar { ways 6; rated 100 V 200 A }
)";

// The figures that hold under every standard: resistances, shares.
const tables::Standard& common() {
    static const tables::Standard figures = [] {
        text::Sources sources;
        std::ifstream in(std::string(FERRULE_SOURCE_DIR) + "/rules/standards/common.toml", std::ios::binary);
        std::string bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
        return tables::read_standard(tables::read_toml(sources, sources.add("common.toml", std::move(bytes))), language().units).standard;
    }();
    return figures;
}

struct Bench {
    Loaded loaded;
    facts::Facts facts;
    explicit Bench(const std::string& text) : loaded(load(bench_parts + text)), facts(facts::compute(loaded.design, common())) {}

    [[nodiscard]] const facts::Column& column(const char* table, const char* name) const { return *facts.table(table)->column(name); }
    [[nodiscard]] double number(const char* name, std::uint32_t row = 0, const char* table = "bank") const { return column(table, name).numbers.at(row); }
    [[nodiscard]] bool flag(const char* name, std::uint32_t row = 0, const char* table = "bank") const { return column(table, name).flags.at(row) == 1; }
    [[nodiscard]] std::uint32_t subject(const char* name, std::uint32_t row = 0, const char* table = "bank") const { return column(table, name).subjects.at(row); }
    [[nodiscard]] std::uint32_t rows(const char* table = "bank") const { return facts.table(table)->rows; }
};

TEST(Banks, SideBySideAndInSeries) {
    const Bench two(R"(device B[1..4] is BAT in ROOM
device INV is IV in ROOM
B[1].+ -> B[3].+ 35 mm2 copper 1 m
B[1].- -> B[2].+ 35 mm2 copper 1 m
B[3].- -> B[4].+ 35 mm2 copper 1 m
B[2].- -> B[4].- 35 mm2 copper 1 m
B[1].+ -> INV.dc+ 35 mm2 copper 1 m
B[2].- -> INV.dc- 35 mm2 copper 1 m
)");
    ASSERT_EQ(two.rows(), 1U);
    EXPECT_EQ(two.number("count"), 4);
    EXPECT_EQ(two.number("parallel"), 2);
    EXPECT_EQ(two.number("in-series"), 2);
    EXPECT_NEAR(two.number("nominal"), 25.6, 1e-9);
    EXPECT_NEAR(two.number("voltage-most"), 28.8, 1e-9);
    EXPECT_NEAR(two.number("capacity"), 200 * 3600.0, 1e-6);
    EXPECT_NEAR(two.number("discharge"), 200, 1e-9);
    EXPECT_NEAR(two.number("short-circuit-current"), 4000, 1e-9);
    EXPECT_FALSE(two.flag("each-protected"));
    EXPECT_EQ(two.subject("tap"), facts::no_row);

    // The middles tied together: still two in parallel and two in series.
    const Bench ladder(R"(device B[1..4] is BAT in ROOM
B[1].+ -> B[3].+ 35 mm2 copper 1 m
B[1].- -> B[2].+ 35 mm2 copper 1 m
B[3].- -> B[4].+ 35 mm2 copper 1 m
B[1].- -> B[3].- 35 mm2 copper 1 m
B[2].- -> B[4].- 35 mm2 copper 1 m
)");
    ASSERT_EQ(ladder.rows(), 1U);
    EXPECT_EQ(ladder.number("parallel"), 2);
    EXPECT_EQ(ladder.number("in-series"), 2);
    EXPECT_NEAR(ladder.number("capacity"), 200 * 3600.0, 1e-6);
    EXPECT_TRUE(std::isnan(ladder.number("path-spread")));

    const Bench cells(R"(string PACK is 16 x CELL in ROOM
device INV is IV in ROOM
PACK.+ -> INV.dc+ 35 mm2 copper 1 m
PACK.- -> INV.dc- 35 mm2 copper 1 m
)");
    ASSERT_EQ(cells.rows(), 1U);
    EXPECT_EQ(cells.number("in-series"), 16);
    EXPECT_NEAR(cells.number("nominal"), 51.2, 1e-9);
    EXPECT_NEAR(cells.number("voltage-limit"), 57.6, 1e-9);
    EXPECT_NEAR(cells.number("short-circuit-current"), 5000, 1e-9);

    // Two banks that share a negative are two.
    const Bench apart(R"(device B[1..2] is BAT in ROOM
device X, Y is IV in ROOM
B[1].+ -> X.dc+ 35 mm2 copper 1 m
B[2].+ -> Y.dc+ 35 mm2 copper 1 m
B[1].- -> B[2].- 35 mm2 copper 1 m
B[1].- -> X.dc- 35 mm2 copper 1 m
B[2].- -> Y.dc- 35 mm2 copper 1 m
)");
    EXPECT_EQ(apart.rows(), 2U);
}

TEST(Banks, Taps) {
    const std::string series = R"(device B[1..2] is BAT in ROOM
device INV is IV in ROOM
device L is LAMP in ROOM
B[1].- -> B[2].+ 35 mm2 copper 1 m
B[1].+ -> INV.dc+ 35 mm2 copper 1 m
B[2].- -> INV.dc- 35 mm2 copper 1 m
L.- -> INV.dc- 4 mm2 copper 1 m
)";
    const Bench tapped(series + "L.+ -> B[2].+ 4 mm2 copper 1 m\n");
    ASSERT_EQ(tapped.rows(), 1U);
    EXPECT_EQ(tapped.facts.table("device")->name(tapped.subject("tap")), "L");
    const Bench whole(series + "L.+ -> B[1].+ 4 mm2 copper 1 m\n");
    EXPECT_EQ(whole.subject("tap"), facts::no_row);
    EXPECT_NEAR(whole.number("takes"), 105, 1e-9);  // 920 W / (0.92 x 10 V) and 5 A
}

TEST(Banks, FusesOfTheirOwn) {
    const auto bank = [](bool first, bool second, bool third) {
        std::string text = "device B[1..3] is BAT in ROOM\ndevice P, N is BB in ROOM\ndevice F[1..3] is FH with FT in ROOM\ndevice INV is IV in ROOM\n"
                           "P.6 -> INV.dc+ 35 mm2 copper 1 m\nN.6 -> INV.dc- 35 mm2 copper 1 m\n";
        int k = 1;
        for (const bool fused : {first, second, third}) {
            text += fused ? fmt::format("B[{0}].+ -> F[{0}].1 35 mm2 copper 1 m\nF[{0}].2 -> P.{0} 35 mm2 copper 1 m\n", k) : fmt::format("B[{0}].+ -> P.{0} 35 mm2 copper 1 m\n", k);
            text += fmt::format("B[{0}].- -> N.{0} 35 mm2 copper 1 m\n", k++);
        }
        return Bench(text);
    };
    EXPECT_TRUE(bank(true, true, true).flag("each-protected"));
    EXPECT_FALSE(bank(false, false, false).flag("each-protected"));
    EXPECT_FALSE(bank(true, false, false).flag("each-protected"));
    EXPECT_EQ(bank(true, false, false).subject("unprotected"), 1U);
    // One without is behind the fuses of all the others.
    EXPECT_TRUE(bank(true, true, false).flag("each-protected"));
}

// Links of 0.5 m between neighbours in + and in -; taken off at the first in +, and at battery `minus_at` in -.
Bench chain_of(int batteries, int minus_at) {
    std::string text = fmt::format("device B[1..{}] is BAT in ROOM\ndevice INV is IV in ROOM\nB[1].+ -> INV.dc+ 35 mm2 copper 1 m\nB[{}].- -> INV.dc- 35 mm2 copper 1 m\n", batteries, minus_at);
    for (int k = 1; k < batteries; ++k) text += fmt::format("B[{0}].+ -> B[{1}].+ 35 mm2 copper 0.5 m\nB[{0}].- -> B[{1}].- 35 mm2 copper 0.5 m\n", k, k + 1);
    return Bench(text);
}

TEST(Banks, WaysOfALadder) {
    // Taken off at one end: 0, 2, 4, 6 links; (6 - 0) / 3 = 2. At opposite ends all have 3 links.
    for (const int n : {2, 3, 4, 5}) {
        const Bench one_end = chain_of(n, 1);
        EXPECT_NEAR(one_end.number("path-spread"), 2.0, 1e-9) << n;
        EXPECT_EQ(one_end.subject("nearest"), 0U);
        EXPECT_EQ(one_end.subject("farthest"), static_cast<std::uint32_t>(n - 1));
        EXPECT_NEAR(chain_of(n, n).number("path-spread"), 0.0, 1e-9) << n;
    }
    // What is common to all does not count: 1 m and 1.2 m to each bar, (2.4 - 2) / 2.2.
    const Bench bar(R"(device B[1..2] is BAT in ROOM
device P, N is BB in ROOM
device INV is IV in ROOM
B[1].+ -> P.1 35 mm2 copper 1 m
B[1].- -> N.1 35 mm2 copper 1 m
B[2].+ -> P.2 35 mm2 copper 1.2 m
B[2].- -> N.2 35 mm2 copper 1.2 m
P.6 -> INV.dc+ 35 mm2 copper 20 m
N.6 -> INV.dc- 35 mm2 copper 20 m
)");
    EXPECT_NEAR(bar.number("path-spread"), 0.4 / 2.2, 1e-9);
}

TEST(Banks, PartedBySwitches) {
    const auto bank = [](const char* plus, const char* minus) {
        return Bench(fmt::format("device B is BAT in ROOM\ndevice Q is SW in ROOM\ndevice INV is IV in ROOM\n{}{}", plus, minus));
    };
    const auto parted = [](const Bench& b) { return std::string(b.facts.words.text(b.column("bank", "parted").words.at(0))); };
    const char *plus = "B.+ -> Q.1 35 mm2 copper 1 m\nQ.2 -> INV.dc+ 35 mm2 copper 1 m\n", *minus = "B.- -> Q.3 35 mm2 copper 1 m\nQ.4 -> INV.dc- 35 mm2 copper 1 m\n";
    const char *plus_past = "B.+ -> INV.dc+ 35 mm2 copper 1 m\n", *minus_past = "B.- -> INV.dc- 35 mm2 copper 1 m\n";
    EXPECT_EQ(parted(bank(plus, minus)), "both");
    EXPECT_EQ(parted(bank(plus, minus_past)), "plus");
    EXPECT_EQ(parted(bank(plus_past, minus)), "minus");
    EXPECT_EQ(parted(bank(plus_past, minus_past)), "none");
}

// The switch that is to blame is the one behind which the other pole goes on, not one that opens both.
TEST(Banks, TheSwitchOfOnePoleIsNamed) {
    const auto bank = [](const char* lamp) {
        return Bench(fmt::format(R"(part ONE is isolator {{ pole 1-2; rated 1 in series 80 V 200 A }}
device B is BAT in ROOM
device Q is SW in ROOM
device P, N is BB in ROOM
device INV is IV in ROOM
device Q1 is ONE in ROOM
device L is LAMP in ROOM
B.+ -> P.1 35 mm2 copper 1 m
B.- -> N.1 35 mm2 copper 1 m
P.2 -> Q.1 35 mm2 copper 1 m
N.2 -> Q.3 35 mm2 copper 1 m
Q.2 -> INV.dc+ 35 mm2 copper 1 m
Q.4 -> INV.dc- 35 mm2 copper 1 m
{})", lamp));
    };
    for (const auto& [lamp, pole] : {std::pair{"P.3 -> Q1.1 2.5 mm2 copper 1 m\nQ1.2 -> L.+ 2.5 mm2 copper 1 m\nN.3 -> L.- 2.5 mm2 copper 1 m\n", "plus"},
                                     std::pair{"N.3 -> Q1.1 2.5 mm2 copper 1 m\nQ1.2 -> L.- 2.5 mm2 copper 1 m\nP.3 -> L.+ 2.5 mm2 copper 1 m\n", "minus"}}) {
        const Bench b = bank(lamp);
        EXPECT_EQ(b.facts.words.text(b.column("bank", "parted").words.at(0)), pole);
        EXPECT_EQ(b.facts.table("device")->name(b.subject("disconnect")), "Q1") << pole;
    }
}

TEST(Bars, TheLesserOfBothSidesCrosses) {
    // 100 A for the inverter (920 W / (0.92 x 10 V)), 5 A for the lamp.
    const auto crossing = [](int battery, int inverter, int lamp) {
        const Bench b(fmt::format("device B is BAT in ROOM\ndevice P is BB in ROOM\ndevice INV is IV in ROOM\ndevice L is LAMP in ROOM\nB.+ -> P.{} 35 mm2 copper 1 m\nP.{} -> INV.dc+ 35 mm2 copper 1 m\n"
                                  "P.{} -> L.+ 35 mm2 copper 1 m\nB.- -> INV.dc- 35 mm2 copper 1 m\nB.- -> L.- 35 mm2 copper 1 m\n", battery, inverter, lamp));
        return b.number("crossing", 0, "bar");
    };
    EXPECT_NEAR(crossing(1, 2, 3), 105, 1e-6);
    EXPECT_NEAR(crossing(2, 1, 3), 100, 1e-6);  // fed in the middle
    EXPECT_NEAR(crossing(3, 1, 2), 105, 1e-6);
}

}  // namespace
}  // namespace ferrule::tests
