#include "service/hints.hpp"

#include <cmath>
#include <map>
#include <unordered_map>
#include <unordered_set>
#include <utility>

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

// Figures of rows of one table, each behind a place in the text; a place that several rows have shows the largest of each.
class Labels {
public:
    Labels(const facts::Table& table, const Kind& kind) : table_(table), kind_(kind) {
        for (const Figure& f : kind.figures) columns_.push_back(table.column(f.column));
    }

    void add(std::uint32_t at, std::uint32_t row) {
        Line& line = lines_[at];
        if (line.count++ == 0) line.row = row;
        line.most.resize(columns_.size(), std::nan(""));
        for (std::size_t i = 0; i < columns_.size(); ++i) {
            if (columns_[i] != nullptr && row < columns_[i]->numbers.size()) line.most[i] = std::fmax(line.most[i], columns_[i]->numbers[row]);
        }
    }

    void write(const units::Units& units, std::vector<Hint>& out) const {
        for (const auto& [at, line] : lines_) {
            Hint h;
            h.at = at;
            h.table = &table_;
            h.row = line.row;
            for (std::size_t i = 0; i < columns_.size(); ++i) {
                if (std::isnan(line.most[i]) || line.most[i] == 0 || columns_[i] == nullptr) continue;
                h.label += (h.label.empty() ? "" : " ") + units.show(line.most[i], columns_[i]->shown_in);
                h.tooltip += fmt::format("{}{}: {}", h.tooltip.empty() ? "" : "; ", kind_.figures[i].column, kind_.figures[i].what);
            }
            if (h.label.empty()) continue;
            if (line.count > 1) h.tooltip += fmt::format("; the largest of {}", line.count);
            out.push_back(std::move(h));
        }
    }

private:
    struct Line {
        std::vector<double> most;
        std::uint32_t count = 0, row = 0;
    };
    const facts::Table& table_;
    const Kind& kind_;
    std::vector<const facts::Column*> columns_;
    std::map<std::uint32_t, Line> lines_;  // by the end of the place
};

const Kind& terminals() {
    static const Kind one = {"point", {{"voltage-open", "against the - of its circuit, with nothing drawn"}, {"short-circuit-current", "into a short to the other pole here"}}};
    return one;
}

// Where conductors end on devices; what stands at the ends of a string is said at the string.
void add_terminals(const View& view, std::uint32_t begin, std::uint32_t end, std::vector<Hint>& out) {
    const graph::Design& d = view.design->graph();
    const facts::Table* points = view.design->study->facts.table(terminals().table);
    if (points == nullptr || points->rows == 0 || !points->name || !points->thing) return;
    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> ends;  // by terminal
    std::unordered_set<std::uint32_t> devices;
    for (const graph::ConductorId id : d.conductors.ids()) {
        const graph::Conductor& c = d.conductors[id];
        if (c.span.file != view.file || c.span.end < begin || c.span.begin > end) continue;
        for (const auto& [terminal, span] : {std::pair{c.a, c.span_a}, std::pair{c.b, c.span_b}}) {
            const graph::ThingId thing = d.terminals[terminal];
            if (d.things[thing].cls != graph::ThingClass::device || span.file != view.file || span.end < begin || span.end > end) continue;
            ends[terminal.value].push_back(span.end);
            devices.insert(thing.value);
        }
    }
    std::unordered_map<std::string, std::uint32_t> row_of;
    for (std::uint32_t row = 0; row < points->rows && !devices.empty(); ++row) {
        if (devices.contains(points->thing(row))) row_of.emplace(points->name(row), row);
    }
    const facts::Column* const volts = points->column(terminals().figures.front().column);
    Labels labels(*points, terminals());
    for (const auto& [terminal, places] : ends) {
        const auto at = row_of.find(d.name(graph::TerminalId(terminal)));
        // The short is told at one of its two poles: not where the volts are counted from.
        if (at == row_of.end() || (volts != nullptr && at->second < volts->numbers.size() && volts->numbers[at->second] == 0)) continue;
        for (const std::uint32_t place : places) labels.add(place, at->second);
    }
    labels.write(view.knowledge->units, out);
}

}  // namespace

std::vector<Hint> hints(const View& view, std::uint32_t begin, std::uint32_t end) {
    const facts::Facts& facts = view.design->study->facts;
    std::vector<Hint> all;
    for (const Kind& kind : kinds()) {
        const facts::Table* table = facts.table(kind.table);
        if (table == nullptr || !table->place) continue;
        Labels labels(*table, kind);
        for (std::uint32_t row = 0; row < table->rows; ++row) {
            const text::Span at = table->place(row);
            if (at.file == view.file && at.end >= begin && at.end <= end) labels.add(at.end, row);
        }
        labels.write(view.knowledge->units, all);
    }
    add_terminals(view, begin, end, all);
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
