// bank, and what battery gains by it.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <unordered_set>

#include "facts/bank_figures.hpp"
#include "facts/ports.hpp"
#include "facts/shortest_way.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

// A property that a battery of the bank lacks.
struct Datum {
    double BatteryData::*figure;
    const char* property;
};

Missing lacking(const Analysis& a, const Power& p, const Bank& bank, const Datum& datum) {
    for (const std::uint32_t i : bank.batteries()) {
        if (!std::isnan(p.battery(a, i).*datum.figure)) continue;
        const graph::Part& part = a.d.parts[p.battery(a, i).part];
        return {fmt::format("`{}` of {}", datum.property, a.d.word(part.name)), part.span};
    }
    return {fmt::format("`{}` of its batteries", datum.property), a.d.site_span};
}

// "2 x 60 A = 120 A" for like batteries, else the sum as it stands.
std::vector<std::string> added(const Analysis& a, const Power& p, const Bank& bank, double BatteryData::*figure, double total, const char* unit, bool series) {
    const auto all = bank.batteries();
    const double one = p.battery(a, all.front()).*figure;
    const bool alike = std::all_of(all.begin(), all.end(), [&](std::uint32_t i) { return p.battery(a, i).*figure == one; });
    const std::size_t times = series ? bank.chains.front().size() : bank.parallel();
    if (alike) return {fmt::format("{} x {} {} = {}", times, a.show(one, unit), series ? "in series" : "in parallel", a.show(total, unit))};
    std::string text;
    for (const std::uint32_t i : all) {
        text += fmt::format("{}{} {}", text.empty() ? "" : ", ", a.d.name(a.net.sources[i].thing), a.show(p.battery(a, i).*figure, unit));
    }
    return {fmt::format("{}: {}", text, a.show(total, unit))};
}

void fill_figures(Filler& fill, const Shared& a, const SharedPower& p) {
    struct One {
        const char* column;
        double BankFigures::*to;
        double BatteryData::*from;
        const char* property;
        const char* unit;
        bool series;
    };
    static constexpr One all[]{
        {"nominal", &BankFigures::nominal, &BatteryData::nominal, "nominal", "V", true},
        {"voltage-most", &BankFigures::most, &BatteryData::most, "max-voltage", "V", true},
        {"voltage-limit", &BankFigures::limit, &BatteryData::most, "max-voltage", "V", true},
        {"voltage-least", &BankFigures::least, &BatteryData::least, "min-voltage", "V", true},
        {"capacity", &BankFigures::capacity, &BatteryData::capacity, "capacity", "Ah", false},
        {"charge", &BankFigures::charge, &BatteryData::charge, "charge", "A", false},
        {"discharge", &BankFigures::discharge, &BatteryData::discharge, "discharge", "A", false},
        {"peak", &BankFigures::peak, &BatteryData::peak, "peak", "A", false},
        {"short-circuit-current", &BankFigures::short_circuit, &BatteryData::short_circuit, "short-circuit", "A", false},
    };
    for (const One& one : all) {
        auto& numbers = fill.numbers(one.column);
        for (std::uint32_t r = 0; r < numbers.size(); ++r) numbers[r] = p->banks[r].*one.to;
        Column& c = fill.column(one.column);
        c.missing = [a, p, one](std::uint32_t r) { return lacking(*a, *p, a->banks.banks[r], {one.from, one.property}); };
        c.working = [a, p, one](std::uint32_t r) {
            if (std::string_view(one.column) == "voltage-limit" && p->banks[r].limit_by_cells) return std::vector<std::string>{};
            return added(*a, *p, a->banks.banks[r], one.from, p->banks[r].*one.to, one.unit, one.series);
        };
    }
    fill.column("voltage-limit").assumed = [a, p](std::uint32_t r) {
        if (!p->banks[r].limit_by_cells) return std::vector<std::string>{};
        const BatteryData& b = p->battery(*a, p->banks[r].first);
        return std::vector{fmt::format("{} from its number of cells, as {} states no `max-voltage`", a->show(p->banks[r].limit, "V"), a->d.word(a->d.parts[b.part].name))};
    };
    fill.column("short-circuit-current").assumed = [a, p](std::uint32_t r) {
        for (const std::uint32_t i : a->banks.banks[r].batteries()) {
            const BatteryData& b = p->battery(*a, i);
            if (b.short_circuit_estimated) {
                return std::vector{fmt::format("short-circuit current of {}: highest voltage / internal resistance = {}", a->d.word(a->d.parts[b.part].name), a->show(b.short_circuit, "A"))};
            }
        }
        return std::vector<std::string>{};
    };
}

