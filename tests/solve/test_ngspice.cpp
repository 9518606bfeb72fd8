// 200 random radial and meshed circuits against ngspice: every node voltage and every branch current within 1e-6, relative to itself
// or, when it is tiny, to the largest of its circuit.
#include <cmath>

#include <gtest/gtest.h>

#include "helper_random.hpp"
#include "support/ngspice.hpp"

namespace {

using ferrule::solve::Circuit;
using ferrule::solve::Solution;
using ferrule::solve::Solver;

constexpr double rounding = 1e-10;  // A: what is left where nothing flows, as ngspice subtracts volts

TEST(Ngspice, TwoHundredRandomCircuits) {
    std::vector<Circuit> circuits;
    std::vector<const Circuit*> batch;
    for (std::uint32_t seed = 1; seed <= 200; ++seed) {
        random_circuit::Kind kind;
        kind.meshed = seed % 2 == 0;
        kind.zeros = seed % 4 >= 2;
        kind.nodes = 6 + seed % 30;
        circuits.push_back(random_circuit::make(seed, kind));
    }
    for (const Circuit& c : circuits) batch.push_back(&c);
    const support::Spice spice = support::run_spice(testing::TempDir(), "random_circuits", batch);
    ASSERT_TRUE(spice.ran) << "ngspice did not run";
    std::size_t compared = 0;
    for (std::size_t k = 0; k < circuits.size(); ++k) {
        const Circuit& c = circuits[k];
        const Solution x = Solver(c).solve();
        double volts = 0, amperes = 0;
        for (const double v : x.volt) volts = std::fmax(volts, std::fabs(v));
        for (const double i : x.through) amperes = std::fmax(amperes, std::fabs(i));
        for (std::size_t n = 0; n < c.nodes; ++n, ++compared) {
            const double other = spice.volt(k, n);
            ASSERT_NEAR(x.volt[n], other, 1e-6 * std::fmax(std::fabs(other), 1e-2 * volts)) << "circuit " << k << " node " << n;
        }
        for (std::size_t e = 0; e < c.resistances.size(); ++e, ++compared) {
            const double other = spice.through(k, e, c.resistances[e].ohm == 0);
            ASSERT_NEAR(x.through[e], other, 1e-6 * std::fmax(std::fabs(other), 1e-2 * amperes) + rounding) << "circuit " << k << " branch " << e;
        }
    }
    EXPECT_GT(compared, 10000U);
}

}  // namespace
