// Every cell of the standards' tables against a copy of the published figures: table_*.toml. The cells are found as rules and facts
// find them, and the figures are turned into SI units here, not by the program's own table of units.
//
// A [[table]] block: standards (the program's), name (of its table), find (how rows are found), columns, rows, and where the figures
// are from: source, confirmed-in, status; `within`, where the source itself rounds. `find` is
//   size  the first column is a size of conductors; the row is the one that the next size up leads to
//   band  the first two columns are the ends of the band; both ends and the middle lead to it
//   word  the first column is a word; with `times`, the figures are so many times those of the table
//   next  the column is a list of sizes; each is the next size above the one before it
// A [[figure]] block: standards, name, value (with its unit) or word. `counted-in` names a test that counts these values already.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::figures;
using reference::inch;
using reference::published;
using ferrule::tables::FigureTable;
using ferrule::tables::Standard;
using ferrule::tables::Value;

constexpr double exact = 1e-9;  // nothing but the rounding of the units
constexpr std::string_view table_files[] = {"table_ampacity.toml", "table_correction.toml", "table_resistance.toml", "table_grounding.toml",
                                            "table_sizes.toml",    "table_tests.toml",      "table_battery.toml",    "table_figures.toml",
                                            "table_elsewhere.toml"};

// The size of a conductor in m2: "2/0 AWG" by the formula of ASTM B258, "250 kcmil", a number of mm2.
double area(const Value& v) {
    if (v.kind == Value::Kind::number) return v.number * 1e-6;
    const double number = std::stod(v.text);
    constexpr double quarter_pi = 0.78539816339744831;
    if (v.text.ends_with(" kcmil")) return quarter_pi * number * 1000 * 1e-6 * inch * inch;
    EXPECT_TRUE(v.text.ends_with(" AWG")) << v.text;
    const double gauge = v.text.find("/0") != std::string::npos ? 1 - number : number;
    const double diameter = 0.005 * std::pow(92, (36 - gauge) / 39) * inch;
    return quarter_pi * diameter * diameter;
}

struct Head {
    std::string name;
    bool words = false, areas = false;
    double factor = 1, offset = 0;
};

// "from degC" -> from, + 273.15
Head head(std::string_view text) {
    static const std::map<std::string_view, double> factors = {
        {"A", 1},    {"V", 1},     {"%", 0.01},      {"mm2", 1e-6},    {"mm", 1e-3},      {"m", 1},          {"K", 1},     {"inch", 0.0254},
        {"kW", 1e3}, {"mA", 1e-3}, {"s", 1},         {"Mohm", 1e6},    {"kohm", 1e3},     {"ohm/km", 1e-3},  {"%/K", 0.01}, {"cycles", 1},
        {"W", 1},    {"kA", 1e3},  {"cmil", 5.067074790974977e-10},  {"ohm/kft", 1 / 304.8}, {"ft", 0.3048}, {"mV", 1e-3}};
    Head h;
    const std::size_t blank = text.find(' ');
    h.name = text.substr(0, blank);
    if (blank == std::string_view::npos) return h;
    const std::string_view unit = text.substr(blank + 1);
    if (unit == "word") h.words = true;
    else if (unit == "area") h.areas = true;
    else if (unit == "degC") h.offset = 273.15;
    else if (const auto f = factors.find(unit); f != factors.end()) h.factor = f->second;
    else ADD_FAILURE() << "unit " << unit;
    return h;
}

std::string label(const Value& v) { return v.kind == Value::Kind::number ? fmt::format("{}", v.number) : v.text; }

bool empty(const Value& v) { return v.kind == Value::Kind::text && v.text.empty(); }

double si(const Head& h, const Value& v) { return h.areas ? area(v) : v.number * h.factor + h.offset; }

// Which cells of the program's tables some published figure holds: "standard table column row".
std::set<std::string> held;

class Block {
public:
    Block(const Standard& standard, const Value& block, bool counts) : standard_(standard), block_(block), counts_(counts) {
        name_ = block.string("name");
        table_ = standard.table(name_);
        if (const Value* within = block.find("within")) within_ = within->number;
        for (const Value& c : block.find("columns")->items) heads_.push_back(head(c.text));
    }