void fill_likeness(Filler& fill, const Shared& a, const SharedPower& p) {
    auto& lithium = fill.flags("lithium");
    auto& lead = fill.flags("lead");
    auto& age = fill.numbers("age-spread");
    for (std::uint32_t r = 0; r < a->banks.banks.size(); ++r) {
        const BankFigures& f = p->banks[r];
        fill.set_word("chemistry", r, a->d.word(p->battery(*a, f.first).chemistry));
        lithium[r] = f.family == Family::unknown ? flag_unknown : f.family == Family::lithium ? 1 : 0;
        lead[r] = f.family == Family::unknown ? flag_unknown : f.family == Family::lead ? 1 : 0;
        fill.flags("mixed-chemistry")[r] = f.mixed ? 1 : 0;
        fill.numbers("capacity-spread")[r] = f.capacity_spread;
        fill.numbers("voltage-spread")[r] = f.voltage_spread;
        age[r] = f.age_spread;
        fill.subjects("odd")[r] = f.odd - a->net.strings;
        if (f.oldest != none) fill.subjects("oldest")[r] = f.oldest - a->net.strings;
    }
    const auto no_chemistry = [a, p](std::uint32_t r) {
        const graph::Part& part = a->d.parts[p->battery(*a, p->banks[r].first).part];
        return Missing{fmt::format("`chemistry` of {}", a->d.word(part.name)), part.span};
    };
    for (const char* name : {"lithium", "lead", "chemistry"}) fill.column(name).missing = no_chemistry;
    fill.column("capacity-spread").missing = [a, p](std::uint32_t r) { return lacking(*a, *p, a->banks.banks[r], {&BatteryData::capacity, "capacity"}); };
    fill.column("voltage-spread").missing = [a, p](std::uint32_t r) { return lacking(*a, *p, a->banks.banks[r], {&BatteryData::most, "max-voltage"}); };
    fill.column("age-spread").missing = [a, p](std::uint32_t r) { return lacking(*a, *p, a->banks.banks[r], {&BatteryData::age, "age"}); };
}

void fill_paths(Filler& fill, const Shared& a, const SharedPower& p) {
    auto& spread = fill.numbers("path-spread");
    for (std::uint32_t r = 0; r < a->banks.banks.size(); ++r) {
        const Bank& bank = a->banks.banks[r];
        if (bank.parallel() < 2) {
            spread[r] = 0;
            continue;
        }
        double least = graph::unknown, most = graph::unknown, total = 0;
        std::size_t ways = 0;
        std::uint32_t near = none, far = none;
        for (const auto& chain : bank.chains) {
            for (const std::uint32_t i : chain.front()) {
                const double ohms = p->path[i - a->net.strings];
                total += ohms;
                ++ways;
                if (!(ohms >= least)) near = i;
                least = std::fmin(least, ohms);
                if (!(ohms <= most)) far = i;
                most = std::fmax(most, ohms);
            }
        }
        if (std::isnan(total)) continue;
        spread[r] = total > 0 ? (most - least) / (total / static_cast<double>(ways)) : 0;
        fill.numbers("path-least")[r] = least;
        fill.numbers("path-most")[r] = most;
        fill.subjects("nearest")[r] = near - a->net.strings;
        fill.subjects("farthest")[r] = far - a->net.strings;
    }
    fill.column("path-spread").missing = [a, p](std::uint32_t r) {
        const Bank& bank = a->banks.banks[r];
        if (bank.ports.empty()) return Missing{"what the batteries feed", a->d.things[a->net.sources[p->banks[r].first].thing].span};
        for (const std::uint32_t i : bank.batteries()) {
            const std::uint32_t c = p->path_lacking[i - a->net.strings];
            if (c != none) return Missing{fmt::format("length and section of {}", a->d.name(graph::ConductorId(c))), a->d.conductors[graph::ConductorId(c)].span};
        }
        return Missing{"single ways to the batteries: here some are joined between those in series", a->d.things[a->net.sources[p->banks[r].first].thing].span};
    };
    fill.column("path-spread").working = [a, p](std::uint32_t r) {
        std::vector<std::string> lines;
        const Bank& bank = a->banks.banks[r];
        if (bank.parallel() < 2) return lines;
        for (const auto& chain : bank.chains) {
            for (const std::uint32_t i : chain.front()) {
                lines.push_back(fmt::format("{}: {} of conductors to where the ways meet", a->d.name(a->net.sources[i].thing), a->show(p->path[i - a->net.strings], "mohm")));
                if (lines.size() == 8) return lines;
            }
        }
        return lines;
    };
}

