#include "facts/laying.hpp"

#include <cmath>
#include <unordered_set>

namespace ferrule::facts {

namespace {

using graph::ThingClass;
using graph::ThingId;

// The upper end of what a property states; NaN if it is not stated.
double upper(const graph::Design& d, base::Range<graph::RowId> rows, std::string_view property, std::string_view field) {
    const graph::Field* f = d.field(d.row(rows, property), field);
    return f == nullptr ? graph::unknown : f->high;
}

}  // namespace

Layings::Layings(const Analysis& a, const std::vector<std::uint8_t>& loaded) : a_(a) {
    surroundings_.resize(a.d.things.size());
    for (const ThingId id : a.d.things.ids()) {
        const graph::Thing& t = a.d.things[id];
        if (t.cls == ThingClass::place) surroundings_[id.value] = of_place(id);
    }
    for (const ThingId id : a.d.things.ids()) {
        const graph::Thing& t = a.d.things[id];
        if (t.cls != ThingClass::enclosure) continue;
        Ambient& own = surroundings_[id.value];
        // Boxes stand in boxes; the limit of nesting is small (base/limits.hpp), a ring is refused when names are resolved.
        for (ThingId at = id; at && !own.known(); at = a.d.things[at].where) {
            if (a.d.things[at].cls == ThingClass::place) {
                own = surroundings_[at.value];
                break;
            }
            const double inside = upper(a.d, a.d.things[at].rows, "inside", "temperature");
            if (!std::isnan(inside)) own = {inside, at.value, false};
        }
    }
    read_runs();
    count(loaded);
}

Ambient Layings::of_place(ThingId place) const {
    const auto rows = a_.d.things[place].rows;
    const double stated = upper(a_.d, rows, "ambient", "temperature");
    if (!std::isnan(stated)) return {stated, place.value, false};
    if (a_.d.states(rows, "outdoors") && !std::isnan(a_.climate.hottest)) return {a_.climate.hottest, place.value, true};
    return {};
}

bool Layings::sunlit(const Ambient& air) const {
    if (!air.known() || air.thing == none || a_.d.things[ThingId(air.thing)].cls != ThingClass::place) return false;
    const auto rows = a_.d.things[ThingId(air.thing)].rows;
    return a_.d.states(rows, "outdoors") && a_.d.text(rows, "sun", "answer") != "no";
}

void Layings::read_runs() {
    const graph::Design& d = a_.d;
    runs_.resize(a_.runs.size());
    for (std::size_t i = 0; i < a_.runs.size(); ++i) {
        const auto rows = d.things[a_.runs[i]].rows;
        Laying& l = runs_[i];
        l.kind = d.states(rows, "buried")    ? Laying::Kind::buried
                 : d.states(rows, "conduit") ? Laying::Kind::conduit
                 : d.states(rows, "tray")    ? Laying::Kind::tray
                                             : Laying::Kind::open;
        l.spaced = d.states(rows, "spaced") && l.kind != Laying::Kind::conduit;
        l.clipped = l.kind == Laying::Kind::tray || d.states(rows, "support");
        l.sun_no = d.text(rows, "sun", "answer") == "no";
        l.above_roof = d.number(rows, "above-roof", "distance");
        l.length = upper(d, rows, "length", "length");
        const double stated = upper(d, rows, "ambient", "temperature");
        if (!std::isnan(stated)) {
            l.ambient = l.open_air = {stated, a_.runs[i].value, false};
            continue;
        }
        const graph::RowId through = d.row(rows, "through");
        if (!through) continue;
        for (const graph::FieldId f : d.rows[through].fields) {
            const graph::Field& field = d.fields[f];
            if (field.target == 0xffffffffU || field.target >= surroundings_.size()) continue;
            const Ambient& place = surroundings_[field.target];
            if (place.known() && !(place.kelvin <= l.ambient.kelvin)) l.ambient = place;
            if (sunlit(place) && !(place.kelvin <= l.open_air.kelvin)) l.open_air = place;
        }
    }
}

void Layings::count(const std::vector<std::uint8_t>& loaded) {
    const graph::Design& d = a_.d;
    cores_.assign(d.things.size(), 0);
    std::unordered_set<std::uint64_t> seen;  // cable in run
    for (const graph::ConductorId id : d.conductors.ids()) {
        if (loaded[id.value] == 0) continue;
        const graph::Conductor& c = d.conductors[id];
        if (c.named_cable) ++cores_[c.named_cable.value];
        for (std::uint32_t v = c.first_via; v < c.first_via + c.vias; ++v) {
            const std::uint32_t run = a_.run_row[d.vias[v].value];
            Laying& l = runs_[run];
            ++l.loaded;
            if (!c.named_cable) ++l.singles;
            else if (seen.insert(std::uint64_t{c.named_cable.value} << 32U | run).second) ++l.cables;
        }
    }
}

const Ambient& Layings::round(std::uint32_t terminal) const {
    if (terminal == none) return nothing_;
    const ThingId owner = a_.owner(terminal);
    const graph::Thing& t = a_.d.things[owner];
    if (t.cls == ThingClass::place || t.cls == ThingClass::enclosure) return surroundings_[owner.value];
    return t.where ? surroundings_[t.where.value] : nothing_;
}

}  // namespace ferrule::facts
