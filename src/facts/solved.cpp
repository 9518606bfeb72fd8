#include "facts/solved.hpp"

#include <algorithm>
#include <cmath>

#include "facts/analysis.hpp"
#include "solve/part.hpp"

namespace ferrule::facts {

namespace {

// Where nothing says how much a battery resists inside: enough to keep it apart from its terminals, too little to matter.
constexpr double least_internal = 1e-6;

// The curve of one kind of string in two straight pieces.
struct Curve {
    double isc = graph::unknown, vmp = graph::unknown, imp = graph::unknown, voc = graph::unknown;
    double count = 1;
    [[nodiscard]] double current(double v) const {
        return v <= vmp ? isc - (isc - imp) * v / vmp : std::fmax(0, imp * (voc - v) / (voc - vmp));
    }
    [[nodiscard]] bool operator==(const Curve& o) const { return isc == o.isc && vmp == o.vmp && imp == o.imp && voc == o.voc; }
};

// The voltage at which they give most power together. Between two corners of the curves the power is a parabola in the voltage.
double best_voltage(const std::vector<Curve>& curves) {
    if (curves.size() == 1) return curves.front().vmp;
    std::vector<double> corners{0};
    for (const Curve& c : curves) {
        corners.push_back(c.vmp);
        corners.push_back(c.voc);
    }
    std::sort(corners.begin(), corners.end());
    auto current = [&](double v) {
        double sum = 0;
        for (const Curve& c : curves) sum += c.count * c.current(v);
        return sum;
    };
    double best = 0, most = -1;
    auto try_at = [&](double v) {
        const double p = v * current(v);
        if (p > most) {
            most = p;
            best = v;
        }
    };
    for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
        const double a = corners[i], b = corners[i + 1];
        try_at(b);
        if (!(b > a)) continue;
        const double slope = (current(b) - current(a)) / (b - a), base = current(a) - slope * a;  // I = base + slope V
        const double top = slope < 0 ? -base / (2 * slope) : b;
        if (top > a && top < b) try_at(top);
    }
    return best;
}

struct StringCurve {
    Curve curve;
    bool known = false;
};

// What the solver's rounding leaves of nothing is nothing: else a battery's conductor would count as the array's.
double without_rounding(double ampere) { return std::fabs(ampere) < 1e-9 ? 0 : ampere; }

StringCurve curve_of(const Analysis& a, std::uint32_t i) {
    StringCurve s;
    const graph::Thing& t = a.d.things[a.net.sources[i].thing];
    Curve c{a.strings[i].isc, 0, a.strings[i].imp_least, 0};
    double power = 0;
    for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
        const ModuleData& m = a.parts[a.d.groups[g].part.value].module;
        c.vmp += a.d.groups[g].count * m.vmp;
        c.voc += a.d.groups[g].count * m.voc;
        power += a.d.groups[g].count * m.vmp * m.imp;
    }
    if (a.strings[i].electronics) {  // they hold the string at a voltage of their own and hand the power on
        c.vmp = a.d.number(a.d.parts[a.strings[i].electronics].rows, "fixed", "voltage");
        c.imp = power / c.vmp;
        c.isc = c.imp;
        c.voc = 1.001 * c.vmp;
    }
    s.curve = c;
    s.known = c.vmp > 0 && c.imp > 0 && c.isc >= c.imp && c.voc > c.vmp;
    return s;
}

}  // namespace

Solved::Solved(const Analysis& a) : resist(a.d, a.parts, a.net, a.standard) {
    find_ways(a);
    operate(a);
    build(a);
    run(a);
}

