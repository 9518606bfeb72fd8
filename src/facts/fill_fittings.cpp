// What has to fit each other: link and holder, fine strands and the clamps of terminals, the leads of modules and their circuit, a
// string and the electronics on its modules, a diode and the way the current goes.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/protection.hpp"
#include "facts/takes.hpp"

namespace ferrule::facts {

namespace {

using graph::Conductor;
using graph::ConductorId;
using graph::PartId;
using graph::TerminalId;
using graph::ThingId;

void fill_links(Facts& facts, const Shared& a) {
    Filler fill(facts, "fuse");
    auto& fits = fill.flags("link-fits");
    for (std::uint32_t r = 0; r < a->fuses.size(); ++r) {
        const ThingId device(a->fuses[r].device);
        const PartId link = a->fuse_link(device.value);
        const PartId holder = a->d.things[device].part;
        fits[r] = flag_unknown;
        if (!link || link == holder) continue;
        const std::string_view body = a->d.text(a->d.parts[link].rows, "size", "size"), takes = a->d.text(a->d.parts[holder].rows, "size", "size");
        if (!body.empty() && !takes.empty()) fits[r] = same_letters(body, takes) ? 1 : 0;
    }
    fill.column("link-fits").missing = [a](std::uint32_t row) {
        const ThingId device(a->fuses[row].device);
        return Missing{fmt::format("`size` of the holder and of the link in {}", a->d.name(device)), a->d.things[device].span};
    };
}

// Finer than what clamps are made for unless they say so: IEC 60228 classes 5 and 6; finer than classes B and C in North America
// (NEC Chapter 9 Table 10).
bool fine_strands(std::string_view strands) {
    constexpr std::string_view classes[] = {"class-5", "class-6", "class-g", "class-h", "class-i", "class-k", "class-m"};
    return std::any_of(std::begin(classes), std::end(classes), [&](std::string_view c) { return same_letters(strands, c); });
}

void fill_strands(Facts& facts, const Shared& a) {
    Filler fill(facts, "conductor");
    const graph::Design& d = a->d;
    auto& bare = fill.flags("bare-strands");
    auto& at = fill.column("bare-at").words;
    auto& needs = fill.column("bare-needs").words;
    auto& part = fill.subjects("bare-part");
    bare.assign(fill.table().rows, 0);
    std::vector<std::uint8_t> fine(d.parts.size(), 0);
    for (const PartId p : d.parts.ids()) fine[p.value] = fine_strands(d.text(d.parts[p].rows, "strands", "class")) ? 1 : 0;
    const Takes takes(d);
    for (const ConductorId id : d.conductors.ids()) {
        const Conductor& c = d.conductors[id];
        if (!c.cable || fine[c.cable.value] == 0 || std::isnan(c.area)) continue;
        std::string text;
        for (const bool b : {false, true}) {
            const TerminalId t = b ? c.b : c.a;
            if (!t || (b ? c.end_part_b : c.end_part_a) || d.word(b ? c.end_b : c.end_a) != "bare") continue;
            // A terminal for the earth wire has its own clamp, which `takes` of a device does not describe.
            if (d.terminal(t).protective && !a->part(d.terminals[t]).one_metal) continue;
            const std::uint32_t together = std::uint32_t{a->net.landings[t.value]} + a->net.links[t.value];
            const graph::Symbol wants = takes.fine_end(takes.at(t), c.area, std::max(together, 1U));
            if (!wants || d.word(wants) == "bare") continue;
            text += fmt::format("{}{} takes fine strands only with {}", text.empty() ? "" : ", ", d.name(t), d.word(wants));
            if (part[id.value] == no_row) {
                part[id.value] = d.things[d.terminals[t]].part.value;
                needs[id.value] = facts.words.intern(d.word(wants));
            }
        }
        if (text.empty()) continue;
        bare[id.value] = 1;
        at[id.value] = facts.words.intern(text);
    }
}

// The least voltage that its leads are rated for stands first.
PartId weakest_lead(const graph::Design& d, ThingId string) {
    PartId weakest;
    double least = graph::unknown;
    const graph::Thing& t = d.things[string];
    for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
        const PartId p = d.groups[g].part;
        const double rated = d.number(d.parts[p].rows, "lead-rated", "voltage");
        if (std::isnan(rated) || rated >= least) continue;
        least = rated;
        weakest = p;
    }
    return weakest;
}

void fill_leads(Facts& facts, const Shared& a) {
    Filler fill(facts, "string");
    auto& voltage = fill.numbers("circuit-voltage");
    auto& proper = fill.numbers("proper-voltage");
    auto& weakest = fill.subjects("weakest-lead");
    auto& plugged = fill.flags("leads-plugged");
    auto& converter = fill.subjects("converter");
    auto& power = fill.numbers("module-power");
    for (const Mating& m : a->boxes.matings) {
        if (m.string != none) plugged[m.string] = 1;
    }
    for (std::uint32_t i = 0; i < a->net.strings; ++i) {
        const PowerSource& s = a->net.sources[i];
        const graph::Thing& t = a->d.things[s.thing];
        if (plugged[i] != 1) plugged[i] = 0;
        if (s.plus != none) {
            voltage[i] = a->circuits.net_voltage[a->net.on[s.plus]];
            proper[i] = a->proper(voltage[i], a->circuit_of(s.plus));
        }
        if (const PartId p = weakest_lead(a->d, s.thing)) weakest[i] = p.value;
        if (a->strings[i].electronics) converter[i] = a->strings[i].electronics.value;
        power[i] = 0;
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            power[i] += a->d.groups[g].count * a->d.number(a->d.parts[a->d.groups[g].part].rows, "pmax", "power");
        }
    }
    fill.column("proper-voltage").missing = fill.column("circuit-voltage").missing = [a](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->circuit_of(a->net.sources[row].plus));
        return Missing{l.what, l.where};
    };
    fill.column("module-power").missing = [a](std::uint32_t row) {
        const graph::Thing& t = a->d.things[a->net.sources[row].thing];
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            const graph::Part& part = a->d.parts[a->d.groups[g].part];
            if (!a->d.states(part.rows, "pmax")) return Missing{fmt::format("`pmax` of {}", a->d.word(part.name)), part.span};
        }
        return Missing{"its modules", t.span};
    };
}

