// What flows into a short or an earth fault: fuse, switch, device, dc-system, point.
#include <fmt/core.h>

#include <cmath>
#include <unordered_set>
#include <utility>

#include "base/limits.hpp"
#include "facts/fill_network.hpp"

namespace ferrule::facts {

namespace {

bool battery(const Analysis& a, std::uint32_t terminal) {
    const std::uint32_t net = a.net.on[terminal];
    return a.circuits.battery_plus_ends[net] + a.circuits.battery_minus_ends[net] != 0;
}

struct Prospective {
    Faults faults;
    std::vector<double> array;  // per net of Network::on: the strings with an end on it, A with the irradiance factor
    [[nodiscard]] bool rough(const Analysis& a, std::uint32_t terminal) const {
        const std::uint32_t island = a.circuits.island[a.net.on[terminal]];
        return island != none && island < faults.rough.size() && faults.rough[island] != 0;
    }
    [[nodiscard]] double at(const Analysis& a, std::uint32_t terminal) const {
        return battery(a, terminal) ? faults.at[terminal] : array[a.net.on[terminal]];
    }
    [[nodiscard]] double through(const Analysis& a, std::uint32_t edge) const {
        const Feed& f = a.feeds.of(edge);
        if (a.side_of(edge, f) == Analysis::Side::battery) return faults.through[edge];
        return std::fmax(f.isc, f.back) * a.climate.irradiance + (std::isnan(f.isc) || std::isnan(f.back) ? graph::unknown : 0);
    }
    [[nodiscard]] Missing lack(const Analysis& a, std::uint32_t terminal) const {
        const std::uint32_t island = a.circuits.island[a.net.on[terminal]];
        const std::uint32_t battery = island == none || island >= faults.lacking.size() ? none : faults.lacking[island];
        if (battery == none) return {"`isc` of every string of its circuit", a.d.things[a.owner(terminal)].span};
        const graph::Thing& t = a.d.things[a.net.sources[battery].thing];
        const graph::Part& part = t.groups != 0 ? a.d.parts[a.d.groups[t.first_group].part] : a.d.parts[t.part];
        return {fmt::format("`short-circuit` (or `internal` and `nominal`) of {}", a.d.word(part.name)), part.span};
    }
    [[nodiscard]] std::vector<std::string> working(const Analysis& a, std::uint32_t terminal, double ampere) const {
        if (std::isnan(ampere)) return {};
        if (!battery(a, terminal)) return {fmt::format("isc of the strings that reach it x {} = {}", units::show_number(a.climate.irradiance), a.show(ampere, "A"))};
        return {fmt::format("every battery as its nominal voltage behind nominal / short-circuit current (as its highest voltage behind its internal resistance where that is all that is stated){}, chargers and strings beside them: {}",
                            rough(a, terminal) ? "" : fmt::format(" and the resistance of its cables at {}, of contacts and fuses as they are", a.show(a.standard.number("fault-temperature"), "degC")),
                            a.show(ampere, "A"))};
    }
    [[nodiscard]] std::vector<std::string> assumed(const Analysis& a, std::uint32_t terminal) const {
        if (!battery(a, terminal)) return {};
        if (rough(a, terminal)) return {"cables of no resistance, as the circuit has more terminals than are shorted one by one"};
        return {"cables of unknown length or section as 0 ohm, which is more current than will flow"};
    }
};

using SharedProspective = std::shared_ptr<const Prospective>;

void explain(Column& c, const Shared& a, const SharedProspective& p, const std::function<std::uint32_t(std::uint32_t)>& terminal) {
    c.missing = [a, p, terminal](std::uint32_t row) { return terminal(row) == none ? Missing{"a way to it", a->d.site_span} : p->lack(*a, terminal(row)); };
    c.assumed = [a, p, terminal](std::uint32_t row) { return terminal(row) == none ? std::vector<std::string>{} : p->assumed(*a, terminal(row)); };
}

void fill_fuse(Facts& facts, const Shared& a, const SharedProspective& p) {
    Filler fill(facts, "fuse");
    auto& x = fill.numbers("prospective");
    for (std::uint32_t r = 0; r < a->fuses.size(); ++r) x[r] = p->through(*a, a->fuses[r].edge);
    const auto terminal = [a](std::uint32_t row) { return a->net.edges[a->fuses[row].edge].a; };
    explain(fill.column("prospective"), a, p, terminal);
    fill.column("prospective").working = [a, p, terminal](std::uint32_t row) {
        return p->working(*a, terminal(row), p->through(*a, a->fuses[row].edge));
    };
}

// Does a fuse of that class stand between the device and the + of every battery of its circuit? 2: a link on the way that states no
// class decides; `silent` is the first of these.
struct FusedBefore {
    std::uint8_t answer = 0;
    graph::PartId silent;
};
FusedBefore fused_before(const Analysis& a, std::uint32_t device, std::string_view cls, bool count_silent = false) {
    const Network& n = a.net;
    const graph::Thing& t = a.d.things[graph::ThingId(device)];
    std::vector<std::uint32_t> queue;
    std::unordered_set<std::uint32_t> seen;
    graph::PartId silent;
    auto see = [&](std::uint32_t terminal) {
        if (seen.insert(terminal).second) queue.push_back(terminal);
    };
    for (std::uint32_t i = 0; i < a.d.part_of(graph::ThingId(device)).terminals.size(); ++i) {
        const std::uint32_t terminal = t.first_terminal.value + i;
        if (a.circuits.battery_plus_ends[n.on[terminal]] != 0) see(terminal);
    }
    for (std::size_t q = 0; q < queue.size(); ++q) {
        if (q > base::limits::short_circuit_terminals) return {};
        for (std::uint32_t k = n.first[queue[q]]; k < n.first[queue[q] + 1]; ++k) {
            const Edge& e = n.edges[n.at[k]];
            if (!e.closed) continue;
            if (e.kind != Edge::Kind::wire && a.parts[a.d.things[graph::ThingId(e.thing)].part.value].overcurrent) {
                const graph::PartId link = a.fuse_link(e.thing);
                const std::string_view own = link ? a.d.text(a.d.parts[link].rows, "class", "class") : std::string_view();
                if (own == cls && !own.empty()) continue;
                if (link && own.empty() && a.parts[link.value].kind == "fuse") {
                    if (!silent) silent = link;
                    if (count_silent) continue;
                }
            }
            see(n.other(n.at[k], queue[q]));
        }
    }
    for (const std::uint32_t i : a.battery_sources) {
        if (n.sources[i].plus != none && seen.count(n.sources[i].plus) != 0) {
            // With those of no stated class taken for it, would it be so?
            const bool may = !count_silent && silent && fused_before(a, device, cls, true).answer == 1;
            return {static_cast<std::uint8_t>(may ? 2 : 0), may ? silent : graph::PartId()};
        }
    }
    return {1, {}};
}

void fill_switch(Facts& facts, const Shared& a, const SharedProspective& p) {
    Filler fill(facts, "switch");
    auto& x = fill.numbers("prospective");
    auto& battery_side = fill.flags("battery-side");
    auto& conditional = fill.flags("conditional");
    auto& fused = fill.flags("fused-before");
    const auto& switches = a->switches.switches;
    std::vector<std::uint32_t> row_of(a->d.things.size(), no_row), edge(switches.size(), none);
    for (std::uint32_t r = 0; r < switches.size(); ++r) {
        row_of[switches[r].device] = r;
        x[r] = 0;
    }
    for (std::uint32_t e = 0; e < a->net.edges.size(); ++e) {
        if (a->net.edges[e].kind != Edge::Kind::contact) continue;
        const std::uint32_t r = row_of[a->net.edges[e].thing];
        if (r == no_row) continue;
        if (a->side_of(e, a->feeds.of(e)) == Analysis::Side::battery) battery_side[r] = 1;
        const double i = p->through(*a, e);
        if (std::isnan(x[r]) || i <= x[r]) continue;
        x[r] = i;
        edge[r] = e;
    }
    for (std::uint32_t r = 0; r < switches.size(); ++r) {
        const std::string_view behind = a->d.text(a->d.part_of(graph::ThingId(switches[r].device)).rows, "withstands", "class");
        if (behind.empty()) continue;
        conditional[r] = 1;
        if (battery_side[r] != 0) fused[r] = fused_before(*a, switches[r].device, behind).answer;
    }
    fill.column("fused-before").missing = [a](std::uint32_t row) {
        const std::uint32_t device = a->switches.switches[row].device;
        const std::string_view behind = a->d.text(a->d.part_of(graph::ThingId(device)).rows, "withstands", "class");
        const graph::PartId link = fused_before(*a, device, behind).silent;
        if (!link) return Missing{"a fuse before it", a->d.things[graph::ThingId(device)].span};
        return Missing{fmt::format("`class` of {}", a->d.word(a->d.parts[link].name)), a->d.parts[link].span};
    };
    const auto terminal = [a, edge](std::uint32_t row) { return edge[row] == none ? none : a->net.edges[edge[row]].a; };
    explain(fill.column("prospective"), a, p, terminal);
    fill.column("prospective").working = [a, p, edge, terminal](std::uint32_t row) {
        return edge[row] == none ? std::vector<std::string>{} : p->working(*a, terminal(row), p->through(*a, edge[row]));
    };
}

void fill_device(Facts& facts, const Shared& a, const SharedProspective& p) {
    Filler fill(facts, "device");
    auto& x = fill.numbers("prospective");
    for (std::uint32_t r = 0; r < a->devices.size(); ++r) {
        const std::uint32_t first = a->d.things[a->devices[r]].first_terminal.value;
        x[r] = 0;
        for (std::uint32_t i = 0; i < a->d.part_of(a->devices[r]).terminals.size(); ++i) {
            const double at = p->at(*a, first + i);
            if (std::isnan(at) || at > x[r]) x[r] = at;
            if (std::isnan(at)) break;
        }
    }
    explain(fill.column("prospective"), a, p, [a, p](std::uint32_t row) {
        const std::uint32_t first = a->d.things[a->devices[row]].first_terminal.value;
        std::uint32_t most = none;
        for (std::uint32_t i = 0; i < a->d.part_of(a->devices[row]).terminals.size(); ++i) {
            if (most == none || std::isnan(p->at(*a, first + i)) || p->at(*a, first + i) > p->at(*a, most)) most = first + i;
        }
        return most;
    });
}

void fill_dc_system(Facts& facts, const Shared& a, const SharedSolved& s, const SharedProspective& p) {
    Filler fill(facts, "dc-system");
    const auto rows = static_cast<std::uint32_t>(a->systems.size());
    std::vector<double> most(rows, 0), link(rows, -1);
    for (std::uint32_t t = 0; t < a->net.terminals; ++t) {
        const std::uint32_t r = a->system_row[a->circuit_of(t)];
        if (r == no_row || std::isnan(most[r])) continue;
        const double at = p->at(*a, t);
        if (!(at <= most[r])) most[r] = at;
    }
    for (const EarthLink& l : a->earthing.links) {
        const std::uint32_t r = a->system_row[a->circuit_of(l.terminal)];
        if (r == no_row) continue;
        const double ohm = s->resist.cold[l.conductor];
        const double known = std::isnan(ohm) ? 0 : ohm;
        link[r] = link[r] < 0 ? known : std::fmin(link[r], known);
    }
    auto& first = fill.numbers("first-fault-current");
    auto& voltage = fill.numbers("first-fault-voltage");
    auto& second = fill.numbers("second-fault-current");
    const std::vector<double>& highest = fill.numbers("voltage");
    std::vector<std::uint8_t> battery(rows, 0);
    for (const std::uint32_t i : a->battery_sources) {
        if (a->net.sources[i].plus != none && a->system_row[a->circuit_of(a->net.sources[i].plus)] != no_row) battery[a->system_row[a->circuit_of(a->net.sources[i].plus)]] = 1;
    }
    for (std::uint32_t r = 0; r < rows; ++r) {
        voltage[r] = highest[r];
        second[r] = most[r];
        first[r] = link[r] < 0 ? 0 : most[r];
        // A battery's current is limited by resistance, an array's by itself.
        if (link[r] > 0 && battery[r] != 0) first[r] = highest[r] / (highest[r] / most[r] + link[r]);
    }
    const auto missing = [a](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->systems[row]);
        return Missing{fmt::format("the short-circuit current of every source, and {}", l.what), l.where};
    };
    for (const char* c : {"first-fault-current", "first-fault-voltage", "second-fault-current"}) fill.column(c).missing = missing;
    fill.column("first-fault-voltage").working = [a, link, highest](std::uint32_t row) {
        return std::vector{link[row] < 0 ? fmt::format("no pole is earthed: with one pole on earth the other stands at {} against it", a->show(highest[row], "V"))
                                         : fmt::format("one pole is earthed: the other stands at {} against earth", a->show(highest[row], "V"))};
    };
    fill.column("first-fault-current").working = [a, link, most](std::uint32_t row) {
        if (link[row] < 0) return std::vector<std::string>{"no pole is earthed: there is no way back for the current (capacitance left out)"};
        return std::vector{fmt::format("the sources give {} into a short; the earth link has {}", a->show(most[row], "A"), a->show(link[row], "mohm"))};
    };
}

}  // namespace

