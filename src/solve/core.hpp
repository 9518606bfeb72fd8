// The meshed rest of a circuit: Eigen's sparse LDLT, its node equations refined until the currents at each node add up.
#pragma once

#include <memory>
#include <vector>

#include "solve/elimination.hpp"

namespace ferrule::solve {

class Core {
public:
    explicit Core(const Elimination& elimination);  // must outlive it
    ~Core();
    [[nodiscard]] bool empty() const;
    // One node of each connected part of it, at 0 V: part p's root.
    [[nodiscard]] const std::vector<std::uint32_t>& roots() const;
    [[nodiscard]] std::uint32_t part_of(std::uint32_t node) const;  // none: not in the core
    // Volts of its nodes and currents out of its ends. Parts whose equations are too near to singular: NaN.
    void solve(const std::vector<double>& injected, std::vector<double>& volt, std::vector<double>& out) const;

private:
    struct Equations;
    std::unique_ptr<Equations> equations_;
};

}  // namespace ferrule::solve
