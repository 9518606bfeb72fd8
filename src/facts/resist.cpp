#include "facts/resist.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace ferrule::facts {

namespace {

using graph::Design;
using tables::FigureTable;
using tables::Standard;

constexpr double same_listed_size = 1e-3;  // of the section: a size written in another unit
constexpr double zero_celsius = 273.15;

struct Source {
    std::string_view table, column;
};

// A column of the resistance tables, its cells without a figure left out; several tables may hold it.
template <class Rows>
Rows rows_of(const Standard& standard, std::initializer_list<Source> sources) {
    Rows rows;
    for (const Source& s : sources) {
        const FigureTable* t = standard.table(s.table);
        const int size = t == nullptr ? -1 : t->column("size"), value = t == nullptr ? -1 : t->column(s.column);
        if (size < 0 || value < 0) continue;
        for (const auto& row : t->rows) {
            const double ohm = row[static_cast<std::size_t>(value)].number;
            if (!std::isnan(ohm)) rows.push_back({row[static_cast<std::size_t>(size)].number, ohm});
        }
    }
    std::sort(rows.begin(), rows.end(), [](const auto& x, const auto& y) { return x.area < y.area; });
    return rows;
}

template <class Rows>
double find(const Rows& rows, double area) {
    const auto at = std::lower_bound(rows.begin(), rows.end(), area * (1 - same_listed_size), [](const auto& row, double a) { return row.area < a; });
    return at != rows.end() && at->area <= area * (1 + same_listed_size) ? at->value : graph::unknown;
}

double pole_ohm(const Design& d, const graph::Part& part) {
    const double contact = d.number(part.rows, "contact", "resistance");
    if (!std::isnan(contact)) return contact;
    const double loss = d.number(part.rows, "loss", "power");
    double current = d.number(part.rows, "current", "current");
    if (std::isnan(current)) current = d.number(part.rows, "rated", "current");
    const auto poles = std::count_if(part.poles.begin(), part.poles.end(), [](const graph::PoleTemplate& p) { return !p.aux; });
    return loss / (static_cast<double>(poles) * current * current);
}

}  // namespace

WireTables::WireTables(const Standard& s)
    : copper_75_(rows_of<Rows>(s, {{"resistance-75", "copper"}, {"resistance-75-fine", "copper"}})),
      copper_solid_75_(rows_of<Rows>(s, {{"resistance-75", "copper-solid"}})),
      aluminium_75_(rows_of<Rows>(s, {{"resistance-75-fine", "aluminium"}})),
      aluminium_solid_75_(rows_of<Rows>(s, {{"resistance-75", "aluminium"}})),
      copper_2_(rows_of<Rows>(s, {{"resistance-20", "copper-2"}})),
      copper_5_(rows_of<Rows>(s, {{"resistance-20", "copper-5"}})),
      copper_tinned_(rows_of<Rows>(s, {{"resistance-20", "copper-5-tinned"}})),
      aluminium_2_(rows_of<Rows>(s, {{"resistance-20", "aluminium-2"}})),
      copper_per_75_(s.number("copper-per-kelvin-75")),
      aluminium_per_75_(s.number("aluminium-per-kelvin-75")),
      copper_per_20_(s.number("copper-per-kelvin-20")),
      aluminium_per_20_(s.number("aluminium-per-kelvin-20")),
      copper_1mm2_(s.number("copper-resistivity")),
      aluminium_1mm2_(s.number("aluminium-resistivity")),
      own_temperature_(s.number("drop-temperature")),
      unstated_temperature_(s.number("drop-temperature-pvc")),
      most_temperature_(s.number("drop-temperature-most")),
      fault_temperature_(s.number("fault-temperature")) {
    // Above the sizes that are listed as solid, the one column is of stranded aluminium.
    const double largest = aluminium_75_.empty() ? 0 : aluminium_75_.back().area;
    for (const Row& r : aluminium_solid_75_) {
        if (r.area > largest * (1 + same_listed_size)) aluminium_75_.push_back(r);
    }
}

