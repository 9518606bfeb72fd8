// A rule set laid over the facts of one design under one standard: which column a formula's number
// means here, words as numbers, properties as columns. Everything is found once and kept for the
// run; nothing is copied from the facts.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "facts/table.hpp"
#include "rules/rule.hpp"
#include "tables/standard.hpp"

namespace ferrule::rules {

// Flags and ids beside their plain values. Absent: the path led through a subject that does not
// exist.
inline constexpr std::uint8_t flag_unknown = facts::flag_unknown;
inline constexpr std::uint8_t flag_absent = 3;
inline constexpr std::uint32_t id_unknown = facts::no_row;
inline constexpr std::uint32_t id_absent = facts::no_row - 1;

// property.field of every row of a table. A property that a part states is looked up once a part,
// not once a row.
struct PropertyColumn {
    std::vector<double> numbers;  // SI; NaN: not stated, or a range where one value was asked for
    std::vector<std::uint32_t> words;   // as Bound::word
    std::vector<std::uint8_t> stated;   // the property stands there, whatever its fields
    std::vector<std::uint32_t> rows;    // graph::RowId of the property, none if not stated
    std::vector<std::uint32_t> fields;  // graph::FieldId, none if not stated
};

class Bound {
public:
    Bound(const RuleSet& set, const facts::Facts& facts, const tables::Standard& standard);
    Bound(const Bound&) = delete;
    Bound& operator=(const Bound&) = delete;

    [[nodiscard]] const tables::Standard& standard() const { return standard_; }
    [[nodiscard]] const graph::Design* design() const { return design_; }
    [[nodiscard]] std::uint32_t table_index(
        std::string_view subject) const;  // none if there is none
    [[nodiscard]] const facts::Table* table(std::uint32_t index) const {
        return tables_[index];
    }  // null: not computed
    [[nodiscard]] const facts::Column* column(std::uint32_t table,
                                              std::uint32_t column) const;  // null: not computed
    [[nodiscard]] const PropertyColumn& property(std::uint32_t table, const PropertyPath& path);
    // A flag for every row of a word column: its word is one of these. Unknown where the word is. Many rules ask the same.
    [[nodiscard]] const std::vector<std::uint8_t>& says(const facts::Column& column, const std::vector<std::uint32_t>& words);
    [[nodiscard]] std::uint32_t word(std::string_view text);
    [[nodiscard]] std::string_view word_text(std::uint32_t word) const;

private:
    [[nodiscard]] std::unique_ptr<PropertyColumn> collect(const facts::Table& table,
                                                          const PropertyPath& path);

    const RuleSet& set_;
    const facts::Words& words_;
    const graph::Design* design_;
    const tables::Standard& standard_;
    std::vector<const facts::Table*> tables_;
    std::vector<std::vector<const facts::Column*>> columns_;
    std::map<std::string, std::unique_ptr<PropertyColumn>> properties_;
    std::map<std::pair<const PropertyPath*, std::uint32_t>, const PropertyColumn*> property_of_;  // the same by the place of the path
    std::map<std::pair<const facts::Column*, std::vector<std::uint32_t>>, std::vector<std::uint8_t>> says_;
    std::unordered_map<std::string, std::uint32_t>
        more_words_;  // those no fact of this run has used
    std::vector<std::string> more_texts_;
};

}  // namespace ferrule::rules
