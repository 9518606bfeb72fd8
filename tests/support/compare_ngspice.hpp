// Every node voltage and branch current of circuits against ngspice: within 1e-6 relative to itself or, where it is tiny, to a
// hundredth of the largest of its circuit.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "support/ngspice.hpp"

namespace support {

// How many values were compared.
inline std::size_t compare(const std::string& name, const std::vector<std::string>& names, const std::vector<const solve::Circuit*>& circuits) {
    const Spice spice = run_spice(testing::TempDir(), name, circuits);
    EXPECT_TRUE(spice.ran) << "ngspice did not run";
    if (!spice.ran) return 0;
    std::size_t compared = 0;
    for (std::size_t k = 0; k < circuits.size(); ++k) {
        const solve::Circuit& c = *circuits[k];
        const solve::Solver solver(c);
        const solve::Solution x = solver.solve();
        double volts = 0, amperes = 0;
        for (const double v : x.volt) volts = std::fmax(volts, std::fabs(v));
        for (const double i : x.through) amperes = std::fmax(amperes, std::fabs(i));
        const double rounding = 1e-9 * volts;  // A: what ngspice leaves where nothing flows, as it subtracts volts
        std::size_t off = 0;
        auto near = [&](double ours, double other, double most, double slack, const std::string& what) {
            ++compared;
            const bool good = std::fabs(ours - other) <= 1e-6 * std::fmax(std::fabs(other), 1e-2 * most) + slack;
            if (!good && ++off <= 5) ADD_FAILURE() << names[k] << ", " << what << ": " << ours << " against " << other << " of ngspice";
        };
        for (std::size_t n = 0; n < c.nodes; ++n) near(x.volt[n], spice.volt(k, large(c) ? solver.metal(n) : n), volts, 0, fmt::format("node {}", n));
        for (std::size_t e = 0; e < c.resistances.size(); ++e) {
            if (std::isnan(x.through[e])) continue;  // in a loop of 0 ohm
            if (large(c) && c.resistances[e].ohm < solve::least_ohm) continue;
            near(x.through[e], spice.through(k, e, c.resistances[e].ohm < solve::least_ohm), amperes, rounding, fmt::format("branch {}", e));
        }
    }
    return compared;
}

}  // namespace support