void fill_diodes(Facts& facts, const Shared& a) {
    Filler fill(facts, "device");
    auto& backwards = fill.flags("diode-backwards");
    auto& lead = fill.subjects("diode-lead");
    backwards.assign(fill.table().rows, 0);
    const Pieces& pieces = a->feeds.pieces();
    for (std::uint32_t e = 0; e < a->net.edges.size(); ++e) {
        const Edge& edge = a->net.edges[e];
        if (edge.conductor != none || edge.kind != Edge::Kind::wire || edge.thing == none) continue;
        const ThingId device(edge.thing);
        const std::uint32_t row = a->device_row[device.value];
        if (row == no_row || a->part(device).kind != "diode" || pieces.parts[e].trunk == none) continue;
        const Feed& f = a->feeds.of(e);
        if (f.mesh || f.battery || f.strings == 0 || f.near == none) continue;
        // Which way the current goes can be said where one pole only is on the array's side.
        const Load& behind = a->feeds.sides().side(pieces.parts[e].trunk, pieces.towards(a->net, e, f.near));
        if (behind.plus != 0 && behind.plus != behind.strings) continue;
        const bool plus = behind.plus != 0;
        const std::string_view label = a->d.word(a->d.terminal(TerminalId(f.near)).label);
        if (label == (plus ? "anode" : "cathode")) continue;
        backwards[row] = 1;
        const std::string who = f.one != none ? "of " + a->d.name(a->net.sources[f.one].thing) : std::string("of the array");
        fill.set_word("diode-lands", row, fmt::format("the {} {} lands on its {}", plus ? "+" : "−", who, label));
        for (std::uint32_t k = a->net.first[f.near]; k < a->net.first[f.near + 1]; ++k) {
            const std::uint32_t c = a->net.edges[a->net.at[k]].conductor;
            if (c != none && lead[row] == no_row) lead[row] = c;
        }
    }
}

