// The computed values of named things: the rows of the fact tables that belong to them, laid out as plain data.
#pragma once

#include <string>
#include <vector>

#include "facts/table.hpp"
#include "project/knowledge.hpp"
#include "render/values.hpp"
#include "tables/standard.hpp"
#include "units/units.hpp"

namespace ferrule::project {

struct ValuesResult {
    std::vector<render::ValueSubject> subjects;
    std::vector<std::string> unknown;  // names that no subject has, each with the nearest one that does
};

// A name is that of a row ("EAST") or of the thing a row belongs to (Q1: all that Q1 breaks). No names: every row but those
// of the data sheets, which may be many more than what stands in the design.
// Working is made for what is returned and for nothing else. Of the clauses of other standards than the design's none is cited.
[[nodiscard]] ValuesResult values(const facts::Facts& facts, const Knowledge& knowledge, const tables::Standard& standard,
                                  const std::vector<std::string>& names);

// The rows that belong to one thing of the design, without those that hang on it by name only.
[[nodiscard]] std::vector<render::ValueSubject> values_of(const facts::Facts& facts, const Knowledge& knowledge,
                                                          const tables::Standard& standard, graph::ThingId thing);
// One row.
[[nodiscard]] render::ValueSubject values_of_row(const facts::Facts& facts, const Knowledge& knowledge, const tables::Standard& standard,
                                                 const facts::Table& table, std::uint32_t row);

// "V", "m2", "K": the SI unit of a dimension; "" for a plain number.
[[nodiscard]] std::string si_unit(units::Dimension dimension, const units::Units& units);

// One value of one row, without its working.
[[nodiscard]] render::Value value(const facts::Facts& facts, const facts::Column& column, std::uint32_t row, const units::Units& units);

}  // namespace ferrule::project
