// device, fuse, terminal, named-cable.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/currents.hpp"
#include "facts/wiring.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::ConductorRole;
using graph::TerminalId;
using graph::ThingId;

// Ends of conductors on every terminal.
struct Landings {
    std::vector<std::uint32_t> all, wires;       // wires: without makers' links
    std::vector<std::uint32_t> first, last;      // the first and the last conductor in the text
};

// A maker's link leaves the clamp free.
bool in_clamp(const graph::Design& d, const graph::Conductor& c) {
    if (c.role != ConductorRole::jumper) return true;
    return c.cable ? (*d.kinds)[d.parts[c.cable].kind].name == "cable" : !is_supplied(d, c);
}

Landings count_landings(const graph::Design& d) {
    Landings l;
    l.all.assign(d.terminals.size(), 0);
    l.wires.assign(d.terminals.size(), 0);
    l.first.assign(d.terminals.size(), no_row);
    l.last.assign(d.terminals.size(), no_row);
    for (const ConductorId id : d.conductors.ids()) {
        const graph::Conductor& c = d.conductors[id];
        for (const TerminalId t : {c.a, c.b}) {
            ++l.all[t.value];
            if (!in_clamp(d, c)) continue;
            ++l.wires[t.value];
            std::uint32_t& last = l.last[t.value];
            if (last == no_row || d.conductors[ConductorId(last)].span < c.span) last = id.value;
            std::uint32_t& first = l.first[t.value];
            if (first == no_row || c.span < d.conductors[ConductorId(first)].span) first = id.value;
        }
    }
    return l;
}

base::Range<graph::RowId> port_rows(const graph::Design& d, TerminalId t) {
    const graph::TerminalTemplate& terminal = d.terminal(t);
    if (terminal.port == 0xffff) return {};
    return d.part_of(d.terminals[t]).ports[terminal.port].rows;
}

// The classes that rules ask for, as they are spelt there.
std::string_view class_of(std::string_view written) {
    for (const std::string_view asked : {"gPV", "PV"}) {
        if (same_letters(written, asked)) return asked;
    }
    return written;
}

// The circuit of a device: that of its first terminal on which something lands.
std::uint32_t table_circuit(const Analysis& a, std::uint32_t row) {
    const graph::Thing& thing = a.d.things[a.devices[row]];
    const auto count = static_cast<std::uint32_t>(a.d.part_of(a.devices[row]).terminals.size());
    for (std::uint32_t i = 0; i < count; ++i) {
        const std::uint32_t terminal = thing.first_terminal.value + i;
        if (a.net.landings[terminal] != 0) return a.circuit_of(terminal);
    }
    return count == 0 ? no_row : a.circuit_of(thing.first_terminal.value);
}

