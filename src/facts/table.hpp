// Facts as tables: the seam between analyses in C++ and demands in TOML. A table is a kind of subject ("string",
// "broken-circuit"); a row is one subject; a column is a named fact about it. Columns are dense; a value that is not
// known is NaN (numbers), 2 (flags) or none (words, subjects), and `missing` then says what was lacking and where.
// Working and names are made only when somebody looks.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "base/interner.hpp"
#include "findings/finding.hpp"
#include "graph/design.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::facts {

enum class Type : std::uint8_t { number, flag, word, subject, subjects };

inline constexpr std::uint32_t no_row = 0xffffffffU;
inline constexpr std::uint8_t flag_unknown = 2;

struct Missing {
    std::string what;  // "the voltage coefficient of PM-445 (voc … %/K)"
    text::Span where;
};

struct Column {
    std::string name;               // "voc-coldest"
    Type type = Type::number;
    units::Dimension dimension;     // numbers
    units::UnitId shown_in;         // numbers: unit for messages, none for a plain number
    std::string target;             // subject(s): the table their rows belong to
    std::string about;              // one line for explain: what it is and how it is worked out
    std::vector<findings::Citation> sources;
    bool not_applicable_is_false = false;  // `subject` columns: none means "there is none", not "unknown"

    std::vector<double> numbers;
    std::vector<std::uint8_t> flags;
    std::vector<base::Symbol> words;                    // symbols of Facts::words
    std::vector<std::uint32_t> subjects;                // one row each
    struct List { std::uint32_t first = 0, count = 0; };
    std::vector<List> lists;                            // subjects: a run in `pool` each
    std::vector<std::uint32_t> pool;
    std::vector<units::UnitId> row_units;               // optional: what the author wrote, row by row

    std::function<Missing(std::uint32_t)> missing;                       // why it is unknown
    std::function<std::vector<std::string>(std::uint32_t)> working;      // steps, one line each; may be empty
    std::function<std::vector<findings::Related>(std::uint32_t)> rests_on;  // the lines of the design it was taken from
    std::function<std::vector<std::string>(std::uint32_t)> assumed;      // defaults it leans on
};

struct Table {
    std::string subject;   // "string"
    std::string about;     // what one row is, for explain
    std::uint32_t rows = 0;
    std::vector<Column> columns;
    std::function<std::string(std::uint32_t)> name;       // "EAST"; "Q1: EAST to MPPT.pv1"
    std::function<text::Span(std::uint32_t)> place;       // where a finding about it points
    std::function<std::uint32_t(std::uint32_t)> thing;    // the thing it belongs to (ThingId value) or no_row: for `accept … on`
    std::function<std::uint32_t(std::uint32_t)> circuit;  // the galvanic circuit it belongs to, or no_row: for `after`
    // Rows of properties the subject states itself, or its part states: lets a rule name any property of the kinds table
    // (string.module.max-fuse, device.part.rated.voltage) without C++. Null when the subject has none.
    std::function<base::Range<graph::RowId>(std::uint32_t)> properties;
    std::function<base::Range<graph::RowId>(std::uint32_t)> part_properties;  // asked when `properties` has none

    std::unordered_map<std::string, std::uint32_t> by_name;
    Column& add(Column column);
    [[nodiscard]] const Column* column(std::string_view name) const;
};

// What the symbols of word columns stand for. Tables are filled by two threads, so a word's number may differ from run to run; nothing
// may rest on their order.
class Words {
public:
    base::Symbol intern(std::string_view word) {
        const std::scoped_lock alone(*lock_);
        return words_.intern(word);
    }
    [[nodiscard]] base::Symbol find(std::string_view word) const {
        const std::scoped_lock alone(*lock_);
        return words_.find(word);
    }
    [[nodiscard]] std::string_view text(base::Symbol word) const { return words_.text(word); }  // once all tables are filled
    [[nodiscard]] std::size_t size() const { return words_.size(); }

private:
    std::unique_ptr<std::mutex> lock_ = std::make_unique<std::mutex>();
    base::Interner words_;
};

// All facts of one design. Rules ask by name; `values` and the editor walk the tables.
struct Facts {
    const graph::Design* design = nullptr;
    std::vector<Table> tables;
    Words words;                           // of word columns; the design's names are another table
    std::shared_ptr<const void> basis;     // what the working and the names are made from, kept alive
    [[nodiscard]] const Table* table(std::string_view subject) const;
};

// The tables and columns without rows: names, types, dimensions, meanings. Rules are unit-checked against it when they
// are loaded, without any design; `explain` prints it. compute() fills exactly these.
[[nodiscard]] Facts schema(const units::Units& units);

}  // namespace ferrule::facts
