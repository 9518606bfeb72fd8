#include "facts/surroundings.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::ThingClass;
using graph::ThingId;

Answer answer(std::string_view word) { return word == "yes" ? Answer::yes : word == "no" ? Answer::no : Answer::unknown; }

// Row by row from the lowest height; a site between two rows takes the higher one.
void read_altitude(const Design& d, const graph::Part& part, double site, double usual, PartAir& out) {
    if (std::isnan(site)) return;
    const graph::Symbol altitude = d.names.find("altitude");
    const graph::Field* best = nullptr;
    graph::RowId best_row;
    bool stated = false;
    for (const graph::RowId row : part.rows) {
        if (!altitude || d.rows[row].property != altitude) continue;
        const graph::Field* height = d.field(row, "length");
        if (height == nullptr) continue;
        stated = true;
        if (height->high < site || (best != nullptr && best->high <= height->high)) continue;
        best = height;
        best_row = row;
    }
    out.too_high = stated && best == nullptr;
    if (out.too_high || (!stated && site > usual)) return;
    out.voltage_factor = out.current_factor = 1;
    if (best == nullptr || (site <= usual && best->high > usual)) return;  // shares that begin above the usual height
    if (const auto* f = d.field(best_row, "voltage-factor")) out.voltage_factor = f->high;
    if (const auto* f = d.field(best_row, "current-factor")) out.current_factor = f->high;
}

PartAir read_part(const Analysis& a, graph::PartId id, double site) {
    const graph::Part& part = a.d.parts[id];
    const PartData& data = a.parts[id.value];
    PartAir out;
    if (const auto* f = a.d.field(a.d.row(part.rows, "ambient"), "temperature")) {
        if (f->low != f->high) out.coldest = f->low;  // one temperature is the highest
        out.hottest = f->high;
    }
    out.loss = a.d.number(part.rows, "loss", "power");
    out.scales = data.conducts == Conducts::contact || data.conducts == Conducts::guard || data.kind == "fuse";
    out.heats = data.conducts == Conducts::contact || data.conducts == Conducts::guard || data.conducts == Conducts::converter || data.kind == "diode";
    const double own = a.d.number(part.rows, "current", "current");
    out.full_load = std::isnan(own) ? data.rated_current : own;
    read_altitude(a.d, part, site, a.standard.number("rating-altitude"), out);
    return out;
}

PlaceAir read_place(const Analysis& a, ThingId id) {
    const auto rows = a.d.things[id].rows;
    PlaceAir p;
    p.sun = answer(a.d.text(rows, "sun", "answer"));
    p.outdoors = a.d.states(rows, "outdoors");
    if (a.d.states(rows, "indoors") && p.sun == Answer::unknown) p.sun = Answer::no;
    if (p.outdoors && a.d.text(rows, "outdoors", "exposure") == "sheltered" && p.sun == Answer::unknown) p.sun = Answer::no;
    p.heated = a.d.states(rows, "heated") && a.d.text(rows, "heated", "answer") != "no";
    if (const auto* f = a.d.field(a.d.row(rows, "ambient"), "temperature")) {
        if (f->low != f->high) p.coldest = f->low;
        p.hottest = f->high;
    }
    if (!p.outdoors) return p;
    if (std::isnan(p.hottest)) {
        p.hottest = a.climate.hottest;
        p.hottest_of_site = true;
    }
    if (std::isnan(p.coldest) && !p.heated) {
        p.coldest = a.climate.coldest;
        p.coldest_of_site = true;
    }
    return p;
}

// All six faces.
double surface(const Analysis& a, ThingId id) {
    std::array<double, 3> side{graph::unknown, graph::unknown, graph::unknown};
    constexpr std::array names{"width", "height", "depth"};
    const graph::RowId size = a.d.row(a.d.things[id].rows, "size");
    for (std::size_t i = 0; i < side.size(); ++i) {
        const auto* stated = a.d.field(size, names[i]);
        side[i] = stated != nullptr ? stated->high : a.d.number(a.d.part_of(id).rows, names[i], "length");
    }
    return 2 * (side[0] * side[1] + side[0] * side[2] + side[1] * side[2]);
}

class Boxer {
public:
    Boxer(const Analysis& a, Surroundings& s, const std::vector<double>& current) : a_(a), s_(s), current_(current) {}

    void fill() {
        s_.boxes.resize(a_.boxes.boxes.size());
        for (const ThingId id : a_.devices) content(id);
        std::vector<std::uint8_t> done(s_.boxes.size(), 0);
        for (std::uint32_t b = 0; b < s_.boxes.size(); ++b) reckon(b, done, 0);
    }

private:
    [[nodiscard]] std::uint32_t box_around(ThingId id) const {
        const ThingId where = a_.d.things[id].where;
        return where && a_.d.things[where].cls == ThingClass::enclosure ? a_.boxes.box_of[where.value] : none;
    }

