// load, load-output: what uses direct current, and what feeds it.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "facts/bank_figures.hpp"
#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

struct LoadsFound {
    std::vector<std::uint32_t> loads, outputs;           // ports
    std::vector<std::uint32_t> output_of;                // per port: row of load-output whose two terminals it hangs on, or none
    std::vector<std::uint32_t> battery_port, bank;       // per output: of the same controller; none
};

std::uint64_t two_nets(const Analysis& a, const Port& p) { return pair_of(a.net.on[p.plus], a.net.on[p.minus]); }

LoadsFound find_loads(const Analysis& a) {
    LoadsFound out;
    std::unordered_map<std::uint64_t, std::uint32_t> by_nets;
    std::unordered_map<std::uint32_t, std::uint32_t> battery_side;  // by device
    for (std::uint32_t k = 0; k < a.net.ports.size(); ++k) {
        const Port& p = a.net.ports[k];
        if (p.role == Port::Role::battery) battery_side.emplace(p.device.value, k);
        if (p.role != Port::Role::load) continue;
        if (p.port == 0xffff) {
            out.loads.push_back(k);
            continue;
        }
        if (p.plus != none && p.minus != none) by_nets.emplace(two_nets(a, p), static_cast<std::uint32_t>(out.outputs.size()));
        out.outputs.push_back(k);
    }
    for (const std::uint32_t k : out.outputs) {
        const auto at = battery_side.find(a.net.ports[k].device.value);
        out.battery_port.push_back(at == battery_side.end() ? none : at->second);
        out.bank.push_back(at == battery_side.end() ? none : a.banks.of_port[at->second]);
    }
    out.output_of.assign(a.net.ports.size(), none);
    for (std::uint32_t k = 0; k < a.net.ports.size(); ++k) {
        const Port& p = a.net.ports[k];
        if (p.plus == none || p.minus == none || p.role == Port::Role::array || (p.role == Port::Role::load && p.port != 0xffff)) continue;
        if (a.banks.of_port[k] != none) continue;
        const auto at = by_nets.find(two_nets(a, p));
        if (at != by_nets.end() && a.net.ports[out.outputs[at->second]].device != p.device) out.output_of[k] = at->second;
    }
    return out;
}

double gives_volts(const Analysis& a, const Power& p, const LoadsFound& f, std::uint32_t output) {
    const Port& port = a.net.ports[f.outputs[output]];
    const graph::Field* own = a.d.field(a.d.row(a.d.part_of(port.device).ports[port.port].rows, "voltage"), "voltage");
    if (own != nullptr && own->low == own->high) return own->low;
    return f.bank[output] == none ? graph::unknown : p.banks[f.bank[output]].nominal;
}

// At the lowest voltage it may meet there.
double taken_by(const Analysis& a, const Power& p, const LoadsFound& f, std::uint32_t k) {
    const PortDemand& x = a.demand.ports[k];
    if (x.takes_by != PortDemand::By::power || !x.power.known()) return x.takes;
    const std::uint32_t output = f.output_of[k];
    double volts = f.battery_port[output] == none ? graph::unknown : a.demand.battery_lowest[f.battery_port[output]];
    if (std::isnan(volts)) volts = gives_volts(a, p, f, output);
    return std::isnan(volts) ? graph::unknown : x.power.value / ((x.efficiency.known() ? x.efficiency.value : 1.0) * volts);
}