    void hold() {
        const std::string find(block_.string("find"));
        if (table_ == nullptr) {
            ADD_FAILURE() << standard_.id << " has no table " << name_;
            return;
        }
        if (find == "next") return sizes();
        for (const Value& row : block_.find("rows")->items) {
            if (find == "size") by_size(row);
            else if (find == "band") by_band(row);
            else if (find == "word") by_word(row);
            else ADD_FAILURE() << "find = " << find;
        }
    }

private:
    void count(const std::string& what, double computed, double expected, std::size_t row, const std::string& column) {
        held.insert(fmt::format("{} {} {} {}", standard_.id, name_, column, row));
        const std::string name = fmt::format("{} {}, {}", standard_.id, name_, what);
        if (counts_) published(name, computed, expected, within_);
        else EXPECT_NEAR(computed, expected, within_ * std::abs(expected)) << name;
    }

    [[nodiscard]] double cell(std::size_t row, const std::string& column) const {
        const int at = table_->column(column);
        if (at < 0) ADD_FAILURE() << name_ << " has no column " << column;
        return at < 0 ? std::nan("") : table_->rows[row][static_cast<std::size_t>(at)].number;
    }

    // The row whose value of the column is this one.
    [[nodiscard]] std::size_t row_of(const std::string& column, double value) const {
        for (std::size_t r = 0; r < table_->rows.size(); ++r) {
            if (std::abs(cell(r, column) - value) <= exact * std::abs(value)) return r;
        }
        ADD_FAILURE() << name_ << ": no row whose " << column << " is " << value;
        return 0;
    }

    void by_size(const Value& row) {
        const double size = area(row.items[0]);
        const std::optional<double> next = table_->next_size(heads_[0].name, size * (1 - exact));
        ASSERT_TRUE(next && std::abs(*next - size) <= exact * size) << name_ << ": the next size up from " << label(row.items[0]) << " is another";
        const std::size_t r = row_of(heads_[0].name, *next);
        for (std::size_t i = 1; i < heads_.size(); ++i) {
            const std::string what = fmt::format("{} of {}", heads_[i].name, label(row.items[0]));
            if (empty(row.items[i])) continue;
            count(what, cell(r, heads_[i].name), si(heads_[i], row.items[i]), r, heads_[i].name);
        }
    }

    // Both ends and the middle; the middle is the one that counts.
    void by_band(const Value& row) {
        const double from = si(heads_[0], row.items[0]), to = si(heads_[1], row.items[1]), middle = (from + to) / 2;
        for (std::size_t i = 2; i < heads_.size(); ++i) {
            if (empty(row.items[i])) continue;
            const double expected = si(heads_[i], row.items[i]);
            const std::string what = fmt::format("{} at {} to {}", heads_[i].name, label(row.items[0]), label(row.items[1]));
            for (const double end : {from, to}) {
                EXPECT_NEAR(table_->band(end, heads_[i].name).value_or(std::nan("")), expected, exact * std::abs(expected)) << name_ << ' ' << what;
            }
            std::size_t r = 0;
            while (r + 1 < table_->rows.size() && cell(r, "to") < middle) ++r;
            count(what, table_->band(middle, heads_[i].name).value_or(std::nan("")), expected, r, heads_[i].name);
        }
    }

    void by_word(const Value& row) {
        const std::string& key = row.items[0].text;
        std::size_t r = 0;
        const int keys = table_->column(heads_[0].name);
        ASSERT_GE(keys, 0) << name_;
        while (r < table_->rows.size() && table_->rows[r][static_cast<std::size_t>(keys)].word != key) ++r;
        for (std::size_t i = 1; i < heads_.size(); ++i) {
            if (empty(row.items[i])) continue;
            const FigureTable::Cell* found = table_->at(heads_[0].name, key, heads_[i].name);
            const std::string what = fmt::format("{} of {}", heads_[i].name, key);
            ASSERT_NE(found, nullptr) << name_ << ": " << what;
            if (heads_[i].words) {
                held.insert(fmt::format("{} {} {} {}", standard_.id, name_, heads_[i].name, r));
                if (counts_) published(fmt::format("{} {}, {}", standard_.id, name_, what), found->word == row.items[i].text, true);
                else EXPECT_EQ(found->word, row.items[i].text) << what;
            } else {
                const Value* times = block_.find("times");
                count(what, times == nullptr ? found->number : found->number * times->number, si(heads_[i], row.items[i]), r, heads_[i].name);
            }
        }
    }