void fill_device_table(Facts& facts, const Shared& a, const Landings& landings) {
    const auto n = static_cast<std::uint32_t>(a->devices.size());
    Filler fill(facts, "device", n);
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(a->devices[row]); };
    t.place = [a](std::uint32_t row) { return a->d.things[a->devices[row]].span; };
    t.thing = [a](std::uint32_t row) { return a->devices[row].value; };
    t.circuit = [a](std::uint32_t row) { return table_circuit(*a, row); };
    t.properties = [a](std::uint32_t row) { return a->d.things[a->devices[row]].rows; };
    t.part_properties = [a](std::uint32_t row) { return a->d.part_of(a->devices[row]).rows; };
    auto& part = fill.subjects("part");
    auto& on = fill.subjects("on");
    auto& box = fill.subjects("box");
    auto& landed = fill.numbers("landed");
    auto& voltage = fill.numbers("circuit-voltage");
    auto& rated = fill.numbers("rated-voltage");
    auto& current = fill.numbers("current");
    auto& screws = fill.flags("screws");
    auto& torque = fill.flags("torque-stated");
    auto& in_dc = fill.flags("in-dc");
    auto& in_array = fill.flags("in-array");
    auto& fits = fill.flags("ingress-fits");
    auto& kind = fill.column("kind").words;
    std::vector<base::Symbol> kinds(a->parts.size());
    std::vector<Ingress> marks(a->parts.size());
    for (std::uint32_t p = 0; p < a->parts.size(); ++p) {
        kinds[p] = facts.words.intern(a->parts[p].kind);
        marks[p] = read_ingress(a->d.text(a->d.parts[graph::PartId(p)].rows, "ingress", "code"), a->standard);
    }
    const Circuits& c = a->circuits;
    for (std::uint32_t r = 0; r < n; ++r) {
        const ThingId id = a->devices[r];
        const graph::Thing& thing = a->d.things[id];
        const PartData& data = a->parts[thing.part.value];
        part[r] = thing.part.value;
        kind[r] = kinds[thing.part.value];
        const ThingId place = place_of(a->d, id);
        if (place) on[r] = a->place_row[place.value];
        if (thing.where && a->d.things[thing.where].cls == graph::ThingClass::enclosure) box[r] = a->boxes.box_of[thing.where.value];
        const Ingress& mark = marks[thing.part.value];
        if (mark.read()) fill.set_word("ingress", r, mark.shown());
        if (box[r] == no_row && exposure_of(a->d, place) != Exposure::unknown) {
            fill.set_word("exposure", r, word(exposure_of(a->d, place)));
            fits[r] = flag(keeps_out(a->d, mark, place, a->standard));
            if (fits[r] == 0) fill.set_word("ingress-asked", r, asked_of(a->d, mark, place, a->standard));
        }
        rated[r] = data.rated_voltage;
        landed[r] = voltage[r] = current[r] = 0;
        bool all_ports = true, any_screw = false;
        const bool block_torque = thing.rows.count != 0 && a->d.states(thing.rows, "torque");
        const auto count = static_cast<std::uint32_t>(a->d.part_of(id).terminals.size());
        for (std::uint32_t i = 0; i < count; ++i) {
            const std::uint32_t terminal = thing.first_terminal.value + i;
            landed[r] += landings.all[terminal];
            if (landings.all[terminal] != 0 && data.kind != "lead" && data.kind != "metalwork") {
                const auto rows = port_rows(a->d, TerminalId(terminal));
                const bool spring = data.spring || (rows.count != 0 && a->d.field(a->d.row(rows, "torque"), "clamp") != nullptr);
                if (!spring) any_screw = true;
                if (!spring && !(rows.count != 0 && a->d.states(rows, "torque"))) all_ports = false;
            }
            const std::uint32_t net = a->net.on[terminal];
            if (c.plus_ends[net] + c.minus_ends[net] != 0) in_array[r] = in_dc[r] = 1;
            if (c.battery_plus_ends[net] + c.battery_minus_ends[net] != 0) in_dc[r] = 1;
        }
        if (a->open_thing[id.value] != 0 && landed[r] == 0) landed[r] = 1;  // a line about it could not be read
        screws[r] = any_screw ? 1 : 0;
        torque[r] = data.torque_stated || block_torque || (any_screw && all_ports) ? 1 : 0;
    }
    auto raise = [&](std::uint32_t row, double v) {
        if (row != no_row && !std::isnan(voltage[row]) && (std::isnan(v) || v > voltage[row])) voltage[row] = v;
    };
    for (const PowerSource& s : a->net.sources) {
        if (s.battery && s.plus != none) raise(a->device_row[s.thing.value], c.battery_voltage[a->net.on[s.plus]]);
    }
    for (const Port& p : a->net.ports) {
        if (p.plus != none) raise(a->device_row[p.device.value], (p.role == Port::Role::array ? c.net_voltage : c.battery_voltage)[a->net.on[p.plus]]);
    }
    for (const ConductorId id : a->d.conductors.ids()) {
        const std::uint32_t e = a->edge_of[id.value];
        if (e == none || a->d.conductors[id].role == ConductorRole::jumper) continue;
        const Feed& f = a->feeds.of(e);
        for (const TerminalId end : {a->d.conductors[id].a, a->d.conductors[id].b}) raise(a->device_row[a->d.terminals[end].value], a->edge_voltage(e, f));
        if (f.battery || f.strings == 0) continue;
        for (const TerminalId end : {a->d.conductors[id].a, a->d.conductors[id].b}) {
            const std::uint32_t row = a->device_row[a->d.terminals[end].value];
            if (row != no_row && !(current[row] >= f.isc * a->climate.irradiance * f.share)) current[row] = f.isc * a->climate.irradiance * f.share;
        }
    }
    auto& proper = fill.numbers("proper-voltage");
    for (std::uint32_t r = 0; r < n; ++r) {
        proper[r] = in_array[r] != 0 ? a->proper(voltage[r], table_circuit(*a, r)) : voltage[r];
    }
    fill.column("proper-voltage").missing = fill.column("circuit-voltage").missing = [a](std::uint32_t row) {
        const graph::Thing& thing = a->d.things[a->devices[row]];
        for (std::uint32_t i = 0; i < a->d.part_of(a->devices[row]).terminals.size(); ++i) {
            const std::uint32_t terminal = thing.first_terminal.value + i;
            if (!std::isnan(a->circuits.net_voltage[a->net.on[terminal]])) continue;
            const Lack l = a->circuit_lack(a->circuit_of(terminal));
            return Missing{l.what, l.where};
        }
        return Missing{"the voltage of its circuit", thing.span};
    };
    fill.column("rated-voltage").missing = [a](std::uint32_t row) {
        const graph::Part& p = a->d.part_of(a->devices[row]);
        return Missing{fmt::format("the DC voltage that {} is rated for", a->d.word(p.name)), p.span};
    };
}

