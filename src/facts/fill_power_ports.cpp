// battery-port: set points, and what it takes and gives; input: its array against its converter.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_map>

#include "facts/bank_figures.hpp"
#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

Missing lacks_property(const Analysis& a, ThingId device, const char* property) {
    const graph::Part& part = a.d.part_of(device);
    return {fmt::format("`{}` of {}", property, a.d.word(part.name)), part.span};
}

Missing lacks_battery_figure(const Analysis& a, const Power& p, std::uint32_t bank, const char* property, double BatteryData::*figure) {
    for (const std::uint32_t i : a.banks.banks[bank].batteries()) {
        if (!std::isnan(p.battery(a, i).*figure)) continue;
        const graph::Part& part = a.d.parts[p.battery(a, i).part];
        return {fmt::format("`{}` of {}", property, a.d.word(part.name)), part.span};
    }
    return {"what its batteries are", a.d.site_span};
}

// Settings and stated figures are the lines a value rests on.
std::vector<findings::Related> line_of(const Analysis& a, graph::RowId row, const char* say) {
    if (!row) return {};
    return {{a.d.rows[row].span, say}};
}

void fill_set_points(Filler& fill, const Shared& a, const SharedPower& p) {
    struct One {
        const char *column, *what;
    };
    static constexpr One all[]{{"charges-to", "absorb"}, {"holds-at", "float"}, {"equalises-at", "equalise"}, {"stops-at", "cut-off"}};
    for (const One& one : all) {
        auto& numbers = fill.numbers(one.column);
        for (std::uint32_t r = 0; r < numbers.size(); ++r) numbers[r] = set_point(*a, a->net.ports[p->battery_ports[r]], one.what, "voltage").value;
        Column& c = fill.column(one.column);
        c.missing = [a, p, one](std::uint32_t r) {
            const graph::Part& part = a->d.part_of(a->net.ports[p->battery_ports[r]].device);
            return Missing{fmt::format("`{0}` of {1}, or `set {0}` of what is one,", one.what, a->d.word(part.name)), part.span};
        };
        c.rests_on = [a, p, one](std::uint32_t r) {
            return line_of(*a, set_point(*a, a->net.ports[p->battery_ports[r]], one.what, "voltage").row, "set here");
        };
    }
    for (std::uint32_t r = 0; r < p->battery_ports.size(); ++r) {
        const double absorb = fill.numbers("charges-to")[r], equalise = fill.numbers("equalises-at")[r];
        fill.flags("equalises")[r] = std::isnan(equalise) ? 0 : 1;
        fill.numbers("highest-set")[r] = std::fmax(absorb, equalise);
    }
    fill.column("highest-set").missing = fill.column("charges-to").missing;
    fill.column("highest-set").rests_on = fill.column("charges-to").rests_on;
}

void fill_demand(Filler& fill, const Shared& a, const SharedPower& p) {
    for (std::uint32_t r = 0; r < p->battery_ports.size(); ++r) {
        fill.numbers("takes")[r] = a->demand.ports[p->battery_ports[r]].takes;
        fill.numbers("gives")[r] = a->demand.ports[p->battery_ports[r]].gives;
        fill.numbers("output-power")[r] = a->demand.ports[p->battery_ports[r]].power.value;
    }
    fill.column("output-power").missing = [a, p](std::uint32_t r) { return lacks_property(*a, a->net.ports[p->battery_ports[r]].device, "power"); };
    fill.column("takes").working = [a, p](std::uint32_t r) {
        const std::string text = takes_text(a->d, a->demand.ports[p->battery_ports[r]]);
        return text.empty() ? std::vector<std::string>{} : std::vector{text};
    };
    fill.column("takes").missing = [a, p](std::uint32_t r) {
        const Lack l = takes_lack(a->d, a->net.ports[p->battery_ports[r]], a->demand.ports[p->battery_ports[r]]);
        return Missing{l.what, l.where};
    };
    fill.column("gives").missing = [a, p](std::uint32_t r) {
        const Lack l = gives_lack(a->d, a->net.ports[p->battery_ports[r]], a->demand.ports[p->battery_ports[r]]);
        return Missing{l.what, l.where};
    };
}