void Solved::find_ways(const Analysis& a) {
    const Network& n = a.net;
    ways.edge.assign(n.terminals, none);
    ways.ohm.assign(n.terminals, graph::unknown);
    ways.meshed.assign(n.on.count, 0);
    std::vector<std::uint8_t> rooted(n.on.count, 0), seen(n.terminals, 0);
    std::vector<std::uint32_t> queue;
    queue.reserve(n.terminals);
    auto root = [&](std::uint32_t t) {
        if (t == none || rooted[n.on[t]] != 0) return;
        rooted[n.on[t]] = 1;
        ways.ohm[t] = 0;
        seen[t] = 1;
        queue.push_back(t);
    };
    auto ports = [&](Port::Role role) {
        for (const Port& p : n.ports) {
            if (p.role != role) continue;
            root(p.plus);
            root(p.minus);
        }
    };
    ports(Port::Role::array);
    ports(Port::Role::battery);
    ports(Port::Role::load);
    for (const PowerSource& s : n.sources) {
        root(s.plus);
        root(s.minus);
    }
    for (std::size_t q = 0; q < queue.size(); ++q) {
        const std::uint32_t t = queue[q];
        for (std::uint32_t k = n.first[t]; k < n.first[t + 1]; ++k) {
            const std::uint32_t e = n.at[k];
            if (!n.edges[e].closed || e == ways.edge[t]) continue;
            const std::uint32_t far = n.other(e, t);
            if (seen[far] != 0) {
                ways.meshed[n.on[t]] = 1;
                continue;
            }
            seen[far] = 1;
            ways.edge[far] = e;
            ways.ohm[far] = ways.ohm[t] + resist.edge[e];
            queue.push_back(far);
        }
    }
}

std::uint32_t Solved::lacking(const Analysis& a, std::uint32_t terminal) const {
    for (std::uint32_t t = terminal; t != none && ways.edge[t] != none; t = a.net.other(ways.edge[t], t)) {
        if (std::isnan(resist.edge[ways.edge[t]])) return a.net.edges[ways.edge[t]].conductor;
    }
    return none;
}

void Solved::operate(const Analysis& a) {
    strings.assign(a.net.strings, {});
    std::vector<Curve> curves, kinds;
    for (const std::uint32_t g : a.groups) {
        const Parallel& group = a.circuits.groups[g];
        curves.clear();
        kinds.clear();
        bool known = group.reversed.empty() && !group.members.empty();
        for (const std::uint32_t i : group.members) {
            const StringCurve s = curve_of(a, i);
            if (s.known) {
                strings[i].vmp = s.curve.vmp;
                strings[i].imp = s.curve.imp;
            }
            known = known && s.known;
            curves.push_back(s.curve);
            const auto same = std::find(kinds.begin(), kinds.end(), s.curve);
            if (same != kinds.end()) same->count += 1;
            else if (kinds.size() < 64) kinds.push_back(s.curve);
            else known = false;  // more unlike strings side by side than anybody builds
        }
        const std::uint32_t port = a.group_input[g];
        if (!known || port == none) continue;
        // An input the wrong way round is a finding of its own.
        if (a.net.on[a.net.ports[port].plus] != a.net.on[a.net.sources[group.members.front()].plus]) continue;
        const double v = best_voltage(kinds);
        for (std::size_t k = 0; k < group.members.size(); ++k) {
            Operating& o = strings[group.members[k]];
            o.volt = v;
            o.ampere = curves[k].current(v);
            o.input = port;
        }
    }
}

void Solved::build(const Analysis& a) {
    const Network& n = a.net;
    circuit_.nodes = n.terminals;
    circuit_.resistances.reserve(n.edges.size());
    resistance_of_.assign(n.edges.size(), none);
    for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
        if (!n.edges[e].closed) continue;
        resistance_of_[e] = static_cast<std::uint32_t>(circuit_.resistances.size());
        const double ohm = resist.edge[e];
        circuit_.resistances.push_back({n.edges[e].a, n.edges[e].b, std::isfinite(ohm) && ohm > 0 ? ohm : 0});
    }
    auto add = [&](std::uint32_t plus, std::uint32_t minus) {
        if (plus == none || minus == none) plus = minus = 0;
        circuit_.sources.push_back({plus, minus, 0, 0});
    };
    for (const PowerSource& s : n.sources) add(s.plus, s.minus);
    for (const Port& p : n.ports) add(p.plus, p.minus);
}

