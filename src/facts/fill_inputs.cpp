// input.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <unordered_set>

#include "facts/ports.hpp"
#include "facts/shortest_way.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

// The load-break switches between one input and its strings.
struct Switching {
    std::vector<std::uint32_t> handles;
    std::uint32_t nearest = none;  // a device
};

// What load-break handles part, from the circuits that switches break.
struct Parted {
    std::vector<Switching> ways;            // per port
    std::unordered_set<std::uint64_t> both; // port (none: whatever is beyond) and string that one handle parts in + and -

    static std::uint64_t key(std::uint32_t port, std::uint32_t string) { return std::uint64_t{port} << 32U | string; }
    [[nodiscard]] bool by_one_handle(std::uint32_t port, std::uint32_t string) const {
        return both.count(key(port, string)) != 0 || both.count(key(none, string)) != 0;
    }
};

Parted find_parted(const Analysis& a) {
    Parted parted;
    parted.ways.resize(a.net.ports.size());
    for (const BrokenCircuit& b : a.switches.circuits) {
        if (b.battery || !a.part(ThingId(b.device)).breaks_load) continue;
        for (const std::uint32_t i : b.sources) {
            if (i >= a.net.strings) continue;
            if (b.poles_plus != 0 && b.poles_minus != 0) parted.both.insert(Parted::key(b.input, i));
            const std::uint32_t g = a.circuits.group_of[i];
            const std::uint32_t k = b.input != none ? b.input : g != none ? a.group_input[g] : none;
            if (k == none) continue;
            Switching& way = parted.ways[k];
            if (std::find(way.handles.begin(), way.handles.end(), b.handle) == way.handles.end()) way.handles.push_back(b.handle);
            way.nearest = b.device;
        }
    }
    return parted;
}

// Ends of strings per net with every load-break switch off.
std::vector<std::uint32_t> count_idle_ends(const Analysis& a) {
    std::vector<std::uint32_t> ends(a.net.idle.count, 0);
    for (std::uint32_t i = 0; i < a.net.strings; ++i) {
        for (const std::uint32_t t : {a.net.sources[i].plus, a.net.sources[i].minus}) {
            if (t != none) ++ends[a.net.idle[t]];
        }
    }
    return ends;
}

// Does one load-break handle part both poles of an input from all strings? Asked where the circuits of several inputs meet (on a bar,
// on a link between trackers), so that no single one of them shows in a switch.
class OneHandle {
public:
    explicit OneHandle(const Analysis& a) : a_(a), end_(a.net.terminals, 0) {
        for (std::uint32_t i = 0; i < a.net.strings; ++i) {
            for (const std::uint32_t t : {a.net.sources[i].plus, a.net.sources[i].minus}) {
                if (t != none) end_[t] = 1;
            }
        }
    }

    [[nodiscard]] bool opens(const Port& p) {
        std::vector<std::uint32_t> tried;
        for (const std::uint32_t e : way_to_string(p.plus, none)) {
            const Edge& edge = a_.net.edges[e];
            if (edge.kind != Edge::Kind::contact || !edge.load_break) continue;
            const std::uint32_t handle = handle_of(a_.d, edge.thing);
            if (std::find(tried.begin(), tried.end(), handle) != tried.end()) continue;
            tried.push_back(handle);
            if (way_to_string(p.plus, handle).empty() && way_to_string(p.minus, handle).empty()) return true;
        }
        return false;
    }

private:
    [[nodiscard]] std::vector<std::uint32_t> way_to_string(std::uint32_t from, std::uint32_t without) {
        return shortest_way_to(a_.net, from, [&](std::uint32_t t) { return end_[t] != 0; }, [&](const Edge& e) {
            if (visits_ >= most_visits) return false;
            ++visits_;
            return e.closed && (e.kind != Edge::Kind::contact || without == none || handle_of(a_.d, e.thing) != without);
        });
    }

    static constexpr std::size_t most_visits = 20'000'000;  // of all searches; beyond that it counts as opened
    const Analysis& a_;
    std::vector<std::uint8_t> end_;  // per terminal
    std::size_t visits_ = 0;
};

