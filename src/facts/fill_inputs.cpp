// input, battery-port, battery, dc-system.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/analysis.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

std::string port_name(const Analysis& a, std::uint32_t k) {
    const Port& p = a.net.ports[k];
    if (p.port == 0xffff) return a.d.name(p.device);
    const graph::PortTemplate& t = a.d.part_of(p.device).ports[p.port];
    return fmt::format("{}.{}{}", a.d.name(p.device), a.d.word(t.name), t.index != 0 ? std::to_string(t.index) : std::string());
}

std::uint32_t landing(const Analysis& a, std::uint32_t t) {
    if (t == none) return no_row;
    for (std::uint32_t k = a.net.first[t]; k < a.net.first[t + 1]; ++k) {
        const std::uint32_t c = a.net.edges[a.net.at[k]].conductor;
        if (c != none) return c;
    }
    return no_row;
}

// How strong a ground-fault function is: nothing said or none, detects, interrupts.
int strength(std::string_view function) { return function == "interrupts" ? 2 : function == "detects" ? 1 : 0; }

// Per galvanic circuit: the strongest ground-fault function of a device with a live terminal on it.
std::vector<int> watchers(const Analysis& a) {
    std::vector<int> watch(a.circuits.circuit_count, 0);
    for (const ThingId id : a.devices) {
        const PartData& part = a.part(id);
        int s = strength(part.ground_fault);
        if (part.kind == "insulation-monitor") s = std::max(s, 1);
        if (s == 0 || part.conducts == Conducts::converter) continue;
        const graph::Thing& t = a.d.things[id];
        for (std::uint32_t i = 0; i < a.d.part_of(id).terminals.size(); ++i) {
            if (a.d.part_of(id).terminals[i].protective) continue;
            int& w = watch[a.circuit_of(t.first_terminal.value + i)];
            w = std::max(w, s);
        }
    }
    return watch;
}

struct Paths {
    std::vector<std::uint32_t> handles;
    std::uint32_t switch_device = none;
    bool both_by_one = false;
};

}  // namespace