// A connector closes on the outside of the cable, and belongs on the end that meets a lead.
void fill_plugs(Facts& facts, const Shared& a) {
    Filler fill(facts, "conductor");
    const graph::Design& d = a->d;
    auto& plug = fill.subjects("plug");
    auto& grips = fill.flags("plug-grips");
    auto& diameter = fill.numbers("diameter");
    auto& least = fill.numbers("seal-least");
    auto& most = fill.numbers("seal-most");
    auto& swapped = fill.flags("ends-swapped");
    grips.assign(fill.table().rows, 1);
    std::vector<const graph::Field*> seal(d.parts.size(), nullptr);
    std::vector<double> outer(d.parts.size(), graph::unknown);
    std::vector<std::uint8_t> leads(d.parts.size(), 0);  // a module's leads, or a bought lead: its ends are plugs
    for (const PartId p : d.parts.ids()) {
        const std::string_view kind = a->parts[p.value].kind;
        const graph::RowId row = d.row(d.parts[p].rows, "diameter");
        if (kind == "connector") seal[p.value] = d.field(row, "length");
        else outer[p.value] = d.number(d.parts[p].rows, "diameter", "length");
        leads[p.value] = kind == "lead" || d.states(d.parts[p].rows, "lead") ? 1 : 0;
    }
    const auto is_lead = [&](TerminalId t) {
        const graph::Thing& owner = d.things[d.terminals[t]];
        return leads[owner.groups != 0 ? d.groups[owner.first_group].part.value : owner.part.value] != 0;
    };
    for (const ConductorId id : d.conductors.ids()) {
        const Conductor& c = d.conductors[id];
        const std::uint32_t r = id.value;
        swapped[r] = 0;
        if (c.cable) diameter[r] = outer[c.cable.value];
        for (const PartId p : {c.end_part_a, c.end_part_b}) {
            if (!p || seal[p.value] == nullptr || grips[r] == 0) continue;
            const graph::Field& s = *seal[p.value];
            if (std::isnan(diameter[r])) grips[r] = flag_unknown;
            else grips[r] = diameter[r] >= s.low - 1e-9 && diameter[r] <= s.high + 1e-9 ? 1 : 0;
            if (plug[r] != no_row && grips[r] != 0) continue;
            plug[r] = p.value;
            least[r] = s.low;
            most[r] = s.high;
        }
        for (const bool b : {false, true}) {
            const TerminalId here = b ? c.b : c.a, there = b ? c.a : c.b;
            const PartId on = b ? c.end_part_b : c.end_part_a;
            const graph::Symbol other = b ? c.end_a : c.end_b;
            if (!on || (b ? c.end_part_a : c.end_part_b) || !other || is_lead(here) || !is_lead(there)) continue;
            if (a->parts[on.value].kind != "connector" || a->parts[d.things[d.terminals[here]].part.value].kind == "connector") continue;
            swapped[r] = 1;
            fill.set_word("plug-at", r, d.name(here));
            fill.set_word("lead-at", r, fmt::format("{} would get {}", d.name(there), d.word(other)));
        }
    }
    fill.column("plug-grips").missing = fill.column("diameter").missing = [a](std::uint32_t row) {
        const Conductor& c = a->d.conductors[ConductorId(row)];
        if (!c.cable) return Missing{"the diameter of this cable (name a cable part that states it)", c.span};
        return Missing{fmt::format("`diameter` of {}", a->d.word(a->d.parts[c.cable].name)), a->d.parts[c.cable].span};
    };
}

void fill_halves(Facts& facts, const Shared& a) {
    Filler fill(facts, "mating");
    auto& voltage = fill.subjects("weaker-voltage");
    auto& current = fill.subjects("weaker-current");
    for (std::uint32_t r = 0; r < a->boxes.matings.size(); ++r) {
        const Mating& m = a->boxes.matings[r];
        voltage[r] = (m.voltage_of_a ? m.part_a : m.part_b).value;
        current[r] = (m.current_of_a ? m.part_a : m.part_b).value;
    }
}

void fill_unread(Facts& facts, const Shared& a) {
    Filler fill(facts, "site");
    const graph::Symbol coldest = a->d.names.find("coldest");
    const auto& unread = a->d.site_unread;
    fill.flags("coldest-unread").assign(fill.table().rows, coldest && std::find(unread.begin(), unread.end(), coldest) != unread.end() ? 1 : 0);
}

}  // namespace

void fill_fittings(Facts& facts, const Shared& a) {
    fill_unread(facts, a);
    fill_links(facts, a);
    fill_strands(facts, a);
    fill_leads(facts, a);
    fill_diodes(facts, a);
    fill_halves(facts, a);
    fill_plugs(facts, a);
}

}  // namespace ferrule::facts