const WireTables::Rows& WireTables::metric(const Wire& w) const {
    if (w.aluminium) return aluminium_2_;
    switch (w.strands) {
        case Wire::Strands::solid:
        case Wire::Strands::stranded: return copper_2_;
        case Wire::Strands::fine_tinned: return copper_tinned_;
        default: return copper_5_;
    }
}

const WireTables::Rows& WireTables::gauges(const Wire& w) const {
    const bool solid = w.strands == Wire::Strands::solid;
    if (w.aluminium) return solid ? aluminium_solid_75_ : aluminium_75_;
    return solid ? copper_solid_75_ : copper_75_;
}

bool WireTables::gauge(double area) const { return !std::isnan(find(copper_75_, area)); }

double WireTables::temperature(const Wire& w) const {
    if (!std::isnan(own_temperature_)) return own_temperature_;
    return std::isnan(w.insulation) ? unstated_temperature_ : std::fmin(w.insulation, most_temperature_);
}

WireTables::Base WireTables::base(const Wire& w) const {
    Base b;
    b.ohm_per_metre = find(gauges(w), w.area);
    if (std::isnan(b.ohm_per_metre) && w.strands == Wire::Strands::solid) b.ohm_per_metre = find(w.aluminium ? aluminium_75_ : copper_75_, w.area);
    if (!std::isnan(b.ohm_per_metre)) {
        b.kelvin = zero_celsius + 75;
        b.per_kelvin = w.aluminium ? aluminium_per_75_ : copper_per_75_;
        b.source = "NFPA 70 Chapter 9 Table 8";
        return b;
    }
    b.kelvin = zero_celsius + 20;
    b.per_kelvin = w.aluminium ? aluminium_per_20_ : copper_per_20_;
    b.ohm_per_metre = find(metric(w), w.area);
    b.source = w.aluminium                                  ? "IEC 60228, class 2"
               : w.strands == Wire::Strands::fine_tinned ? "IEC 60228, class 5 tinned"
               : &metric(w) == &copper_2_                   ? "IEC 60228, class 2"
                                                            : "IEC 60228, class 5";
    if (std::isnan(b.ohm_per_metre)) {
        b.ohm_per_metre = (w.aluminium ? aluminium_1mm2_ : copper_1mm2_) * 1e-6 / w.area;
        b.source = "by the resistivity of its metal, as no table lists this size";
    }
    return b;
}

double WireTables::ohm_per_metre(const Wire& w, double kelvin) const {
    if (std::isnan(w.area)) return graph::unknown;
    const Base b = base(w);
    return b.ohm_per_metre * (1 + b.per_kelvin * (kelvin - b.kelvin));
}

std::string WireTables::working(const Wire& w, const units::Units& units) const {
    const Base b = base(w);
    auto show = [&](double si, std::string_view unit) { return units.show(si, units.find(unit)); };
    const double kelvin = temperature(w), result = ohm_per_metre(w, kelvin);
    const std::string found = fmt::format("{} at {} ({})", show(b.ohm_per_metre, "ohm/km"), show(b.kelvin, "degC"), b.source);
    if (kelvin == b.kelvin) return found;
    return fmt::format("{} x (1 + {} %/K x ({} - {})) = {}", found, units::show_number(b.per_kelvin * 100, 3), show(kelvin, "degC"), show(b.kelvin, "degC"),
                       show(result, "ohm/km"));
}

std::optional<double> WireTables::least_area(const Wire& w, double most) const {
    Wire other = w;
    for (const Row& r : gauge(w.area) ? gauges(w) : metric(w)) {
        other.area = r.area;
        if (ohm_per_metre(other) <= most) return r.area;
    }
    return {};
}

