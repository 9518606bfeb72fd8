// switch, broken-circuit, pole.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "facts/analysis.hpp"
#include "facts/currents.hpp"
#include "facts/ratings.hpp"

namespace ferrule::facts {

namespace {

using findings::Related;
using graph::ConductorId;
using graph::ThingId;

std::string pole_name(const Analysis& a, std::uint32_t edge) {
    const Edge& e = a.net.edges[edge];
    return fmt::format("{} {}-{}", a.d.name(ThingId(e.thing)), a.d.word(a.d.terminal(graph::TerminalId(e.a)).label),
                       a.d.word(a.d.terminal(graph::TerminalId(e.b)).label));
}

double ambient_of(const Analysis& a, std::uint32_t device) {
    const ThingId place = place_of(a.d, ThingId(device));
    const graph::RowId row = place ? a.d.row(a.d.things[place].rows, "ambient") : graph::RowId();
    const graph::Field* f = a.d.field(row, "temperature");
    return f != nullptr ? f->high : graph::unknown;
}

struct CircuitNumbers {
    double voltage = 0, current = 0;
    double continuous = 0;  // A without end, as a rating has to cover it
    Rating rating, least;
};

double circuit_voltage(const Analysis& a, const BrokenCircuit& b) {
    const Circuits& c = a.circuits;
    double v = 0;
    for (const std::uint32_t i : b.sources) v = std::isnan(a.emf[i]) || a.emf[i] > v ? a.emf[i] : v;
    if (b.net_plus != none && b.net_minus != none && c.island[b.net_plus] != none && c.island[b.net_plus] == c.island[b.net_minus]) {
        const double between = std::fabs(c.potential[b.net_plus] - c.potential[b.net_minus]);
        v = std::isnan(v) || std::isnan(between) ? graph::unknown : std::max(v, between);
    }
    return v;
}

// The standard's factor for duty without end; what is listed for it needs none.
double continuous_duty(const Analysis& a, const BrokenCircuit& b) { return a.part(ThingId(b.device)).without_end ? 1 : a.climate.continuous; }

std::uint32_t port_behind(const Analysis& a, const BrokenCircuit& b);

// The contacts that one earth fault may leave alone: the smaller group; or, where a pole is earthed before the switch and nothing
// behind it meets the earth, those of the other pole, as a fault of the earthed one takes nothing out.
std::uint32_t left_alone(const Analysis& a, const BrokenCircuit& b) {
    const std::uint32_t smaller = std::min(b.poles_plus, b.poles_minus);
    if (smaller == 0) return std::max(b.poles_plus, b.poles_minus);
    const std::uint32_t port = port_behind(a, b);
    if (b.battery || b.sources.empty() || port == none || a.part(a.net.ports[port].device).isolated != Answer::yes) return smaller;
    const PowerSource& s = a.net.sources[b.sources.front()];
    const Port& p = a.net.ports[port];
    const auto earthed = [&](std::uint32_t t) { return t != none && a.earthing.pole_earthed[a.net.on[t]] != 0; };
    const auto on_net_of = [&](std::uint32_t t) {
        return t != none && std::any_of(a.earthing.links.begin(), a.earthing.links.end(), [&](const EarthLink& l) { return a.net.off[l.terminal] == a.net.off[t]; });
    };
    if (earthed(s.plus) == earthed(s.minus)) return smaller;
    const bool plus = earthed(s.plus);
    if (!on_net_of(plus ? s.plus : s.minus) || on_net_of(p.plus) || on_net_of(p.minus)) return smaller;
    return plus ? b.poles_minus : b.poles_plus;
}

CircuitNumbers numbers_of(const Analysis& a, const BrokenCircuit& b) {
    CircuitNumbers n;
    n.voltage = circuit_voltage(a, b);
    const PartData& part = a.part(ThingId(b.device));
    Contacts contacts = contacts_of(a, b);
    contacts.ambient = ambient_of(a, b.device);
    const double asked = b.battery ? n.voltage : a.proper(n.voltage, a.circuits.circuit[b.net_plus != none ? b.net_plus : b.net_minus]);
    n.rating = look_up(part, contacts, asked);
    contacts.in_series = left_alone(a, b);
    n.least = look_up(part, contacts, asked);
    if (b.battery) {
        n.current = 0;
        for (const std::uint32_t i : b.sources) {
            const graph::Thing& t = a.d.things[a.net.sources[i].thing];
            const graph::PartId p = t.groups != 0 ? a.d.groups[t.first_group].part : t.part;
            n.current += a.d.number(a.d.parts[p].rows, "short-circuit", "current");
        }
        // What flows in service; breaking a short is another matter (`withstands`, and the fuse before it).
        n.continuous = a.feeds.of(b.pole_a).service;
    } else {
        n.current = b.isc * a.climate.irradiance;
        n.continuous = n.current * continuous_duty(a, b);
    }
    return n;
}

std::string row_text(const graph::Design& d, graph::RowId row) {
    const graph::Row& r = d.rows[row];
    std::string out(d.word(r.property));
    auto field = [&](std::string_view name) { return d.field(row, name); };
    if (const auto* f = field("contacts")) out += fmt::format(" {:.0f}", f->low);
    if (const auto* f = field("arrangement")) {
        const std::string_view how = d.word(f->text);
        out += how == "conductor" ? " per conductor" : fmt::format(" in {}", how);
    }
    for (const char* name : {"voltage", "current"}) {
        if (const auto* f = field(name)) out += " " + d.units->show(f->high, f->unit);
    }
    if (const auto* f = field("category")) out += fmt::format(" {}", d.word(f->text));
    if (const auto* f = field("ambient")) out += fmt::format(" at {}", d.units->show(f->high, f->unit));
    return out;
}

std::string sides_text(const BrokenCircuit& b) {
    return fmt::format("{} contact{} in + and {} in -: {} one after the other", b.poles_plus, b.poles_plus == 1 ? "" : "s", b.poles_minus,
                       b.poles_plus + b.poles_minus);
}

Missing jumpers_lacking(const Analysis& a, std::uint32_t device) {
    const ThingId id(device);
    return {fmt::format("what links are fitted in {0} (`jumper {0} none`, or its links, or `supplied`)", a.d.name(id)), a.d.things[id].span};
}

// Does the handle have the positions in which contacts close, and is all that it switches reckoned? Everything is reckoned for one.
std::uint8_t positions_judged(const Analysis& a, std::uint32_t device) {
    const graph::Part& part = a.d.part_of(ThingId(device));
    const graph::RowId stated = a.d.row(part.rows, "positions");
    const auto has = [&](graph::Symbol position) {
        for (const graph::FieldId f : a.d.rows[stated].fields) {
            if (a.d.fields[f].text == position) return true;
        }
        return false;
    };
    for (const graph::PoleTemplate& pole : part.poles) {
        if (stated && pole.closed_in && !has(pole.closed_in)) return 0;
    }
    const std::uint32_t first = a.d.things[ThingId(device)].first_terminal.value;
    const auto live = [&](std::uint32_t net) {
        return a.circuits.plus_ends[net] + a.circuits.minus_ends[net] + a.circuits.battery_plus_ends[net] + a.circuits.battery_minus_ends[net] != 0;
    };
    for (std::uint32_t i = 0; i < part.terminals.size(); ++i) {
        for (std::uint32_t k = a.net.first[first + i]; k < a.net.first[first + i + 1]; ++k) {
            if (!a.net.edges[a.net.at[k]].closed && live(a.net.on[first + i])) return flag_unknown;
        }
    }
    return 1;
}

void fill_table_of_switches(Facts& facts, const Shared& a) {
    const auto n = static_cast<std::uint32_t>(a->switches.switches.size());
    Filler fill(facts, "switch", n);
    Table& t = fill.table();
    const auto thing = [a](std::uint32_t row) { return ThingId(a->switches.switches[row].device); };
    t.name = [a, thing](std::uint32_t row) { return a->d.name(thing(row)); };
    t.place = [a, thing](std::uint32_t row) { return a->d.things[thing(row)].span; };
    t.thing = [thing](std::uint32_t row) { return thing(row).value; };
    std::vector<std::uint32_t> short_at(a->d.things.size(), no_row), reversal_at(a->d.things.size(), no_row);
    for (std::uint32_t s = 0; s < a->circuits.shorts.size(); ++s) {
        const Short& x = a->circuits.shorts[s];
        if (x.device != none && short_at[x.device] == no_row) short_at[x.device] = s;
    }
    for (std::uint32_t r = 0; r < a->circuits.reversals.size(); ++r) {
        const Reversal& x = a->circuits.reversals[r];
        if (x.what == Reversal::What::at_switch && x.device != none) reversal_at[x.device] = r;
    }
    // That of what is wrong with it, or else of the first terminal on which something lands.
    t.circuit = [a, thing, reversal_at](std::uint32_t row) {
        const SwitchState& s = a->switches.switches[row];
        const std::uint32_t reversal = reversal_at[s.device];
        const std::uint32_t conductor = reversal != no_row ? a->circuits.reversals[reversal].conductor : none;
        if (s.no_path) return a->circuit_of(s.arrives);
        if (conductor != none) return a->circuit_of(a->d.conductors[ConductorId(conductor)].a.value);
        const std::uint32_t first = a->d.things[thing(row)].first_terminal.value;
        for (std::uint32_t i = 0; i < a->d.part_of(thing(row)).terminals.size(); ++i) {
            if (a->net.landings[first + i] != 0) return a->circuit_of(first + i);
        }
        return a->circuit_of(first);
    };
    t.properties = [a, thing](std::uint32_t row) { return a->d.things[thing(row)].rows; };
    t.part_properties = [a, thing](std::uint32_t row) { return a->d.part_of(thing(row)).rows; };
    std::vector<std::uint32_t> first_link(a->d.things.size(), no_row);
    for (const PoleState& p : a->switches.poles) {
        if (p.jumper != none) first_link[p.device] = std::min(first_link[p.device], p.jumper);
    }
    for (std::uint32_t r = 0; r < n; ++r) {
        const SwitchState& s = a->switches.switches[r];
        const PartData& part = a->part(thing(r));
        fill.subjects("device")[r] = a->device_row[s.device];
        fill.set_word("kind", r, part.kind);
        fill.numbers("circuits")[r] = s.circuits;
        fill.flags("in-dc")[r] = s.in_dc ? 1 : 0;
        fill.flags("in-array")[r] = s.in_array ? 1 : 0;
        fill.flags("dc-rated")[r] = part.ratings.empty() && !part.rated_unread ? 0 : 1;
        fill.flags("ac-rated")[r] = part.ac_rated ? 1 : 0;
        fill.flags("no-path")[r] = !s.no_path || a->open_thing[s.device] != 0 ? 0 : a->links_unknown(s.device) ? flag_unknown : 1;
        fill.subjects("unfed")[r] = row_or_none(s.unfed);
        fill.subjects("links")[r] = first_link[s.device];
        fill.flags("mispaired")[r] = s.mispaired ? 1 : 0;
        fill.flags("jumpers-undecided")[r] = a->links_unknown(s.device) ? 1 : 0;
        fill.flags("positions-judged")[r] = positions_judged(*a, s.device);
        const Category c = category_of(part.categories);
        fill.flags("breaks-load")[r] = part.breaks_load && (!c.known || c.breaks_load) ? 1 : 0;
        fill.flags("shorts")[r] = short_at[s.device] != no_row ? 1 : 0;
        fill.subjects("short")[r] = short_at[s.device];
        fill.subjects("reversal")[r] = reversal_at[s.device];
    }
    fill.column("positions-judged").missing = [a, thing](std::uint32_t row) {
        return Missing{fmt::format("what {} carries and breaks in the positions other than the one taken for on", a->d.name(thing(row))), a->d.things[thing(row)].span};
    };
    fill.column("no-path").missing = [a, thing](std::uint32_t row) { return jumpers_lacking(*a, thing(row).value); };
}

void fill_poles(Facts& facts, const Shared& a) {
    const auto n = static_cast<std::uint32_t>(a->switches.poles.size());
    Filler fill(facts, "pole", n);
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return pole_name(*a, a->switches.poles[row].edge); };
    t.place = [a](std::uint32_t row) { return a->d.things[ThingId(a->switches.poles[row].device)].span; };
    t.thing = [a](std::uint32_t row) { return a->switches.poles[row].device; };
    t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->net.edges[a->switches.poles[row].edge].a); };
    const graph::Symbol spare = a->d.names.find("spare");
    auto is_spare = [&](const PoleState& p) {
        const Edge& e = a->net.edges[p.edge];
        for (const graph::RowId row : a->d.things[ThingId(p.device)].rows) {
            if (!spare || a->d.rows[row].property != spare) continue;
            for (const graph::FieldId f : a->d.rows[row].fields) {
                const graph::Symbol label = a->d.fields[f].text;
                for (const std::uint32_t terminal : {e.a, e.b}) {
                    if (a->d.terminal(graph::TerminalId(terminal)).label == label) return true;
                }
            }
        }
        return false;
    };
    auto& device = fill.subjects("switch");
    auto& in_circuit = fill.flags("in-circuit");
    auto& bridged = fill.flags("bridged");
    auto& dead = fill.flags("dead-branch");
    auto& tail = fill.flags("live-tail");
    auto& said_spare = fill.flags("spare");
    auto& protective = fill.flags("protective");
    auto& backwards = fill.flags("backwards");
    auto& bridge = fill.subjects("bridged-by");
    auto& jumper = fill.subjects("jumper");
    auto& landing = fill.subjects("landing");
    auto& circuit_landing = fill.subjects("circuit-landing");
    for (std::uint32_t r = 0; r < n; ++r) {
        const PoleState& p = a->switches.poles[r];
        device[r] = a->device_row[p.device];
        in_circuit[r] = p.in_circuit ? 1 : 0;
        bridged[r] = p.bridged ? 1 : 0;
        const bool readable = a->open_thing[p.device] == 0 && !a->links_unknown(p.device);
        dead[r] = p.dead_branch && readable ? 1 : 0;
        tail[r] = p.live_tail && readable ? 1 : 0;
        said_spare[r] = is_spare(p) ? 1 : 0;
        protective[r] = p.protective ? 1 : 0;
        backwards[r] = p.backwards ? 1 : 0;
        bridge[r] = row_or_none(p.bridge);
        jumper[r] = row_or_none(p.jumper);
        landing[r] = row_or_none(p.landing);
        circuit_landing[r] = row_or_none(p.circuit_landing);
    }
}

