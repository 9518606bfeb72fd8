// What terminals take (sizes, metals) and the temperature they are listed for, read once per part and port. A port's own statement
// counts before that of its part. Square metres and kelvin.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "facts/parts.hpp"
#include "graph/design.hpp"

namespace ferrule::facts {

// One `takes` line.
struct TakesRow {
    std::uint32_t conductors = 1;
    double low = 0, high = 0;  // m²
    units::UnitId unit;        // as written
    bool metals_stated = false, copper = false, aluminium = false;
    graph::Symbol fine;        // what fine strands need at their end; none: nothing is said
};

// What is stated for the terminals of one part, or of one of its ports.
struct TerminalData {
    std::uint32_t first = 0, count = 0;     // in Takes::rows
    double temperature = graph::unknown;    // K
    bool states_takes = false;              // the kind has the property at all
};

enum class Fit : std::uint8_t { yes, too_thin, too_thick, metal, metal_unknown, not_stated, no_terminal };

class Takes {
public:
    explicit Takes(const graph::Design& design);

    [[nodiscard]] const TerminalData& at(graph::TerminalId terminal) const;
    [[nodiscard]] const TerminalData& of(graph::PartId part) const { return data_[first_[part.value]]; }
    // Does a conductor fit, as one of `together` on the terminal?
    [[nodiscard]] Fit fit(const TerminalData& terminal, double area, bool aluminium, std::uint32_t together) const;
    // The least and the largest size of its rows for so many conductors; {0, 0} if it has none.
    struct Range {
        double low = 0, high = 0;
        units::UnitId low_unit, high_unit;  // as written
    };
    [[nodiscard]] Range range(const TerminalData& terminal, std::uint32_t together) const;
    // What fine strands of this size need at their end, by every row that takes the size; none if one of them asks for nothing.
    [[nodiscard]] graph::Symbol fine_end(const TerminalData& terminal, double area, std::uint32_t together) const;

private:
    template <typename Visit>
    void each(const TerminalData& terminal, std::uint32_t together, Visit visit) const;
    [[nodiscard]] TerminalData read(base::Range<graph::RowId> rows);

    const graph::Design& d_;
    std::vector<std::uint32_t> first_;  // per part: its own data; its ports follow
    std::vector<TerminalData> data_;
    std::vector<TakesRow> rows_;
};

}  // namespace ferrule::facts