void fill_inputs(Facts& facts, const Shared& a) {
    const Circuits& c = a->circuits;
    const auto n = static_cast<std::uint32_t>(a->inputs.size());
    const std::vector<int> watch = watchers(*a);
    const base::Symbol words[3] = {facts.words.intern("none"), facts.words.intern("detects"), facts.words.intern("interrupts")};
    const base::Symbol no = words[0], plus_word = facts.words.intern("plus"), minus_word = facts.words.intern("minus"), both = facts.words.intern("both");

    // Ends of strings per net with every load-break switch off.
    std::vector<std::uint32_t> idle_ends(a->net.idle.count, 0);
    for (std::uint32_t i = 0; i < a->net.strings; ++i) {
        for (const std::uint32_t t : {a->net.sources[i].plus, a->net.sources[i].minus}) {
            if (t != none) ++idle_ends[a->net.idle[t]];
        }
    }
    // Which strings are parted on both sides by one load-break handle, and which handles are on an input's way.
    std::vector<std::uint8_t> two_sided(a->net.strings, 0);
    std::vector<Paths> ways(a->net.ports.size());
    for (const BrokenCircuit& b : a->switches.circuits) {
        if (b.battery || !a->part(ThingId(b.device)).breaks_load) continue;
        for (const std::uint32_t i : b.sources) {
            if (i >= a->net.strings) continue;
            if (b.poles_plus != 0 && b.poles_minus != 0) two_sided[i] = 1;
            const std::uint32_t g = c.group_of[i];
            const std::uint32_t k = b.input != none ? b.input : g != none ? a->group_input[g] : none;
            if (k == none) continue;
            auto& handles = ways[k].handles;
            if (std::find(handles.begin(), handles.end(), b.handle) == handles.end()) handles.push_back(b.handle);
            ways[k].switch_device = b.device;
        }
    }
    std::vector<std::uint32_t> reversal_of_port(a->net.ports.size(), no_row);
    for (std::uint32_t r = 0; r < c.reversals.size(); ++r) {
        if (c.reversals[r].port != none) reversal_of_port[c.reversals[r].port] = r;
    }

    {
        Filler fill(facts, "input", n);
        Table& t = fill.table();
        t.name = [a](std::uint32_t row) { return port_name(*a, a->inputs[row]); };
        t.place = [a](std::uint32_t row) { return a->d.things[a->net.ports[a->inputs[row]].device].span; };
        t.thing = [a](std::uint32_t row) { return a->net.ports[a->inputs[row]].device.value; };
        t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->net.ports[a->inputs[row]].plus); };
        t.properties = [a](std::uint32_t row) {
            const Port& p = a->net.ports[a->inputs[row]];
            return a->d.part_of(p.device).ports[p.port].rows;
        };
        t.part_properties = [a](std::uint32_t row) { return a->d.part_of(a->net.ports[a->inputs[row]].device).rows; };
        auto& device = fill.subjects("device");
        auto& longest = fill.subjects("longest");
        auto& shortest = fill.subjects("shortest");
        auto& unswitched = fill.subjects("unswitched");
        auto& nearest = fill.subjects("nearest-switch");
        auto& stray = fill.subjects("stray");
        auto& reversal = fill.subjects("reversal");
        auto& voltage = fill.numbers("voltage");
        auto& vmp_hot = fill.numbers("vmp-hottest");
        auto& vmp_cold = fill.numbers("vmp-coldest");
        auto& voc_hot = fill.numbers("voc-hottest");
        auto& isc_max = fill.numbers("isc-max");
        auto& handles = fill.numbers("switches");
        auto& fed = fill.flags("fed");
        auto& half_fed = fill.flags("half-fed");
        auto& reversed = fill.flags("reversed");
        auto& crossed = fill.flags("crossed");
        auto& one_handle = fill.flags("one-handle");
        auto& watched = fill.flags("watched");
        auto& earthed = fill.flags("pole-earthed");
        auto& isolated = fill.flags("isolated");
        auto& switched = fill.column("switched").words;
        auto& ground_fault = fill.column("ground-fault").words;
        auto& earthed_side = fill.column("earthed-side").words;
        // Strings of a galvanic circuit, for inputs that strings in series feed.
        std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> of_circuit;
        for (std::uint32_t i = 0; i < a->net.strings; ++i) {
            if (c.group_of[i] == none || a->group_input[c.group_of[i]] == none) of_circuit[a->circuit_of(a->net.sources[i].plus)].push_back(i);
        }
        std::vector<std::uint32_t> members;
        for (std::uint32_t r = 0; r < n; ++r) {
            const std::uint32_t k = a->inputs[r];
            const Port& p = a->net.ports[k];
            device[r] = a->device_row[p.device.value];
            const PartData& part = a->part(p.device);
            isolated[r] = part.isolated == Answer::unknown ? flag_unknown : part.isolated == Answer::yes ? 1 : 0;
            switched[r] = ground_fault[r] = earthed_side[r] = no;
            if (p.plus == none || p.minus == none) continue;
            const std::uint32_t plus = a->net.on[p.plus], minus = a->net.on[p.minus];
            const std::uint32_t at_plus = c.plus_ends[plus] + c.minus_ends[plus], at_minus = c.plus_ends[minus] + c.minus_ends[minus];
            half_fed[r] = (at_plus != 0) != (at_minus != 0) ? 1 : 0;
            members.clear();
            const std::uint32_t g = a->input_group[k];
            const bool joined = c.island[plus] != none && c.island[plus] == c.island[minus] && plus != minus;
            if (g != none) {
                members = c.groups[g].members;
                members.insert(members.end(), c.groups[g].reversed.begin(), c.groups[g].reversed.end());
                std::sort(members.begin(), members.end());
            } else if (joined && at_plus != 0 && at_minus != 0) {
                members = of_circuit[a->circuit_of(p.plus)];  // strings in series: a centre-tapped array, say
            }
            fed[r] = members.empty() ? 0 : 1;
            reversal[r] = reversal_of_port[k];
            reversed[r] = reversal[r] != no_row ? 1 : 0;
            crossed[r] = at_plus != 0 && at_minus != 0 && members.empty() && plus != minus && reversed[r] == 0 ? 1 : 0;
            if (crossed[r] != 0) stray[r] = landing(*a, p.minus);
            fill.add_list("strings", r, members);
            earthed[r] = a->earthing.pole_earthed[plus] | a->earthing.pole_earthed[minus];
            earthed_side[r] = a->earthing.pole_earthed[plus] != 0 ? plus_word : a->earthing.pole_earthed[minus] != 0 ? minus_word : no;
            const int w = std::max(strength(part.ground_fault), watch[a->circuit_of(p.plus)]);
            watched[r] = w != 0 ? 1 : 0;
            ground_fault[r] = words[w];
            if (members.empty()) continue;
            const bool plus_parted = idle_ends[a->net.idle[p.plus]] == 0, minus_parted = idle_ends[a->net.idle[p.minus]] == 0;
            switched[r] = plus_parted && minus_parted ? both : plus_parted ? plus_word : minus_parted ? minus_word : no;
            if (plus_parted != minus_parted) unswitched[r] = landing(*a, plus_parted ? p.minus : p.plus);
            handles[r] = static_cast<double>(ways[k].handles.size());
            if (ways[k].switch_device != none) nearest[r] = a->device_row[ways[k].switch_device];
            one_handle[r] = std::all_of(members.begin(), members.end(), [&](std::uint32_t i) { return two_sided[i] != 0; }) ? 1 : 0;
            double sum = 0;
            std::uint32_t high = members.front(), low = members.front();
            vmp_hot[r] = voc_hot[r] = std::numeric_limits<double>::infinity();
            vmp_cold[r] = 0;
            auto at_least = [](double& to, double v) { to = std::isnan(v) || v < to ? v : to; };
            auto at_most = [](double& to, double v) { to = std::isnan(v) || v > to ? v : to; };
            for (const std::uint32_t i : members) {
                const StringData& s = a->strings[i];
                sum += s.isc * a->climate.irradiance;
                if (!(s.voc_coldest <= a->strings[high].voc_coldest)) high = i;
                if (!(s.vmp_hottest >= a->strings[low].vmp_hottest)) low = i;
                at_least(vmp_hot[r], s.vmp_hottest);
                at_least(voc_hot[r], s.voc_hottest);
                at_most(vmp_cold[r], s.vmp_coldest);
            }
            isc_max[r] = sum;
            longest[r] = high;
            shortest[r] = low;
            voltage[r] = g != none ? a->strings[high].voc_coldest : std::fabs(c.potential[plus] - c.potential[minus]);
        }
        const auto lack = [a](std::uint32_t row) {
            const Lack l = a->circuit_lack(a->circuit_of(a->net.ports[a->inputs[row]].plus));
            return Missing{l.what, l.where};
        };
        fill.column("voltage").missing = lack;
        const auto string_working = [&](std::string_view column, std::string_view from, Voltage which) {
            const std::vector<std::uint32_t> rows = fill.subjects(from);
            fill.column(column).working = [a, rows, which](std::uint32_t row) {
                if (rows[row] == no_row) return std::vector<std::string>{};
                return voltage_working(a->d, a->parts, a->net.sources[rows[row]], a->strings[rows[row]], a->climate, a->standard, which);
            };
            const bool hot = which == Voltage::vmp_hottest || which == Voltage::voc_hottest;
            fill.column(column).assumed = [a, hot](std::uint32_t) {
                if (!hot || !a->climate.hottest_cell_assumed) return std::vector<std::string>{};
                return std::vector{fmt::format("hottest cell {} = hottest air {} + 30 K, as the site states no `hottest-cell`",
                                               a->show(a->climate.hottest_cell, "degC"), a->show(a->climate.hottest, "degC"))};
            };
            if (column == "voltage") return;
            fill.column(column).missing = [a, rows, which](std::uint32_t row) {
                if (rows[row] == no_row) return Missing{"a string that feeds it", a->d.site_span};
                const Lack l = voltage_lack(a->d, a->parts, a->net.sources[rows[row]], a->climate, which);
                return Missing{l.what, l.where};
            };
        };
        string_working("voltage", "longest", Voltage::voc_coldest);
        string_working("vmp-hottest", "shortest", Voltage::vmp_hottest);
        string_working("voc-hottest", "shortest", Voltage::voc_hottest);
        string_working("vmp-coldest", "longest", Voltage::vmp_coldest);
        fill.column("isolated").missing = [a](std::uint32_t row) {
            const graph::Part& part = a->d.part_of(a->net.ports[a->inputs[row]].device);
            return Missing{fmt::format("`isolated yes` or `isolated no` of {}", a->d.word(part.name)), part.span};
        };
        fill.column("isc-max").working = [a](std::uint32_t row) {
            const std::uint32_t g = a->input_group[a->inputs[row]];
            if (g == none) return std::vector<std::string>{};
            const double sum = a->group_isc(g);
            const auto count = a->circuits.groups[g].members.size() + a->circuits.groups[g].reversed.size();
            return std::vector{fmt::format("{}: {} string{} with isc {} in all x {} (irradiance factor) = {}", port_name(*a, a->inputs[row]), count,
                                           count == 1 ? "" : "s", a->show(sum, "A"), units::show_number(a->climate.irradiance),
                                           a->show(sum * a->climate.irradiance, "A"))};
        };
    }

    {
        std::vector<std::uint32_t> ports;
        for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
            if (a->net.ports[k].role == Port::Role::battery) ports.push_back(k);
        }
        Filler fill(facts, "battery-port", ports.size());
        Table& t = fill.table();
        t.name = [a, ports](std::uint32_t row) { return port_name(*a, ports[row]); };
        t.place = [a, ports](std::uint32_t row) { return a->d.things[a->net.ports[ports[row]].device].span; };
        t.thing = [a, ports](std::uint32_t row) { return a->net.ports[ports[row]].device.value; };
        t.circuit = [a, ports](std::uint32_t row) { return a->circuit_of(a->net.ports[ports[row]].plus); };
        t.properties = [a, ports](std::uint32_t row) {
            const Port& p = a->net.ports[ports[row]];
            return a->d.part_of(p.device).ports[p.port].rows;
        };
        auto& device = fill.subjects("device");
        auto& voltage = fill.numbers("voltage");
        auto& fed = fill.flags("fed");
        for (std::uint32_t r = 0; r < ports.size(); ++r) {
            const Port& p = a->net.ports[ports[r]];
            device[r] = a->device_row[p.device.value];
            if (p.plus == none || p.minus == none) continue;
            const std::uint32_t plus = a->net.on[p.plus], minus = a->net.on[p.minus];
            fed[r] = c.battery_plus_ends[plus] != 0 && c.battery_minus_ends[minus] != 0 ? 1 : 0;
            if (fed[r] != 0 && c.island[plus] == c.island[minus]) voltage[r] = std::fabs(c.potential[plus] - c.potential[minus]);
        }
        fill.column("voltage").missing = [a, ports](std::uint32_t row) {
            const Lack l = a->circuit_lack(a->circuit_of(a->net.ports[ports[row]].plus));
            return Missing{l.what, l.where};
        };
    }

    {
        Filler fill(facts, "battery", a->battery_sources.size());
        Table& t = fill.table();
        t.name = [a](std::uint32_t row) { return a->d.name(a->net.sources[a->battery_sources[row]].thing); };
        t.place = [a](std::uint32_t row) { return a->d.things[a->net.sources[a->battery_sources[row]].thing].span; };
        t.thing = [a](std::uint32_t row) { return a->net.sources[a->battery_sources[row]].thing.value; };
        t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->net.sources[a->battery_sources[row]].plus); };
        t.properties = [a](std::uint32_t row) { return a->d.things[a->net.sources[a->battery_sources[row]].thing].rows; };
        const auto part_of = [a](std::uint32_t row) {
            const graph::Thing& thing = a->d.things[a->net.sources[a->battery_sources[row]].thing];
            return thing.groups != 0 ? a->d.groups[thing.first_group].part : thing.part;
        };
        t.part_properties = [a, part_of](std::uint32_t row) { return a->d.parts[part_of(row)].rows; };
        std::vector<std::uint32_t> short_of(a->net.sources.size(), no_row);
        for (std::uint32_t s = 0; s < c.shorts.size(); ++s) short_of[c.shorts[s].source] = s;
        for (std::uint32_t r = 0; r < a->battery_sources.size(); ++r) {
            const std::uint32_t i = a->battery_sources[r];
            fill.subjects("device")[r] = a->device_row[a->net.sources[i].thing.value];
            fill.numbers("voltage-most")[r] = a->emf[i];
            fill.numbers("short-circuit-current")[r] = a->d.number(a->d.parts[part_of(r)].rows, "short-circuit", "current");
            fill.subjects("reversal")[r] = a->string_reversal[i];
            fill.flags("reversed")[r] = a->string_reversal[i] != no_row ? 1 : 0;
            fill.subjects("short")[r] = short_of[i];
        }
        fill.column("voltage-most").missing = [a](std::uint32_t row) {
            const Lack l = a->emf_lack(a->battery_sources[row]);
            return Missing{l.what, l.where};
        };
        fill.column("short-circuit-current").missing = [a, part_of](std::uint32_t row) {
            const graph::Part& part = a->d.parts[part_of(row)];
            return Missing{fmt::format("`short-circuit` of {}", a->d.word(part.name)), part.span};
        };
    }

    const auto systems = static_cast<std::uint32_t>(a->systems.size());
    Filler fill(facts, "dc-system", systems);
    Table& t = fill.table();
    std::vector<std::vector<std::uint32_t>> of_strings(systems), of_inputs(systems);
    std::vector<std::uint32_t> first(systems, none), batteries(systems, 0);
    auto& points = fill.numbers("earth-points");
    auto& voltage = fill.numbers("voltage");
    auto& earth = fill.subjects("earth-conductor");
    points.assign(systems, 0);
    voltage.assign(systems, 0);
    for (std::uint32_t i = 0; i < a->net.sources.size(); ++i) {
        if (a->net.sources[i].plus == none) continue;
        const std::uint32_t s = a->system_row[a->circuit_of(a->net.sources[i].plus)];
        if (first[s] == none) first[s] = i;
        if (i < a->net.strings) of_strings[s].push_back(i);
        else ++batteries[s];
    }
    for (std::uint32_t v = 0; v < a->net.on.count; ++v) {
        const std::uint32_t s = a->system_row[c.circuit[v]];
        if (s == no_row || c.island[v] == none) continue;
        voltage[s] = std::isnan(c.potential[v]) || c.potential[v] > voltage[s] ? c.potential[v] : voltage[s];
    }
    for (std::uint32_t r = 0; r < n; ++r) {
        const Port& p = a->net.ports[a->inputs[r]];
        if (p.plus == none) continue;
        const std::uint32_t s = a->system_row[a->circuit_of(p.plus)];
        if (s != no_row) of_inputs[s].push_back(r);
    }
    for (const EarthLink& l : a->earthing.links) {
        const std::uint32_t s = a->system_row[a->circuit_of(l.terminal)];
        if (s == no_row) continue;
        points[s] += 1;
        earth[s] = l.conductor;
    }
    for (std::uint32_t s = 0; s < systems; ++s) {
        fill.set_word("source", s, of_strings[s].empty() ? "battery" : batteries[s] == 0 ? "array" : "both");
        fill.add_list("strings", s, of_strings[s]);
        fill.add_list("inputs", s, of_inputs[s]);
        int w = watch[a->systems[s]];
        for (const std::uint32_t r : of_inputs[s]) w = std::max(w, strength(a->part(a->net.ports[a->inputs[r]].device).ground_fault));
        fill.flags("watched")[s] = w != 0 ? 1 : 0;
    }
    const auto place = [a, first, of_inputs](std::uint32_t row) {
        return of_inputs[row].empty() ? a->net.sources[first[row]].thing : a->net.ports[a->inputs[of_inputs[row].front()]].device;
    };
    t.name = [a, first](std::uint32_t row) { return fmt::format("the circuit of {}", a->d.name(a->net.sources[first[row]].thing)); };
    t.place = [a, place](std::uint32_t row) { return a->d.things[place(row)].span; };
    t.thing = [place](std::uint32_t row) { return place(row).value; };
    t.circuit = [a](std::uint32_t row) { return a->systems[row]; };
    fill.column("voltage").missing = [a](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->systems[row]);
        return Missing{l.what, l.where};
    };
}

}  // namespace ferrule::facts