// The array port behind a broken circuit, or none.
std::uint32_t port_behind(const Analysis& a, const BrokenCircuit& b) {
    if (b.input != none) return b.input;
    const std::uint32_t g = !b.battery && !b.sources.empty() ? a.circuits.group_of[b.sources.front()] : none;
    return g != none ? a.group_input[g] : none;
}

// What stands on the input may come back through the switch.
bool feeds_back(const Analysis& a, std::uint32_t port) {
    const Port& p = a.net.ports[port];
    return p.role == Port::Role::array && a.d.number(a.d.part_of(p.device).ports[p.port].rows, "backfeed", "current") > 0;
}

// The last jumper on the first contact of a way whose contacts stand side by side, or else the last conductor there.
std::uint32_t paralleling_jumper(const Analysis& a, const BrokenCircuit& b) {
    std::uint32_t found = no_row, wire = no_row;
    if (b.paralleled <= 1 || b.beside == none) return found;
    for (const std::uint32_t terminal : {a.net.edges[b.beside].a, a.net.edges[b.beside].b}) {
        for (std::uint32_t k = a.net.first[terminal]; k < a.net.first[terminal + 1]; ++k) {
            const std::uint32_t conductor = a.net.edges[a.net.at[k]].conductor;
            if (conductor == none) continue;
            (a.d.conductors[ConductorId(conductor)].role == graph::ConductorRole::jumper ? found : wire) = conductor;
        }
    }
    return found != no_row ? found : wire;
}

