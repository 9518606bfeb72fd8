#include "tables/standard.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "tables/entry.hpp"
#include "tables/quantity.hpp"

namespace ferrule::tables {

namespace {

class StandardReader {
public:
    explicit StandardReader(const units::Units& units) : units_(units) {}

    StandardFile read(const Value& root) {
        Entry file(root, "the standard", result_.findings);
        result_.standard.id = file.needed_text("id");
        result_.standard.title = file.needed_text("title");
        result_.standard.cited = file.needed_text("cited");
        if (const Value* figures = file.table("figure")) {
            for (const auto& [name, v] : figures->entries) figure(name, v);
        }
        if (const Value* tables = file.table("table")) {
            for (const auto& [name, v] : tables->entries) table(name, v);
        }
        file.finish();
        return std::move(result_);
    }

private:
    // Where a figure is from: its clause (of this standard unless `source` names another), and how sure that is.
    findings::Citation citation(Entry& e) {
        findings::Citation c;
        c.standard = e.text("source");
        c.clause = e.text("clause");
        c.status = e.text("status");
        const bool practice = c.status == "common practice, no source";
        if (c.standard.empty() && !practice) c.standard = result_.standard.cited;
        if (!c.status.empty() && c.status != "from memory" && !practice) {
            e.complain("status", fmt::format("`{}` is no status: `from memory`, `common practice, no source`, or none", c.status));
        }
        if (c.clause.empty() && c.status.empty() && e.value("source") == nullptr) {
            e.complain("clause", fmt::format("{} has neither clause nor status", e.name()));
        }
        return c;
    }

    void figure(const std::string& name, const Value& v) {
        Entry e(v, "figure " + name, result_.findings);
        Figure f;
        f.name = name;
        f.about = e.needed_text("about");
        f.word = e.text("word");
        if (const Value* value = e.value("value")) {
            const Quantity q = read_quantity(*value, units_);
            if (!q.error.empty()) e.complain("value", q.error);
            f.value = q.si;
            f.unit = q.unit;
        } else {
            f.value = std::numeric_limits<double>::quiet_NaN();
            if (f.word.empty()) e.complain("value", fmt::format("{} has neither `value` nor `word`", e.name()));
        }
        f.source = citation(e);
        e.finish();
        result_.standard.figures.push_back(std::move(f));
    }

    void table(const std::string& name, const Value& v) {
        Entry e(v, "table " + name, result_.findings);
        FigureTable t;
        t.name = name;
        t.about = e.needed_text("about");
        t.source = citation(e);
        for (const std::string& head : e.words("columns")) t.columns.push_back(column(e, head));
        const Value* rows = e.value("rows");
        if (t.columns.empty() || rows == nullptr || rows->kind != Value::Kind::list) {
            e.complain("rows", fmt::format("{} needs `columns` and `rows`", e.name()));
        } else {
            for (const Value& row : rows->items) add_row(e, t, row);
        }
        e.finish();
        result_.standard.tables.push_back(std::move(t));
    }

    // "from degC" is a column of numbers with a unit, "factor" one of plain numbers, "category word" one of words.
    FigureTable::ColumnHead column(Entry& e, const std::string& head) {
        FigureTable::ColumnHead c;
        const std::size_t blank = head.find(' ');
        c.name = head.substr(0, blank);
        if (blank == std::string::npos) return c;
        const std::string unit = head.substr(blank + 1);
        c.words = unit == "word";
        if (!c.words) c.unit = units_.find(unit);
        if (!c.words && !c.unit) e.complain("columns", fmt::format("`{}` is no unit", unit));
        return c;
    }

    // A cell is a number in its column's unit, a text with a unit of its own ("2/0 AWG"), a word, or "" for none.
    void add_row(Entry& e, FigureTable& t, const Value& row) {
        if (row.kind != Value::Kind::list || row.items.size() != t.columns.size()) {
            complain(row.span, fmt::format("a row of {} needs {} cells", e.name(), t.columns.size()));
            return;
        }
        std::vector<FigureTable::Cell> cells;
        for (std::size_t i = 0; i < row.items.size(); ++i) cells.push_back(cell(t.columns[i], row.items[i]));
        t.rows.push_back(std::move(cells));
    }

