// A part of a circuit solved by itself comes to what the whole comes to there.
#include <random>

#include <gtest/gtest.h>

#include "solve/part.hpp"
#include "solve/solver.hpp"

namespace ferrule::solve {
namespace {

// Trees of resistances, some of 0 ohm, with sources inside; nodes of different trees lie mixed.
Circuit forest(std::mt19937& random, std::uint32_t nodes, std::uint32_t trees) {
    const auto below = [&](std::uint32_t n) { return static_cast<std::uint32_t>(random() % n); };
    Circuit c;
    c.nodes = nodes;
    for (std::uint32_t n = trees; n < nodes; ++n) {
        const std::uint32_t tree = n % trees;
        const std::uint32_t to = tree + trees * below(n / trees);
        c.resistances.push_back({n, to, below(5) == 0 ? 0 : 0.01 * (1 + below(100))});
        if (below(3) == 0) c.sources.push_back({n, to, 0.5 * below(20), below(2) == 0 ? 0.1 : 0});
    }
    return c;
}

TEST(Part, SolvedByItselfIsWhatItIsInTheWhole) {
    std::mt19937 random(7);
    for (int round = 0; round < 50; ++round) {
        const Circuit whole = forest(random, 60, 4);
        const std::uint32_t wanted = static_cast<std::uint32_t>(random() % 60);
        const Part part = part_with(whole, std::vector<std::uint32_t>{wanted});
        ASSERT_EQ(part.nodes.size(), 15U);
        const Solver of_whole(whole), of_part(part.circuit);
        const Solution x = of_whole.solve(), y = of_part.solve();
        for (std::size_t k = 0; k < part.nodes.size(); ++k) {
            ASSERT_EQ(part.nodes[k] % 4, wanted % 4);
            ASSERT_EQ(y.volt[k], x.volt[part.nodes[k]]);
        }
        ASSERT_EQ(part.resistances.size(), 14U);
        for (std::size_t k = 0; k < part.resistances.size(); ++k) ASSERT_EQ(y.through[k], x.through[part.resistances[k]]);
        for (std::size_t k = 0; k < part.sources.size(); ++k) ASSERT_EQ(y.given[k], x.given[part.sources[k]]);
    }
}

// Two trees that a source without conductance lies between are one part.
TEST(Part, HoldsBothEndsOfASource) {
    Circuit c{4, {{0, 1, 1}, {2, 3, 1}}, {{1, 2, 5, 0}}};
    EXPECT_EQ(part_with(c, std::vector<std::uint32_t>{0}).nodes.size(), 4U);
    c.sources.clear();
    EXPECT_EQ(part_with(c, std::vector<std::uint32_t>{0}).nodes.size(), 2U);
}

}  // namespace
}  // namespace ferrule::solve
