// short, reversal, landing, label-claim, lockout.
#include <optional>
#include <fmt/core.h>

#include <algorithm>
#include <unordered_set>

#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::TerminalId;
using graph::ThingId;

// 1 -> 2 -> 4: the terminals of a loop, from the source's + to its -.
std::string loop_text(const Analysis& a, const Short& s) {
    std::uint32_t t = a.net.sources[s.source].plus;
    std::string out = a.d.name(TerminalId(t));
    std::size_t shown = 0;
    for (const std::uint32_t e : s.loop) {
        t = a.net.other(e, t);
        if (++shown > 24) return out + " -> …";
        out += " -> " + a.d.name(TerminalId(t));
    }
    return out;
}

void fill_shorts(Facts& facts, const Shared& a) {
    const std::vector<Short>& rows = a->circuits.shorts;
    const auto n = static_cast<std::uint32_t>(rows.size());
    Filler fill(facts, "short", n);
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(a->net.sources[a->circuits.shorts[row].source].thing); };
    t.place = [a](std::uint32_t row) {
        const Short& s = a->circuits.shorts[row];
        return s.conductor != none ? a->d.conductors[ConductorId(s.conductor)].span : a->d.things[a->net.sources[s.source].thing].span;
    };
    t.thing = [a](std::uint32_t row) {
        const Short& s = a->circuits.shorts[row];
        return s.device != none ? s.device : a->net.sources[s.source].thing.value;
    };
    t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->net.sources[a->circuits.shorts[row].source].plus); };
    std::optional<StateNames> spoken;  // made when a short needs it
    for (std::uint32_t r = 0; r < n; ++r) {
        const Short& s = rows[r];
        const PowerSource& source = a->net.sources[s.source];
        fill.set_word("source", r, source.battery ? "battery" : "array");
        std::string state = "every switch in any position";
        if (s.state != none) {
            if (!spoken) spoken.emplace(a->d, a->net);
            state = spoken->text(a->positions.states[s.state]);
        } else if (!s.always) state = s.device != none ? fmt::format("{} on", a->d.name(ThingId(s.device))) : "every switch on";
        fill.set_word("state", r, state);
        fill.set_word("loop", r, loop_text(*a, s));
        if (s.device != none) fill.subjects("switch")[r] = a->device_row[s.device];
        if (!source.battery) fill.subjects("string")[r] = s.source;
        fill.subjects("conductor")[r] = row_or_none(s.conductor);
        fill.flags("through-switch")[r] = s.device != none ? 1 : 0;
        if (!source.battery) fill.numbers("current")[r] = a->strings[s.source].isc * a->climate.irradiance;
    }
}

void fill_reversals(Facts& facts, const Shared& a) {
    const std::vector<Reversal>& rows = a->circuits.reversals;
    const auto n = static_cast<std::uint32_t>(rows.size());
    Filler fill(facts, "reversal", n);
    Table& t = fill.table();
    const auto thing = [a](std::uint32_t row) {
        const Reversal& r = a->circuits.reversals[row];
        if (r.what == Reversal::What::at_switch) return ThingId(r.device);
        if (r.what == Reversal::What::input && r.port != none) return a->net.ports[r.port].device;
        return r.source != none ? a->net.sources[r.source].thing : a->net.ports[r.port].device;
    };
    t.name = [a, thing](std::uint32_t row) { return a->d.name(thing(row)); };
    t.place = [a, thing](std::uint32_t row) {
        const Reversal& r = a->circuits.reversals[row];
        return r.conductor != none ? a->d.conductors[ConductorId(r.conductor)].span : a->d.things[thing(row)].span;
    };
    t.thing = [thing](std::uint32_t row) { return thing(row).value; };
    t.circuit = [a](std::uint32_t row) {
        const Reversal& r = a->circuits.reversals[row];
        return a->circuit_of(r.source != none ? a->net.sources[r.source].plus : a->net.ports[r.port].plus);
    };
    constexpr const char* words[] = {"string", "input", "switch", "battery"};
    for (std::uint32_t i = 0; i < n; ++i) {
        const Reversal& r = rows[i];
        fill.set_word("what", i, words[static_cast<int>(r.what)]);
        if (r.source != none && r.source < a->net.strings) fill.subjects("string")[i] = r.source;
        fill.set_word("at", i, r.port != none ? port_name(*a, r.port) : a->d.name(a->net.sources[r.source].thing));
        if (r.port != none) fill.subjects("input")[i] = a->input_row[r.port];
        if (r.device != none) fill.subjects("switch")[i] = a->device_row[r.device];
        fill.subjects("conductor")[i] = row_or_none(r.conductor);
        fill.subjects("other")[i] = row_or_none(r.other);
        fill.numbers("parallel")[i] = r.parallel;
    }
}