Resistances::Resistances(const Design& d, const std::vector<PartData>& parts, const Network& network, const Standard& standard)
    : conductor(d.conductors.size()), cold(d.conductors.size()), edge(network.edges.size(), 0), wires(standard), d_(&d), of_part_(d.parts.size()) {
    if (const tables::Figure* f = standard.figure("tinned-cable-type")) tinned_type_ = f->word;
    for (const graph::PartId p : d.parts.ids()) {
        if (parts[p.value].kind == "cable" || parts[p.value].kind == "links") of_part_[p.value] = cable_wire(p);
    }
    conductors();
    edges(parts, network);
    cold_edge = edge;
    for (std::uint32_t e = 0; e < network.edges.size(); ++e) {
        const std::uint32_t c = network.edges[e].conductor;
        if (c != none) cold_edge[e] += cold[c] - conductor[c];
    }
}

Wire Resistances::cable_wire(graph::PartId cable) const {
    const auto rows = d_->parts[cable].rows;
    Wire w;
    w.area = d_->number(rows, "section", "area");
    const std::string_view material = d_->text(rows, "section", "material");
    w.aluminium = material == "aluminium";
    w.metal_stated = !material.empty();
    w.insulation = d_->number(rows, "insulation", "temperature");
    const std::string_view strands = d_->text(rows, "strands", "class");
    const bool tinned = !tinned_type_.empty() && d_->text(rows, "type", "code") == tinned_type_;
    if (strands == "class-1" || strands == "solid") w.strands = Wire::Strands::solid;
    else if (strands == "class-2" || strands == "stranded") w.strands = Wire::Strands::stranded;
    else if (tinned) w.strands = Wire::Strands::fine_tinned;
    else if (!strands.empty()) w.strands = Wire::Strands::fine;
    return w;
}

Wire Resistances::wire(std::uint32_t id) const {
    const graph::Conductor& c = d_->conductors[graph::ConductorId(id)];
    Wire w = c.cable ? of_part_[c.cable.value] : Wire{};
    w.area = c.area;
    if (c.material) {
        w.aluminium = d_->word(c.material) == "aluminium";
        w.metal_stated = true;
    }
    return w;
}

void Resistances::conductors() {
    struct Known { double area = graph::unknown; graph::Symbol material; double ohm = graph::unknown, cold = graph::unknown; };
    std::vector<Known> known(d_->parts.size() + 1);  // the last figure of each cable; of conductors without one, the last
    for (const graph::ConductorId id : d_->conductors.ids()) {
        const graph::Conductor& c = d_->conductors[id];
        Known& k = known[c.cable ? c.cable.value : d_->parts.size()];
        if (!(k.area == c.area) || k.material != c.material) {
            const Wire w = wire(id.value);
            k = {c.area, c.material, wires.ohm_per_metre(w), wires.ohm_per_metre(w, wires.fault_temperature())};
        }
        lay(id, k.ohm, k.cold);
    }
}

void Resistances::lay(graph::ConductorId id, double ohm_per_metre, double cold_per_metre) {
    const graph::Conductor& c = d_->conductors[id];
    conductor[id.value] = ohm_per_metre * c.length;
    cold[id.value] = cold_per_metre * c.length;
    // A link beside its terminals.
    if (std::isnan(conductor[id.value]) && c.role == graph::ConductorRole::jumper) conductor[id.value] = cold[id.value] = 0;
}

void Resistances::set_length(std::uint32_t id, std::uint32_t on) {
    const Wire w = wire(id);
    const graph::Conductor& c = d_->conductors[graph::ConductorId(id)];
    lay(graph::ConductorId(id), wires.ohm_per_metre(w), wires.ohm_per_metre(w, wires.fault_temperature()));
    if (on == none) return;
    edge[on] = conductor[id];
    for (const graph::PartId p : {c.end_part_a, c.end_part_b}) {
        const double contact = p ? d_->number(d_->parts[p].rows, "contact", "resistance") : 0;
        edge[on] += contact >= 0 && std::isfinite(contact) ? contact : 0;
    }
    cold_edge[on] = edge[on] + (cold[id] - conductor[id]);
}

