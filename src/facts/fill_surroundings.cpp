// Heat, height and light: site, string, enclosure, device, broken-circuit.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/surroundings.hpp"

namespace ferrule::facts {

namespace {

using graph::PartId;
using graph::ThingId;
using Around = std::shared_ptr<const Surroundings>;

// ---- what is lacking, what was assumed -------------------------------------------------------------------------------

Missing lacks_place(const Analysis& a, ThingId thing) {
    return {fmt::format("where {0} stands (`{0} … in PLACE`)", a.d.name(thing)), a.d.things[thing].span};
}

Missing lacks_hottest(const Analysis& a, ThingId thing) {
    const ThingId place = place_of(a.d, thing);
    if (!place) return lacks_place(a, thing);
    if (a.d.states(a.d.things[place].rows, "outdoors")) return {"`hottest` of the site", a.d.site_span};
    return {fmt::format("how hot the air gets in {} (`ambient`)", a.d.name(place)), a.d.things[place].span};
}

Missing lacks_coldest(const Analysis& a, ThingId thing) {
    const ThingId place = place_of(a.d, thing);
    if (!place) return lacks_place(a, thing);
    return {fmt::format("how cold {} gets (`ambient … .. …`, or `heated yes`)", a.d.name(place)), a.d.things[place].span};
}

Missing lacks_sun(const Analysis& a, ThingId thing) {
    const ThingId place = place_of(a.d, thing);
    if (!place) return lacks_place(a, thing);
    return {fmt::format("whether the sun shines on what stands on {} (`sun yes` or `sun no`)", a.d.name(place)), a.d.things[place].span};
}

std::vector<std::string> assumed_hottest(const Analysis& a, const Surroundings& s, ThingId thing) {
    const ThingId place = place_of(a.d, thing);
    if (!place) return {};
    const PlaceAir& p = s.places[a.place_row[place.value]];
    if (!p.hottest_of_site || std::isnan(p.hottest)) return {};
    return {fmt::format("{} states no `ambient`: its air is taken to be no hotter than `hottest` of the site, {}", a.d.name(place), a.show(p.hottest, "degC"))};
}

// ---- boxes -----------------------------------------------------------------------------------------------------------

std::vector<std::string> box_working(const Analysis& a, const Surroundings& s, std::uint32_t row) {
    const BoxAir& b = s.boxes[row];
    const std::string name = a.d.name(a.boxes.boxes[row].thing);
    if (!std::isnan(b.declared)) return {fmt::format("{}: {} inside, as declared", name, a.show(b.declared, "degC"))};
    if (std::isnan(b.least)) return {};
    std::vector<std::string> out;
    std::string sum = fmt::format("{}: {} around it", name, a.show(b.around, "degC"));
    if (b.sun_rise > 0) sum += fmt::format(" + {} in the sun", a.show(b.sun_rise, "K"));
    if (b.heat > 0 && !std::isnan(b.surface)) {
        const double cooling = a.standard.number("box-cooling");
        out.push_back(fmt::format("{}: heat {} / ({} W/m2K x {}) = {}", name, a.show(b.heat, "W"), units::show_number(cooling), a.show(b.surface, "m2"),
                                  a.show(b.heat / (cooling * b.surface), "K")));
        sum += fmt::format(" + {} by what is inside", a.show(b.heat / (cooling * b.surface), "K"));
    }
    out.push_back(fmt::format("{} = {}{}", sum, a.show(b.least, "degC"), std::isnan(b.inside) ? " or more" : ""));
    return out;
}

Missing lacks_inside(const Analysis& a, const Surroundings& s, std::uint32_t row) {
    const BoxAir& b = s.boxes[row];
    const ThingId box = a.boxes.boxes[row].thing;
    if (std::isnan(b.around)) return lacks_hottest(a, box);
    if (b.in_sun == Answer::unknown) return lacks_sun(a, box);
    if (b.heat > 0 && std::isnan(b.surface)) return {fmt::format("the size of {0} (`size … x … x …`)", a.d.name(box)), a.d.things[box].span};
    if (b.heat_lacks != none) {
        const graph::Part& part = a.d.part_of(ThingId(b.heat_lacks));
        return {fmt::format("the heat that {} gives off (`loss`)", a.d.word(part.name)), part.span};
    }
    return {fmt::format("the air around {}", a.d.name(box)), a.d.things[box].span};
}

void fill_enclosures(Facts& facts, const Shared& a, const Around& s) {
    Filler fill(facts, "enclosure");
    auto& in_sun = fill.flags("in-sun");
    auto& stated = fill.flags("heat-stated");
    auto& declared = fill.flags("declared");
    auto& heat = fill.numbers("heat");
    auto& surface = fill.numbers("surface");
    auto& sun_rise = fill.numbers("sun-rise");
    auto& around = fill.numbers("air-around");
    auto& inside = fill.numbers("air-inside");
    auto& least = fill.numbers("air-inside-least");
    auto& stands = fill.numbers("stands");
    auto& weakest = fill.subjects("weakest");
    for (std::uint32_t r = 0; r < s->boxes.size(); ++r) {
        const BoxAir& b = s->boxes[r];
        in_sun[r] = flag(b.in_sun);
        stated[r] = b.heat_stated ? 1 : 0;
        declared[r] = std::isnan(b.declared) ? 0 : 1;
        heat[r] = b.heat_lacks == none ? b.heat : graph::unknown;
        surface[r] = b.surface;
        sun_rise[r] = b.sun_rise;
        around[r] = b.around;
        inside[r] = b.inside;
        least[r] = b.least;
        if (b.weakest == none) continue;
        weakest[r] = a->device_row[b.weakest];
        stands[r] = s->parts[a->d.things[ThingId(b.weakest)].part.value].hottest;
    }
    fill.column("in-sun").missing = [a](std::uint32_t row) { return lacks_sun(*a, a->boxes.boxes[row].thing); };
    for (const char* name : {"air-inside", "air-inside-least", "air-around", "heat"}) {
        fill.column(name).missing = [a, s](std::uint32_t row) { return lacks_inside(*a, *s, row); };
        fill.column(name).assumed = [a, s](std::uint32_t row) { return assumed_hottest(*a, *s, a->boxes.boxes[row].thing); };
    }
    for (const char* name : {"air-inside", "air-inside-least"}) {
        fill.column(name).working = [a, s](std::uint32_t row) { return box_working(*a, *s, row); };
    }
    fill.column("stands").missing = [a](std::uint32_t row) {
        const ThingId box = a->boxes.boxes[row].thing;
        for (const ThingId id : a->devices) {
            if (a->d.things[id].where != box) continue;
            const graph::Part& part = a->d.part_of(id);
            return Missing{fmt::format("the air temperatures that {} allows (`ambient`)", a->d.word(part.name)), part.span};
        }
        return Missing{{}, a->d.things[box].span};  // empty: nothing in it to be too warm
    };
}

// ---- devices ---------------------------------------------------------------------------------------------------------

void fill_device_air(Facts& facts, const Shared& a, const Around& s) {
    Filler fill(facts, "device");
    const auto& on = fill.subjects("on");
    const auto& box = fill.subjects("box");
    auto& air = fill.numbers("air");
    auto& outside = fill.numbers("air-outside");
    auto& coldest = fill.numbers("air-coldest");
    auto& hot = fill.numbers("stands-hottest");
    auto& cold = fill.numbers("stands-coldest");
    auto& volts = fill.numbers("altitude-voltage-factor");
    auto& amperes = fill.numbers("altitude-current-factor");
    auto& warm = fill.flags("kept-warm");
    auto& known = fill.flags("altitude-known");
    for (std::uint32_t r = 0; r < a->devices.size(); ++r) {
        const graph::Thing& thing = a->d.things[a->devices[r]];
        const PartAir& part = s->parts[thing.part.value];
        hot[r] = part.hottest;
        cold[r] = part.coldest;
        volts[r] = part.voltage_factor;
        amperes[r] = part.current_factor;
        for (std::uint32_t i = thing.first_fitted; i < thing.first_fitted + thing.fitted; ++i) {
            const PartAir& link = s->parts[a->d.fitted[i].value];
            if (std::isnan(volts[r]) || std::isnan(link.voltage_factor)) continue;
            volts[r] = std::min(volts[r], link.voltage_factor);
            amperes[r] = std::min(amperes[r], link.current_factor);
        }
        known[r] = std::isnan(s->altitude) ? flag_unknown : std::isnan(part.voltage_factor) ? 0 : 1;
        if (on[r] != no_row) {
            const PlaceAir& place = s->places[on[r]];
            air[r] = outside[r] = place.hottest;
            coldest[r] = place.coldest;
            warm[r] = place.heated ? 1 : 0;
        }
        if (box[r] != no_row) {
            air[r] = s->boxes[box[r]].least;
            outside[r] = s->boxes[box[r]].outside;
        }
    }
    for (const char* name : {"air", "air-outside"}) {
        fill.column(name).missing = [a](std::uint32_t row) { return lacks_hottest(*a, a->devices[row]); };
        fill.column(name).assumed = [a, s](std::uint32_t row) { return assumed_hottest(*a, *s, a->devices[row]); };
    }
    fill.column("air").working = [a, s](std::uint32_t row) {
        const ThingId where = a->d.things[a->devices[row]].where;
        const std::uint32_t b = where ? a->boxes.box_of[where.value] : none;
        return b == none ? std::vector<std::string>{} : box_working(*a, *s, b);
    };
    fill.column("air-coldest").missing = [a](std::uint32_t row) { return lacks_coldest(*a, a->devices[row]); };
    for (const char* name : {"stands-hottest", "stands-coldest"}) {
        fill.column(name).missing = [a](std::uint32_t row) {
            const graph::Part& part = a->d.part_of(a->devices[row]);
            return Missing{fmt::format("the air temperatures that {} allows (`ambient`)", a->d.word(part.name)), part.span};
        };
    }
    for (const char* name : {"altitude-known", "altitude-voltage-factor", "altitude-current-factor"}) {
        fill.column(name).missing = [a, s](std::uint32_t row) {
            if (std::isnan(s->altitude)) return Missing{"`altitude` of the site", a->d.site_span};
            const graph::Part& part = a->d.part_of(a->devices[row]);
            return Missing{fmt::format("what {} stands at {} (`altitude`)", a->d.word(part.name), a->show(s->altitude, "m")), part.span};
        };
    }
}

// ---- switches --------------------------------------------------------------------------------------------------------

void fill_switch_air(Facts& facts, const Shared& a, const Around& s) {
    const auto& device_box = Filler(facts, "device").subjects("box");
    const auto& device_on = Filler(facts, "device").subjects("on");
    const auto& device_air = Filler(facts, "device").numbers("air");
    Filler fill(facts, "broken-circuit");
    const auto& device = fill.subjects("switch");
    const auto& voltage = fill.numbers("proper-voltage");
    const auto& rated_voltage = fill.numbers("rated-voltage");
    const auto& rated_current = fill.numbers("rated-current");
    auto& air = fill.numbers("air");
    auto& air_current = fill.numbers("air-current");
    auto& altitude_voltage = fill.numbers("altitude-voltage");
    auto& altitude_current = fill.numbers("altitude-current");
    auto& in_sun = fill.flags("in-sun");
    auto& stated = fill.flags("air-stated");
    const auto rating_of = [a, s](std::uint32_t row, double volts, double temperature) {
        const BrokenCircuit& b = a->switches.circuits[row];
        const PartId part = a->d.things[ThingId(b.device)].part;
        return rating_in_air(*a, part, s->parts[part.value], contacts_of(*a, b), volts, temperature);
    };
    for (std::uint32_t r = 0; r < a->switches.circuits.size(); ++r) {
        const std::uint32_t d = device[r];
        const PartAir& part = s->parts[a->d.things[a->devices[d]].part.value];
        air[r] = device_air[d];
        Answer sun = Answer::unknown;
        if (device_box[d] != no_row) sun = s->boxes[device_box[d]].in_sun;
        else if (device_on[d] != no_row) sun = s->places[device_on[d]].sun;
        in_sun[r] = flag(sun);
        // Its own case warms as a box does.
        if (device_box[d] == no_row && sun == Answer::yes) air[r] += a->standard.number("sun-rise");
        altitude_voltage[r] = rated_voltage[r] * part.voltage_factor;
        altitude_current[r] = rated_current[r] * part.current_factor;
        if (a->links_unknown(a->switches.circuits[r].device)) {
            stated[r] = flag_unknown;
            continue;
        }
        const AirRating rating = rating_of(r, voltage[r], air[r]);
        air_current[r] = rating.current;
        stated[r] = std::isnan(air[r]) || std::isnan(voltage[r]) ? flag_unknown : std::isnan(rating.current) ? 0 : 1;
    }
    fill.column("in-sun").missing = [a](std::uint32_t row) { return lacks_sun(*a, ThingId(a->switches.circuits[row].device)); };
    fill.column("air").missing = [a](std::uint32_t row) { return lacks_hottest(*a, ThingId(a->switches.circuits[row].device)); };
    const auto copies = std::make_shared<const std::pair<std::vector<double>, std::vector<double>>>(voltage, air);
    for (const char* name : {"air-stated", "air-current"}) {
        fill.column(name).missing = [a, copies](std::uint32_t row) {
            const BrokenCircuit& b = a->switches.circuits[row];
            if (std::isnan(copies->second[row])) return lacks_hottest(*a, ThingId(b.device));
            const graph::Part& part = a->d.part_of(ThingId(b.device));
            return Missing{fmt::format("what {} carries in air of {} (`rated … at`, `derate`, or `ambient`)", a->d.word(part.name),
                                       a->show(copies->second[row], "degC")),
                           part.span};
        };
    }
    fill.column("air").working = fill.column("air-current").working = [a, s, copies, rating_of](std::uint32_t row) {
        const ThingId id(a->switches.circuits[row].device);
        const ThingId where = a->d.things[id].where;
        const std::uint32_t b = where ? a->boxes.box_of[where.value] : none;
        std::vector<std::string> out;
        if (b != none) out = box_working(*a, *s, b);
        const AirRating x = rating_of(row, copies->first[row], copies->second[row]);
        if (!std::isnan(x.current) && x.derate) {
            out.push_back(fmt::format("{}: {} in air of {} x {} = {}", a->d.word(a->d.part_of(id).name), a->show(x.current / x.factor, "A"),
                                      a->show(copies->second[row], "degC"), units::show_number(x.factor), a->show(x.current, "A")));
        }
        return out;
    };
    fill.column("air-current").assumed = [a, s, copies, rating_of](std::uint32_t row) {
        const ThingId id(a->switches.circuits[row].device);
        std::vector<std::string> out = assumed_hottest(*a, *s, id);
        if (rating_of(row, copies->first[row], copies->second[row]).ambient_only) {
            out.push_back(fmt::format("{} gives no rating for {}: its `ambient` includes it, so its ratings are taken to hold", a->d.word(a->d.part_of(id).name),
                                      a->show(copies->second[row], "degC")));
        }
        return out;
    };
    for (const char* name : {"altitude-voltage", "altitude-current"}) {
        fill.column(name).missing = [](std::uint32_t) { return Missing{{}, {}}; };  // told at the device
        const bool of_voltage = std::string_view(name) == "altitude-voltage";
        fill.column(name).working = [a, s, of_voltage](std::uint32_t row) {
            const graph::Thing& thing = a->d.things[ThingId(a->switches.circuits[row].device)];
            const PartAir& part = s->parts[thing.part.value];
            return std::vector{fmt::format("{} at {}: {} x {} %", a->d.word(a->d.parts[thing.part].name), a->show(s->altitude, "m"),
                                           of_voltage ? "voltage" : "current",
                                           units::show_number(100 * (of_voltage ? part.voltage_factor : part.current_factor)))};
        };
    }
}

// ---- light -----------------------------------------------------------------------------------------------------------

double bifaciality(const Analysis& a, const graph::Thing& string) {
    double most = 0;
    for (std::uint32_t g = string.first_group; g < string.first_group + string.groups; ++g) {
        const double gain = a.d.number(a.d.parts[a.d.groups[g].part].rows, "bifacial", "gain");
        if (gain > most) most = gain;
    }
    return most;
}

void fill_light(Facts& facts, const Shared& a) {
    Filler fill(facts, "string");
    auto& behind = fill.numbers("bifaciality");
    auto& albedo = fill.numbers("albedo");
    auto& factor = fill.numbers("screening-factor");
    auto& flush = fill.flags("flush");
    const double usual = a->standard.number("usual-albedo"), gain = a->standard.number("bifacial-gain");
    const graph::Kinds::Default* front = a->d.kinds->find_default("irradiance-factor");
    const std::string_view where = a->d.text(a->d.site_rows, "array", "where");
    double most = graph::unknown;
    std::uint32_t brightest = no_row;
    for (std::uint32_t i = 0; i < a->net.strings; ++i) {
        const graph::Thing& string = a->d.things[a->net.sources[i].thing];
        const ThingId place = place_of(a->d, a->net.sources[i].thing);
        behind[i] = bifaciality(*a, string);
        const double own = place ? a->d.number(a->d.things[place].rows, "albedo", "share") : graph::unknown;
        albedo[i] = std::isnan(own) ? usual : own;
        if (front != nullptr) factor[i] = front->value + gain * behind[i] * albedo[i];
        const std::string_view mount = a->d.text(string.rows, "mount", "how");
        const bool open = where == "ground-mount" || where == "pole-mount" || where == "floating";
        flush[i] = mount == "flush" ? 1 : mount == "raised" || open ? 0 : where == "facade" ? 1 : flag_unknown;
        if (behind[i] == 0 && mount != "flush" && !std::isnan(own) && !(own <= most)) {
            most = own;
            brightest = a->place_row[place.value];
        }
    }
    fill.column("flush").missing = [a](std::uint32_t row) {
        const ThingId id = a->net.sources[row].thing;
        return Missing{fmt::format("whether {} lies flush on its roof or is raised (`mount flush`, `mount raised`)", a->d.name(id)), a->d.things[id].span};
    };
    fill.column("albedo").assumed = fill.column("screening-factor").assumed = [a, usual](std::uint32_t row) {
        const ThingId place = place_of(a->d, a->net.sources[row].thing);
        if (place && a->d.states(a->d.things[place].rows, "albedo")) return std::vector<std::string>{};
        return std::vector{fmt::format("the ground is taken to throw back {} % of the light, as {} states no `albedo`", units::show_number(100 * usual),
                                       place ? a->d.name(place) : "its place")};
    };
    fill.column("screening-factor").working = [a, gain, usual, front](std::uint32_t row) {
        const ThingId place = place_of(a->d, a->net.sources[row].thing);
        const double own = place ? a->d.number(a->d.things[place].rows, "albedo", "share") : graph::unknown;
        const double share = std::isnan(own) ? usual : own, back = bifaciality(*a, a->d.things[a->net.sources[row].thing]);
        if (front == nullptr) return std::vector<std::string>{};
        return std::vector{fmt::format("{} + {} x {} (bifaciality) x {} (albedo) = {}", units::show_number(front->value), units::show_number(gain),
                                       units::show_number(back), units::show_number(share), units::show_number(front->value + gain * back * share))};
    };
    Filler site(facts, "site");
    site.numbers("albedo-most")[0] = most;
    site.subjects("brightest")[0] = brightest;
    site.flags("over-snow")[0] = where == "facade" && a->d.number(a->d.site_rows, "snow", "depth") > 0 ? 1 : 0;
}

}  // namespace

void fill_surroundings(Facts& facts, const Shared& a) {
    const Around s = std::make_shared<const Surroundings>(find_surroundings(*a, Filler(facts, "device").numbers("current")));
    fill_enclosures(facts, a, s);
    fill_device_air(facts, a, s);
    fill_switch_air(facts, a, s);
    fill_light(facts, a);
    fill_surges(facts, a);
    fill_line_sides(facts, a);
    fill_run_contents(facts, a, *s);
}

}  // namespace ferrule::facts