void Solved::run(const Analysis& a) {
    const Network& n = a.net;
    const std::size_t count = circuit_.sources.size();
    std::vector<double> sun_ampere(count, 0);
    internal_.assign(n.sources.size(), graph::unknown);
    std::vector<std::uint8_t> has_reference(n.ports.size(), 0);
    complete_ = true;
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        const Operating& o = strings[i];
        if (o.input == none || std::isnan(o.ampere)) {
            complete_ = complete_ && a.circuits.group_of[i] == none;
            continue;
        }
        sun_ampere[i] = o.ampere;
        sun_ampere[n.sources.size() + o.input] -= o.ampere;
        if (has_reference[o.input] != 0) continue;
        has_reference[o.input] = 1;
        circuit_.sources[i].siemens = o.imp / o.vmp;
        sun_ampere[i] += circuit_.sources[i].siemens * o.volt;
    }
    std::vector<double> battery_ampere(count, 0);
    for (const std::uint32_t i : a.battery_sources) {
        const BatteryData b = battery_data(a.d, n.sources[i].thing);
        double r = a.d.things[n.sources[i].thing].groups == 0 ? a.d.number(a.d.part_of(n.sources[i].thing).rows, "internal", "resistance") : graph::unknown;
        if (!(r > 0)) r = b.nominal / b.short_circuit;
        if (!(r > least_internal)) r = least_internal;
        internal_[i] = r;
        if (n.sources[i].plus == none || n.sources[i].minus == none || a.circuits.reversed[i] != 0 || !(b.nominal > 0)) continue;
        circuit_.sources[i].siemens = 1 / r;
        battery_ampere[i] = b.nominal / r;
    }
    const solve::Solver solver(circuit_);
    sun_ampere_ = sun_ampere;
    const solve::Solution x = solver.solve(sun_ampere);
    sun_volt = x.volt;
    sun.assign(n.edges.size(), 0);
    for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
        if (resistance_of_[e] != none) sun[e] = without_rounding(x.through[resistance_of_[e]]);
    }
    flow = sun;
    string_drop.assign(n.strings, graph::unknown);
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        if (strings[i].input != none && !std::isnan(way_of(a, i))) find_drop(a, i);
    }
    input_volt.assign(n.ports.size(), graph::unknown);
    input_power.assign(n.ports.size(), graph::unknown);
    std::vector<std::uint8_t> dark(n.ports.size(), 0);
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        if (strings[i].input != none && std::isnan(string_drop[i])) dark[strings[i].input] = 1;
    }
    for (const std::uint32_t k : a.inputs) {
        if (has_reference[k] == 0) continue;
        if (dark[k] != 0) {
            complete_ = false;
            continue;
        }
        arrives_.push_back(k);
        find_arriving(a, k);
    }
    add_up(a);

    // The batteries' side: what each port takes all at once, then what chargers give; cables without resistance show what is lost.
    port_drop.assign(n.ports.size(), graph::unknown);
    drops_charging.assign(n.ports.size(), 0);
    battery_gives.assign(n.sources.size(), graph::unknown);
    battery_volt.assign(n.terminals, graph::unknown);
    if (a.battery_sources.empty()) return;
    find_nominal(a);
    solve::Circuit bare;
    bare.nodes = n.on.count;
    bare.sources = circuit_.sources;
    for (solve::Source& s : bare.sources) {
        s.plus = n.on[s.plus];
        s.minus = n.on[s.minus];
    }
    const solve::Solver metal(bare);
    auto fed = [&](const Port& p) {
        if (p.plus == none || p.minus == none || solver.island(p.plus) != solver.island(p.minus)) return false;
        const auto ends = [&](std::uint32_t net) { return a.circuits.battery_plus_ends[net] + a.circuits.battery_minus_ends[net]; };
        return ends(n.on[p.plus]) != 0 && ends(n.on[p.minus]) != 0;
    };
    std::vector<std::uint8_t> dark_way(a.circuits.circuit_count, 0);
    for (const std::uint32_t i : a.battery_sources) {
        const PowerSource& s = n.sources[i];
        if (s.plus != none && s.minus != none && std::isnan(ways.ohm[s.plus] + ways.ohm[s.minus])) dark_way[a.circuit_of(s.plus)] = 1;
    }
    auto state = [&](double PortDemand::*figure, double sign) {
        std::vector<double> ampere = battery_ampere;
        std::vector<std::uint8_t> unknown(a.circuits.circuit_count, 0);
        for (std::uint32_t k = 0; k < n.ports.size(); ++k) {
            if (n.ports[k].role == Port::Role::array || !fed(n.ports[k])) continue;
            const double x_ampere = a.demand.ports[k].*figure;
            if (std::isnan(x_ampere)) unknown[a.circuit_of(n.ports[k].plus)] = 1;
            else ampere[n.sources.size() + k] = sign * x_ampere;
        }
        (sign < 0 ? takes_ampere_ : gives_ampere_) = ampere;
        const solve::Solution y = solver.solve(ampere), z = metal.solve(ampere);
        for (std::uint32_t k = 0; k < n.ports.size(); ++k) {
            const Port& p = n.ports[k];
            if (p.role == Port::Role::array || !fed(p) || unknown[a.circuit_of(p.plus)] != 0) continue;
            if (!(std::fabs(ampere[n.sources.size() + k]) > 0)) continue;
            if (std::isnan(ways.ohm[p.plus] + ways.ohm[p.minus]) || dark_way[a.circuit_of(p.plus)] != 0) continue;
            const double drop = std::fabs((z.volt[n.on[p.plus]] - z.volt[n.on[p.minus]]) - (y.volt[p.plus] - y.volt[p.minus]));
            if (port_drop[k] >= drop) continue;
            port_drop[k] = drop;
            drops_charging[k] = sign > 0 ? 1 : 0;
        }
        std::vector<double>& all = sign < 0 ? taken : given;
        all.assign(n.edges.size(), 0);
        for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
            if (resistance_of_[e] == none) continue;
            const double i = all[e] = y.through[resistance_of_[e]];
            if (sun[e] != 0) continue;
            const std::uint32_t net = n.on[n.edges[e].a];
            if (a.circuits.battery_plus_ends[net] + a.circuits.battery_minus_ends[net] == 0) continue;
            if (unknown[a.circuits.circuit[net]] != 0) flow[e] = graph::unknown;
            else if (!(std::fabs(flow[e]) >= std::fabs(i))) flow[e] = std::isnan(flow[e]) ? flow[e] : i;
        }
        if (sign < 0) {
            battery_volt = y.volt;
            for (const std::uint32_t i : a.battery_sources) {
                if (n.sources[i].plus != none && unknown[a.circuit_of(n.sources[i].plus)] == 0 && circuit_.sources[i].siemens > 0) battery_gives[i] = y.given[i];
            }
        }
    };
    state(&PortDemand::takes, -1);
    state(&PortDemand::gives, 1);
}