// Ports' terminals and array ends on each net of a kind.
std::vector<std::uint8_t> occupied(const Analysis& a, const Nets& nets) {
    std::vector<std::uint8_t> on(nets.count, 0);
    for (const Port& port : a.net.ports) {
        for (const std::uint32_t t : {port.plus, port.minus}) {
            if (t != none) on[nets[t]] = 1;
        }
    }
    return on;
}

struct PartedBy {
    bool plus = true, minus = true;
};
PartedBy parted_by(const Analysis& a, const Bank& bank, const Nets& nets, const std::vector<std::uint8_t>& occupied_nets) {
    PartedBy by;
    for (const auto& chain : bank.chains) {
        for (const std::uint32_t i : chain.front()) by.plus = by.plus && occupied_nets[nets[a.net.sources[i].plus]] == 0;
        for (const std::uint32_t i : chain.back()) by.minus = by.minus && occupied_nets[nets[a.net.sources[i].minus]] == 0;
    }
    return by;
}

// Where switches part one pole alone: the terminal, of that pole, of a port whose other one still hangs on the bank; none.
std::uint32_t half_parted(const Analysis& a, const Bank& bank, bool plus) {
    std::unordered_set<std::uint32_t> still;  // nets of the pole that is not parted, with the switches off
    for (const auto& chain : bank.chains) {
        for (const std::uint32_t i : plus ? chain.back() : chain.front()) still.insert(a.net.off[plus ? a.net.sources[i].minus : a.net.sources[i].plus]);
    }
    for (const std::uint32_t k : bank.ports) {
        const Port& port = a.net.ports[k];
        const std::uint32_t here = plus ? port.minus : port.plus, there = plus ? port.plus : port.minus;
        if (here != none && there != none && still.contains(a.net.off[here])) return there;
    }
    return none;
}

// With only the switches that stand outdoors opened.
Nets outdoor_switches_off(const Analysis& a) {
    UnionFind sets(a.net.terminals);
    for (const Edge& e : a.net.edges) {
        if (!e.closed) continue;
        if (e.kind == Edge::Kind::contact) {
            const ThingId place = place_of(a.d, ThingId(e.thing));
            if (place && a.d.states(a.d.things[place].rows, "outdoors")) continue;
        }
        sets.join(e.a, e.b);
    }
    return sets.nets();
}

