#include "facts/carrying.hpp"

#include <algorithm>
#include <cmath>

namespace ferrule::facts {

namespace {

using graph::Conductor;
using graph::ConductorId;
using graph::TerminalId;
using graph::ThingClass;
using graph::ThingId;

constexpr double same_length = 1e-9;

double figure(const tables::Standard& s, std::string_view name, double otherwise) {
    const double value = s.number(name);
    return std::isnan(value) ? otherwise : value;
}

std::vector<double> column(const tables::Standard& s, std::string_view table, std::string_view name) {
    std::vector<double> all;
    const tables::FigureTable* t = s.table(table);
    const int at = t == nullptr ? -1 : t->column(name);
    if (at < 0) return all;
    for (const auto& row : t->rows) all.push_back(row[static_cast<std::size_t>(at)].number);
    std::sort(all.begin(), all.end());
    return all;
}

Bounds least(const Bounds& a, const Bounds& b) { return {std::min(a.low, b.low), std::min(a.high, b.high)}; }

}  // namespace

double settled(const Bounds& b, double need) {
    if (b.exact()) return b.low;
    if (b.low >= need) return b.low;
    if (b.high < need) return b.high;
    return graph::unknown;
}

Carrying::Carrying(const Analysis& a, const std::vector<std::uint8_t>& loaded)
    : a_(a), tables_(a.standard), layings_(a, loaded), takes_(a.d), aluminium_(a.d.names.find("aluminium")), mm2_(a.d.units->find("mm2")) {
    if (const graph::Kinds::Default* d = a.d.kinds->find_default("run-ambient")) default_ambient_ = d->value;
    const tables::Standard& s = a.standard;
    roof_adder_ = figure(s, "roof-adder", 0);
    roof_distance_ = figure(s, "roof-distance", 0);
    grouping_length_ = figure(s, "grouping-length", 0);
    next_size_limit_ = figure(s, "next-size-limit", 0);
    terminal_current_ = s.number("terminal-current");
    terminal_small_ = s.number("terminal-temperature-small");
    terminal_large_ = s.number("terminal-temperature-large");
    const std::vector<double> touching = column(s, "ampacity-touching", "size");
    touching_from_ = touching.empty() ? no_limit : touching.front();
    metric_ = column(s, "resistance-20", "size");
    gauge_ = column(s, "resistance-75", "size");
    gauge_limit_ = a.d.units->to_si(-3, a.d.units->find("AWG")) * (1 + 1e-6);  // 4/0
    devices_ = column(s, "fuse-sizes", "size");
    read_cables();
}

void Carrying::read_cables() {
    const graph::Design& d = a_.d;
    const tables::Figure* pv = a_.standard.figure("pv-cable-type");
    const tables::Figure* exempt = a_.standard.figure("roof-exempt");
    const double pv_temperature = a_.standard.number("pv-cable-temperature");
    cables_.resize(d.parts.size());
    for (const graph::PartId p : d.parts.ids()) {
        CableData& c = cables_[p.value];
        const std::string_view kind = a_.parts[p.value].kind;
        const auto rows = d.parts[p].rows;
        if (kind == "links") c.rated_current = d.number(rows, "rated", "current");
        if (kind != "cable") continue;
        c.cable = true;
        c.temperature = d.number(rows, "insulation", "temperature");
        const std::string_view type = d.text(rows, "type", "code");
        c.pv_cable = pv != nullptr && type == pv->word;
        c.roof_exempt = exempt != nullptr && type == exempt->word;
        if (c.pv_cable && std::isnan(c.temperature)) c.temperature = pv_temperature;
        c.cls = tables_.class_of(c.temperature);
        c.several_cores = d.number(rows, "cores", "count") > 1;
    }
}

const std::vector<double>& Carrying::sizes(const Conductor& c) const { return !c.area_unit || c.area_unit == mm2_ ? metric_ : gauge_; }

Method Carrying::method(const Laying* l, const CableData& cable, double area) const {
    using Kind = Laying::Kind;
    const bool conduit = l != nullptr && l->kind == Kind::conduit, buried = l != nullptr && l->kind == Kind::buried;
    if (tables_.by_raceway()) return conduit || buried || cable.several_cores ? Method::raceway : Method::free_air;
    if (buried) return Method::unlisted;
    if (conduit) return Method::b1;
    const bool free = l != nullptr && l->spaced && l->kind == Kind::open;
    if (cable.pv_cable) {
        if (free) return Method::pv_free_air;
        return l != nullptr && l->singles == 1 && l->loaded == 1 ? Method::pv_on_surface : Method::pv_side_by_side;
    }
    if (!free) return Method::c;
    if (cable.several_cores) return Method::e;
    // Method F begins at its smallest listed size; below that a single core has no column in free air, and clipped is the lower one.
    return area >= touching_from_ * (1 - same_length) ? Method::f : Method::c;
}

Passage Carrying::pass(const Conductor& c, ThingId run, double area) const {
    Passage p;
    p.run = run;
    const Laying* l = run ? &layings_[run] : nullptr;
    const CableData& own = cable(c);
    const bool jumper = c.role == graph::ConductorRole::jumper;
    p.method = method(l, own, area);
    p.open = !jumper && (l == nullptr || (l->kind == Laying::Kind::open && !l->spaced && !l->clipped));
    Ambient open_air;
    if (l != nullptr) {
        p.ambient = l->ambient;
        open_air = l->open_air;
    }
    if (!p.ambient.known()) {
        for (const TerminalId t : {c.a, c.b}) {
            const Ambient& end = layings_.round(t.value);
            if (end.known() && !(end.kelvin <= p.ambient.kelvin)) p.ambient = end;
            if (layings_.sunlit(end) && !(end.kelvin <= open_air.kelvin)) open_air = end;
        }
        p.from_ends = true;
    }
    p.roof = l != nullptr && l->above_roof < roof_distance_ * (1 - same_length) && !l->sun_no && !own.roof_exempt;
    // The roof heats the air outdoors; a warmer room on the way counts only where it is warmer than that.
    if (p.roof && open_air.known()) {
        if (open_air.kelvin + roof_adder_ >= p.ambient.kelvin) p.ambient = open_air;
        else p.roof = false;
    } else if (p.ambient.known()) {
        p.roof = false;  // all places on the way are indoors, or say that no sun gets there
    }
    p.kelvin = (p.ambient.known() ? p.ambient.kelvin : default_ambient_) + (p.roof ? roof_adder_ : 0);
    const std::uint32_t cores = c.named_cable ? layings_.cores(c.named_cable) : 0;
    p.loaded = std::max({1U, cores, l != nullptr ? l->loaded : 0U});
    p.circuits = std::max(1U, l != nullptr ? l->cables + (l->singles + 1) / 2 : 0U);
    p.apart = l != nullptr && (l->spaced || l->length <= grouping_length_ * (1 + same_length));
    if (!p.apart) p.grouping = tables_.grouping(tables_.by_raceway() ? p.loaded : p.circuits);
    if (p.method == Method::unlisted || tables_.classes() == 0) {
        p.table = p.ampacity = {};
        return p;
    }
    const bool al = aluminium(c);
    if (own.cls != AmpacityTables::no_class) {
        p.table = tables_.amps(p.method, own.cls, al, area);
        const double f = tables_.ambient_factor(p.method, own.cls, p.kelvin);
        p.ambient_factor = {f, f};
        p.ampacity = p.table * p.ambient_factor * p.grouping;
        return p;
    }
    // Insulation that is not stated carries between what the lowest and the highest class would; one below the lowest class, less.
    const bool cool = !std::isnan(own.temperature);
    p.table = p.ampacity = {no_limit, 0};
    p.ambient_factor = {no_limit, 0};
    for (std::uint8_t cls = 0; cls < (cool ? 1 : tables_.classes()); ++cls) {
        const Bounds amps = tables_.amps(p.method, cls, al, area);
        const double f = tables_.ambient_factor(p.method, cls, p.kelvin);
        const Bounds all = amps * f * p.grouping;
        p.table = {std::min(p.table.low, amps.low), std::max(p.table.high, amps.high)};
        p.ampacity = {std::min(p.ampacity.low, all.low), std::max(p.ampacity.high, all.high)};
        p.ambient_factor = {std::min(p.ambient_factor.low, f), std::max(p.ambient_factor.high, f)};
    }
    if (cool) p.table.low = p.ampacity.low = 0;
    return p;
}

void Carrying::limit_terminals(const Conductor& c, double area, double continuous, Judgement& j) const {
    bool any = false;
    for (const bool b : {false, true}) {
        const TerminalId t = b ? c.b : c.a;
        // A plug has its own rating, and a string ends in plugs.
        if (!t || (b ? c.end_part_b : c.end_part_a) || a_.d.things[a_.d.terminals[t]].cls == ThingClass::string) continue;
        double temperature = takes_.at(t).temperature;
        bool assumed = false;
        if (std::isnan(temperature) && !std::isnan(terminal_small_)) {
            temperature = continuous > terminal_current_ ? terminal_large_ : terminal_small_;
            assumed = true;
        }
        if (std::isnan(temperature) || (any && temperature >= j.terminal_temperature)) continue;
        any = true;
        j.terminal_temperature = temperature;
        j.terminal_assumed = assumed;
        j.at = t;
    }
    if (!any) return;
    const CableData& own = cable(c);
    const bool known = own.cls != AmpacityTables::no_class;
    std::uint8_t cls = tables_.class_of(j.terminal_temperature);
    if (cls == AmpacityTables::no_class) cls = 0;
    const bool al = aluminium(c);
    if (tables_.by_raceway()) {
        // Terminals are tested to the raceway table whatever the conductor lies in: 110.14(C)(1).
        const std::uint8_t high = known ? std::min(cls, own.cls) : cls;
        const Bounds upper = tables_.amps(Method::raceway, high, al, area);
        j.terminal = {known ? upper.low : tables_.amps(Method::raceway, 0, al, area).low, upper.high};
        return;
    }
    if (known && !(j.terminal_temperature < own.temperature)) {
        j.terminal_temperature = graph::unknown;
        j.at = {};
        return;
    }
    const Method m = pv_cable_method(j.worst.method) ? Method::c : j.worst.method;
    if (m == Method::unlisted) j.terminal = {};
    else j.terminal = tables_.amps(m, cls, al, area);
}

Judgement Carrying::judge(ConductorId id, double area, double continuous) const {
    const Conductor& c = a_.d.conductors[id];
    const CableData& own = cable(c);
    Judgement j;
    if (std::isnan(area)) {
        j.without = Without::section;
        j.terminal = {};
        return j;
    }
    if (c.vias == 0) {
        j.worst = pass(c, c.run, area);
        j.table = j.worst.table;
        j.ampacity = j.worst.ampacity;
    }
    for (std::uint32_t v = c.first_via; v < c.first_via + c.vias; ++v) {
        const Passage p = pass(c, a_.d.vias[v], area);
        const bool first = v == c.first_via;
        if (first || p.ampacity.low < j.worst.ampacity.low || (p.ampacity.low == j.worst.ampacity.low && p.ampacity.high < j.worst.ampacity.high)) {
            j.worst = p;
        }
        j.table = first ? p.table : least(j.table, p.table);
        j.ampacity = first ? p.ampacity : least(j.ampacity, p.ampacity);
    }
    limit_terminals(c, area, continuous, j);
    if (j.table.exact() && j.ampacity.exact()) return j;
    const Method m = j.worst.method;
    const std::uint8_t cls = own.cls == AmpacityTables::no_class ? 0 : own.cls;
    if (m == Method::unlisted) j.without = Without::buried;
    else if (own.cls == AmpacityTables::no_class) j.without = std::isnan(own.temperature) ? Without::insulation : Without::cool_insulation;
    else if (tables_.amps(m, cls, aluminium(c), area).high == no_limit && tables_.listed(m, cls, aluminium(c), area) == nullptr) j.without = Without::metal;
    else if (!j.table.exact()) j.without = Without::size;
    else j.without = Without::grouping;
    return j;
}

double Carrying::device_most(bool al, double area, double amps, double parallel) const {
    if (!tables_.by_raceway()) return amps;
    if (std::isnan(amps)) return amps;
    // Up to a limit the next standard size above the ampacity of the whole set, beyond it that ampacity itself (240.4(B), 240.4(C)).
    const double set = amps * parallel;
    const auto above = std::lower_bound(devices_.begin(), devices_.end(), set * (1 - 1e-9));
    const double most = above != devices_.end() && *above <= next_size_limit_ ? *above : set;
    return std::min(most / parallel, tables_.small_conductor(al, area));
}

}  // namespace ferrule::facts
