#include "facts/takes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "facts/ampacity.hpp"

namespace ferrule::facts {

Takes::Takes(const graph::Design& design) : d_(design) {
    first_.resize(design.parts.size());
    for (const graph::PartId p : design.parts.ids()) {
        first_[p.value] = static_cast<std::uint32_t>(data_.size());
        const graph::Part& part = design.parts[p];
        TerminalData own = read(part.rows);
        const auto& properties = (*design.kinds)[part.kind].properties;
        own.states_takes = std::any_of(properties.begin(), properties.end(), [](const auto& x) { return x.name == "takes"; });
        data_.push_back(own);
        for (const graph::PortTemplate& port : part.ports) {
            TerminalData data = read(port.rows);
            if (data.count == 0) {
                data.first = own.first;
                data.count = own.count;
            }
            if (std::isnan(data.temperature)) data.temperature = own.temperature;
            data.states_takes = true;
            data_.push_back(data);
        }
    }
}

TerminalData Takes::read(base::Range<graph::RowId> rows) {
    TerminalData data;
    data.first = static_cast<std::uint32_t>(rows_.size());
    data.temperature = d_.number(rows, "terminal-temperature", "temperature");
    const graph::Symbol takes = d_.names.find("takes");
    for (const graph::RowId id : rows) {
        if (!takes || d_.rows[id].property != takes) continue;
        const graph::Field* size = d_.field(id, "size");
        if (size == nullptr) continue;
        TakesRow row;
        row.low = size->low;
        row.high = size->high;
        row.unit = size->unit;
        if (const graph::Field* n = d_.field(id, "conductors")) row.conductors = static_cast<std::uint32_t>(n->low);
        if (const graph::Field* fine = d_.field(id, "fine")) row.fine = fine->text;
        for (const graph::FieldId f : d_.rows[id].fields) {
            if (d_.word(d_.fields[f].name) != "material") continue;
            row.metals_stated = true;
            (d_.word(d_.fields[f].text) == "aluminium" ? row.aluminium : row.copper) = true;
        }
        rows_.push_back(row);
        ++data.count;
    }
    return data;
}

const TerminalData& Takes::at(graph::TerminalId terminal) const {
    const std::uint32_t own = first_[d_.things[d_.terminals[terminal]].part.value];
    const std::uint16_t port = d_.terminal(terminal).port;
    return data_[port == 0xffff ? own : own + 1 + port];
}

// The rows for so many conductors; all rows when none is for so many (that is another mistake).
template <typename Visit>
void Takes::each(const TerminalData& terminal, std::uint32_t together, Visit visit) const {
    bool any = false;
    for (const bool all : {false, true}) {
        for (std::uint32_t i = terminal.first; i < terminal.first + terminal.count; ++i) {
            if (!all && rows_[i].conductors < together) continue;
            any = true;
            visit(rows_[i]);
        }
        if (any) return;
    }
}

Fit Takes::fit(const TerminalData& terminal, double area, bool aluminium, std::uint32_t together) const {
    if (terminal.count == 0) return terminal.states_takes ? Fit::not_stated : Fit::no_terminal;
    bool size = false, metal = false, doubtful = false, thin = true;
    each(terminal, together, [&](const TakesRow& row) {
        if (area * (1 + same_size) >= row.low) thin = false;
        if (area * (1 + same_size) < row.low || area > row.high * (1 + same_size)) return;
        size = true;
        if (!row.metals_stated) (aluminium ? doubtful : metal) = true;
        else if (aluminium ? row.aluminium : row.copper) metal = true;
    });
    if (!size) return thin ? Fit::too_thin : Fit::too_thick;
    return metal ? Fit::yes : doubtful ? Fit::metal_unknown : Fit::metal;
}

Takes::Range Takes::range(const TerminalData& terminal, std::uint32_t together) const {
    Range r{std::numeric_limits<double>::infinity(), 0, {}, {}};
    each(terminal, together, [&](const TakesRow& row) {
        if (row.low < r.low) {
            r.low = row.low;
            r.low_unit = row.unit;
        }
        if (row.high > r.high) {
            r.high = row.high;
            r.high_unit = row.unit;
        }
    });
    return r.high == 0 ? Range{} : r;
}

graph::Symbol Takes::fine_end(const TerminalData& terminal, double area, std::uint32_t together) const {
    graph::Symbol fine;
    bool all = true;
    each(terminal, together, [&](const TakesRow& row) {
        if (area * (1 + same_size) < row.low || area > row.high * (1 + same_size)) return;
        if (row.fine) fine = row.fine;
        else all = false;
    });
    return all ? fine : graph::Symbol();
}

}  // namespace ferrule::facts
