// battery-port, battery, dc-system.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

void fill_battery_ports(Facts& facts, const Shared& a) {
    const Circuits& c = a->circuits;
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
    auto& landed = fill.numbers("landed");
    auto& shorted = fill.flags("shorted");
    auto& array_on_it = fill.flags("array-on-it");
    auto& conductor = fill.subjects("conductor");
    for (std::uint32_t r = 0; r < ports.size(); ++r) {
        const Port& p = a->net.ports[ports[r]];
        device[r] = a->device_row[p.device.value];
        if (p.plus == none || p.minus == none) continue;
        const std::uint32_t plus = a->net.on[p.plus], minus = a->net.on[p.minus];
        landed[r] = (a->net.landings[p.plus] != 0 ? 1 : 0) + (a->net.landings[p.minus] != 0 ? 1 : 0);
        if (a->open_circuit[a->circuit_of(p.plus)] != 0 || a->open_circuit[a->circuit_of(p.minus)] != 0) landed[r] = 0;
        shorted[r] = plus == minus && landed[r] == 2 ? 1 : 0;
        array_on_it[r] = c.battery_plus_ends[plus] + c.battery_minus_ends[plus] == 0 && c.plus_ends[plus] + c.minus_ends[plus] != 0 ? 1 : 0;
        conductor[r] = a->net.landing(p.minus);
        fed[r] = c.battery_plus_ends[plus] != 0 && c.battery_minus_ends[minus] != 0 ? 1 : 0;
        if (fed[r] != 0 && c.island[plus] == c.island[minus]) voltage[r] = std::fabs(c.potential[plus] - c.potential[minus]);
    }
    fill.column("voltage").missing = [a, ports](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->circuit_of(a->net.ports[ports[row]].plus));
        return Missing{l.what, l.where};
    };
}

void fill_battery_table(Facts& facts, const Shared& a) {
    const Circuits& c = a->circuits;
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

void fill_systems(Facts& facts, const Shared& a) {
    const auto systems = static_cast<std::uint32_t>(a->systems.size());
    const std::vector<int> watch = watchers(*a);
    const auto n = static_cast<std::uint32_t>(a->inputs.size());
    const Circuits& c = a->circuits;
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
    t.name = [a, first](std::uint32_t row) { return a->d.name(a->net.sources[first[row]].thing); };
    t.place = [a, place](std::uint32_t row) { return a->d.things[place(row)].span; };
    t.thing = [place](std::uint32_t row) { return place(row).value; };
    t.circuit = [a](std::uint32_t row) { return a->systems[row]; };
    fill.column("voltage").missing = [a](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->systems[row]);
        return Missing{l.what, l.where};
    };
}

}  // namespace

void fill_batteries(Facts& facts, const Shared& a) {
    fill_battery_ports(facts, a);
    fill_battery_table(facts, a);
    fill_systems(facts, a);
}

}  // namespace ferrule::facts
