// surge-mode: what stands across a surge protector; and at which terminals a switch is fed.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "facts/surroundings.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::TerminalId;
using graph::ThingId;

struct Mode {
    ThingId device;
    std::uint32_t a = none, b = none;  // terminals; b is the protective one when to_earth
    bool to_earth = false;
};

std::vector<Mode> modes_of(const Analysis& a) {
    std::vector<Mode> out;
    for (const ThingId id : a.devices) {
        if (a.part(id).kind != "surge-protector") continue;
        std::vector<std::uint32_t> live;
        std::uint32_t earth = none;
        const std::uint32_t first = a.d.things[id].first_terminal.value;
        for (std::uint32_t i = 0; i < a.d.part_of(id).terminals.size(); ++i) {
            const std::uint32_t t = first + i;
            if (a.d.part_of(id).terminals[i].protective) earth = t;
            else if (a.circuits.island[a.net.on[t]] != none) live.push_back(t);  // a DC source joins it
        }
        for (std::size_t i = 0; i < live.size(); ++i) {
            for (std::size_t k = i + 1; k < live.size(); ++k) {
                if (a.circuits.island[a.net.on[live[i]]] == a.circuits.island[a.net.on[live[k]]]) out.push_back({id, live[i], live[k], false});
            }
            if (earth != none) out.push_back({id, live[i], earth, true});
        }
    }
    return out;
}

// Without an earthed pole, and with a converter that does not separate, one earth fault puts a pole at the voltage of the other
// against earth. An earthed pole stays there.
double voltage_of(const Analysis& a, const Mode& m) {
    const std::uint32_t net = a.net.on[m.a];
    if (!m.to_earth) return std::fabs(a.circuits.potential[net] - a.circuits.potential[a.net.on[m.b]]);
    return a.earthing.pole_earthed[net] != 0 ? 0 : a.circuits.net_voltage[net];
}

struct Continuous {
    double voltage = graph::unknown;
    bool of_the_other = false;  // `continuous` stands for the mode to earth as well
};

Continuous continuous_of(const Analysis& a, const Mode& m) {
    const auto rows = a.d.part_of(m.device).rows;
    const double own = m.to_earth ? a.d.number(rows, "continuous-to-earth", "voltage") : graph::unknown;
    if (!std::isnan(own)) return {own, false};
    return {a.d.number(rows, "continuous", "voltage"), m.to_earth};
}

std::string label(const Analysis& a, std::uint32_t t) { return std::string(a.d.word(a.d.terminal(TerminalId(t)).label)); }

bool warns_both(const graph::Design& d, const graph::Label& l) {
    for (const graph::RowId row : l.rows) {
        const graph::Field* what = d.word(d.rows[row].property) == "warns" ? d.field(row, "what") : nullptr;
        if (what != nullptr && d.word(what->text) == "both-sides-live") return true;
    }
    return false;
}

// Conductors that bring power to a device, and those that take it on.
struct FedSides {
    bool arrives_at_line = false, arrives_elsewhere = false, leaves_from_line = false;
    std::uint32_t arrives = none;  // a conductor, on a terminal that is not for the supply
};

}  // namespace

void fill_surges(Facts& facts, const Shared& a) {
    const auto modes = std::make_shared<const std::vector<Mode>>(modes_of(*a));
    Filler fill(facts, "surge-mode", modes->size());
    Table& t = fill.table();
    t.name = [a, modes](std::uint32_t row) {
        const Mode& m = (*modes)[row];
        return fmt::format("{} {} to {}", a->d.name(m.device), label(*a, m.a), m.to_earth ? std::string("earth") : label(*a, m.b));
    };
    t.place = [a, modes](std::uint32_t row) { return a->d.things[(*modes)[row].device].span; };
    t.thing = [modes](std::uint32_t row) { return (*modes)[row].device.value; };
    t.circuit = [a, modes](std::uint32_t row) { return a->circuit_of((*modes)[row].a); };
    t.part_properties = [a, modes](std::uint32_t row) { return a->d.part_of((*modes)[row].device).rows; };
    auto& device = fill.subjects("device");
    auto& voltage = fill.numbers("voltage");
    auto& proper = fill.numbers("proper-voltage");
    auto& continuous = fill.numbers("continuous");
    for (std::uint32_t r = 0; r < modes->size(); ++r) {
        const Mode& m = (*modes)[r];
        device[r] = a->device_row[m.device.value];
        voltage[r] = voltage_of(*a, m);
        proper[r] = a->proper(voltage[r], a->circuit_of(m.a));
        continuous[r] = continuous_of(*a, m).voltage;
        fill.set_word("mode", r, m.to_earth ? "pole to earth" : "pole to pole");
        fill.set_word("between", r, fmt::format("{} and {}", label(*a, m.a), m.to_earth ? std::string("earth") : label(*a, m.b)));
    }
    fill.column("voltage").missing = fill.column("proper-voltage").missing = [a, modes](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->circuit_of((*modes)[row].a));
        return Missing{l.what, l.where};
    };
    fill.column("voltage").working = [a, modes](std::uint32_t row) {
        const Mode& m = (*modes)[row];
        if (!m.to_earth || a->earthing.pole_earthed[a->net.on[m.a]] != 0) return std::vector<std::string>{};
        return std::vector{fmt::format("{} to earth: once another pole meets earth, the whole {}", label(*a, m.a), a->show(voltage_of(*a, m), "V"))};
    };
    fill.column("continuous").missing = [a, modes](std::uint32_t row) {
        const graph::Part& part = a->d.part_of((*modes)[row].device);
        return Missing{fmt::format("the voltage that {} may stand at for ever (`continuous`)", a->d.word(part.name)), part.span};
    };
    fill.column("continuous").assumed = [a, modes](std::uint32_t row) {
        const Mode& m = (*modes)[row];
        if (!continuous_of(*a, m).of_the_other) return std::vector<std::string>{};
        return std::vector{fmt::format("{} states no `continuous-to-earth`: its `continuous` is taken to hold from a pole to earth as well",
                                       a->d.word(a->d.part_of(m.device).name))};
    };
}