    [[nodiscard]] double heat_of(ThingId id, bool& lacks) const {
        const graph::Thing& t = a_.d.things[id];
        const PartAir& part = s_.parts[t.part.value];
        double loss = part.loss, full_load = part.full_load;
        for (std::uint32_t i = t.first_fitted; i < t.first_fitted + t.fitted; ++i) {
            const PartAir& link = s_.parts[a_.d.fitted[i].value];
            if (!std::isnan(link.loss)) loss = (std::isnan(loss) ? 0 : loss) + link.loss;
            full_load = std::fmin(full_load, link.full_load);
        }
        lacks = part.heats && std::isnan(loss);
        if (std::isnan(loss)) return 0;
        const std::uint32_t row = a_.device_row[id.value];
        const double current = row == no_row ? 0 : current_[row];
        if (!part.scales || !(current > 0) || !(full_load > 0)) return loss;
        const double share = current / full_load;
        return loss * share * share;
    }

    void content(ThingId id) {
        std::uint32_t b = box_around(id);
        if (b == none) return;
        BoxAir& own = s_.boxes[b];
        const double stands = s_.parts[a_.d.things[id].part.value].hottest;
        if (!std::isnan(stands) && (own.weakest == none || stands < s_.parts[a_.d.things[ThingId(own.weakest)].part.value].hottest)) {
            own.weakest = id.value;
        }
        bool lacks = false;
        const double heat = heat_of(id, lacks);
        for (int depth = 0; b != none && depth < 64; ++depth) {  // the boxes around it are warmed as well
            BoxAir& box = s_.boxes[b];
            box.heat += heat;
            if (heat > 0) box.heat_stated = true;
            if (lacks && box.heat_lacks == none) box.heat_lacks = id.value;
            b = box_around(a_.boxes.boxes[b].thing);
        }
    }

    void reckon(std::uint32_t b, std::vector<std::uint8_t>& done, int depth) {
        if (done[b] != 0 || depth > 64) return;
        done[b] = 1;
        BoxAir& box = s_.boxes[b];
        const ThingId id = a_.boxes.boxes[b].thing;
        const auto rows = a_.d.things[id].rows;
        box.declared = a_.d.number(rows, "inside", "temperature");
        box.surface = surface(a_, id);
        const std::uint32_t outer = box_around(id);
        const ThingId place = a_.boxes.boxes[b].place;
        bool complete = true;
        if (outer != none) {
            reckon(outer, done, depth + 1);
            box.in_sun = Answer::no;
            box.around = s_.boxes[outer].least;
            box.outside = s_.boxes[outer].outside;
            complete = !std::isnan(s_.boxes[outer].inside);
        } else if (place) {
            const PlaceAir& p = s_.places[a_.place_row[place.value]];
            box.around = box.outside = p.hottest;
            box.in_sun = a_.d.text(rows, "shroud", "answer") == "yes" ? Answer::no : p.sun;
        }
        if (box.in_sun == Answer::yes) box.sun_rise = a_.standard.number("sun-rise");
        if (!std::isnan(box.declared)) {
            box.inside = box.least = box.outside = box.declared;
            return;
        }
        const double cooling = a_.standard.number("box-cooling") * box.surface;  // W/K
        const double of_heat = box.heat == 0 ? 0 : box.heat / cooling;
        box.least = box.around + box.sun_rise + (std::isnan(of_heat) ? 0 : of_heat);
        if (complete && box.in_sun != Answer::unknown && box.heat_lacks == none) box.inside = box.around + box.sun_rise + of_heat;
    }

    const Analysis& a_;
    Surroundings& s_;
    const std::vector<double>& current_;
};

}  // namespace

Surroundings find_surroundings(const Analysis& a, const std::vector<double>& current) {
    Surroundings s;
    s.altitude = a.d.number(a.d.site_rows, "altitude", "length");
    for (const graph::PartId id : a.d.parts.ids()) s.parts.push_back(read_part(a, id, s.altitude));
    for (const ThingId id : a.places) s.places.push_back(read_place(a, id));
    Boxer(a, s, current).fill();
    return s;
}

AirRating rating_in_air(const Analysis& a, graph::PartId id, const PartAir& air, const Contacts& contacts, double voltage, double temperature) {
    AirRating best;
    if (std::isnan(temperature)) return best;
    const graph::Part& part = a.d.parts[id];
    const double usual = a.standard.number("rating-air");
    const Derating derated = derating(a.d, part, temperature, usual);
    const std::uint8_t fits = best_fit(a.parts[id.value], contacts, false);
    for (const RatingRow& row : a.parts[id.value].ratings) {
        if (row.arrangement == RatingRow::Arrangement::parallel || !for_contacts(row, contacts) || !(row.voltage >= voltage)) continue;
        if (row.fits[static_cast<std::size_t>(contacts.duty)] < fits) continue;
        AirRating r;
        r.row = row.row;
        if (std::isnan(row.ambient) || temperature > row.ambient) {
            const Derating x = std::isnan(row.ambient) ? derated : derating(a.d, part, temperature, row.ambient);
            r.factor = x.factor;
            r.derate = x.line;
            if (!derated.stated && temperature > usual && std::isnan(row.ambient) && air.hottest >= temperature) {
                r.factor = 1;
                r.ambient_only = true;
            }
        }
        r.current = row.current * r.factor;
        if (!std::isnan(r.current) && !(r.current <= best.current)) best = r;
    }
    return best;
}

}  // namespace ferrule::facts
