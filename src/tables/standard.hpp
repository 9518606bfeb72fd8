// The figures of one standard: rules/standards/ID.toml. A figure stands once, with its clause and how sure it is;
// facts and rules name it and never repeat the number.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "findings/finding.hpp"
#include "tables/toml.hpp"
#include "units/units.hpp"

namespace ferrule::tables {

// One figure: a number with its unit, or a word.
struct Figure {
    std::string name;   // "pv-current-factor"
    double value = 0;   // SI
    units::UnitId unit; // none for a plain number
    std::string word;   // when it is a word ("forbidden")
    std::string about;
    findings::Citation source;
};

// One table: named columns of numbers (SI) or words. A band table has the columns `from` and `to`.
struct FigureTable {
    struct ColumnHead {
        std::string name;
        units::UnitId unit;
        bool words = false;
    };
    struct Cell {
        double number = 0;
        std::string word;
    };
    std::string name;
    std::string about;
    std::vector<ColumnHead> columns;
    std::vector<std::vector<Cell>> rows;
    findings::Citation source;
    [[nodiscard]] int column(std::string_view name) const;  // -1 if it has none
    // The row whose [from, to] holds the key, both ends included: of two bands that share an edge the lower one, and between two
    // bands the lower one too (-5.5 degC is colder than -5), so that nothing falls between. Nothing outside the table.
    [[nodiscard]] std::optional<double> band(double key, std::string_view column) const;
    [[nodiscard]] const Cell* at(std::string_view key_column, std::string_view key, std::string_view column) const;
    // The smallest value of the column that is not below x: the next standard size up.
    [[nodiscard]] std::optional<double> next_size(std::string_view column, double x) const;
};

struct Standard {
    std::string id;     // "nec-2023"
    std::string title;
    std::string cited;  // how findings cite it: "NFPA 70-2023"
    std::vector<Figure> figures;
    std::vector<FigureTable> tables;
    [[nodiscard]] const Figure* figure(std::string_view name) const;
    [[nodiscard]] double number(std::string_view name) const;  // NaN if it has no such figure
    [[nodiscard]] const FigureTable* table(std::string_view name) const;
};

struct StandardFile {
    Standard standard;
    std::vector<findings::Finding> findings;
};

// id, title, cited;
// [figure.NAME] value = 1.25 | "60 V" (or word = "forbidden"), about, clause, status, source (when it is not this standard);
// [table.NAME]  about, clause, status, source, columns = ["from degC", "to degC", "factor", "exposure word"], rows = [[…], …]
// A cell is a number in its column's unit, a text with a unit of its own ("2/0 AWG"), a word, or "" for none (NaN).
[[nodiscard]] StandardFile read_standard(const TomlFile& file, const units::Units& units);

}  // namespace ferrule::tables