void fill_fuses(Facts& facts, const Shared& a) {
    const auto n = static_cast<std::uint32_t>(a->fuses.size());
    Filler fill(facts, "fuse", n);
    Table& t = fill.table();
    const auto thing = [a](std::uint32_t row) { return ThingId(a->fuses[row].device); };
    t.name = [a, thing](std::uint32_t row) { return a->d.name(thing(row)); };
    t.place = [a, thing](std::uint32_t row) { return a->d.things[thing(row)].span; };
    t.thing = [thing](std::uint32_t row) { return thing(row).value; };
    t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->net.edges[a->fuses[row].edge].a); };
    t.properties = [a, thing](std::uint32_t row) { return a->d.things[thing(row)].rows; };
    t.part_properties = [a, thing](std::uint32_t row) {
        const graph::PartId link = a->fuse_link(thing(row).value);
        return link ? a->d.parts[link].rows : a->d.part_of(thing(row)).rows;
    };
    auto& device = fill.subjects("device");
    auto& link = fill.subjects("link");
    auto& has_link = fill.flags("has-link");
    auto& dc_rated = fill.flags("dc-rated");
    auto& rating = fill.numbers("rating");
    auto& voltage_rating = fill.numbers("voltage-rating");
    auto& voltage = fill.numbers("circuit-voltage");
    auto& proper = fill.numbers("proper-voltage");
    auto& current = fill.numbers("circuit-current");
    auto& continuous = fill.numbers("continuous-current");
    auto& source = fill.column("source").words;
    auto& side = fill.column("side").words;
    auto& fuse_class = fill.column("class").words;
    const base::Symbol array = facts.words.intern("array"), battery = facts.words.intern("battery"), no = facts.words.intern("none"),
                       plus = facts.words.intern("plus"), minus = facts.words.intern("minus");
    for (std::uint32_t r = 0; r < n; ++r) {
        const Analysis::FuseWay& w = a->fuses[r];
        const PartData& holder = a->part(thing(r));
        device[r] = a->device_row[w.device];
        const graph::PartId p = a->fuse_link(w.device);
        if (p) link[r] = p.value;
        has_link[r] = p ? 1 : 0;
        rating[r] = a->fuse_rating(w);
        const double of_link = p ? a->parts[p.value].rated_voltage : graph::unknown;
        voltage_rating[r] = std::isnan(of_link) || std::isnan(holder.rated_voltage) ? graph::unknown : std::min(of_link, holder.rated_voltage);
        const bool unread = (p && a->parts[p.value].rated_unread) || holder.rated_unread;
        dc_rated[r] = !p ? flag_unknown : unread ? 1 : std::isnan(of_link) || (std::isnan(holder.rated_voltage) && holder.ac_rated) ? 0 : 1;
        const Analysis::Side whose = a->side_of(w.edge, w.feed);
        voltage[r] = a->edge_voltage(w.edge, w.feed);
        proper[r] = whose == Analysis::Side::array ? a->proper(voltage[r], a->circuit_of(a->net.edges[w.edge].a)) : voltage[r];
        current[r] = carried(*a, w.feed);
        continuous[r] = current[r] * continuous_factor(*a, w.feed);
        source[r] = whose == Analysis::Side::battery ? battery : whose == Analysis::Side::array ? array : no;
        side[r] = w.feed.plus ? plus : minus;
        if (p) {
            const std::string_view c = class_of(a->d.text(a->d.parts[p].rows, "class", "class"));
            if (!c.empty()) fuse_class[r] = facts.words.intern(c);
        }
        // A trunk's fuse has every string behind it; only small sets are listed, or a plant would list them all again.
        fill.add_list("strings", r, w.only != none ? std::vector{w.only} : w.feed.strings <= 64 ? a->feeds.strings(w.edge, 64) : std::vector<std::uint32_t>{});
    }
    const auto no_link = [a, thing](std::uint32_t row) {
        const graph::PartId p = a->fuse_link(thing(row).value);
        if (!p) return Missing{fmt::format("the link fitted in {} (`with …`)", a->d.name(thing(row))), a->d.things[thing(row)].span};
        const bool of_link = std::isnan(a->parts[p.value].rated_voltage);
        const graph::Part& part = of_link ? a->d.parts[p] : a->d.part_of(thing(row));
        return Missing{fmt::format("`rated` of {}", a->d.word(part.name)), part.span};
    };
    explain_current(fill, "circuit-current", [a](std::uint32_t row) { return a->fuses[row].edge; }, t.place, a);
    for (const char* column : {"rating", "voltage-rating", "dc-rated"}) fill.column(column).missing = no_link;
    fill.column("proper-voltage").missing = fill.column("circuit-voltage").missing = [a](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->circuit_of(a->net.edges[a->fuses[row].edge].a));
        return Missing{l.what, l.where};
    };
}