void Resistances::edges(const std::vector<PartData>& parts, const Network& n) {
    std::vector<double> pole(d_->parts.size(), -1), inside(d_->parts.size(), -1), plug(d_->parts.size(), -1);
    auto stated = [&](std::vector<double>& of, graph::PartId p, auto compute) {
        double& x = of[p.value];
        if (x >= 0) return x;
        x = compute();
        if (!(x >= 0 && std::isfinite(x))) {
            x = 0;
            contacts_silent = true;
        }
        return x;
    };
    for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
        const Edge& x = n.edges[e];
        if (x.conductor != none) {
            const graph::Conductor& c = d_->conductors[graph::ConductorId(x.conductor)];
            edge[e] = conductor[x.conductor];
            for (const graph::PartId p : {c.end_part_a, c.end_part_b}) {
                if (p) edge[e] += stated(plug, p, [&] { return d_->number(d_->parts[p].rows, "contact", "resistance"); });
            }
            continue;
        }
        const graph::Thing& t = d_->things[graph::ThingId(x.thing)];
        const graph::Part& part = d_->parts[t.part];
        if (x.kind == Edge::Kind::contact) {
            edge[e] = stated(pole, t.part, [&] { return pole_ohm(*d_, part); });
        } else if (x.kind == Edge::Kind::guard) {
            for (std::uint32_t i = t.first_fitted; i < t.first_fitted + t.fitted; ++i) {
                const graph::PartId link = d_->fitted[i];
                if (parts[link.value].kind != "fuse") continue;
                edge[e] = stated(pole, link, [&] {
                    const double current = d_->number(d_->parts[link].rows, "rated", "current");
                    return d_->number(d_->parts[link].rows, "loss", "power") / (current * current);
                });
                break;
            }
        } else if (parts[t.part.value].kind == "shunt") {
            edge[e] = stated(inside, t.part, [&] { return d_->number(part.rows, "drop", "voltage") / d_->number(part.rows, "measures", "current"); });
        }
    }
}

Lack Resistances::lack(std::uint32_t id) const {
    const graph::Conductor& c = d_->conductors[graph::ConductorId(id)];
    const char* what = std::isnan(c.area) ? "section" : "length";
    return {fmt::format("the {} of {}", what, d_->name(graph::ConductorId(id))), c.span};
}

std::vector<std::string> Resistances::working(std::uint32_t id) const {
    const graph::Conductor& c = d_->conductors[graph::ConductorId(id)];
    if (std::isnan(conductor[id]) || std::isnan(c.length)) return {};
    const Wire w = wire(id);
    auto show = [&](double si, std::string_view unit) { return d_->units->show(si, d_->units->find(unit)); };
    return {wires.working(w, *d_->units), fmt::format("{} x {} = {}", show(wires.ohm_per_metre(w), "ohm/km"), show(c.length, "m"), show(conductor[id], "mohm"))};
}

std::vector<std::string> Resistances::assumed(std::uint32_t id) const {
    const Wire w = wire(id);
    if (std::isnan(w.area)) return {};
    std::vector<std::string> out;
    auto show = [&](double si, std::string_view unit) { return d_->units->show(si, d_->units->find(unit)); };
    if (!w.metal_stated) out.emplace_back("copper, as no metal is stated");
    if (w.strands == Wire::Strands::unstated && !w.aluminium && !wires.gauge(w.area)) out.emplace_back("strands of class 5, as none are stated");
    if (std::isnan(w.insulation) && wires.temperature(w) != zero_celsius + 75) {
        out.push_back(fmt::format("conductor at {}, as no insulation is stated", show(wires.temperature(w), "degC")));
    }
    return out;
}

}  // namespace ferrule::facts