void fill_load(Facts& facts, const Shared& a, const SharedPower& p, const std::shared_ptr<const LoadsFound>& f) {
    Filler fill(facts, "load", f->loads.size());
    Table& t = fill.table();
    const auto device = [a, f](std::uint32_t row) { return a->net.ports[f->loads[row]].device; };
    t.name = [a, device](std::uint32_t row) { return a->d.name(device(row)); };
    t.place = [a, device](std::uint32_t row) { return a->d.things[device(row)].span; };
    t.thing = [device](std::uint32_t row) { return device(row).value; };
    t.circuit = [a, f](std::uint32_t row) { return a->circuit_of(a->net.ports[f->loads[row]].plus); };
    t.properties = [a, device](std::uint32_t row) { return a->d.things[device(row)].rows; };
    t.part_properties = [a, device](std::uint32_t row) { return a->d.part_of(device(row)).rows; };
    const double either_way = a->standard.number("system-voltage-tolerance");
    for (std::uint32_t r = 0; r < f->loads.size(); ++r) {
        const std::uint32_t k = f->loads[r];
        fill.subjects("device")[r] = a->device_row[device(r).value];
        if (const graph::Field* own = a->d.field(a->d.row(a->d.part_of(device(r)).rows, "voltage"), "voltage")) {
            const bool single = own->low == own->high;
            fill.numbers("works-from")[r] = single ? own->low * (1 - either_way) : own->low;
            fill.numbers("works-to")[r] = single ? own->high * (1 + either_way) : own->high;
        }
        const std::uint32_t bank = a->banks.of_port[k], output = f->output_of[k];
        if (bank != none) {
            fill.numbers("nominal")[r] = p->banks[bank].nominal;
            fill.subjects("supply")[r] = row_or_none(a->device_row[a->net.sources[p->banks[bank].first].thing.value]);
        } else if (output != none) {
            fill.numbers("nominal")[r] = gives_volts(*a, *p, *f, output);
            fill.subjects("supply")[r] = a->device_row[a->net.ports[f->outputs[output]].device.value];
        }
    }
}

void fill_output(Facts& facts, const Shared& a, const SharedPower& p, const std::shared_ptr<const LoadsFound>& f) {
    Filler fill(facts, "load-output", f->outputs.size());
    Table& t = fill.table();
    t.name = [a, f](std::uint32_t row) { return port_name(*a, f->outputs[row]); };
    t.place = [a, f](std::uint32_t row) { return a->d.things[a->net.ports[f->outputs[row]].device].span; };
    t.thing = [a, f](std::uint32_t row) { return a->net.ports[f->outputs[row]].device.value; };
    t.circuit = [a, f](std::uint32_t row) { return a->circuit_of(a->net.ports[f->outputs[row]].plus); };
    t.properties = [a, f](std::uint32_t row) {
        const Port& port = a->net.ports[f->outputs[row]];
        return a->d.part_of(port.device).ports[port.port].rows;
    };
    auto& taken = fill.numbers("taken");
    auto& first = fill.subjects("first");
    std::vector<double> most(f->outputs.size(), -1);
    for (std::uint32_t r = 0; r < f->outputs.size(); ++r) {
        fill.subjects("device")[r] = a->device_row[a->net.ports[f->outputs[r]].device.value];
        taken[r] = 0;
    }
    for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
        const std::uint32_t r = f->output_of[k];
        if (r == none) continue;
        const double amperes = taken_by(*a, *p, *f, k);
        taken[r] += amperes;
        if (!(amperes > most[r])) continue;
        most[r] = amperes;
        first[r] = a->device_row[a->net.ports[k].device.value];
    }
    fill.column("taken").working = [a, p, f](std::uint32_t row) {
        std::vector<std::string> lines;
        for (std::uint32_t k = 0; k < a->net.ports.size() && lines.size() < 8; ++k) {
            if (f->output_of[k] != row) continue;
            const PortDemand& x = a->demand.ports[k];
            const double amperes = taken_by(*a, *p, *f, k);
            const bool by_power = x.takes_by == PortDemand::By::power && x.power.known();
            lines.push_back(by_power ? fmt::format("{}: {} at {} = {}", port_name(*a, k), a->show(x.power.value, "W"),
                                                   a->show(x.power.value / ((x.efficiency.known() ? x.efficiency.value : 1.0) * amperes), "V"), a->show(amperes, "A"))
                                     : fmt::format("{}: {}, as stated", port_name(*a, k), a->show(amperes, "A")));
        }
        return lines;
    };
    fill.column("taken").missing = [a, p, f](std::uint32_t row) {
        for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
            if (f->output_of[k] != row || !std::isnan(taken_by(*a, *p, *f, k))) continue;
            const Lack l = takes_lack(a->d, a->net.ports[k], a->demand.ports[k]);
            return Missing{l.what, l.where};
        }
        return Missing{"what hangs on it", a->d.site_span};
    };
}

}  // namespace

void fill_loads(Facts& facts, const Shared& a, const SharedPower& p) {
    const auto f = std::make_shared<const LoadsFound>(find_loads(*a));
    fill_load(facts, a, p, f);
    fill_output(facts, a, p, f);
}

}  // namespace ferrule::facts
