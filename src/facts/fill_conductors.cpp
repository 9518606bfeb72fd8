// conductor, mating. The largest tables: columns are filled directly, words are interned once.
#include <fmt/core.h>

#include <cmath>

#include "facts/currents.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::ConductorRole;

// Colours on one piece of the circuit (wires only): none yet, one, or several.
struct NetColour {
    graph::Symbol one;
    bool several = false;
};

}  // namespace

void fill_conductors(Facts& facts, const Shared& a) {
    const auto n = static_cast<std::uint32_t>(a->d.conductors.size());
    {
        Filler fill(facts, "conductor", n);
        Table& t = fill.table();
        t.name = [a](std::uint32_t row) { return a->d.name(ConductorId(row)); };
        t.place = [a](std::uint32_t row) { return a->d.conductors[ConductorId(row)].span; };
        t.thing = [a](std::uint32_t row) { return a->owner(a->d.conductors[ConductorId(row)].a.value).value; };
        t.circuit = [a](std::uint32_t row) {
            return a->edge_of[row] == none ? no_row : a->circuit_of(a->d.conductors[ConductorId(row)].a.value);
        };
        t.part_properties = [a](std::uint32_t row) {
            const graph::PartId cable = a->d.conductors[ConductorId(row)].cable;
            return cable ? a->d.parts[cable].rows : base::Range<graph::RowId>{};
        };
        auto& cable = fill.subjects("cable");
        auto& run = fill.subjects("run");
        auto& role = fill.column("role").words;
        auto& polarity = fill.column("polarity").words;
        auto& colour = fill.column("colour").words;
        auto& source = fill.column("source").words;
        auto& rated = fill.numbers("rated-voltage");
        auto& voltage = fill.numbers("circuit-voltage");
        auto& proper = fill.numbers("proper-voltage");
        auto& current = fill.numbers("current");
        auto& continuous = fill.numbers("continuous-current");
        auto& back = fill.numbers("reverse-current");
        auto& area = fill.numbers("area");
        auto& length = fill.numbers("length");
        auto& earthed = fill.flags("earthed");
        auto& shares = fill.flags("shares-net");
        const base::Symbol roles[] = {facts.words.intern("power"), facts.words.intern("bond"), facts.words.intern("earth"), facts.words.intern("jumper")};
        const base::Symbol plus = facts.words.intern("plus"), minus = facts.words.intern("minus"), both = facts.words.intern("both"), no = facts.words.intern("none"),
                           array = facts.words.intern("array"), battery = facts.words.intern("battery");
        std::vector<base::Symbol> colours(a->d.names.size());
        std::vector<NetColour> net_colour(a->net.wires.count);
        std::vector<graph::Symbol> cable_colour(a->parts.size());
        for (const graph::PartId p : a->d.parts.ids()) {
            if (a->parts[p.value].kind != "cable") continue;
            const graph::RowId row = a->d.row(a->d.parts[p].rows, "colour");
            if (row && a->d.rows[row].fields.count == 1) cable_colour[p.value] = a->d.fields[a->d.rows[row].fields[0]].text;
        }
        auto colour_of = [&](const graph::Conductor& c) {
            if (c.colour) return c.colour;
            return c.cable && !c.named_cable ? cable_colour[c.cable.value] : graph::Symbol();
        };
        auto& row_units = fill.column("area").row_units;
        row_units.resize(n);
        const units::UnitId mm2 = a->d.units->find("mm2");
        std::vector<double> group_isc(a->circuits.groups.size());
        for (std::uint32_t g = 0; g < group_isc.size(); ++g) group_isc[g] = a->circuits.groups[g].battery ? 0 : a->group_isc(g);
        for (std::uint32_t r = 0; r < n; ++r) {
            const graph::Conductor& c = a->d.conductors[ConductorId(r)];
            if (c.cable) cable[r] = c.cable.value;
            if (c.run) run[r] = a->run_row[c.run.value];
            // `->` between protective terminals is a bond, whatever its arrow.
            const bool bonds = c.role == ConductorRole::power && Network::protective(a->d, c);
            role[r] = roles[static_cast<int>(bonds ? ConductorRole::bond : c.role)];
            rated[r] = c.rated_voltage;
            area[r] = c.area;
            row_units[r] = c.area_unit ? c.area_unit : mm2;
            length[r] = c.length;
            const graph::Symbol its_colour = colour_of(c);
            if (its_colour) {
                base::Symbol& s = colours[its_colour.value];
                if (!s) s = facts.words.intern(a->d.word(its_colour));
                colour[r] = s;
            }
            polarity[r] = source[r] = no;
            const std::uint32_t e = a->edge_of[r];
            if (e == none) continue;
            const std::uint32_t net = a->net.on[c.a.value];
            const Circuits& x = a->circuits;
            const std::uint32_t p = x.plus_ends[net] + x.battery_plus_ends[net], m = x.minus_ends[net] + x.battery_minus_ends[net];
            polarity[r] = p != 0 && m != 0 ? both : p != 0 ? plus : m != 0 ? minus : no;
            earthed[r] = a->earthing.pole_earthed[net];
            const Feed& f = a->feeds.of(e);
            const Analysis::Side side = a->side_of(e, f);
            voltage[r] = a->edge_voltage(e, f);
            proper[r] = side == Analysis::Side::array ? a->proper(voltage[r], x.circuit[net]) : voltage[r];
            source[r] = side == Analysis::Side::battery ? battery : side == Analysis::Side::array ? array : no;
            current[r] = carried(*a, f);
            continuous[r] = current[r] * continuous_factor(*a, f);
            back[r] = driven_back(*a, e, f, &group_isc) * a->climate.irradiance * f.share;
            if (c.role == ConductorRole::power && its_colour) {
                NetColour& nc = net_colour[a->net.wires[c.a.value]];
                if (!nc.one) nc.one = its_colour;
                else if (nc.one != its_colour) nc.several = true;
            }
        }
        for (std::uint32_t r = 0; r < n; ++r) {
            const graph::Conductor& c = a->d.conductors[ConductorId(r)];
            if (c.role == ConductorRole::power && a->edge_of[r] != none && colour_of(c)) shares[r] = net_colour[a->net.wires[c.a.value]].several ? 1 : 0;
        }
        fill.column("proper-voltage").missing = fill.column("circuit-voltage").missing = [a](std::uint32_t row) {
            const Lack l = a->circuit_lack(a->circuit_of(a->d.conductors[ConductorId(row)].a.value));
            return Missing{l.what, l.where};
        };
        fill.column("rated-voltage").missing = [a](std::uint32_t row) {
            const graph::Conductor& c = a->d.conductors[ConductorId(row)];
            if (!c.cable) return Missing{"the voltage this conductor is rated for (a cable part, or `rated … V` in its line)", c.span};
            const graph::Part& part = a->d.parts[c.cable];
            return Missing{fmt::format("`rated` of {}", a->d.word(part.name)), part.span};
        };
        explain_current(fill, "current", [a](std::uint32_t row) { return a->edge_of[row]; }, t.place, a);
        fill.column("reverse-current").working = [a](std::uint32_t row) {
            if (a->edge_of[row] == none) return std::vector<std::string>{};
            const Feed& f = a->feeds.of(a->edge_of[row]);
            const double isc = driven_back(*a, a->edge_of[row], f);
            return std::vector{fmt::format("isc {} in parallel on its other side x {} (irradiance factor) = {}", a->show(isc, "A"),
                                           units::show_number(a->climate.irradiance), a->show(isc * a->climate.irradiance * f.share, "A"))};
        };
    }

    const std::vector<Mating>& rows = a->boxes.matings;
    const auto m = static_cast<std::uint32_t>(rows.size());
    Filler fill(facts, "mating", m);
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(graph::TerminalId(a->boxes.matings[row].terminal)); };
    t.place = [a](std::uint32_t row) {
        const Mating& met = a->boxes.matings[row];
        const graph::Conductor& c = a->d.conductors[ConductorId(met.conductor)];
        return c.a.value == met.terminal ? c.span_a : c.span_b;
    };
    t.thing = [a](std::uint32_t row) { return a->owner(a->boxes.matings[row].terminal).value; };
    t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->boxes.matings[row].terminal); };
    t.part_properties = [a](std::uint32_t row) { return a->d.parts[a->boxes.matings[row].part_b].rows; };
    auto& conductor = fill.subjects("conductor");
    auto& connector = fill.subjects("part");
    auto& string = fill.subjects("string");
    auto& rated_voltage = fill.numbers("rated-voltage");
    auto& rated_current = fill.numbers("rated-current");
    auto& in_its_air = fill.flags("rated-in-its-air");
    auto& voltage = fill.numbers("circuit-voltage");
    auto& proper = fill.numbers("proper-voltage");
    auto& current = fill.numbers("current");
    auto& continuous = fill.numbers("continuous-current");
    auto& listed = fill.flags("listed-together");
    auto& family_a = fill.column("family-a").words;
    auto& family_b = fill.column("family-b").words;
    auto& half_a = fill.column("half-a").words;
    auto& half_b = fill.column("half-b").words;
    for (std::uint32_t r = 0; r < m; ++r) {
        const Mating& x = rows[r];
        conductor[r] = x.conductor;
        connector[r] = x.part_b.value;
        if (x.string != none) string[r] = x.string;
        rated_voltage[r] = x.rated_voltage;
        rated_current[r] = x.rated_current;
        in_its_air[r] = std::isnan(x.rated_at) ? 1 : flag_unknown;
        voltage[r] = a->circuits.net_voltage[a->net.on[x.terminal]];
        proper[r] = a->proper(voltage[r], a->circuit_of(x.terminal));
        const std::uint32_t e = a->edge_of[x.conductor];
        if (e != none) {
            const Feed& f = a->feeds.of(e);
            current[r] = carried(*a, f);
            continuous[r] = current[r] * continuous_factor(*a, f);
        }
        listed[r] = x.listed_together ? 1 : 0;
        auto intern = [&](std::string_view s) { return s.empty() ? base::Symbol() : facts.words.intern(s); };
        family_a[r] = intern(x.family_a);
        family_b[r] = intern(x.family_b);
        half_a[r] = intern(x.half_a);
        half_b[r] = intern(x.half_b);
    }
    const auto part_missing = [a](std::uint32_t row) {
        const Mating& x = a->boxes.matings[row];
        const graph::Part& part = a->d.parts[x.part_b];
        return Missing{fmt::format("`rated` of {}", a->d.word(part.name)), part.span};
    };
    fill.column("rated-in-its-air").missing = [a](std::uint32_t row) {
        const Mating& x = a->boxes.matings[row];
        const graph::Part& part = a->d.parts[x.part_b];
        if (std::isnan(a->climate.hottest)) return Missing{"`hottest` of the site", a->d.site_span};
        return Missing{fmt::format("what {} carries in air of {} (its `rated` holds `at` {})", a->d.word(part.name), a->show(a->climate.hottest, "degC"),
                                   a->show(x.rated_at, "degC")),
                       part.span};
    };
    fill.column("rated-voltage").missing = part_missing;
    fill.column("rated-current").missing = part_missing;
    fill.column("proper-voltage").missing = fill.column("circuit-voltage").missing = [a](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->circuit_of(a->boxes.matings[row].terminal));
        return Missing{l.what, l.where};
    };
    explain_current(fill, "current", [a](std::uint32_t row) { return a->edge_of[a->boxes.matings[row].conductor]; }, t.place, a);
}

}  // namespace ferrule::facts