// Groups of parallel sources as the edges of a forest over nets: which of them stand one after the other between two nets.
class SeriesWays {
public:
    explicit SeriesWays(const Analysis& a) : a_(a), up_(a.net.on.count, none), depth_(a.net.on.count, none) {
        std::vector<std::vector<std::uint32_t>> at(a.net.on.count);
        for (std::uint32_t g = 0; g < a.circuits.groups.size(); ++g) {
            at[a.circuits.groups[g].net_a].push_back(g);
            at[a.circuits.groups[g].net_b].push_back(g);
        }
        std::vector<std::uint32_t> front;
        for (const Parallel& root : a.circuits.groups) {
            front.assign(1, root.net_a);
            if (depth_[front.front()] != none) continue;
            depth_[front.front()] = 0;
            for (std::size_t i = 0; i < front.size(); ++i) {
                for (const std::uint32_t g : at[front[i]]) {
                    const std::uint32_t beyond = other(g, front[i]);
                    if (depth_[beyond] != none) continue;
                    depth_[beyond] = depth_[front[i]] + 1;
                    up_[beyond] = g;
                    front.push_back(beyond);
                }
            }
        }
    }

    // In the order of the design; empty if no way leads from one net to the other. Costs the length of the way.
    [[nodiscard]] std::vector<std::uint32_t> between(std::uint32_t from, std::uint32_t to) const {
        std::vector<std::uint32_t> way;
        if (depth_[from] == none || depth_[to] == none) return way;
        while (from != to) {
            std::uint32_t& lower = depth_[from] >= depth_[to] ? from : to;
            if (up_[lower] == none) return {};  // two roots: nothing joins them
            way.push_back(up_[lower]);
            lower = other(up_[lower], lower);
        }
        std::sort(way.begin(), way.end());
        return way;
    }

private:
    [[nodiscard]] std::uint32_t other(std::uint32_t group, std::uint32_t net) const {
        const Parallel& g = a_.circuits.groups[group];
        return g.net_a == net ? g.net_b : g.net_a;
    }

    const Analysis& a_;
    std::vector<std::uint32_t> up_, depth_;  // per net: the group towards the root; groups from the root
};

// Volts and amperes of an input over its stages: groups of parallel strings one after the other; one stage, unless strings are in series.
struct InputFigures {
    double vmp_hottest = 0, vmp_coldest = 0, voc_hottest = 0;  // V
    double isc = 0;                                            // A, without factors: of the strongest stage
    std::vector<std::uint32_t> longest, shortest;              // one string a stage
};

InputFigures figures_of(const Analysis& a, const std::vector<std::vector<std::uint32_t>>& stages) {
    InputFigures f;
    for (const std::vector<std::uint32_t>& stage : stages) {
        const auto& s = a.strings;
        f.vmp_hottest += s[with_least(s, stage, &StringData::vmp_hottest)].vmp_hottest;
        f.voc_hottest += s[with_least(s, stage, &StringData::voc_hottest)].voc_hottest;
        f.vmp_coldest += s[with_most(s, stage, &StringData::vmp_coldest)].vmp_coldest;
        double isc = 0;
        for (const std::uint32_t i : stage) isc += s[i].isc;
        if (std::isnan(isc) || isc > f.isc) f.isc = isc;
        f.longest.push_back(with_most(s, stage, &StringData::voc_coldest));
        f.shortest.push_back(with_least(s, stage, &StringData::vmp_hottest));
    }
    return f;
}

// The strings an input sees with both its poles, stage by stage.
std::vector<std::vector<std::uint32_t>> stages_of(const Analysis& a, const SeriesWays& series, std::uint32_t port) {
    const std::uint32_t g = a.input_group[port];
    if (g != none) return {a.circuits.groups[g].all()};
    std::vector<std::vector<std::uint32_t>> stages;
    const std::uint32_t plus = a.net.on[a.net.ports[port].plus], minus = a.net.on[a.net.ports[port].minus];
    for (const std::uint32_t k : series.between(plus, minus)) {
        if (!a.circuits.groups[k].battery) stages.push_back(a.circuits.groups[k].all());
    }
    return stages;
}

// Which strings a voltage of an input comes from: one a stage, per row.
using Chosen = std::shared_ptr<const std::vector<std::vector<std::uint32_t>>>;

