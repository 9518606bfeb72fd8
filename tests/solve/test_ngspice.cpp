// 200 random radial and meshed circuits against ngspice.
#include <gtest/gtest.h>

#include "helper_random.hpp"
#include "support/compare_ngspice.hpp"

namespace {

TEST(Ngspice, TwoHundredRandomCircuits) {
    std::vector<ferrule::solve::Circuit> circuits;
    std::vector<const ferrule::solve::Circuit*> batch;
    std::vector<std::string> names;
    for (std::uint32_t seed = 1; seed <= 200; ++seed) {
        random_circuit::Kind kind;
        kind.meshed = seed % 2 == 0;
        kind.zeros = seed % 4 >= 2;
        kind.nodes = 6 + seed % 30;
        circuits.push_back(random_circuit::make(seed, kind));
        names.push_back(fmt::format("random circuit {}", seed));
    }
    for (const auto& c : circuits) batch.push_back(&c);
    EXPECT_GT(support::compare("random_circuits", names, batch), 10000U);
}

}  // namespace