void Solved::find_drop(const Analysis& a, std::uint32_t i) {
    const Port& p = a.net.ports[strings[i].input];
    const PowerSource& s = a.net.sources[i];
    string_drop[i] = (sun_volt[s.plus] - sun_volt[p.plus]) + (sun_volt[p.minus] - sun_volt[s.minus]);
    if (std::fabs(string_drop[i]) < 1e-9) string_drop[i] = 0;
}

void Solved::find_arriving(const Analysis& a, std::uint32_t port) {
    const Port& p = a.net.ports[port];
    input_volt[port] = sun_volt[p.plus] - sun_volt[p.minus];
    input_power[port] = -sun_ampere_[a.net.sources.size() + port] * input_volt[port];
}

void Solved::add_up(const Analysis& a) {
    array_power = array_loss = complete_ ? 0 : graph::unknown;
    if (!complete_) return;
    for (const std::uint32_t k : arrives_) array_power += input_power[k];
    for (std::uint32_t e = 0; e < a.net.edges.size(); ++e) {
        const double ohm = resist.edge[e];
        if (sun[e] != 0 && !std::isnan(ohm) && ohm > 0) array_loss += sun[e] * sun[e] * ohm;
    }
}

std::optional<Piece> Solved::set_lengths(const Analysis& a, std::span<const Again> conductors) {
    const Network& n = a.net;
    std::vector<std::uint32_t> ends;
    for (const Again& c : conductors) {
        resist.set_length(c.conductor, c.edge);
        if (c.edge == none) continue;
        ends.push_back(n.edges[c.edge].a);
        const double ohm = resist.edge[c.edge];
        circuit_.resistances[resistance_of_[c.edge]].ohm = std::isfinite(ohm) && ohm > 0 ? ohm : 0;
    }
    Piece piece;
    if (ends.empty()) return piece;
    solve::Part part = solve::part_with(circuit_, ends);
    std::vector<double> ampere;
    for (const std::uint32_t s : part.sources) {
        ampere.push_back(sun_ampere_[s]);
        if (s >= n.sources.size()) {
            if (n.ports[s - n.sources.size()].role != Port::Role::array) return std::nullopt;
            piece.ports.push_back(s - static_cast<std::uint32_t>(n.sources.size()));
        } else {
            if (s >= n.strings) return std::nullopt;
            piece.strings.push_back(s);
        }
    }
    const solve::Solver solver(part.circuit);
    const solve::Solution x = solver.solve(ampere);
    for (std::size_t k = 0; k < part.nodes.size(); ++k) sun_volt[part.nodes[k]] = x.volt[k];
    std::vector<std::uint8_t> in(n.terminals, 0);
    for (const std::uint32_t t : part.nodes) in[t] = 1;
    for (std::uint32_t e = 0; e < n.edges.size(); ++e) {
        if (resistance_of_[e] != none && in[n.edges[e].a] != 0) piece.edges.push_back(e);
    }
    for (std::size_t k = 0; k < piece.edges.size(); ++k) flow[piece.edges[k]] = sun[piece.edges[k]] = without_rounding(x.through[k]);
    piece.terminals = std::move(part.nodes);
    walk_again(a, piece.terminals, in);
    for (const std::uint32_t i : piece.strings) {
        if (!std::isnan(string_drop[i])) find_drop(a, i);
    }
    for (const std::uint32_t k : arrives_) {
        if (std::binary_search(piece.ports.begin(), piece.ports.end(), k)) find_arriving(a, k);
    }
    add_up(a);
    for (std::size_t s = 0; s < part.sources.size(); ++s) {
        if (part.sources[s] < n.sources.size()) open_source(a, part.sources[s], part.circuit.sources[s]);
    }
    open_again_ = open_volts(a, part.circuit, [&](std::size_t s) { return part.sources[s]; });
    return piece;
}