// Which pole of the circuit is earthed, here or at the port behind it: 1, -1, or 0 for neither.
int earthed_pole(const Analysis& a, const BrokenCircuit& b) {
    int sign = 0;
    auto look = [&](std::uint32_t net, int of) {
        if (net != none && a.earthing.pole_earthed[net] != 0) sign = of;
    };
    look(b.net_plus, 1);
    look(b.net_minus, -1);
    const std::uint32_t port = port_behind(a, b);
    if (port == none) return sign;
    look(a.net.on[a.net.ports[port].plus], 1);
    look(a.net.on[a.net.ports[port].minus], -1);
    return sign;
}

// Can an earth fault find a way home through what the circuit feeds? Of a battery: through an inverter on it; a charge controller
// leads to an array that has no more to do with earth than the battery itself.
struct Separated {
    Answer answer = Answer::unknown;
    ThingId converter;  // that the answer is from; none if there is none
};
Separated separated(const Analysis& a, const BrokenCircuit& b) {
    const auto of = [&](std::uint32_t port) { return Separated{a.part(a.net.ports[port].device).isolated, a.net.ports[port].device}; };
    if (!b.battery) {
        const std::uint32_t port = port_behind(a, b);
        return port == none ? Separated{} : of(port);
    }
    const std::uint32_t bank = b.sources.empty() ? none : a.banks.of_source[b.sources.front()];
    if (bank == none) return {};
    Separated all{Answer::yes, {}};
    for (const std::uint32_t port : a.banks.banks[bank].ports) {
        if (a.part(a.net.ports[port].device).kind != "inverter") continue;
        const Separated one = of(port);
        if (one.answer == Answer::no || all.answer == Answer::yes) all = one;
    }
    return all;
}