void fill_disconnect(Filler& fill, const Shared& a, const SharedPower& p) {
    if (a->banks.banks.empty()) return;
    const std::string_view where = a->d.text(a->d.site_rows, "array", "where");
    const bool mobile = where == "vehicle" || where == "boat";
    const Nets outdoors = outdoor_switches_off(*a);
    const auto off = occupied(*a, a->net.off), wires = occupied(*a, a->net.wires), outside = occupied(*a, outdoors);
    std::vector<std::uint8_t> port_at(a->net.terminals, 0);
    for (const Port& port : a->net.ports) {
        for (const std::uint32_t t : {port.plus, port.minus}) {
            if (t != none) port_at[t] = 1;
        }
    }
    for (std::uint32_t r = 0; r < a->banks.banks.size(); ++r) {
        const Bank& bank = a->banks.banks[r];
        const PartedBy by = parted_by(*a, bank, a->net.off, off), links = parted_by(*a, bank, a->net.wires, wires), out = parted_by(*a, bank, outdoors, outside);
        fill.set_word("parted", r, by.plus && by.minus ? "both" : by.plus ? "plus" : by.minus ? "minus" : "none");
        fill.flags("fuse-parts")[r] = links.plus || links.minus ? 1 : 0;
        fill.flags("outside-switch")[r] = (out.plus || a->earthing.pole_earthed[bank.plus] != 0) && (out.minus || a->earthing.pole_earthed[bank.minus] != 0) && (out.plus || out.minus) ? 1 : 0;
        fill.flags("mobile")[r] = mobile ? 1 : 0;
        fill.flags("plus-earthed")[r] = a->earthing.pole_earthed[bank.plus];
        fill.flags("minus-earthed")[r] = a->earthing.pole_earthed[bank.minus];
        fill.flags("feeds")[r] = bank.ports.empty() ? 0 : 1;
        // The first switch on the shortest way from its first battery to something else; where switches part one pole alone, to what
        // then still hangs on the other.
        const std::uint32_t to = by.plus == by.minus ? none : half_parted(*a, bank, by.plus);
        const PowerSource& first = a->net.sources[p->banks[r].first];
        const std::uint32_t from = to == none || by.plus ? first.plus : first.minus;
        for (const std::uint32_t e : shortest_way_to(a->net, from, [&](std::uint32_t t) { return to == none ? port_at[t] != 0 : t == to; }, [](const Edge& e) { return e.closed; })) {
            if (a->net.edges[e].kind != Edge::Kind::contact) continue;
            fill.subjects("disconnect")[r] = a->device_row[a->net.edges[e].thing];
            break;
        }
    }
}

void fill_flows(Filler& fill, const Shared& a, const SharedPower& p) {
    const double use = a->standard.number("battery-discharge-use");
    for (std::uint32_t r = 0; r < a->banks.banks.size(); ++r) {
        const Bank& bank = a->banks.banks[r];
        const BankFigures& f = p->banks[r];
        std::vector<std::uint32_t> ports;
        for (const std::uint32_t k : bank.ports) {
            if (p->port_row[k] != no_row) ports.push_back(p->port_row[k]);
        }
        fill.add_list("ports", r, ports);
        fill.numbers("takes")[r] = f.takes;
        fill.numbers("gives")[r] = f.gives;
        fill.numbers("surge")[r] = f.surge;
        const double side_by_side = bank.parallel();
        fill.numbers("packs-for-takes")[r] = std::ceil(f.takes / (use * f.discharge / side_by_side) - 1e-9);
        fill.numbers("packs-for-gives")[r] = std::ceil(f.gives / (f.charge / side_by_side) - 1e-9);
        fill.flags("commanded")[r] = f.commands ? 1 : 0;
        fill.flags("balanced")[r] = bank.balanced ? 1 : 0;
        fill.flags("reversed")[r] = bank.reversed ? 1 : 0;
        if (bank.tap == none) continue;
        fill.subjects("tap")[r] = a->device_row[a->net.ports[bank.tap].device.value];
        fill.subjects("tap-conductor")[r] = bank.tapped;
    }
    const auto flow_working = [a](std::uint32_t r, bool gives) {
        std::vector<std::string> lines;
        for (const std::uint32_t k : a->banks.banks[r].ports) {
            const PortDemand& x = a->demand.ports[k];
            if (gives && a->net.ports[k].role == Port::Role::battery && x.gives > 0) lines.push_back(fmt::format("{}: charges with {}", port_name(*a, k), a->show(x.gives, "A")));
            if (!gives && x.takes > 0) lines.push_back(fmt::format("{}: {}", port_name(*a, k), takes_text(a->d, x)));
            if (lines.size() == 8) break;
        }
        return lines;
    };
    fill.column("takes").working = [flow_working](std::uint32_t r) { return flow_working(r, false); };
    fill.column("gives").working = [flow_working](std::uint32_t r) { return flow_working(r, true); };
    const auto flow_lack = [a](std::uint32_t r, bool gives) {
        for (const std::uint32_t k : a->banks.banks[r].ports) {
            const PortDemand& x = a->demand.ports[k];
            if (!std::isnan(gives ? x.gives : x.takes)) continue;
            const Lack l = gives ? gives_lack(a->d, a->net.ports[k], x) : takes_lack(a->d, a->net.ports[k], x);
            return Missing{l.what, l.where};
        }
        return Missing{"what is on it", a->d.site_span};
    };
    fill.column("takes").missing = [flow_lack](std::uint32_t r) { return flow_lack(r, false); };
    fill.column("gives").missing = [flow_lack](std::uint32_t r) { return flow_lack(r, true); };
    fill.column("surge").missing = [a](std::uint32_t r) {
        for (const std::uint32_t k : a->banks.banks[r].ports) {
            const graph::Part& part = a->d.part_of(a->net.ports[k].device);
            if (a->demand.ports[k].takes > 0) return Missing{fmt::format("`surge` of {}", a->d.word(part.name)), part.span};
        }
        return Missing{"`surge` of an inverter on it", a->d.site_span};
    };
}