void fill_line_sides(Facts& facts, const Shared& a) {
    Filler fill(facts, "switch");
    std::unordered_map<std::uint32_t, FedSides> of;  // switches whose data sheet marks the side of the supply
    std::vector<std::uint8_t> on_line(a->net.terminals, 0);
    const graph::Symbol line = a->d.names.find("line");
    std::vector<std::uint8_t> marks(a->d.parts.size(), 0);
    for (const graph::PartId p : a->d.parts.ids()) marks[p.value] = line && a->d.states(a->d.parts[p].rows, "line") ? 1 : 0;
    for (const SwitchState& s : a->switches.switches) {
        const ThingId id(s.device);
        if (marks[a->d.things[id].part.value] == 0) continue;
        of.emplace(s.device, FedSides{});
        const graph::Part& part = a->d.part_of(id);
        for (const graph::FieldId f : a->d.rows[a->d.row(part.rows, line)].fields) {
            const auto at = part.by_label.find(a->d.fields[f].text);
            if (at != part.by_label.end()) on_line[a->d.terminal(id, at->second).value] = 1;
        }
    }
    if (!of.empty()) {
        for (const ConductorId c : a->d.conductors.ids()) {
            const graph::Conductor& conductor = a->d.conductors[c];
            if (a->edge_of[c.value] == none || conductor.role == graph::ConductorRole::jumper) continue;
            for (const TerminalId t : {conductor.a, conductor.b}) {
                const auto side = of.find(a->owner(t.value).value);
                if (side == of.end()) continue;
                const Feed& feed = a->feeds.of(a->edge_of[c.value]);
                if (!feed.battery && feed.strings == 0) continue;
                const bool arrives = feed.near != t.value, marked = on_line[t.value] != 0;
                if (arrives && marked) side->second.arrives_at_line = true;
                if (arrives && !marked) {
                    side->second.arrives_elsewhere = true;
                    side->second.arrives = c.value;
                }
                if (!arrives && marked) side->second.leaves_from_line = true;
            }
        }
    }
    std::unordered_map<std::uint32_t, bool> warned;
    for (const graph::Label& l : a->d.labels) {
        if (!warns_both(a->d, l)) continue;
        for (const ThingId id : l.on) warned[id.value] = true;
    }
    for (std::uint32_t r = 0; r < a->switches.switches.size(); ++r) {
        const ThingId id(a->switches.switches[r].device);
        const graph::Thing& thing = a->d.things[id];
        fill.flags("warned-both-sides")[r] = warned.count(id.value) != 0 ? 1 : 0;
        for (std::uint32_t i = thing.first_fitted; i < thing.first_fitted + thing.fitted; ++i) {
            if (a->parts[a->d.fitted[i].value].kind == "fuse") fill.flags("fuses-inside")[r] = 1;
        }
        const auto side = of.find(id.value);
        if (side == of.end()) continue;
        fill.flags("supply-marked")[r] = 1;
        const FedSides& s = side->second;
        if (s.arrives_at_line || !s.arrives_elsewhere || !s.leaves_from_line) continue;
        fill.flags("fed-at-load")[r] = a->links_unknown(id.value) ? flag_unknown : 1;
        fill.subjects("arrives")[r] = s.arrives;
    }
    fill.column("fed-at-load").missing = [a](std::uint32_t row) {
        const ThingId id(a->switches.switches[row].device);
        return Missing{fmt::format("what links are fitted in {0} (`jumper {0} none`, or its links, or `supplied`)", a->d.name(id)), a->d.things[id].span};
    };
}

}  // namespace ferrule::facts