void fill_landings(Facts& facts, const Shared& a) {
    const auto n = static_cast<std::uint32_t>(a->d.claims.size());
    Filler fill(facts, "landing", n);
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(a->d.claims[row].conductor); };
    t.place = [a](std::uint32_t row) { return a->d.claims[row].span; };
    t.thing = [a](std::uint32_t row) { return a->d.claims[row].device.value; };
    t.circuit = [](std::uint32_t) { return no_row; };
    for (std::uint32_t r = 0; r < n; ++r) {
        const graph::PositionClaim& c = a->d.claims[r];
        const graph::Part& part = a->d.part_of(c.device);
        fill.subjects("conductor")[r] = c.conductor.value;
        fill.subjects("device")[r] = a->device_row[c.device.value];
        fill.flags("face-known")[r] = part.face.empty() ? 0 : 1;
        fill.flags("number-given")[r] = c.landed ? 1 : 0;
        if (part.face.empty()) fill.flags("agrees")[r] = flag_unknown;
        fill.set_word("claimed", r, fmt::format("{} {}", a->d.word(c.side), c.position));
        if (c.landed) fill.set_word("landed", r, a->d.word(a->d.terminal(c.landed).label));
        for (const graph::Part::FacePlace& p : part.face) {
            if (p.side != c.side || p.position != c.position) continue;
            fill.set_word("there", r, a->d.word(part.terminals[p.terminal].label));
            if (c.landed && a->d.local(c.landed) == p.terminal) fill.flags("agrees")[r] = 1;
        }
    }
    fill.column("agrees").missing = [a](std::uint32_t row) {
        const graph::Part& part = a->d.part_of(a->d.claims[row].device);
        return Missing{fmt::format("where the terminals of {} sit (`face`)", a->d.word(part.name)), part.span};
    };
}

struct Claim {
    ThingId device, equipment, source;
    std::vector<ThingId> with;
    graph::RowId row;
};

std::vector<ThingId> things_in(const graph::Design& d, graph::RowId row, std::string_view field) {
    std::vector<ThingId> out;
    const graph::Symbol name = d.names.find(field);
    for (const graph::FieldId f : d.rows[row].fields) {
        const graph::Field& x = d.fields[f];
        if (x.type == graph::Accepts::thing && (!name || x.name == name) && x.target != 0xffffffffU) out.push_back(ThingId(x.target));
    }
    return out;
}

std::vector<Claim> claims_of(const graph::Design& d) {
    std::vector<Claim> claims;
    const graph::Symbol isolates = d.names.find("isolates"), together = d.names.find("together-with");
    for (const graph::Label& label : d.labels) {
        std::vector<ThingId> with;
        for (const graph::RowId row : label.rows) {
            if (together && d.rows[row].property == together) with = things_in(d, row, "switches");
        }
        for (const graph::RowId row : label.rows) {
            if (!isolates || d.rows[row].property != isolates) continue;
            for (const ThingId device : label.on) {
                if (d.kind_of(device).conducts != "contact") continue;
                for (const ThingId equipment : things_in(d, row, "equipment")) {
                    for (const ThingId source : things_in(d, row, "sources")) {
                        claims.push_back({device, equipment, source, with, row});
                    }
                }
            }
        }
    }
    return claims;
}

// Does one end of the source reach a terminal of the equipment over contacts that are not of these handles?
bool end_reaches(const Analysis& a, std::uint32_t end, ThingId equipment, const std::vector<std::uint32_t>& open_handles) {
    std::unordered_set<std::uint32_t> seen{end};
    std::vector<std::uint32_t> front{end};
    while (!front.empty()) {
        const std::uint32_t t = front.back();
        front.pop_back();
        if (a.owner(t) == equipment) return true;
        for (std::uint32_t k = a.net.first[t]; k < a.net.first[t + 1]; ++k) {
            const Edge& e = a.net.edges[a.net.at[k]];  // a change-over switch counts in any of its positions
            if (e.kind == Edge::Kind::contact &&
                std::find(open_handles.begin(), open_handles.end(), handle_of(a.d, e.thing)) != open_handles.end()) {
                continue;
            }
            const std::uint32_t u = a.net.other(a.net.at[k], t);
            if (seen.insert(u).second) front.push_back(u);
        }
    }
    return false;
}