void fill_cold(Filler& fill, const Shared& a, const SharedPower& p) {
    auto& in_time = fill.flags("chargers-stop-in-time");
    for (std::uint32_t r = 0; r < a->banks.banks.size(); ++r) {
        const BankFigures& f = p->banks[r];
        fill.numbers("coldest")[r] = f.coldest;
        fill.numbers("warmest")[r] = f.warmest;
        fill.numbers("swing")[r] = f.warmest - f.coldest;
        fill.numbers("charge-from")[r] = f.charge_from;
        fill.numbers("charge-to")[r] = f.charge_to;
        fill.flags("charge-from-stated")[r] = f.charge_from_assumed || std::isnan(f.charge_from) ? 0 : 1;
        fill.flags("heated")[r] = f.heated ? 1 : 0;
        fill.flags("cold-cut-off")[r] = f.cold_cut_off ? 1 : 0;
        in_time[r] = 1;
        fill.set_word("stopped", r, "nothing stops the charge");
        for (const std::uint32_t k : a->banks.banks[r].ports) {
            const Port& port = a->net.ports[k];
            if (port.role != Port::Role::battery || a->demand.ports[k].gives == 0) continue;
            const double stop = set_point(*a, port, "low-temperature-stop", "temperature").value;
            // Without a sensor it knows no other air than its own.
            const bool knows = has_sensor(*a, port) || place_of(a->d, port.device) == place_of(a->d, a->net.sources[f.first].thing);
            if (stop >= f.charge_from - 1e-9 && knows) continue;
            in_time[r] = 0;
            fill.flags("unstopped-set")[r] = stop >= f.charge_from - 1e-9 ? 1 : 0;
            fill.subjects("unstopped")[r] = p->port_row[k];
            if (!std::isnan(stop)) fill.set_word("stopped", r, fmt::format("{} stops the charge only at {}", port_name(*a, k), a->show(stop, "degC")));
            break;
        }
    }
    const auto no_air = [a, p](std::uint32_t r) {
        const ThingId thing = a->net.sources[p->banks[r].first].thing;
        const ThingId place = place_of(a->d, thing);
        if (!place) return Missing{fmt::format("the place of {}", a->d.name(thing)), a->d.things[thing].span};
        return Missing{fmt::format("`ambient` of {}", a->d.name(place)), a->d.things[place].span};
    };
    for (const char* name : {"coldest", "warmest", "swing"}) fill.column(name).missing = no_air;
    fill.column("charge-from").missing = [a, p](std::uint32_t r) { return lacking(*a, *p, a->banks.banks[r], {&BatteryData::charge_from, "charge-temperature"}); };
    fill.column("charge-from").assumed = [a, p](std::uint32_t r) {
        if (!p->banks[r].charge_from_assumed) return std::vector<std::string>{};
        const BatteryData& b = p->battery(*a, p->banks[r].first);
        return std::vector{fmt::format("charging from {} up, for its chemistry, as {} states no `charge-temperature`", a->show(p->banks[r].charge_from, "degC"), a->d.word(a->d.parts[b.part].name))};
    };
}

}  // namespace

