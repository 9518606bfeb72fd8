// Ohm's and Kirchhoff's laws at every branch and node of random circuits, and cases that are known by hand.
#include <cmath>

#include <gtest/gtest.h>

#include "helper_random.hpp"
#include "solve/solver.hpp"
#include "support/hang.hpp"

namespace {

using ferrule::solve::Circuit;
using ferrule::solve::Solution;
using ferrule::solve::Solver;
using ferrule::solve::Trouble;
using random_circuit::Kind;

// Ohm at every branch, Kirchhoff at every node, relative to the largest volts and amperes there are.
void lawful(const Circuit& c, const Solution& x, double tolerance, const std::string& what) {
    double volts = 0, amperes = 0;
    for (const double v : x.volt) volts = std::fmax(volts, std::fabs(v));
    for (const double i : x.through) amperes = std::fmax(amperes, std::fabs(i));
    for (const auto& r : c.sources) amperes = std::fmax(amperes, std::fabs(r.ampere));
    std::vector<double> into(c.nodes, 0);
    for (std::size_t e = 0; e < c.resistances.size(); ++e) {
        const auto& r = c.resistances[e];
        ASSERT_FALSE(std::isnan(x.through[e])) << what << " resistance " << e;
        ASSERT_NEAR(x.volt[r.a] - x.volt[r.b], x.through[e] * r.ohm, tolerance * volts) << what << " resistance " << e;
        into[r.a] -= x.through[e];
        into[r.b] += x.through[e];
    }
    for (std::size_t s = 0; s < c.sources.size(); ++s) {
        const auto& r = c.sources[s];
        const double v = x.volt[r.plus] - x.volt[r.minus];
        ASSERT_NEAR(r.siemens == 0 ? r.ampere : r.ampere / r.siemens - v, r.siemens == 0 ? x.given[s] : x.given[s] / r.siemens,
                    tolerance * std::fmax(volts, r.siemens == 0 ? amperes : std::fabs(r.ampere / r.siemens)))
            << what << " source " << s;
        into[r.plus] += x.given[s];
        into[r.minus] -= x.given[s];
    }
    for (std::size_t n = 0; n < c.nodes; ++n) ASSERT_NEAR(into[n], 0, tolerance * amperes) << what << " node " << n;
}

void many(Kind kind, double tolerance, const std::string& what) {
    for (std::uint32_t seed = 1; seed <= 400; ++seed) {
        kind.nodes = 3 + seed % 60;
        const Circuit c = random_circuit::make(seed, kind);
        lawful(c, Solver(c).solve(), tolerance, what + " " + std::to_string(seed));
        if (testing::Test::HasFatalFailure()) return;
    }
}

TEST(Solver, RadialHoldsTheLaws) { many({false, false}, 1e-12, "radial"); }
TEST(Solver, MeshedHoldsTheLaws) { many({true, false}, 1e-11, "meshed"); }
TEST(Solver, ZeroResistancesHoldTheLaws) {
    many({false, true}, 1e-12, "radial with zeros");
    many({true, true}, 1e-11, "meshed with zeros");
}
// A millionth of an ohm beside a million.
TEST(Solver, UnlikeResistancesHoldTheLaws) {
    many({false, true, 1e-6, 1e6}, 1e-9, "radial, unlike");
    many({true, true, 1e-6, 1e6}, 1e-9, "meshed, unlike");
}

TEST(Solver, BatteryAndLoad) {
    // 48 V behind 10 mohm, 40 mohm of cable, a load of 100 A: 48 - 100 x 0.05 = 43 V.
    const Circuit c{4, {{0, 2, 0.02}, {1, 3, 0.02}}, {{0, 1, 4800, 100}, {2, 3, -100, 0}}};
    const Solver solver(c);
    const Solution x = solver.solve();
    EXPECT_NEAR(x.volt[2] - x.volt[3], 43, 1e-12);
    EXPECT_NEAR(x.through[0], 100, 1e-10);
    EXPECT_NEAR(x.through[1], -100, 1e-10);
    EXPECT_NEAR(x.given[0], 100, 1e-10);
    EXPECT_NEAR(solver.resistance(2, 3), 0.05, 1e-15);
    EXPECT_EQ(x.volt[1], 0);
}

TEST(Solver, UnbalancedBridge) {
    // A bridge of 1, 2, 3, 4 and 5 ohm across 1 A: no part of it is in series or in parallel. By hand, with 3 at 0 V: (v0 - v1) / 1 =
    // v1 / 3 + (v1 - v2) / 5 and (v0 - v2) / 2 + (v1 - v2) / 5 = v2 / 4 and 1 = (v0 - v1) / 1 + (v0 - v2) / 2: v0 = 170 / 71.
    const Circuit c{4, {{0, 1, 1}, {0, 2, 2}, {1, 3, 3}, {2, 3, 4}, {1, 2, 5}}, {{0, 3, 1, 0}}};
    const Solver solver(c);
    const Solution x = solver.solve();
    lawful(c, x, 1e-14, "bridge");
    EXPECT_NEAR(solver.resistance(0, 3), x.volt[0] - x.volt[3], 1e-14);
    EXPECT_NEAR(solver.resistance(0, 3), 2.3943661971830985, 1e-12);  // 170 / 71
}

TEST(Solver, CurrentInALoopOfNoResistanceIsNotGuessed) {
    // Two links side by side between 1 and 2; the lead to them and the one behind them are certain.
    const Circuit c{5, {{0, 1, 0}, {1, 2, 0}, {2, 1, 0}, {2, 3, 0}, {3, 4, 1}}, {{0, 4, 7, 0}}};
    const Solution x = Solver(c).solve();
    EXPECT_NEAR(x.through[0], 7, 1e-14);
    EXPECT_TRUE(std::isnan(x.through[1]));
    EXPECT_TRUE(std::isnan(x.through[2]));
    EXPECT_NEAR(x.through[3], 7, 1e-14);
    EXPECT_NEAR(x.volt[0] - x.volt[4], 7, 1e-14);
}

TEST(Solver, TwoLoopsOfNoResistanceJoinedByALink) {
    const Circuit c{6, {{0, 1, 0}, {1, 2, 0}, {2, 0, 0}, {2, 3, 0}, {3, 4, 0}, {4, 5, 0}, {5, 3, 0}}, {{0, 5, 3, 1}}};
    const Solution x = Solver(c).solve();
    EXPECT_NEAR(x.through[3], 3, 1e-14);
    for (const int e : {0, 1, 2, 4, 5, 6}) EXPECT_TRUE(std::isnan(x.through[e])) << e;
}

TEST(Solver, IslandsHaveTheirOwnReference) {
    const Circuit c{6, {{0, 1, 1}, {2, 3, 1}}, {{0, 1, 1, 0}, {3, 2, 2, 0}}};
    const Solver solver(c);
    const Solution x = solver.solve();
    EXPECT_EQ(solver.islands(), 4U);
    EXPECT_EQ(x.volt[1], 0);
    EXPECT_NEAR(x.volt[0], 1, 1e-15);
    EXPECT_EQ(x.volt[2], 0);
    EXPECT_NEAR(x.volt[3], 2, 1e-15);
    EXPECT_EQ(x.volt[4], 0);
    EXPECT_TRUE(std::isinf(solver.resistance(0, 2)));
}

TEST(Solver, FixedCurrentThatCannotFlowIsTrouble) {
    const Circuit c{4, {{0, 1, 1}, {2, 3, 1}}, {{0, 2, 5, 0}, {0, 1, 1, 0}}};
    const Solver solver(c);
    const Solution x = solver.solve();
    EXPECT_EQ(x.trouble[solver.island(0)], Trouble::floating);
    EXPECT_EQ(x.trouble[solver.island(2)], Trouble::floating);
    for (const double v : x.volt) EXPECT_TRUE(std::isnan(v));
    // The same with no current in it: nothing is wrong.
    const Solution y = solver.solve(std::vector<double>{0, 1});
    EXPECT_NEAR(y.volt[0] - y.volt[1], 1, 1e-15);
}

TEST(Solver, AnEmptyCircuitAndLoneNodes) {
    EXPECT_EQ(Solver(Circuit{}).solve().volt.size(), 0U);
    const Circuit c{3, {}, {}};
    EXPECT_EQ(Solver(c).solve().volt, (std::vector<double>{0, 0, 0}));
}

// 100,000 strings on two bars, a ladder of 100,000 rungs, a grid: each within time, each lawful.
TEST(Solver, LargeCircuits) {
    const std::uint32_t n = 100000;
    Circuit bars{2 + 2 * n, {}, {}}, ladder{2 * n, {}, {}}, grid{100 * 100, {}, {}};
    for (std::uint32_t i = 0; i < n; ++i) {
        const double ohm = 0.05 + 1e-7 * i;
        bars.resistances.push_back({2 + 2 * i, 0, ohm});
        bars.resistances.push_back({3 + 2 * i, 1, ohm});
        bars.sources.push_back({2 + 2 * i, 3 + 2 * i, 10, 0.2});
        ladder.sources.push_back({2 * i, 2 * i + 1, 10, 0.2});
        if (i == 0) continue;
        ladder.resistances.push_back({2 * i, 2 * i - 2, ohm});
        ladder.resistances.push_back({2 * i + 1, 2 * i - 1, ohm});
    }
    for (std::uint32_t i = 0; i < 100 * 100; ++i) {
        if (i % 100 != 0) grid.resistances.push_back({i, i - 1, 1.0 + i % 7});
        if (i >= 100) grid.resistances.push_back({i, i - 100, 1.0 + i % 5});
    }
    bars.sources.push_back({0, 1, -n * 5.0, 0});
    grid.sources.push_back({0, 9999, 1, 0});
    for (const Circuit* c : {&bars, &ladder, &grid}) {
        Solution x;
        EXPECT_LT(ferrule::tests::cpu_seconds([&] { x = Solver(*c).solve(); }), ferrule::tests::hang_seconds);
        lawful(*c, x, 1e-9, "large");
    }
}

}  // namespace
