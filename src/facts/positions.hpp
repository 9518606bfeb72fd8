// Every position of the switches, tried: which source poles reach which terminal. A galvanic circuit is tried by itself, as what
// happens in it does not depend on the switches of another: all combinations of up to limits::switch_combinations handles, and
// beyond that (or when the combinations would be more than limits::position_rows) all on, all off and one off. A design of more
// than limits::position_devices switching devices gets no rows, nor does a circuit that would pass limits::position_sources.
#pragma once

#include <cstdint>
#include <string>
#include <unordered_map>
#include <vector>

#include "facts/circuits.hpp"

namespace ferrule::facts {

// One handle, and the position it stands in.
struct Setting {
    std::uint32_t handle = 0;
    bool off = true;
    graph::Symbol position;  // the data sheet's word for it; none for the `on` of a plain switch
};

struct PositionRow {
    std::uint32_t terminal = none;
    std::uint32_t state = 0;                  // index into Positions::states
    std::vector<std::uint32_t> plus, minus;   // sources whose + and - reach it, rising
};

struct Positions {
    std::vector<std::vector<Setting>> states;
    std::vector<PositionRow> rows;            // terminals of switches and ports, in every state of their circuit
};

[[nodiscard]] Positions try_positions(const graph::Design& design, const Network& network, const Circuits& circuits);

// States in words: "Q1 on, Q2 off".
class StateNames {
public:
    StateNames(const graph::Design& design, const Network& network);
    [[nodiscard]] std::string text(const std::vector<Setting>& state) const;

private:
    const graph::Design& d_;
    std::unordered_map<std::uint32_t, std::string> handles_;  // the devices that each moves
};

}  // namespace ferrule::facts