// ---- input ---------------------------------------------------------------------------------------------

// The battery side of the same converter; none if it has none.
std::uint32_t battery_port_of(const Analysis& a, std::uint32_t port) {
    const auto at = std::lower_bound(a.net.ports.begin(), a.net.ports.end(), a.net.ports[port].device.value,
                                     [](const Port& x, std::uint32_t device) { return x.device.value < device; });
    for (auto k = at; k != a.net.ports.end() && k->device == a.net.ports[port].device; ++k) {
        if (k->role == Port::Role::battery) return static_cast<std::uint32_t>(k - a.net.ports.begin());
    }
    return none;
}

double string_power(const Analysis& a, std::uint32_t string) {
    const graph::Thing& t = a.d.things[a.net.sources[string].thing];
    double sum = 0;
    for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
        sum += a.d.groups[g].count * a.d.number(a.d.parts[a.d.groups[g].part].rows, "pmax", "power");
    }
    return sum;
}

double string_vmp(const Analysis& a, std::uint32_t string) {
    const graph::Thing& t = a.d.things[a.net.sources[string].thing];
    double sum = 0;
    for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) sum += a.d.groups[g].count * a.parts[a.d.groups[g].part.value].module.vmp;
    return sum;
}

Missing lacks_module_figure(const Analysis& a, const std::vector<std::uint32_t>& strings, const char* property) {
    for (const std::uint32_t i : strings) {
        const graph::Thing& t = a.d.things[a.net.sources[i].thing];
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            const graph::Part& part = a.d.parts[a.d.groups[g].part];
            if (!a.d.states(part.rows, property)) return {fmt::format("`{}` of {}", property, a.d.word(part.name)), part.span};
        }
    }
    return {"a string that feeds it", a.d.site_span};
}

struct InputFill {
    Filler& fill;
    const Shared& a;
    const SharedPower& p;
    std::vector<std::uint32_t> row_of_port;
    // The columns, looked up once.
    std::vector<double>& array_power = fill.numbers("array-power");
    std::vector<double>& imp = fill.numbers("imp");
    std::vector<double>& isc_stc = fill.numbers("isc-stc");
    std::vector<double>& vmp_stc = fill.numbers("vmp-stc");
    std::vector<double>& clipped = fill.numbers("clipped");
    std::vector<double>& current_limit = fill.numbers("current-limit");
    std::vector<double>& isc_limit = fill.numbers("isc-limit");
    std::vector<double>& isc_max = fill.numbers("isc-max");
    std::vector<double>& isc_against_limit = fill.numbers("isc-against-limit");
    std::vector<double>& strings_most = fill.numbers("strings-most");
    std::vector<double>& working_modules = fill.numbers("working-modules");
    std::vector<double>& voltage = fill.numbers("voltage");
    std::vector<double>& battery_voltage = fill.numbers("battery-voltage");
    std::vector<double>& voltage_needed = fill.numbers("voltage-needed");
    std::vector<double>& needed_modules = fill.numbers("needed-modules");
    std::vector<double>& vmp_hottest = fill.numbers("vmp-hottest");
    std::vector<double>& output_current = fill.numbers("output-current");
    std::vector<double>& usable_power = fill.numbers("usable-power");
    std::vector<double>& lost_share = fill.numbers("lost-share");
    std::vector<std::uint32_t>& battery_port = fill.subjects("battery-port");
    std::vector<base::Symbol>& bypassed = fill.column("bypassed").words;

    [[nodiscard]] base::Range<graph::RowId> port_rows(const Port& x) const { return a->d.part_of(x.device).ports[x.port].rows; }