// The row of the plate that a rating was taken from.
enum class Rated : std::uint8_t { voltage, voltage_least, current, current_least, parallel_current };
graph::RowId plate_row(const CircuitNumbers& x, Rated which) {
    switch (which) {
        case Rated::voltage: return x.rating.voltage_row;
        case Rated::voltage_least: return x.least.voltage_row;
        case Rated::current: return x.rating.current_row;
        case Rated::current_least: return x.least.current_row;
        case Rated::parallel_current: break;
    }
    return x.rating.parallel_row;
}

void name_circuits(Table& t, const Shared& a) {
    const auto thing = [a](std::uint32_t row) { return ThingId(a->switches.circuits[row].device); };
    t.name = [a, thing](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        std::string from = b.sources.empty() ? "?" : a->d.name(a->net.sources[b.sources.front()].thing);
        if (b.sources.size() > 1) from += fmt::format(" and {} more", b.sources.size() - 1);
        return fmt::format("{}: the circuit of {}", a->d.name(thing(row)), from);
    };
    t.place = [a, thing](std::uint32_t row) { return a->d.things[thing(row)].span; };
    t.thing = [thing](std::uint32_t row) { return thing(row).value; };
    t.circuit = [a](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        return a->circuits.circuit[b.net_plus != none ? b.net_plus : b.net_minus];
    };
    t.properties = [a, thing](std::uint32_t row) { return a->d.things[thing(row)].rows; };
    t.part_properties = [a, thing](std::uint32_t row) { return a->d.part_of(thing(row)).rows; };
}