    void sizes() {
        double before = 0;
        const std::string& column = heads_[0].name;
        for (const Value& row : block_.find("rows")->items) {
            const double size = si(heads_[0], row.items[0]);
            const double from = before == 0 ? size / 2 : before * (1 + 1e-6);
            count(fmt::format("next size up from {:.4g}", from), table_->next_size(column, from).value_or(std::nan("")), size, row_of(column, size), column);
            EXPECT_EQ(table_->next_size(column, size), size);
            before = size;
        }
        EXPECT_EQ(table_->next_size(column, before * (1 + 1e-6)), std::nullopt) << name_ << " has a larger size";
    }

    const Standard& standard_;
    const Value& block_;
    bool counts_;
    double within_ = exact;
    std::string name_;
    const FigureTable* table_ = nullptr;
    std::vector<Head> heads_;
};

void hold_figure(const Standard& standard, const Value& block, bool counts) {
    const std::string name(block.string("name"));
    const ferrule::tables::Figure* figure = standard.figure(name);
    ASSERT_NE(figure, nullptr) << standard.id << " has no figure " << name;
    held.insert(standard.id + " " + name);
    const std::string title = fmt::format("{} {}", standard.id, name);
    if (block.find("word") != nullptr) {
        if (counts) published(title, figure->word == block.string("word"), true);
        else EXPECT_EQ(figure->word, block.string("word")) << title;
        return;
    }
    const Value& value = *block.find("value");
    double expected = value.number;
    if (value.kind == Value::Kind::text) {
        const bool size = value.text.ends_with("AWG") || value.text.ends_with("kcmil");
        const std::string unit = "value " + value.text.substr(value.text.find(' ') + 1);
        const Head h = size ? Head{} : head(unit);
        expected = size ? area(value) : std::stod(value.text) * h.factor + h.offset;
    }
    if (counts) published(title, figure->value, expected, exact);
    else EXPECT_NEAR(figure->value, expected, exact * std::abs(expected)) << title;
}

// What no published figure holds, and why; everything else must be in table_*.toml, so that no cell can change unseen.
const std::map<std::string_view, std::string_view> unheld = {
    {"outdoor-ingress", "a reading of common demands"},
    {"enclosure-types", "words, from memory"},
    {"pole-colour", "no table of its standard: words of two clauses put together"},
    {"ingress-solids", "the digits: test_ingress.cpp"},
    {"ingress-water", "the digits: test_ingress.cpp"},
    {"insulation-classes", "names of columns of other tables"},
    {"outdoor-types", "what types of cable are made for, in words of this program"},
};

void no_cell_is_unheld() {
    std::size_t cells = 0;
    for (const std::string_view id : {"nec-2023", "iec-62548"}) {
        const Standard& standard = reference::standard(id);
        for (const FigureTable& t : standard.tables) {
            if (unheld.contains(t.name) || t.source.status == "common practice, no source") continue;
            std::set<std::string> missing;
            for (std::size_t c = 0; c < t.columns.size(); ++c) {
                const std::string& column = t.columns[c].name;
                if (c == 0 || column == "to") continue;  // keys: how the other cells were found
                for (std::size_t r = 0; r < t.rows.size(); ++r) {
                    const FigureTable::Cell& cell = t.rows[r][c];
                    if (t.columns[c].words ? cell.word.empty() : std::isnan(cell.number)) continue;
                    ++cells;
                    if (!held.contains(fmt::format("{} {} {} {}", id, t.name, column, r))) missing.insert(fmt::format("{} of row {}", column, r + 1));
                }
            }
            EXPECT_TRUE(missing.empty()) << id << ' ' << t.name << ": " << missing.size() << " cells, the first: " << *missing.begin();
        }
    }
    EXPECT_GT(cells, 700U);
}

TEST(Tables, EveryPublishedCell) {
    for (const std::string_view path : table_files) {
        const Value file = figures(path);
        for (const std::string_view kind : {"table", "figure"}) {
            const Value* blocks = file.find(kind);
            if (blocks == nullptr) continue;
            for (const Value& block : blocks->items) {
                bool counts = block.string("counted-in").empty();  // and what two standards share counts once
                ASSERT_FALSE(block.string("source").empty()) << path;
                ASSERT_FALSE(block.string("status").empty()) << path;
                for (const Value& id : block.find("standards")->items) {
                    const Standard& standard = reference::standard(id.text);
                    if (kind == "table") Block(standard, block, counts).hold();
                    else hold_figure(standard, block, counts);
                    counts = false;
                }
            }
        }
    }
    no_cell_is_unheld();
}

}  // namespace
