#include "service/hints.hpp"

#include <cmath>
#include <map>

#include <fmt/format.h>

#include "project/values.hpp"

namespace ferrule::service {

namespace {

struct Figure {
    std::string_view column;
    std::string_view what;
};

struct Kind {
    std::string_view table;
    std::vector<Figure> figures;
};

// What is shown of which table: the columns by name, since the tables are data.
const std::vector<Kind>& kinds() {
    static const std::vector<Kind> all = {
        {"string", {{"voc-coldest", "open circuit on the coldest morning"}, {"isc-max", "short circuit, with the irradiance factor"}}},
        {"conductor", {{"current", "the largest current it carries"}, {"drop", "voltage along it at the operating point"}}},
        {"battery", {{"voltage-most", "highest charging voltage"}, {"short-circuit-current", "into a dead short"}}},
    };
    return all;
}

}  // namespace

std::vector<Hint> hints(const View& view, std::uint32_t begin, std::uint32_t end) {
    const facts::Facts& facts = view.design->study->facts;
    const units::Units& units = view.knowledge->units;
    struct Line {
        std::vector<double> most;
        std::uint32_t count = 0, row = 0;
    };
    std::vector<Hint> all;
    for (const Kind& kind : kinds()) {
        const facts::Table* table = facts.table(kind.table);
        if (table == nullptr || !table->place) continue;
        std::vector<const facts::Column*> columns;
        for (const Figure& f : kind.figures) columns.push_back(table->column(f.column));
        std::map<std::uint32_t, Line> lines;  // by the end of the place
        for (std::uint32_t row = 0; row < table->rows; ++row) {
            const text::Span at = table->place(row);
            if (at.file != view.file || at.end < begin || at.end > end) continue;
            Line& line = lines[at.end];
            if (line.count++ == 0) line.row = row;
            line.most.resize(columns.size(), std::nan(""));
            for (std::size_t i = 0; i < columns.size(); ++i) {
                if (columns[i] != nullptr && row < columns[i]->numbers.size()) line.most[i] = std::fmax(line.most[i], columns[i]->numbers[row]);
            }
        }
        for (const auto& [at, line] : lines) {
            Hint h;
            h.at = at;
            h.table = table;
            h.row = line.row;
            for (std::size_t i = 0; i < columns.size(); ++i) {
                if (std::isnan(line.most[i]) || line.most[i] == 0 || columns[i] == nullptr) continue;
                h.label += (h.label.empty() ? "" : " ") + units.show(line.most[i], columns[i]->shown_in);
                h.tooltip += fmt::format("{}{}: {}", h.tooltip.empty() ? "" : "; ", kind.figures[i].column, kind.figures[i].what);
            }
            if (h.label.empty()) continue;
            if (line.count > 1) h.tooltip += fmt::format("; the largest of {}", line.count);
            all.push_back(std::move(h));
        }
    }
    return all;
}

std::string hint_page(const View& view, const std::string& name, std::uint32_t row) {
    const facts::Facts& facts = view.design->study->facts;
    const facts::Table* table = facts.table(name);
    if (table == nullptr || row >= table->rows) return {};
    const render::ValueSubject s = project::values_of_row(facts, *view.knowledge, *view.design->study->standard, *table, row);
    std::string page = fmt::format("**{}**\n\n", s.name);
    for (const render::Value& v : s.values) {
        if (v.type != render::Value::Type::number || v.working.empty()) continue;
        page += fmt::format("- {}: `{}`", v.fact, v.shown);
        for (const std::string& step : v.working) page += fmt::format("  \n  {}", step);
        page += '\n';
    }
    return page;
}

}  // namespace ferrule::service
