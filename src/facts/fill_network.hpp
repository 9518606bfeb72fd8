// The parts of fill_network, and what of it is put in again when conductors get other lengths.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "facts/analysis.hpp"
#include "facts/solved.hpp"

namespace ferrule::facts {

using SharedSolved = std::shared_ptr<const Solved>;

void fill_faults(Facts& facts, const Shared& a, Solution solution);  // prospective currents, earth faults, points

[[nodiscard]] std::vector<std::uint32_t> all_of(std::size_t rows);  // 0, 1, 2 …

// The rows that rest on what is solved of a piece of circuit, and the one of the site.
struct PieceRows {
    struct Point { std::uint32_t row, terminal; double open_volt; };
    std::vector<std::uint32_t> conductors, strings, inputs;
    std::vector<Point> points;
};
// Every value that a length of a conductor in it has to do with, where no battery is. What explains them asks the analysis when it is asked.
void put_piece(Facts& facts, const Analysis& a, const Solved& s, const PieceRows& rows);
void put_points(Facts& facts, const Analysis& a, const Solved& s, std::span<const PieceRows::Point> points);

}  // namespace ferrule::facts