// What is lacking where a figure is unknown.
void explain_lacks(Filler& fill, const Shared& a) {
    const auto thing = [a](std::uint32_t row) { return ThingId(a->switches.circuits[row].device); };
    const auto links_lacking = [a](std::uint32_t row) { return jumpers_lacking(*a, a->switches.circuits[row].device); };
    for (const char* column : {"poles-plus", "poles-minus", "poles-in-series", "poles-least", "paralleled", "paralleled-least", "has-rating", "has-parallel-rating"}) {
        fill.column(column).missing = links_lacking;
    }
    const auto lack = [a](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        for (const std::uint32_t i : b.sources) {
            if (std::isnan(a->emf[i])) {
                const Lack l = a->emf_lack(i);
                return Missing{l.what, l.where};
            }
        }
        return Missing{"the voltage of its sources", a->d.site_span};
    };
    fill.column("voltage").missing = lack;
    fill.column("proper-voltage").missing = lack;
    const auto no_row_of_plate = [a, thing](std::uint32_t row, bool of_one_conductor) {
        const BrokenCircuit& b = a->switches.circuits[row];
        if (a->links_unknown(b.device)) return jumpers_lacking(*a, b.device);
        if (std::isnan(circuit_voltage(*a, b)) && !b.sources.empty()) {
            for (const std::uint32_t i : b.sources) {
                if (!std::isnan(a->emf[i])) continue;
                const Lack l = a->emf_lack(i);
                return Missing{l.what, l.where};
            }
        }
        const graph::Part& part = a->d.part_of(thing(row));
        const std::uint32_t contacts = of_one_conductor ? left_alone(*a, b) : b.poles_plus + b.poles_minus;
        return Missing{fmt::format("a `rated` row of {} for {} contact{} in series", a->d.word(part.name), contacts, contacts == 1 ? "" : "s"), part.span};
    };
    for (const char* column : {"rated-voltage", "rated-current"}) {
        fill.column(column).missing = [no_row_of_plate](std::uint32_t row) { return no_row_of_plate(row, false); };
    }
    for (const char* column : {"rated-voltage-least", "rated-current-least"}) {
        fill.column(column).missing = [no_row_of_plate](std::uint32_t row) { return no_row_of_plate(row, true); };
    }
    fill.column("category").missing = [a, thing](std::uint32_t row) {
        const graph::Part& part = a->d.part_of(thing(row));
        return Missing{fmt::format("the `category` of {} for direct current", a->d.word(part.name)), part.span};
    };
    fill.column("parallel-voltage").missing = fill.column("parallel-current").missing = [a, thing, links_lacking](std::uint32_t row) {
        if (a->links_unknown(a->switches.circuits[row].device)) return links_lacking(row);
        const graph::Part& part = a->d.part_of(thing(row));
        return Missing{fmt::format("a `rated` row of {} for {} contacts in parallel", a->d.word(part.name), a->switches.circuits[row].paralleled), part.span};
    };
    fill.column("first-fault").missing = [a](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        const Separated by = separated(*a, b);
        if (!by.converter) return Missing{"the converter behind it", a->d.things[ThingId(b.device)].span};
        const graph::Part& part = a->d.part_of(by.converter);
        return Missing{fmt::format("`isolated yes` or `isolated no` of {}", a->d.word(part.name)), part.span};
    };
}