// The ohms of the ways, which themselves are as they were.
void Solved::walk_again(const Analysis& a, const std::vector<std::uint32_t>& terminals, std::vector<std::uint8_t>& to_do) {
    std::vector<std::uint32_t> way;
    for (const std::uint32_t start : terminals) {
        for (std::uint32_t t = start; to_do[t] != 0; t = a.net.other(ways.edge[t], t)) {
            to_do[t] = 0;
            if (ways.edge[t] == none) break;
            way.push_back(t);
        }
        for (; !way.empty(); way.pop_back()) {
            const std::uint32_t t = way.back(), e = ways.edge[t];
            ways.ohm[t] = ways.ohm[a.net.other(e, t)] + resist.edge[e];
        }
    }
}

// Batteries as 1 ohm each, with nothing drawn: what stands between two nets is their voltage.
void Solved::find_nominal(const Analysis& a) {
    solve::Circuit c;
    c.nodes = a.net.on.count;
    for (const std::uint32_t i : a.battery_sources) {
        const PowerSource& s = a.net.sources[i];
        if (s.plus == none || s.minus == none) continue;
        const double nominal = battery_data(a.d, s.thing).nominal;
        if (nominal > 0) c.sources.push_back({a.net.on[s.plus], a.net.on[s.minus], nominal, 1});
    }
    const solve::Solver solver(c);
    nominal_ = solver.solve().volt;
    bank_.resize(c.nodes);
    for (std::uint32_t net = 0; net < c.nodes; ++net) bank_[net] = solver.island(net);
}