void explain_voltage(Filler& fill, const Shared& a, std::string_view name, const Chosen& strings, Voltage which) {
    Column& c = fill.column(name);
    c.working = [a, strings, which](std::uint32_t row) {
        std::vector<std::string> out;
        for (const std::uint32_t i : (*strings)[row]) {
            for (std::string& line : voltage_working(a->d, a->parts, a->net.sources[i], a->strings[i], a->climate, a->standard, which)) {
                out.push_back(std::move(line));
            }
        }
        return out;
    };
    const bool hot = which == Voltage::vmp_hottest || which == Voltage::voc_hottest;
    c.assumed = [a, hot](std::uint32_t) { return hot ? a->assumed_hottest_cell() : std::vector<std::string>{}; };
    c.missing = [a, strings, which](std::uint32_t row) {
        if ((*strings)[row].empty()) return Missing{"a string that feeds it", a->d.site_span};
        const auto& of = (*strings)[row];
        const auto lacks = std::find_if(of.begin(), of.end(), [&](std::uint32_t i) { return std::isnan(a->strings[i].*figure(which)); });
        const Lack l = voltage_lack(a->d, a->parts, a->net.sources[lacks == of.end() ? of.front() : *lacks], a->climate, which);
        return Missing{l.what, l.where};
    };
}

void explain_inputs(Filler& fill, const Shared& a, const Chosen& longest, const Chosen& shortest) {
    explain_voltage(fill, a, "voltage", longest, Voltage::voc_coldest);
    explain_voltage(fill, a, "vmp-hottest", shortest, Voltage::vmp_hottest);
    explain_voltage(fill, a, "voc-hottest", shortest, Voltage::voc_hottest);
    explain_voltage(fill, a, "vmp-coldest", longest, Voltage::vmp_coldest);
    fill.column("voltage").missing = [a](std::uint32_t row) {
        const Lack l = a->circuit_lack(a->circuit_of(a->net.ports[a->inputs[row]].plus));
        return Missing{l.what, l.where};
    };
    fill.column("isolated").missing = [a](std::uint32_t row) {
        const graph::Part& part = a->d.part_of(a->net.ports[a->inputs[row]].device);
        return Missing{fmt::format("`isolated yes` or `isolated no` of {}", a->d.word(part.name)), part.span};
    };
    fill.column("isc-max").working = [a](std::uint32_t row) {
        const std::uint32_t g = a->input_group[a->inputs[row]];
        if (g == none) return std::vector<std::string>{};
        const double sum = a->group_isc(g);
        const std::size_t count = a->circuits.groups[g].count();
        return std::vector{fmt::format("{}: {} string{} with isc {} in all x {} (irradiance factor) = {}", port_name(*a, a->inputs[row]), count,
                                       count == 1 ? "" : "s", a->show(sum, "A"), units::show_number(a->climate.irradiance),
                                       a->show(sum * a->climate.irradiance, "A"))};
    };
}


// What joins the terminals of an input: a link of a switch on the way between them, or else the conductor of the pole that the
// strings on that net do not have.
std::uint32_t joins_poles(const Analysis& a, const Port& p) {
    const auto is_closed = [](const Edge& e) { return e.closed; };
    for (const std::uint32_t e : shortest_way(a.net, p.plus, p.minus, is_closed)) {
        const std::uint32_t conductor = a.net.edges[e].conductor;
        if (conductor != none && a.d.conductors[graph::ConductorId(conductor)].role == graph::ConductorRole::jumper) return conductor;
    }
    const std::uint32_t net = a.net.on[p.plus];
    return a.net.landing(a.circuits.plus_ends[net] == 0 && a.circuits.minus_ends[net] != 0 ? p.plus : p.minus);
}

}  // namespace