void explain_ratings(Filler& fill, const Shared& a) {
    const auto thing = [a](std::uint32_t row) { return ThingId(a->switches.circuits[row].device); };
    const auto rating_working = [a, thing](std::uint32_t row, Rated which) {
        const BrokenCircuit& b = a->switches.circuits[row];
        const CircuitNumbers x = numbers_of(*a, b);
        const graph::RowId plate = plate_row(x, which);
        std::vector<std::string> out;
        out.push_back(fmt::format("{}: {}", a->d.name(thing(row)), sides_text(b)));
        if (plate) out.push_back(fmt::format("{}: the row that applies is `{}`", a->d.word(a->d.part_of(thing(row)).name), row_text(a->d, plate)));
        return out;
    };
    const auto rating_place = [a, thing](std::uint32_t row, Rated which) {
        const CircuitNumbers x = numbers_of(*a, a->switches.circuits[row]);
        const graph::RowId plate = plate_row(x, which);
        std::vector<Related> out;
        if (plate) out.push_back({a->d.rows[plate].span, fmt::format("the rating of {} that applies", a->d.word(a->d.part_of(thing(row)).name))});
        return out;
    };
    constexpr std::pair<const char*, Rated> columns[] = {{"rated-voltage", Rated::voltage},
                                                         {"rated-voltage-least", Rated::voltage_least},
                                                         {"rated-current", Rated::current},
                                                         {"rated-current-least", Rated::current_least},
                                                         {"parallel-voltage", Rated::parallel_current},
                                                         {"parallel-current", Rated::parallel_current}};
    for (const auto& [name, of] : columns) {
        Column& c = fill.column(name);
        const Rated which = of;
        c.working = [rating_working, which](std::uint32_t row) { return rating_working(row, which); };
        c.rests_on = [rating_place, which](std::uint32_t row) { return rating_place(row, which); };
    }
}