void fill_banks(Facts& facts, const Shared& a, const SharedPower& p) {
    const auto& banks = a->banks.banks;
    Filler fill(facts, "bank", banks.size());
    Table& t = fill.table();
    const auto thing = [a, p](std::uint32_t row) { return a->net.sources[p->banks[row].first].thing; };
    t.name = [a, thing](std::uint32_t row) {
        const bool alone = a->banks.banks[row].parallel() == 1 && a->banks.banks[row].chains.front().size() == 1;
        return alone ? a->d.name(thing(row)) : fmt::format("the bank of {}", a->d.name(thing(row)));
    };
    t.place = [a, thing](std::uint32_t row) { return a->d.things[thing(row)].span; };
    t.thing = [thing](std::uint32_t row) { return thing(row).value; };
    t.circuit = [a](std::uint32_t row) { return a->circuits.circuit[a->banks.banks[row].plus]; };
    t.part_properties = [a, p](std::uint32_t row) { return a->d.parts[p->battery(*a, p->banks[row].first).part].rows; };
    for (std::uint32_t r = 0; r < banks.size(); ++r) {
        std::vector<std::uint32_t> rows = banks[r].batteries();
        for (std::uint32_t& i : rows) i -= a->net.strings;
        fill.add_list("batteries", r, rows);
        fill.subjects("first")[r] = rows.front();
        fill.numbers("count")[r] = static_cast<double>(rows.size());
        fill.numbers("parallel")[r] = banks[r].parallel();
        fill.numbers("in-series")[r] = p->banks[r].in_series;
        const std::uint32_t bare = p->banks[r].unprotected;
        if (bare != none) fill.subjects("unprotected")[r] = bare - a->net.strings;
        fill.flags("each-protected")[r] = bare == none ? 1 : 0;
    }
    fill_figures(fill, a, p);
    fill_likeness(fill, a, p);
    fill_paths(fill, a, p);
    fill_disconnect(fill, a, p);
    fill_flows(fill, a, p);
    fill_cold(fill, a, p);

    Filler battery(facts, "battery");
    for (std::uint32_t r = 0; r < a->battery_sources.size(); ++r) {
        const std::uint32_t i = a->battery_sources[r];
        if (a->banks.of_source[i] != none) battery.subjects("bank")[r] = a->banks.of_source[i];
        battery.flags("own-fuse")[r] = a->banks.own_fuse[i];
        battery.numbers("path-resistance")[r] = p->path[r];
    }
}

void fill_power(Facts& facts, const Shared& a) {
    Power power;
    for (const std::uint32_t i : a->battery_sources) power.batteries.push_back(battery_data(a->d, a->net.sources[i].thing));
    power.banks = bank_figures(*a, power.batteries);
    Paths paths = bank_paths(*a, facts.table("conductor")->column("resistance")->numbers);
    power.path = std::move(paths.ohms);
    power.path_lacking = std::move(paths.lacking);
    power.port_row.assign(a->net.ports.size(), no_row);
    for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
        if (a->net.ports[k].role != Port::Role::battery) continue;
        power.port_row[k] = static_cast<std::uint32_t>(power.battery_ports.size());
        power.battery_ports.push_back(k);
    }
    const SharedPower p = std::make_shared<const Power>(std::move(power));
    fill_banks(facts, a, p);
    fill_charging(facts, a, p);
    fill_inputs_power(facts, a, p);
    fill_steps(facts, a, p);
    fill_bars(facts, a);
    fill_loads(facts, a, p);
}

}  // namespace ferrule::facts