void put_points(Facts& facts, const Analysis& a, const Solved& s, std::span<const PieceRows::Point> points) {
    Filler fill(facts, "point");
    auto& operating = fill.numbers("voltage-operating");
    auto& voltage_open = fill.numbers("voltage-open");
    // What the solver's rounding leaves of nothing is nothing.
    const auto plain = [](double volt) { return std::fabs(volt) < 1e-9 ? 0 : volt; };
    for (const PieceRows::Point& p : points) {
        const double sun = s.sun_volt[p.terminal];
        operating[p.row] = plain(battery(a, p.terminal) && !(std::fabs(sun) > 0) ? s.battery_volt[p.terminal] : sun);
        voltage_open[p.row] = plain(p.open_volt);
    }
}

void fill_faults(Facts& facts, const Shared& a, Solution solution) {
    const SharedSolved s = solution.solved;
    auto made = std::make_shared<Prospective>();
    made->faults = std::move(solution.faults);
    made->array.assign(a->net.on.count, 0);
    for (std::uint32_t i = 0; i < a->net.strings; ++i) {
        const PowerSource& x = a->net.sources[i];
        if (x.plus == none || x.minus == none) continue;
        made->array[a->net.on[x.plus]] += a->strings[i].isc * a->climate.irradiance;
        if (a->net.on[x.plus] != a->net.on[x.minus]) made->array[a->net.on[x.minus]] += a->strings[i].isc * a->climate.irradiance;
    }
    const SharedProspective p = std::move(made);
    fill_fuse(facts, a, p);
    fill_switch(facts, a, p);
    fill_device(facts, a, p);
    fill_dc_system(facts, a, s, p);

    const std::vector<std::uint32_t> terminals = std::move(solution.points);
    Filler fill(facts, "point", terminals.size());
    Table& table = fill.table();
    table.name = [a, terminals](std::uint32_t row) { return a->d.name(graph::TerminalId(terminals[row])); };
    table.place = [a, terminals](std::uint32_t row) { return a->d.things[a->owner(terminals[row])].span; };
    table.thing = [a, terminals](std::uint32_t row) { return a->owner(terminals[row]).value; };
    table.circuit = [a, terminals](std::uint32_t row) { return a->circuit_of(terminals[row]); };
    if (terminals.empty()) return;
    auto& device = fill.subjects("device");
    auto& current = fill.numbers("short-circuit-current");
    const std::vector<double> open_volt = solution.open_volt.get();
    std::vector<PieceRows::Point> points;
    for (std::uint32_t r = 0; r < terminals.size(); ++r) {
        const std::uint32_t t = terminals[r];
        device[r] = a->device_row[a->owner(t).value];
        current[r] = p->at(*a, t);
        points.push_back({r, t, open_volt[t]});
    }
    put_points(facts, *a, *s, points);
    const auto missing = [a, terminals](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->circuit_of(terminals[row]));
        return Missing{l.what, l.where};
    };
    fill.column("voltage-operating").missing = fill.column("voltage-open").missing = missing;
    explain(fill.column("short-circuit-current"), a, p, [terminals](std::uint32_t row) { return terminals[row]; });
    fill.column("short-circuit-current").working = [a, p, terminals](std::uint32_t row) { return p->working(*a, terminals[row], p->at(*a, terminals[row])); };
}

}  // namespace ferrule::facts