void explain_voltage_and_current(Filler& fill, const Shared& a) {
    fill.column("voltage").working = [a](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        std::uint32_t high = none;
        for (const std::uint32_t i : b.sources) {
            if (high == none || a->emf[i] > a->emf[high]) high = i;
        }
        if (high == none || std::isnan(circuit_voltage(*a, b))) return std::vector<std::string>{};
        if (high >= a->net.strings) {
            return std::vector{fmt::format("{}: highest charging voltage {}", a->d.name(a->net.sources[high].thing), a->show(a->emf[high], "V"))};
        }
        if (circuit_voltage(*a, b) > a->emf[high]) return a->system_voltage_working(high);
        return voltage_working(a->d, a->parts, a->net.sources[high], a->strings[high], a->climate, a->standard, Voltage::voc_coldest);
    };
    const auto current_text = [a](const BrokenCircuit& b) {
        return fmt::format("{} string{} with isc {} in all x {} (irradiance factor) = {}", b.strings, b.strings == 1 ? "" : "s", a->show(b.isc, "A"),
                           units::show_number(a->climate.irradiance), a->show(b.isc * a->climate.irradiance, "A"));
    };
    fill.column("current").working = [a, current_text](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        return b.battery ? std::vector<std::string>{} : std::vector{current_text(b)};
    };
    fill.column("continuous-current").working = [a, current_text](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        if (b.battery) return carried_text(*a, b.pole_a);
        const double max = b.isc * a->climate.irradiance, factor = continuous_duty(*a, b);
        if (factor != a->climate.continuous) return std::vector{current_text(b), std::string("its data sheet lists it for duty without end (`continuous-duty yes`)")};
        return std::vector{current_text(b), fmt::format("{} x {} (continuous duty) = {}", a->show(max, "A"), units::show_number(factor), a->show(max * factor, "A"))};
    };
    fill.column("continuous-current").missing = [a](std::uint32_t row) {
        const BrokenCircuit& b = a->switches.circuits[row];
        return carried_missing(*a, b.pole_a, a->d.things[ThingId(b.device)].span);
    };
}