    FigureTable::Cell cell(const FigureTable::ColumnHead& head, const Value& v) {
        FigureTable::Cell c;
        c.number = std::numeric_limits<double>::quiet_NaN();
        if (head.words) {
            c.word = v.text;
            if (v.kind != Value::Kind::text) complain(v.span, fmt::format("column {} holds words", head.name));
        } else if (v.kind == Value::Kind::number) {
            c.number = head.unit ? units_.to_si(v.number, head.unit) : v.number;
        } else if (v.kind != Value::Kind::text || !v.text.empty()) {
            const Quantity q = read_quantity(v, units_);
            c.number = q.si;
            if (!q.error.empty()) complain(v.span, q.error);
            if (q.error.empty() && (!head.unit || units_[q.unit].dimension != units_[head.unit].dimension)) {
                complain(v.span, fmt::format("`{}` does not fit the unit of column {}", v.text, head.name));
            }
        }
        return c;
    }

    void complain(text::Span place, std::string message) { result_.findings.push_back(table_finding(place, std::move(message))); }

    const units::Units& units_;
    StandardFile result_;
};

}  // namespace

int FigureTable::column(std::string_view wanted) const {
    for (std::size_t i = 0; i < columns.size(); ++i) {
        if (columns[i].name == wanted) return static_cast<int>(i);
    }
    return -1;
}

std::optional<double> FigureTable::band(double key, std::string_view wanted) const {
    const int from = column("from");
    const int to = column("to");
    const int value = column(wanted);
    if (from < 0 || to < 0 || value < 0) return std::nullopt;
    constexpr double play = 1e-6;  // against the rounding of units at the edges
    double best_from = std::numeric_limits<double>::quiet_NaN();
    const std::vector<Cell>* best = nullptr;
    bool held = false;   // some band holds the key; else the highest band below it is wanted
    bool above = true;   // the key lies above every band
    for (const std::vector<Cell>& row : rows) {
        const double low = row[static_cast<std::size_t>(from)].number;
        const double high = row[static_cast<std::size_t>(to)].number;
        if (key <= high + play) above = false;
        if (key < low - play) continue;
        const bool holds = key <= high + play;
        const bool better = best == nullptr || (holds && (!held || low < best_from)) || (!holds && !held && low > best_from);
        if (!better) continue;
        best = &row;
        best_from = low;
        held = holds;
    }
    if (best == nullptr || above) return std::nullopt;
    const double found = (*best)[static_cast<std::size_t>(value)].number;
    return std::isnan(found) ? std::nullopt : std::optional(found);
}

const FigureTable::Cell* FigureTable::at(std::string_view key_column, std::string_view key, std::string_view wanted) const {
    const int keys = column(key_column);
    const int value = column(wanted);
    if (keys < 0 || value < 0) return nullptr;
    for (const std::vector<Cell>& row : rows) {
        if (row[static_cast<std::size_t>(keys)].word == key) return &row[static_cast<std::size_t>(value)];
    }
    return nullptr;
}

std::optional<double> FigureTable::next_size(std::string_view wanted, double x) const {
    const int sizes = column(wanted);
    if (sizes < 0) return std::nullopt;
    std::optional<double> best;
    for (const std::vector<Cell>& row : rows) {
        const double size = row[static_cast<std::size_t>(sizes)].number;
        if (size >= x && (!best || size < *best)) best = size;
    }
    return best;
}

const Figure* Standard::figure(std::string_view name) const {
    for (const Figure& f : figures) {
        if (f.name == name) return &f;
    }
    return nullptr;
}

double Standard::number(std::string_view name) const {
    const Figure* f = figure(name);
    return f == nullptr ? std::numeric_limits<double>::quiet_NaN() : f->value;
}

const FigureTable* Standard::table(std::string_view name) const {
    for (const FigureTable& t : tables) {
        if (t.name == name) return &t;
    }
    return nullptr;
}

StandardFile read_standard(const TomlFile& file, const units::Units& units) { return StandardReader(units).read(file.root); }

}  // namespace ferrule::tables
