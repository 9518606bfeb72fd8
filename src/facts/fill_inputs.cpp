// input.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

std::uint32_t landing(const Analysis& a, std::uint32_t t) {
    if (t == none) return no_row;
    for (std::uint32_t k = a.net.first[t]; k < a.net.first[t + 1]; ++k) {
        const std::uint32_t c = a.net.edges[a.net.at[k]].conductor;
        if (c != none) return c;
    }
    return no_row;
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
        half_fed[r] = (at_plus != 0) != (at_minus != 0) && a->open_circuit[a->circuit_of(p.plus)] == 0 && a->open_circuit[a->circuit_of(p.minus)] == 0 ? 1 : 0;
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
        if (g == none) {
            // In series: the voltages add up as the open-circuit voltages do.
            const double whole = std::fabs(c.potential[plus] - c.potential[minus]);
            const double share = whole / a->strings[high].voc_coldest;
            for (double* v : {&vmp_hot[r], &voc_hot[r], &vmp_cold[r]}) *v *= share;
        }
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

}  // namespace ferrule::facts