void fill_terminals(Facts& facts, const Shared& a, const Landings& landings) {
    std::vector<std::uint32_t> rows;
    for (std::uint32_t t = 0; t < a->net.terminals; ++t) {
        if (landings.wires[t] < 2) continue;
        const ThingId thing = a->owner(t);
        if (a->device_row[thing.value] == no_row) continue;  // frames, boxes and places have a bonding point, not a clamp
        const auto& own = a->d.kind_of(thing).terminals;
        const std::string_view label = a->d.word(a->d.terminal(TerminalId(t)).label);
        const bool whole = a->part(thing).one_metal || a->d.terminal(TerminalId(t)).protective;
        if (whole && std::find(own.begin(), own.end(), label) != own.end()) continue;  // landed on the bar, no way given
        rows.push_back(t);
    }
    Filler fill(facts, "terminal", rows.size());
    Table& t = fill.table();
    const auto terminals = std::make_shared<const std::vector<std::uint32_t>>(rows);
    const auto last = std::make_shared<std::vector<std::uint32_t>>();
    t.name = [a, terminals](std::uint32_t row) { return a->d.name(TerminalId((*terminals)[row])); };
    t.thing = [a, terminals](std::uint32_t row) { return a->owner((*terminals)[row]).value; };
    t.circuit = [a, terminals](std::uint32_t row) { return a->circuit_of((*terminals)[row]); };
    for (std::uint32_t r = 0; r < rows.size(); ++r) {
        const std::uint32_t terminal = rows[r];
        fill.subjects("device")[r] = a->device_row[a->owner(terminal).value];
        fill.numbers("conductors")[r] = landings.wires[terminal];
        fill.subjects("first")[r] = landings.first[terminal];
        fill.subjects("last")[r] = landings.last[terminal];
        last->push_back(landings.last[terminal]);
        double capacity = graph::unknown;
        for (const auto source : {port_rows(a->d, TerminalId(terminal)), a->d.part_of(a->owner(terminal)).rows}) {
            if (!std::isnan(capacity)) break;
            const graph::Symbol takes = a->d.names.find("takes");
            for (const graph::RowId row : source) {
                if (!takes || a->d.rows[row].property != takes) continue;
                if (const auto* f = a->d.field(row, "conductors")) capacity = std::fmax(capacity, f->high);
            }
        }
        fill.numbers("capacity")[r] = capacity;
    }
    t.place = [a, last](std::uint32_t row) { return a->d.conductors[ConductorId((*last)[row])].span; };
    fill.column("capacity").missing = [a, terminals](std::uint32_t row) {
        const graph::Part& part = a->d.part_of(a->owner((*terminals)[row]));
        return Missing{fmt::format("how many conductors a terminal of {} takes (`takes`)", a->d.word(part.name)), part.span};
    };
}