double Solved::nominal_between(const Analysis& a, std::uint32_t plus, std::uint32_t minus) const {
    const std::uint32_t p = a.net.on[plus], m = a.net.on[minus];
    if (nominal_.empty() || bank_[p] != bank_[m] || p == m) return graph::unknown;
    return std::fabs(nominal_[p] - nominal_[m]);
}

std::vector<Solved::State> Solved::states(const Analysis& a) const {
    std::vector<State> out;
    auto add = [&](const char* name, const std::vector<double>& ampere) {
        if (ampere.empty()) return;
        out.push_back({name, circuit_});
        for (std::size_t s = 0; s < ampere.size(); ++s) out.back().circuit.sources[s].ampere = ampere[s];
    };
    add("full sun", sun_ampere_);
    add("full demand", takes_ampere_);
    add("full charge", gives_ampere_);
    out.push_back({"open circuit", open_state(a)});
    return out;
}

void Solved::open_source(const Analysis& a, std::uint32_t i, solve::Source& s) const {
    const double volt = a.emf[i];
    double ohm = internal_[i];
    if (i < a.net.strings) {
        const StringCurve curve = curve_of(a, i);
        ohm = curve.known ? (curve.curve.voc - curve.curve.vmp) / curve.curve.imp : volt / a.strings[i].isc;
    }
    if (!(volt > 0) || !(ohm > 0) || !std::isfinite(ohm)) {
        s.ampere = s.siemens = 0;
        return;
    }
    s.siemens = 1 / ohm;
    s.ampere = volt / ohm;
}

solve::Circuit Solved::open_state(const Analysis& a) const {
    solve::Circuit c = circuit_;
    for (std::uint32_t i = 0; i < a.net.sources.size(); ++i) open_source(a, i, c.sources[i]);
    return c;
}

template <class Source>
std::vector<double> Solved::open_volts(const Analysis& a, const solve::Circuit& c, Source source) const {
    const solve::Solver solver(c);
    std::vector<double> volt = solver.solve().volt;
    // A source whose voltage is unknown leaves the volts of its piece of circuit unknown.
    std::vector<std::uint8_t> dark(solver.islands(), 0), fed(solver.islands(), 0);
    for (std::size_t s = 0; s < c.sources.size(); ++s) {
        const std::size_t i = source(s);
        if (i >= a.net.sources.size() || a.net.sources[i].plus == none || a.net.sources[i].minus == none) continue;
        (c.sources[s].siemens > 0 ? fed : dark)[solver.island(c.sources[s].plus)] = 1;
    }
    for (std::uint32_t t = 0; t < c.nodes; ++t) {
        if (dark[solver.island(t)] != 0 || fed[solver.island(t)] == 0) volt[t] = graph::unknown;
    }
    return volt;
}

std::vector<double> Solved::open_circuit(const Analysis& a) const {
    return open_volts(a, open_state(a), [](std::size_t s) { return s; });
}

double Solved::way_of(const Analysis& a, std::uint32_t i) const {
    const PowerSource& s = a.net.sources[i];
    if (s.plus == none || s.minus == none) return graph::unknown;
    return ways.ohm[s.plus] + ways.ohm[s.minus];
}

}  // namespace ferrule::facts