// Is the equipment live from the source? A battery (one pole of which is nearly always common) and an array with an earthed pole
// have to reach it with both ends; an array that floats, with one.
bool reaches(const Analysis& a, ThingId source, ThingId equipment, const std::vector<std::uint32_t>& open_handles) {
    const graph::Thing& s = a.d.things[source];
    const bool array = a.string_row[source.value] != no_row;
    std::uint32_t ends = 0, reached = 0;
    bool earthed = false;
    for (std::uint32_t i = 0; i < a.d.part_of(source).terminals.size(); ++i) {
        if (a.d.part_of(source).terminals[i].protective) continue;
        const std::uint32_t end = s.first_terminal.value + i;
        ++ends;
        earthed = earthed || a.earthing.pole_earthed[a.net.on[end]] != 0;
        if (end_reaches(a, end, equipment, open_handles)) ++reached;
    }
    return array && !earthed ? reached != 0 : ends != 0 && reached == ends;
}

void fill_label_claims(Facts& facts, const Shared& a) {
    const auto claims = std::make_shared<const std::vector<Claim>>(claims_of(a->d));
    const auto n = static_cast<std::uint32_t>(claims->size());
    Filler fill(facts, "label-claim", n);
    Table& t = fill.table();
    t.name = [a, claims](std::uint32_t row) { return fmt::format("the label on {}", a->d.name((*claims)[row].device)); };
    t.place = [a, claims](std::uint32_t row) { return a->d.rows[(*claims)[row].row].span; };
    t.thing = [claims](std::uint32_t row) { return (*claims)[row].device.value; };
    t.circuit = [a, claims](std::uint32_t row) {
        const Claim& c = (*claims)[row];
        return a->circuit_of(a->d.things[c.source].first_terminal.value);
    };
    for (std::uint32_t r = 0; r < n; ++r) {
        const Claim& c = (*claims)[r];
        fill.subjects("switch")[r] = a->device_row[c.device.value];
        fill.set_word("equipment", r, a->d.name(c.equipment));
        std::vector<std::uint32_t> open{handle_of(a->d, c.device.value)};
        for (const ThingId w : c.with) open.push_back(handle_of(a->d, w.value));
        fill.flags("listed")[r] = c.with.empty() ? 0 : 1;
        const bool readable = a->open_circuit[a->circuit_of(a->d.things[c.source].first_terminal.value)] == 0 &&
                              a->open_thing[c.equipment.value] == 0 && a->open_thing[c.device.value] == 0;
        const bool still = reaches(*a, c.source, c.equipment, open);
        fill.set_word("from", r, a->d.name(c.source));
        fill.flags("still-live")[r] = still ? 1 : 0;
        fill.flags("never-joined")[r] = readable && !still && !reaches(*a, c.source, c.equipment, {}) ? 1 : 0;
    }
}

void fill_lockouts(Facts& facts, const Shared& a) {
    struct Lock {
        ThingId device;
        graph::RowId row;
    };
    std::vector<Lock> locks;
    const graph::Symbol lock = a->d.names.find("lock");
    for (const graph::Sequence& s : a->d.steps) {
        for (const graph::RowId row : s.rows) {
            if (!lock || a->d.rows[row].property != lock) continue;
            for (const ThingId id : things_in(a->d, row, "devices")) {
                if (a->device_row[id.value] != no_row) locks.push_back({id, row});
            }
        }
    }
    Filler fill(facts, "lockout", locks.size());
    Table& t = fill.table();
    t.name = [a, locks](std::uint32_t row) { return a->d.name(locks[row].device); };
    t.place = [a, locks](std::uint32_t row) { return a->d.rows[locks[row].row].span; };
    t.thing = [locks](std::uint32_t row) { return locks[row].device.value; };
    t.circuit = [](std::uint32_t) { return no_row; };
    t.properties = [a, locks](std::uint32_t row) { return a->d.things[locks[row].device].rows; };
    t.part_properties = [a, locks](std::uint32_t row) { return a->d.part_of(locks[row].device).rows; };
    for (std::uint32_t r = 0; r < locks.size(); ++r) {
        fill.subjects("device")[r] = a->device_row[locks[r].device.value];
        const std::string_view state = a->d.text(a->d.part_of(locks[r].device).rows, "lockable", "state");
        fill.flags("lockable-off")[r] = state.empty() ? flag_unknown : state == "off" || state == "both" ? 1 : 0;
        fill.flags("switch")[r] = a->part(locks[r].device).conducts == Conducts::contact ? 1 : 0;
    }
    fill.column("lockable-off").missing = [a, locks](std::uint32_t row) {
        const graph::Part& part = a->d.part_of(locks[row].device);
        return Missing{fmt::format("`lockable` of {}", a->d.word(part.name)), part.span};
    };
}

}  // namespace

void fill_mistakes(Facts& facts, const Shared& a) {
    fill_shorts(facts, a);
    fill_reversals(facts, a);
    fill_landings(facts, a);
    fill_label_claims(facts, a);
    fill_lockouts(facts, a);
}

}  // namespace ferrule::facts