void fill_cables(Facts& facts, const Shared& a) {
    std::vector<ThingId> rows;
    std::vector<std::uint32_t> row_of(a->d.things.size(), no_row);
    for (const ThingId id : a->d.things.ids()) {
        if (a->d.things[id].cls != graph::ThingClass::cable) continue;
        row_of[id.value] = static_cast<std::uint32_t>(rows.size());
        rows.push_back(id);
    }
    Filler fill(facts, "named-cable", rows.size());
    Table& t = fill.table();
    t.name = [a, rows](std::uint32_t row) { return a->d.name(rows[row]); };
    t.place = [a, rows](std::uint32_t row) { return a->d.things[rows[row]].span; };
    t.thing = [rows](std::uint32_t row) { return rows[row].value; };
    t.circuit = [](std::uint32_t) { return no_row; };
    t.part_properties = [a, rows](std::uint32_t row) { return a->d.part_of(rows[row]).rows; };
    std::vector<std::vector<std::uint16_t>> used(rows.size());
    for (const graph::Conductor& c : a->d.conductors) {
        if (c.named_cable && row_of[c.named_cable.value] != no_row) used[row_of[c.named_cable.value]].push_back(c.core);
    }
    for (std::uint32_t r = 0; r < rows.size(); ++r) {
        std::sort(used[r].begin(), used[r].end());
        used[r].erase(std::unique(used[r].begin(), used[r].end()), used[r].end());
        fill.subjects("part")[r] = a->d.things[rows[r]].part.value;
        fill.numbers("cores")[r] = a->d.number(a->d.part_of(rows[r]).rows, "cores", "count");
        fill.numbers("cores-used")[r] = static_cast<double>(used[r].size());
    }
    fill.column("cores").missing = [a, rows](std::uint32_t row) {
        const graph::Part& part = a->d.part_of(rows[row]);
        return Missing{fmt::format("`cores` of {}", a->d.word(part.name)), part.span};
    };
}

}  // namespace

void fill_devices(Facts& facts, const Shared& a) {
    const Landings landings = count_landings(a->d);
    fill_device_table(facts, a, landings);
    fill_fuses(facts, a);
    fill_terminals(facts, a, landings);
    fill_cables(facts, a);
}

}  // namespace ferrule::facts