    // How the inputs of a converter work: as set, else as supplied; empty if nothing is said.
    [[nodiscard]] std::string_view mode_of(ThingId device) const {
        const graph::RowId set = setting(a->d, device, "trackers");
        std::string_view mode;
        if (const graph::Field* f = set ? a->d.field(set, "word") : nullptr) mode = a->d.word(f->text);
        return mode.empty() ? a->d.text(a->d.part_of(device).rows, "trackers", "mode") : mode;
    }

    // Inputs of one converter that work as one and are joined outside share the current: their limits add up.
    void limits() {
        std::unordered_map<std::uint64_t, std::pair<double, double>> sums;  // by device and group of strings
        const auto key = [&](std::uint32_t k) -> std::optional<std::uint64_t> {
            const std::string_view mode = mode_of(a->net.ports[k].device);
            if (a->input_group[k] == none || (mode != "parallel" && mode != "automatic")) return {};
            return std::uint64_t{a->net.ports[k].device.value} << 32U | a->input_group[k];
        };
        for (const bool add : {true, false}) {
            for (std::uint32_t r = 0; r < a->inputs.size(); ++r) {
                const std::uint32_t k = a->inputs[r];
                const auto rows = port_rows(a->net.ports[k]);
                const double current = a->d.number(rows, "max-current", "current"), isc = a->d.number(rows, "max-isc", "current");
                const auto shared = key(k);
                if (shared && add) {
                    auto& sum = sums[*shared];
                    sum.first += current;
                    sum.second += isc;
                } else if (!add) {
                    current_limit[r] = shared ? sums[*shared].first : current;
                    isc_limit[r] = shared ? sums[*shared].second : isc;
                }
            }
        }
    }

    void figures(std::uint32_t r, std::uint32_t k, const std::vector<std::uint32_t>& strings) {
        const Port& port = a->net.ports[k];
        double power = 0, imp_sum = 0, isc = 0, vmp = std::numeric_limits<double>::infinity();
        for (const std::uint32_t i : strings) {
            power += string_power(*a, i);
            imp_sum += a->strings[i].imp_least;
            isc += a->strings[i].isc;
            const double v = string_vmp(*a, i);
            vmp = std::isnan(v) || std::isnan(vmp) ? graph::unknown : std::min(vmp, v);
        }
        if (strings.empty()) return;
        const bool one_stage = a->input_group[k] != none;  // strings in series share their current
        array_power[r] = power;
        if (one_stage) {
            imp[r] = imp_sum;
            isc_stc[r] = isc;
            vmp_stc[r] = vmp;
            const double most = current_limit[r];
            clipped[r] = std::fmax(0, 1 - most / imp_sum);
            if (std::isnan(most) || std::isnan(imp_sum)) clipped[r] = graph::unknown;
        }
        isc_against_limit[r] = a->d.text(port_rows(port), "max-isc", "basis") == "stc" && one_stage ? isc : isc_max[r];
        const double limit = isc_limit[r], each = isc_against_limit[r] / static_cast<double>(strings.size());
        strings_most[r] = std::floor(limit / each + 1e-9);
        if (strings_most[r] >= 1) fill.set_word("strings-out", r, fmt::format("put no more than {:.0f} of these strings in parallel on it", strings_most[r]));
        else if (!std::isnan(strings_most[r])) fill.set_word("strings-out", r, "not even one of these strings keeps below its limit: put others on it");
        const double modules = strings.empty() ? 0 : a->strings[strings.front()].modules;
        const double operating = a->d.number(port_rows(port), "operating", "voltage");
        working_modules[r] = std::floor(operating / (voltage[r] / modules) + 1e-9);
        const std::uint32_t battery = battery_port_of(*a, k);
        if (battery != none) against_battery(r, port, battery, modules);
    }

