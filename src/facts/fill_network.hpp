// The parts of fill_network.
#pragma once

#include <memory>

#include "facts/analysis.hpp"
#include "facts/solved.hpp"

namespace ferrule::facts {

using SharedSolved = std::shared_ptr<const Solved>;

void fill_faults(Facts& facts, const Shared& a, Solution solution);  // prospective currents, earth faults, points

}  // namespace ferrule::facts