void fill_broken_circuits(Facts& facts, const Shared& a) {
    const std::vector<BrokenCircuit>& rows = a->switches.circuits;
    const auto n = static_cast<std::uint32_t>(rows.size());
    Filler fill(facts, "broken-circuit", n);
    name_circuits(fill.table(), a);
    auto& device = fill.subjects("switch");
    auto& input = fill.subjects("input");
    auto& bypass = fill.subjects("bypassed-by");
    auto& paralleled_by = fill.subjects("paralleled-by");
    auto& voltage = fill.numbers("voltage");
    auto& proper = fill.numbers("proper-voltage");
    auto& current = fill.numbers("current");
    auto& continuous = fill.numbers("continuous-current");
    auto& plus = fill.numbers("poles-plus");
    auto& minus = fill.numbers("poles-minus");
    auto& in_series = fill.numbers("poles-in-series");
    auto& least = fill.numbers("poles-least");
    auto& paralleled = fill.numbers("paralleled");
    auto& paralleled_least = fill.numbers("paralleled-least");
    auto& rated_voltage = fill.numbers("rated-voltage");
    auto& rated_least = fill.numbers("rated-voltage-least");
    auto& rated_current = fill.numbers("rated-current");
    auto& current_least = fill.numbers("rated-current-least");
    auto& parallel_voltage = fill.numbers("parallel-voltage");
    auto& parallel_current = fill.numbers("parallel-current");
    auto& cooler = fill.subjects("too-warm-in");
    auto& circuits = fill.numbers("circuits");
    auto& has_rating = fill.flags("has-rating");
    auto& has_parallel = fill.flags("has-parallel-rating");
    auto& first_fault = fill.flags("first-fault");
    auto& multi = fill.flags("multi-source");
    auto& known = fill.flags("category-known");
    auto& breaks = fill.flags("category-breaks-load");
    auto& single = fill.flags("category-single-string");
    auto& not_pv = fill.flags("category-not-pv");
    auto& resistive = fill.flags("category-resistive");
    auto& source = fill.column("source").words;
    auto& joined = fill.column("joined-when-off").words;
    auto& earthed_side = fill.column("solidly-earthed-side").words;
    const base::Symbol array = facts.words.intern("array"), battery = facts.words.intern("battery"), no = facts.words.intern("none"),
                       plus_word = facts.words.intern("plus"), minus_word = facts.words.intern("minus"), both = facts.words.intern("both");
    std::vector<std::uint32_t> in_switch(a->d.things.size(), 0);
    for (const BrokenCircuit& b : rows) ++in_switch[b.device];
    for (std::uint32_t r = 0; r < n; ++r) {
        const BrokenCircuit& b = rows[r];
        const CircuitNumbers x = numbers_of(*a, b);
        device[r] = a->device_row[b.device];
        const std::uint32_t port = port_behind(*a, b);
        if (port != none) input[r] = a->input_row[port];
        bypass[r] = row_or_none(b.bypass);
        paralleled_by[r] = paralleling_jumper(*a, b);
        voltage[r] = x.voltage;
        proper[r] = b.battery ? x.voltage : a->proper(x.voltage, a->circuits.circuit[b.net_plus != none ? b.net_plus : b.net_minus]);
        current[r] = x.current;
        continuous[r] = x.continuous;
        plus[r] = b.poles_plus;
        minus[r] = b.poles_minus;
        in_series[r] = b.poles_plus + b.poles_minus;
        least[r] = left_alone(*a, b);
        paralleled[r] = b.paralleled;
        paralleled_least[r] = b.paralleled_least;
        rated_voltage[r] = x.rating.voltage;
        rated_least[r] = x.least.voltage;
        rated_current[r] = x.rating.current;
        current_least[r] = x.least.current;
        parallel_voltage[r] = x.rating.parallel_voltage;
        parallel_current[r] = x.rating.parallel_current;
        if (x.rating.cooler) {
            const ThingId place = place_of(a->d, ThingId(b.device));
            if (place) cooler[r] = a->place_row[place.value];
        }
        circuits[r] = in_switch[b.device];
        has_rating[r] = x.rating.any_series ? 1 : 0;
        has_parallel[r] = x.rating.any_parallel ? 1 : 0;
        multi[r] = several_feed(*a, b) || (port != none && feeds_back(*a, port)) ? 1 : 0;
        const PartData& part = a->part(ThingId(b.device));
        const std::vector<std::string_view> categories =
            a->links_unknown(b.device) ? part.categories : categories_in_use(a->d, a->d.part_of(ThingId(b.device)), part, contacts_of(*a, b));
        const Category c = category_of(categories);
        known[r] = c.known ? 1 : 0;
        breaks[r] = c.breaks_load ? 1 : 0;
        single[r] = c.only_single ? 1 : 0;
        not_pv[r] = c.known && c.breaks_load && !c.pv ? 1 : 0;
        resistive[r] = c.only_resistive ? 1 : 0;
        source[r] = b.battery ? battery : array;
        joined[r] = b.joined_plus && b.joined_minus ? both : b.joined_plus ? plus_word : b.joined_minus ? minus_word : no;
        const int earthed = earthed_pole(*a, b);
        earthed_side[r] = earthed > 0 ? plus_word : earthed < 0 ? minus_word : no;
        const Answer isolated = separated(*a, b).answer;
        first_fault[r] = earthed != 0 || isolated == Answer::no ? 1 : isolated == Answer::yes ? 0 : flag_unknown;
        if (a->links_unknown(b.device)) {
            plus[r] = minus[r] = in_series[r] = least[r] = paralleled[r] = paralleled_least[r] = rated_voltage[r] = rated_least[r] =
                rated_current[r] = current_least[r] = parallel_voltage[r] = parallel_current[r] = graph::unknown;
            has_rating[r] = has_parallel[r] = flag_unknown;
        }
        fill.add_list("strings", r, b.battery ? std::vector<std::uint32_t>{} : b.sources);
        if (c.known) fill.set_word("category", r, fmt::format("{}", fmt::join(categories, ", ")));
        if (x.rating.voltage_row && !a->links_unknown(b.device)) fill.set_word("rated-row", r, row_text(a->d, x.rating.voltage_row));
    }
    explain_lacks(fill, a);
    explain_ratings(fill, a);
    explain_voltage_and_current(fill, a);
}

}  // namespace

void fill_switches(Facts& facts, const Shared& a) {
    fill_table_of_switches(facts, a);
    fill_broken_circuits(facts, a);
    fill_poles(facts, a);
}

}  // namespace ferrule::facts