    void against_battery(std::uint32_t r, const Port& port, std::uint32_t k, double modules) {
        battery_port[r] = p->port_row[k];
        const Port& battery = a->net.ports[k];
        const std::uint32_t bank = a->banks.of_port[k];
        const double set = std::fmax(set_point(*a, battery, "absorb", "voltage").value, set_point(*a, battery, "equalise", "voltage").value);
        battery_voltage[r] = !std::isnan(set) ? set : bank != none ? p->banks[bank].limit : graph::unknown;
        const double own = a->d.number(a->d.part_of(port.device).rows, "headroom", "voltage");
        voltage_needed[r] = battery_voltage[r] + (std::isnan(own) ? a->standard.number("step-down-headroom") : own);
        needed_modules[r] = std::ceil(voltage_needed[r] / (vmp_hottest[r] / modules) - 1e-9);
        const double gives = a->demand.ports[k].gives, nominal = bank == none ? graph::unknown : p->banks[bank].nominal;
        output_current[r] = gives;
        usable_power[r] = gives * nominal;
        lost_share[r] = 1 - nominal / vmp_stc[r];
        bypass(r, port, battery);
    }

    // Joined outside: on one net of conductors and contacts, though not by the converter's own metal.
    void bypass(std::uint32_t r, const Port& array, const Port& battery) {
        fill.set_word("bypassed", r, "none");
        if (array.plus == none || array.minus == none || battery.plus == none || battery.minus == none) return;
        const Nets& on = a->net.on;
        const auto joined_inside = [&](std::uint32_t x, std::uint32_t y) {
            const graph::Part& part = a->d.part_of(array.device);
            const std::uint32_t base = a->d.things[array.device].first_terminal.value;
            UnionFind metal(static_cast<std::uint32_t>(part.terminals.size()));
            for (const auto& j : part.joins) metal.join(j[0], j[1]);
            return metal.find(x - base) == metal.find(y - base);
        };
        // Two earthed poles of one circuit each are joined through the earth.
        const auto joined = [&](std::uint32_t x, std::uint32_t y) {
            return on[x] == on[y] || (a->earthing.pole_earthed[on[x]] != 0 && a->earthing.pole_earthed[on[y]] != 0);
        };
        const bool inside_plus = joined_inside(array.plus, battery.plus), inside_minus = joined_inside(array.minus, battery.minus);
        const bool plus = !inside_plus && joined(array.plus, battery.plus), minus = !inside_minus && joined(array.minus, battery.minus);
        const std::string_view switched = a->d.text(a->d.part_of(array.device).rows, "switched", "pole");
        const bool isolated = a->part(array.device).isolated == Answer::yes;
        std::string_view says = "none";
        if (plus && !isolated) says = switched == "plus" || inside_minus ? "plus" : switched.empty() ? "" : "none";
        if (minus && !isolated && says != "plus") {
            const std::string_view here = switched == "minus" || inside_plus ? "minus" : switched.empty() ? "" : "none";
            if (here != "none") says = here;
        }
        bypassed[r] = {};
        fill.set_word("bypassed", r, says);
        if (says != "plus" && says != "minus") return;
        const std::uint32_t x = says == "plus" ? array.plus : array.minus, y = says == "plus" ? battery.plus : battery.minus;
        fill.subjects("bypass")[r] = a->net.landing(x);
        if (on[x] == on[y]) return;
        for (const EarthLink& l : a->earthing.links) {
            if (on[l.terminal] == on[x]) fill.subjects("bypass")[r] = l.conductor;
        }
    }

    void neighbours() {
        for (std::uint32_t r = 0; r < a->inputs.size(); ++r) {
            const std::uint32_t k = a->inputs[r];
            const Port& port = a->net.ports[k];
            const std::string_view mode = mode_of(port.device);
            fill.set_word("trackers", r, mode.empty() ? "independent" : mode);
            if (port.plus == none || port.minus == none) continue;
            const std::uint32_t g = a->input_group[k];
            const std::uint32_t first = g == none ? none : a->group_input[g];
            if (first != none && first != k) {
                const bool same = a->net.ports[first].device == port.device;
                fill.subjects(same ? "twin" : "rival")[r] = row_of_port[first];
            }
            // The first input of the same converter: set to work as one, and on other conductors.
            if (mode != "parallel" || r == 0) continue;
            const Port& before = a->net.ports[a->inputs[r - 1]];
            if (before.device != port.device || before.plus == none || before.minus == none) continue;
            if (a->net.on[before.plus] != a->net.on[port.plus] || a->net.on[before.minus] != a->net.on[port.minus]) fill.subjects("unjoined")[r] = r - 1;
        }
    }
};

}  // namespace

