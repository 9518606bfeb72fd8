// The analyses: a frozen design and the figures of its standard in, fact tables out. They compute and never judge.
// Linear in the size of the design, but for the few loops that base/limits.hpp bounds.
#pragma once

#include "facts/difference.hpp"
#include "facts/table.hpp"
#include "tables/standard.hpp"

namespace ferrule::facts {

// The design and the standard must outlive the facts. `words` are those of other facts, for those who compare the two.
[[nodiscard]] Facts compute(const graph::Design& design, const tables::Standard& standard, Words words = {});

// The facts of a design after an edit, and in what they differ from those before, which lose their words. `same_statements`: see Difference.
struct Renewed {
    Facts facts;
    Difference since;
};
[[nodiscard]] Renewed compute_again(const graph::Design& design, const tables::Standard& standard, Facts& before, bool same_statements);

}  // namespace ferrule::facts