void fill_inputs(Facts& facts, const Shared& a) {
    const Circuits& c = a->circuits;
    const auto n = static_cast<std::uint32_t>(a->inputs.size());
    const std::vector<int> watch = watchers(*a);
    const base::Symbol words[3] = {facts.words.intern("none"), facts.words.intern("detects"), facts.words.intern("interrupts")};
    const base::Symbol no = words[0], plus_word = facts.words.intern("plus"), minus_word = facts.words.intern("minus"), both = facts.words.intern("both");

    const std::vector<std::uint32_t> idle_ends = count_idle_ends(*a);
    const Parted parted = find_parted(*a);
    const SeriesWays series(*a);
    OneHandle opened_at_once(*a);
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
    auto& shorted_by = fill.subjects("shorted-by");
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
    auto& shorted = fill.flags("shorted");
    auto& one_handle = fill.flags("one-handle");
    auto& watched = fill.flags("watched");
    auto& earthed = fill.flags("pole-earthed");
    auto& isolated = fill.flags("isolated");
    auto& switched = fill.column("switched").words;
    auto& ground_fault = fill.column("ground-fault").words;
    auto& earthed_side = fill.column("earthed-side").words;
    std::vector<std::vector<std::uint32_t>> longest_of(n), shortest_of(n);
    std::vector<std::uint32_t> members;
    std::unordered_map<std::uint32_t, std::uint32_t> joined_by;  // net -> conductor
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
        shorted[r] = plus == minus && a->net.landings[p.plus] != 0 && a->net.landings[p.minus] != 0 ? 1 : 0;
        if (shorted[r] != 0) {
            const auto [at, fresh] = joined_by.try_emplace(plus);
            if (fresh) at->second = joins_poles(*a, p);
            shorted_by[r] = row_or_none(at->second);
        }
        half_fed[r] = (at_plus != 0) != (at_minus != 0) && a->open_circuit[a->circuit_of(p.plus)] == 0 && a->open_circuit[a->circuit_of(p.minus)] == 0 ? 1 : 0;
        const std::vector<std::vector<std::uint32_t>> stages = stages_of(*a, series, k);
        members.clear();
        for (const std::vector<std::uint32_t>& stage : stages) members.insert(members.end(), stage.begin(), stage.end());
        std::sort(members.begin(), members.end());
        fed[r] = members.empty() ? 0 : 1;
        reversal[r] = reversal_of_port[k];
        reversed[r] = reversal[r] != no_row ? 1 : 0;
        crossed[r] = at_plus != 0 && at_minus != 0 && members.empty() && plus != minus && reversed[r] == 0 ? 1 : 0;
        if (crossed[r] != 0) stray[r] = a->net.landing(p.minus);
        fill.add_list("strings", r, members);
        earthed[r] = a->earthing.pole_earthed[plus] | a->earthing.pole_earthed[minus];
        earthed_side[r] = a->earthing.pole_earthed[plus] != 0 ? plus_word : a->earthing.pole_earthed[minus] != 0 ? minus_word : no;
        const int w = std::max(strength(part.ground_fault), watch[a->circuit_of(p.plus)]);
        watched[r] = w != 0 ? 1 : 0;
        ground_fault[r] = words[w];
        if (members.empty()) continue;
        const bool plus_parted = idle_ends[a->net.idle[p.plus]] == 0, minus_parted = idle_ends[a->net.idle[p.minus]] == 0;
        switched[r] = plus_parted && minus_parted ? both : plus_parted ? plus_word : minus_parted ? minus_word : no;
        if (plus_parted != minus_parted) unswitched[r] = a->net.landing(plus_parted ? p.minus : p.plus);
        handles[r] = static_cast<double>(parted.ways[k].handles.size());
        if (parted.ways[k].nearest != none) nearest[r] = a->device_row[parted.ways[k].nearest];
        one_handle[r] = std::all_of(members.begin(), members.end(), [&](std::uint32_t i) { return parted.by_one_handle(k, i); }) || opened_at_once.opens(p) ? 1 : 0;
        InputFigures f = figures_of(*a, stages);
        isc_max[r] = f.isc * a->climate.irradiance;
        vmp_hot[r] = f.vmp_hottest;
        voc_hot[r] = f.voc_hottest;
        vmp_cold[r] = f.vmp_coldest;
        longest[r] = with_most(a->strings, f.longest, &StringData::voc_coldest);
        shortest[r] = with_least(a->strings, f.shortest, &StringData::vmp_hottest);
        voltage[r] = a->input_group[k] != none ? a->strings[longest[r]].voc_coldest : std::fabs(c.potential[plus] - c.potential[minus]);
        longest_of[r] = std::move(f.longest);
        shortest_of[r] = std::move(f.shortest);
    }
    using Rows = std::vector<std::vector<std::uint32_t>>;
    explain_inputs(fill, a, std::make_shared<const Rows>(std::move(longest_of)), std::make_shared<const Rows>(std::move(shortest_of)));
}

}  // namespace ferrule::facts