void fill_charging(Facts& facts, const Shared& a, const SharedPower& p) {
    Filler fill(facts, "battery-port");
    fill_set_points(fill, a, p);
    fill_demand(fill, a, p);
    for (std::uint32_t r = 0; r < p->battery_ports.size(); ++r) {
        const std::uint32_t k = p->battery_ports[r];
        const Port& port = a->net.ports[k];
        const std::uint32_t bank = a->banks.of_port[k];
        if (bank != none) {
            fill.subjects("bank")[r] = bank;
            fill.numbers("usual-absorb")[r] = p->banks[bank].preset_absorb;
            fill.numbers("usual-float")[r] = p->banks[bank].preset_float;
        }
        fill.flags("charges")[r] = a->demand.ports[k].gives == 0 ? 0 : 1;
        if (has_sensor(*a, port)) fill.flags("sensed")[r] = 1;
    }
    for (const char* name : {"usual-absorb", "usual-float"}) {
        fill.column(name).missing = [a, p](std::uint32_t r) {
            const std::uint32_t bank = a->banks.of_port[p->battery_ports[r]];
            return bank == none ? Missing{"a battery on it", a->d.site_span} : lacks_battery_figure(*a, *p, bank, "cells", &BatteryData::cells);
        };
    }
}

void fill_inputs_power(Facts& facts, const Shared& a, const SharedPower& p) {
    Filler fill(facts, "input");
    InputFill inputs{fill, a, p, std::vector<std::uint32_t>(a->net.ports.size(), no_row)};
    for (std::uint32_t r = 0; r < a->inputs.size(); ++r) inputs.row_of_port[a->inputs[r]] = r;
    const Column& strings = fill.column("strings");
    inputs.limits();
    auto of = std::make_shared<std::vector<std::vector<std::uint32_t>>>(a->inputs.size());
    for (std::uint32_t r = 0; r < a->inputs.size(); ++r) {
        const auto list = strings.lists[r];
        (*of)[r].assign(strings.pool.begin() + list.first, strings.pool.begin() + list.first + list.count);
        inputs.figures(r, a->inputs[r], (*of)[r]);
    }
    inputs.neighbours();

    const auto lacks = [a, of](const char* property) {
        return [a, of, property](std::uint32_t r) { return lacks_module_figure(*a, (*of)[r], property); };
    };
    const auto device = [a](std::uint32_t r) { return a->net.ports[a->inputs[r]].device; };
    fill.column("array-power").missing = lacks("pmax");
    fill.column("imp").missing = lacks("imp");
    fill.column("isc-stc").missing = lacks("isc");
    fill.column("isc-against-limit").missing = lacks("isc");
    fill.column("vmp-stc").missing = lacks("vmp");
    fill.column("current-limit").missing = [a, device](std::uint32_t r) { return lacks_property(*a, device(r), "max-current"); };
    fill.column("isc-limit").missing = [a, device](std::uint32_t r) { return lacks_property(*a, device(r), "max-isc"); };
    fill.column("bypassed").missing = [a, device](std::uint32_t r) { return lacks_property(*a, device(r), "switched"); };
    fill.column("clipped").missing = [a, of, device](std::uint32_t r) {
        const Port& port = a->net.ports[a->inputs[r]];
        if (std::isnan(a->d.number(a->d.part_of(port.device).ports[port.port].rows, "max-current", "current"))) return lacks_property(*a, device(r), "max-current");
        return lacks_module_figure(*a, (*of)[r], "imp");
    };
    const auto no_voltage = [a, p, device](std::uint32_t r) {
        const std::uint32_t k = battery_port_of(*a, a->inputs[r]);
        const std::uint32_t bank = k == none ? none : a->banks.of_port[k];
        if (bank == none) return lacks_property(*a, device(r), "absorb");
        return lacks_battery_figure(*a, *p, bank, "max-voltage", &BatteryData::most);
    };
    for (const char* name : {"battery-voltage", "voltage-needed"}) fill.column(name).missing = no_voltage;
    const auto no_output = [a, p, device](std::uint32_t r) {
        const std::uint32_t k = battery_port_of(*a, a->inputs[r]);
        if (k == none) return Missing{"a battery side", a->d.things[device(r)].span};
        if (std::isnan(a->demand.ports[k].gives)) return lacks_property(*a, device(r), "charge");
        const std::uint32_t bank = a->banks.of_port[k];
        return bank == none ? Missing{fmt::format("a battery on {}", a->d.name(device(r))), a->d.things[device(r)].span}
                            : lacks_battery_figure(*a, *p, bank, "nominal", &BatteryData::nominal);
    };
    for (const char* name : {"usable-power", "output-current", "lost-share"}) fill.column(name).missing = no_output;

    fill.column("imp").working = [a, of](std::uint32_t r) {
        std::vector<std::string> lines;
        if ((*of)[r].empty()) return lines;
        lines.push_back(fmt::format("{} string{} of {}", (*of)[r].size(), (*of)[r].size() == 1 ? "" : "s", a->show(a->strings[(*of)[r].front()].imp_least, "A")));
        return lines;
    };
    fill.column("isc-against-limit").working = fill.column("isc-max").working;
    fill.column("voltage-needed").working = [a, p](std::uint32_t r) {
        const Port& port = a->net.ports[a->inputs[r]];
        const std::uint32_t k = battery_port_of(*a, a->inputs[r]);
        if (k == none) return std::vector<std::string>{};
        const double own = a->d.number(a->d.part_of(port.device).rows, "headroom", "voltage");
        const double head = std::isnan(own) ? a->standard.number("step-down-headroom") : own;
        const double set = std::fmax(set_point(*a, a->net.ports[k], "absorb", "voltage").value, set_point(*a, a->net.ports[k], "equalise", "voltage").value);
        const std::uint32_t bank = a->banks.of_port[k];
        const double voltage = !std::isnan(set) ? set : bank != none ? p->banks[bank].limit : graph::unknown;
        return std::vector{fmt::format("{} (the battery at its highest{}) + {} headroom = {}", a->show(voltage, "V"), std::isnan(set) ? "" : ", as set", a->show(head, "V"),
                                       a->show(voltage + head, "V"))};
    };
    fill.column("voltage-needed").assumed = [a](std::uint32_t r) {
        const graph::Part& part = a->d.part_of(a->net.ports[a->inputs[r]].device);
        if (!std::isnan(a->d.number(part.rows, "headroom", "voltage"))) return std::vector<std::string>{};
        return std::vector{fmt::format("headroom {}, as {} states none", a->show(a->standard.number("step-down-headroom"), "V"), a->d.word(part.name))};
    };
    fill.column("usable-power").working = [a, p](std::uint32_t r) {
        const std::uint32_t k = battery_port_of(*a, a->inputs[r]);
        const std::uint32_t bank = k == none ? none : a->banks.of_port[k];
        if (bank == none) return std::vector<std::string>{};
        return std::vector{fmt::format("{} x {} = {}", a->show(a->demand.ports[k].gives, "A"), a->show(p->banks[bank].nominal, "V"),
                                       a->show(a->demand.ports[k].gives * p->banks[bank].nominal, "W"))};
    };
}

}  // namespace ferrule::facts
