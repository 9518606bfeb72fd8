#include "resolve/runs.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

#include <fmt/format.h>

#include "resolve/lookup.hpp"
#include "resolve/refs.hpp"

namespace ferrule::resolve {

using graph::Conductor;
using graph::EntryUse;
using graph::Row;

namespace {

struct Passing {
    ConductorId conductor;
    ThingId cable;  // of several cores
    double diameter = graph::unknown;
};

struct Opening {
    std::uint32_t entry = 0;
    double least = 0;  // diameters its gland seals on
    double most = std::numeric_limits<double>::infinity();
    std::uint32_t free = 0;  // cables it still takes
};

struct Runs {
    Build& b;
    Cables& cables;
    std::unordered_map<ThingId, std::vector<ConductorId>> passing;  // runs that enter boxes

    [[nodiscard]] bool inside(TerminalId t, ThingId box) const {
        ThingId at = b.design.terminals[t];
        for (int steps = 0; at && steps < 64; ++steps) {
            if (at == box) return true;
            at = b.design.things[at].where;
        }
        return false;
    }

    [[nodiscard]] bool passes_already(const Conductor& c, ThingId box) const {
        for (std::uint32_t i = 0; i < c.entries; ++i) {
            if (b.design.entries[b.design.entry_uses[c.first_entry + i].entry].enclosure == box)
                return true;
        }
        return false;
    }

    // The run's cables that the statement is about, each once.
    std::vector<Passing> cables_of(ThingId run, ThingId box) {
        std::vector<ConductorId> chosen, all;
        for (const ConductorId id : passing[run]) {
            const Conductor& c = b.design.conductors[id];
            if (passes_already(c, box)) continue;
            all.push_back(id);
            if (inside(c.a, box) != inside(c.b, box)) chosen.push_back(id);
        }
        if (chosen.empty()) chosen = all;
        std::vector<Passing> list;
        std::unordered_map<ThingId, bool> seen;
        for (const ConductorId id : chosen) {
            const Conductor& c = b.design.conductors[id];
            if (c.named_cable && !seen.emplace(c.named_cable, true).second) continue;
            list.push_back(
                {id, c.named_cable, c.cable ? cables[c.cable].diameter : graph::unknown});
        }
        return list;
    }

    [[nodiscard]] Opening opening(std::uint32_t entry) const {
        Opening o;
        o.entry = entry;
        const PartId fitting = b.design.entries[entry].fitting;
        if (!fitting) {
            o.free = std::numeric_limits<std::uint32_t>::max();
            return o;
        }
        const auto rows = b.design.parts[fitting].rows;
        const RowId clamps = b.design.row(rows, b.words.clamps);
        if (clamps && !b.design.rows[clamps].fields.empty()) {
            const graph::Field& f = b.design.fields[b.design.rows[clamps].fields[0]];
            o.least = f.low;
            o.most = f.high;
        }
        const double holes = b.design.number(rows, "holes", "count");
        o.free = holes >= 1 ? static_cast<std::uint32_t>(std::min(holes, 1000.0)) : 1;
        return o;
    }

    // Thinnest first; each into the tightest opening that still fits. What fits nowhere is spread
    // over what is left, and the rules will say so.
    void match(std::vector<Passing> list, std::vector<Opening> openings, Span span) {
        std::stable_sort(list.begin(), list.end(), [](const Passing& x, const Passing& y) {
            if (std::isnan(x.diameter) || std::isnan(y.diameter))
                return !std::isnan(x.diameter) && std::isnan(y.diameter);
            return x.diameter < y.diameter;
        });
        std::vector<const Passing*> left;
        for (const Passing& p : list) {
            Opening* best = nullptr;
            for (Opening& o : openings) {
                if (o.free == 0 || std::isnan(p.diameter) || p.diameter < o.least ||
                    p.diameter > o.most)
                    continue;
                if (best == nullptr || o.most < best->most) best = &o;
            }
            if (best == nullptr) {
                left.push_back(&p);
                continue;
            }
            if (best->free != std::numeric_limits<std::uint32_t>::max()) --best->free;
            use(*best, p, span);
        }
        std::size_t next = 0;
        for (const Passing* p : left) {
            for (std::size_t tried = 0; tried < openings.size() && openings[next].free == 0;
                 ++tried)
                next = (next + 1) % openings.size();
            Opening& o = openings[next];
            if (o.free != 0 && o.free != std::numeric_limits<std::uint32_t>::max()) --o.free;
            use(o, *p, span);
            next = (next + 1) % openings.size();
        }
    }

    void use(const Opening& o, const Passing& p, Span span) {
        b.design.entry_uses.push_back({o.entry, p.conductor, p.cable, span});
    }

    void enter(ThingId run, const Row& row) {
        ThingId box;
        std::vector<Opening> openings;
        bool good = true;
        for (const FieldId fid : row.fields) {
            const graph::Field f = b.design.fields[fid];
            const Span at{row.span.file, f.begin, f.end};
            if (f.type == graph::Accepts::thing) {
                box = ThingId(f.target);
                if (b.design.things[box].cls == ThingClass::enclosure) continue;
                b.report.error(
                    "design.wrong-kind", at,
                    fmt::format("{} is no enclosure: it has no entries", b.design.name(box)),
                    b.design.things[box].span, "declared here");
                return;
            }
            const std::uint32_t low = std::isnan(f.low) ? 0 : static_cast<std::uint32_t>(f.low);
            const std::uint32_t high = std::isnan(f.high) ? 0 : static_cast<std::uint32_t>(f.high);
            for (std::uint32_t i = low; i <= high && good; ++i) {
                const auto entry = entry_of(b, box, f.text, i);
                if (!entry) {
                    unknown_entry(b, box, at,
                                  i == 0 ? std::string(b.text(f.text))
                                         : fmt::format("{}[{}]", b.text(f.text), i));
                    good = false;
                } else {
                    openings.push_back(opening(*entry));
                }
            }
        }
        if (!good || openings.empty()) return;
        const std::vector<Passing> list = cables_of(run, box);
        if (openings.size() == 1) {
            for (const Passing& p : list) use(openings[0], p, row.span);
        } else {
            match(list, std::move(openings), row.span);
        }
    }
};

}  // namespace

void pass_entries(Build& b, Cables& cables) {
    Runs runs{b, cables, {}};
    std::vector<std::pair<ThingId, RowId>> enters;
    for (const ThingId id : b.design.things.ids()) {
        if (b.design.things[id].cls != ThingClass::run) continue;
        for (const RowId r : b.design.things[id].rows) {
            if (b.design.rows[r].property != b.words.enters) continue;
            enters.emplace_back(id, r);
            runs.passing[id];
        }
    }
    if (enters.empty()) return;
    for (const ConductorId id : b.design.conductors.ids()) {
        const Conductor& c = b.design.conductors[id];
        for (std::uint32_t i = 0; i < c.vias; ++i) {
            const auto found = runs.passing.find(b.design.vias[c.first_via + i]);
            if (found != runs.passing.end()) found->second.push_back(id);
        }
    }
    for (const auto& [run, row] : enters) runs.enter(run, b.design.rows[row]);
}

}  // namespace ferrule::resolve
