// Why a row came out as it did, in words: what was missing, which comparisons decided, on which
// facts and lines of the design they rest. Everything here is asked for one row at a time, and only
// for rows that are shown.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "facts/table.hpp"
#include "findings/finding.hpp"
#include "rules/evaluate.hpp"

namespace ferrule::rules {

// A number as it is to be shown. `stated`: the author of the design wrote the datum in this unit.
struct ShownIn {
    units::UnitId unit;
    bool stated = false;
};

// All take an evaluator whose root was last evaluated over `scope`, which holds one row, and a node
// of it.
[[nodiscard]] facts::Missing missing(Evaluator& formula, std::uint32_t node, const Scope& scope);
[[nodiscard]] ShownIn shown_in(Evaluator& formula, std::uint32_t node, const Scope& scope);
[[nodiscard]] std::string show(Evaluator& formula, std::uint32_t node, const Scope& scope,
                               units::UnitId unit);
// A bare number; `exact` where four digits would hide a difference.
[[nodiscard]] std::string show_in(const units::Units* units, double si, units::UnitId unit,
                                  bool exact);
// Name and place of one row of a table.
[[nodiscard]] std::string name_of(const Bound& bound, std::uint32_t table, std::uint32_t row);
[[nodiscard]] text::Span place_of(const Bound& bound, std::uint32_t table, std::uint32_t row);

// Collects for one finding. Each line is kept once.
class Reasons {
public:
    explicit Reasons(const Bound& bound) : bound_(bound) {}
    // The comparisons that made the flag `node` what it is, and the facts under them.
    void decided(Evaluator& formula, std::uint32_t node, const Scope& scope);
    // The facts under any node.
    void used(Evaluator& formula, std::uint32_t node, const Scope& scope);

    [[nodiscard]] std::vector<std::string> working() const;
    std::vector<std::string> assumed;
    std::vector<findings::Related> related;
    std::vector<findings::Citation> sources;
    // Units for the message: an expression that stands in a comparison is shown as it is there.
    [[nodiscard]] units::UnitId unit_for(Evaluator& formula, const Scope& scope) const;

private:
    struct Side {
        std::string text;
        units::Dimension dimension;
        ShownIn unit;
    };
    void comparison(Evaluator& formula, const Node& n, const Scope& scope);
    void use_column(const Node& n, std::uint32_t row);
    void use_property(const Formula& formula, const Node& n, std::uint32_t row, Bound& bound);

    const Bound& bound_;
    std::vector<std::string> steps_, comparisons_;
    std::vector<Side> sides_;
};

}  // namespace ferrule::rules
