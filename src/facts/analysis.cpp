#include "facts/analysis.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <utility>

#include "base/beside.hpp"
#include "base/limits.hpp"
#include "facts/blame.hpp"
#include "facts/protection.hpp"
#include "facts/solved.hpp"

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::ThingClass;
using graph::ThingId;

// The highest charging voltage of a battery device, or of a string of cells or blocks.
double battery_voltage(const Design& d, ThingId id) {
    const graph::Thing& t = d.things[id];
    if (t.cls != ThingClass::string) return d.number(d.parts[t.part].rows, "max-voltage", "voltage");
    double sum = 0;
    for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
        sum += d.groups[g].count * d.number(d.parts[d.groups[g].part].rows, "max-voltage", "voltage");
    }
    return sum;
}

std::vector<double> emfs(const Design& d, const Network& n, const std::vector<StringData>& strings) {
    std::vector<double> emf(n.sources.size());
    for (std::uint32_t i = 0; i < n.sources.size(); ++i) {
        emf[i] = n.sources[i].battery ? battery_voltage(d, n.sources[i].thing) : strings[i].voc_coldest;
    }
    return emf;
}

}  // namespace

Analysis::Analysis(const Design& design, const tables::Standard& std_)
    : d(design),
      standard(std_),
      parts(read_parts(design)),
      net(build_network(design, parts)),
      climate(read_climate(design, std_)),
      strings(string_data(design, parts, net, climate, std_)),
      emf(emfs(design, net, strings)),
      circuits(find_circuits(design, net, emf)),
      apart_(base::beside(design.conductors.size(), [this] { return Apart{find_earthing(d, parts, net), find_boxes(d, parts, net, standard), try_positions(d, net, circuits), find_switches(d, net, circuits, strings)}; })),
      demand(find_demand(design, parts, net, circuits)),
      banks(find_banks(design, parts, net, circuits)),
      feeds(design, parts, net, terminal_loads(net, strings, Ends::shorted_once), demand) {
    Apart apart = apart_.get();
    earthing = std::move(apart.earthing);
    boxes = std::move(apart.boxes);
    positions = std::move(apart.positions);
    switches = std::move(apart.switches);
    for (Short& s : find_position_shorts(design, net, positions)) circuits.shorts.push_back(std::move(s));
    chains = find_chains(net, circuits, emf);
    number_rows();
    find_fuses();
    match_inputs();
    find_limits();
}

void Analysis::number_rows() {
    for (auto* v : {&string_row, &device_row, &place_row, &run_row}) v->assign(d.things.size(), no_row);
    for (std::uint32_t i = 0; i < net.strings; ++i) string_row[net.sources[i].thing.value] = i;
    for (const ThingId id : d.things.ids()) {
        auto add = [&](std::vector<ThingId>& rows, std::vector<std::uint32_t>& row) {
            row[id.value] = static_cast<std::uint32_t>(rows.size());
            rows.push_back(id);
        };
        switch (d.things[id].cls) {
            case ThingClass::device: add(devices, device_row); break;
            case ThingClass::place: add(places, place_row); break;
            case ThingClass::run: add(runs, run_row); break;
            default: break;
        }
    }
    input_row.assign(net.ports.size(), no_row);
    for (std::uint32_t k = 0; k < net.ports.size(); ++k) {
        if (net.ports[k].role != Port::Role::array) continue;
        input_row[k] = static_cast<std::uint32_t>(inputs.size());
        inputs.push_back(k);
    }
    group_row.assign(circuits.groups.size(), no_row);
    for (std::uint32_t g = 0; g < circuits.groups.size(); ++g) {
        if (circuits.groups[g].battery) continue;
        group_row[g] = static_cast<std::uint32_t>(groups.size());
        groups.push_back(g);
    }
    edge_of.assign(d.conductors.size(), none);
    for (std::uint32_t e = 0; e < net.edges.size(); ++e) {
        if (net.edges[e].conductor != none) edge_of[net.edges[e].conductor] = e;
    }
    system_row.assign(circuits.circuit_count, no_row);
    for (const PowerSource& s : net.sources) {
        if (s.plus == none) continue;
        std::uint32_t& row = system_row[circuit_of(s.plus)];
        if (row != no_row) continue;
        row = static_cast<std::uint32_t>(systems.size());
        systems.push_back(circuit_of(s.plus));
    }
    jumpers_stated.assign(d.things.size(), 0);
    for (const ThingId id : d.jumpers_stated) jumpers_stated[id.value] = 1;
    open_thing.assign(d.things.size(), 0);
    open_circuit.assign(circuits.circuit_count, 0);
    for (const ThingId id : d.left_open) {
        open_thing[id.value] = 1;
        for (std::uint32_t i = 0; i < d.part_of(id).terminals.size(); ++i) open_circuit[circuit_of(d.things[id].first_terminal.value + i)] = 1;
    }
    feeding.assign(circuits.circuit_count, 0);
    for (const Port& p : net.ports) {
        if (p.role == Port::Role::array && p.plus != none && p.minus != none && net.on[p.plus] == net.on[p.minus]) continue;  // joined: it takes nothing
        for (const std::uint32_t t : {p.plus, p.minus}) {
            if (t != none) feeding[circuit_of(t)] = 1;
        }
    }
    // What a switch joins whose links are not known cannot be said.
    for (const SwitchState& s : switches.switches) {
        if (!links_unknown(s.device)) continue;
        const std::uint32_t first = d.things[ThingId(s.device)].first_terminal.value;
        for (std::uint32_t i = 0; i < d.part_of(ThingId(s.device)).terminals.size(); ++i) open_circuit[circuit_of(first + i)] = 1;
    }
    for (std::uint32_t i = net.strings; i < net.sources.size(); ++i) {
        if (net.sources[i].plus != none) feeding[circuit_of(net.sources[i].plus)] = 1;
    }
    for (const Edge& e : net.edges) {
        if (e.closed) continue;  // what a change-over switch joins in another position feeds there
        std::uint8_t &here = feeding[circuit_of(e.a)], &there = feeding[circuit_of(e.b)];
        if (here != there) here = there = 1;
    }
    unknown_source.assign(circuits.circuit_count, none);
    for (std::uint32_t i = 0; i < net.sources.size(); ++i) {
        if (net.sources[i].plus == none || !std::isnan(emf[i])) continue;
        std::uint32_t& first = unknown_source[circuit_of(net.sources[i].plus)];
        if (first == none) first = i;
    }
    for (std::uint32_t i = net.strings; i < net.sources.size(); ++i) battery_sources.push_back(i);
    string_reversal.assign(net.sources.size(), no_row);
    for (std::uint32_t r = 0; r < circuits.reversals.size(); ++r) {
        const Reversal& x = circuits.reversals[r];
        if (x.source != none && (x.what == Reversal::What::string || x.what == Reversal::What::battery)) string_reversal[x.source] = r;
    }
}

void Analysis::find_fuses() {
    own_fuse.assign(net.strings, no_row);
    for (std::uint32_t e = 0; e < net.edges.size(); ++e) {
        const Edge& edge = net.edges[e];
        if (edge.kind == Edge::Kind::wire || !parts[d.things[ThingId(edge.thing)].part.value].overcurrent) continue;
        const std::uint32_t on = net.on[edge.a];
        if (circuits.net_voltage[on] == 0 && circuits.plus_ends[on] + circuits.minus_ends[on] == 0) continue;  // no DC source
        FuseWay way;
        way.edge = e;
        way.device = edge.thing;
        way.feed = feeds.of(e);
        way.only = way.feed.alone;
        fuses.push_back(way);
        if (way.only == none) continue;
        std::uint32_t& own = own_fuse[way.only];
        if (own == no_row || fuse_rating(fuses[own]) > fuse_rating(way)) own = static_cast<std::uint32_t>(fuses.size() - 1);
    }
}

void Analysis::match_inputs() {
    group_input.assign(circuits.groups.size(), none);
    input_group.assign(net.ports.size(), none);
    std::unordered_map<std::uint64_t, std::uint32_t> by_nets;
    auto key = [](std::uint32_t a, std::uint32_t b) { return pair_of(std::min(a, b), std::max(a, b)); };
    for (const std::uint32_t g : groups) by_nets.emplace(key(circuits.groups[g].net_a, circuits.groups[g].net_b), g);
    port_plus_on.assign(net.on.count, none);
    port_minus_on.assign(net.on.count, none);
    for (const std::uint32_t k : inputs) {
        const Port& p = net.ports[k];
        if (p.plus == none || p.minus == none) continue;
        port_plus_on[net.on[p.plus]] = k;
        port_minus_on[net.on[p.minus]] = k;
        const auto at = by_nets.find(key(net.on[p.plus], net.on[p.minus]));
        if (at == by_nets.end()) continue;
        input_group[k] = at->second;
        if (group_input[at->second] == none) group_input[at->second] = k;
    }
}

void Analysis::find_limits() {
    lowest_limit.assign(net.strings, Limit::unbroken);
    circuit_limit.assign(circuits.circuit_count, std::numeric_limits<double>::infinity());
    for (std::uint32_t i = 0; i < net.strings; ++i) {
        const std::uint32_t g = circuits.group_of[i];
        const std::uint32_t k = g == none ? none : group_input[g];
        const double at_input = k == none ? graph::unknown : d.number(d.part_of(net.ports[k].device).ports[net.ports[k].port].rows, "max-voltage", "voltage");
        double limit = std::numeric_limits<double>::infinity();
        auto take = [&](double volts, double stands, Limit which) {
            if (!(volts > stands) || !(stands < limit)) return;
            limit = stands;
            lowest_limit[i] = which;
        };
        take(emf[i], at_input, Limit::input);
        take(system_voltage(i), strings[i].max_system, Limit::module);
        double& of_circuit = circuit_limit[circuit_of(net.sources[i].plus)];
        of_circuit = std::min(of_circuit, limit);
    }
}

bool Analysis::astray(std::uint32_t i) const {
    const PowerSource& s = net.sources[i];
    const std::uint32_t g = circuits.group_of[i];
    if (g == none || group_input[g] != none || circuits.reversed[i] != 0) return false;
    const std::uint32_t at_plus = port_plus_on[net.on[s.plus]], at_minus = port_minus_on[net.on[s.minus]];
    if (at_plus == none || at_minus == none || at_plus == at_minus) return false;
    // Inputs that share that pole inside the converter, and strings in series between them, are another matter.
    return net.on[net.ports[at_plus].minus] != net.on[s.minus] && net.on[net.ports[at_minus].plus] != net.on[s.plus];
}

bool Analysis::links_unknown(std::uint32_t device) const {
    const auto& poles = d.part_of(ThingId(device)).poles;
    const auto main = std::count_if(poles.begin(), poles.end(), [](const graph::PoleTemplate& p) { return !p.aux; });
    return main >= 3 && jumpers_stated[device] == 0;
}

double Analysis::system_voltage(std::uint32_t string) const {
    const Chain* chain = chains.at(string);
    return chain == nullptr ? emf[string] : chain->voltage;
}

std::vector<std::string> Analysis::system_voltage_working(std::uint32_t string) const {
    const auto of_one = [&](std::uint32_t i) { return voltage_working(d, parts, net.sources[i], strings[i], climate, standard, Voltage::voc_coldest); };
    const Chain* chain = chains.at(string);
    if (chain == nullptr) return of_one(string);
    constexpr std::size_t listed = 8;
    std::vector<std::string> lines;
    for (std::size_t k = 0; k < std::min(chain->strings.size(), listed); ++k) {
        for (std::string& line : of_one(chain->strings[k])) lines.push_back(std::move(line));
    }
    if (chain->strings.size() > listed) lines.push_back(fmt::format("and {} more", chain->strings.size() - listed));
    lines.push_back(fmt::format("{} strings, one after the other: {} from end to end", chain->strings.size(), show(chain->voltage, "V")));
    return lines;
}

double Analysis::group_isc(std::uint32_t group) const {
    double sum = 0;
    for (const std::uint32_t i : circuits.groups[group].members) sum += strings[i].isc;
    for (const std::uint32_t i : circuits.groups[group].reversed) sum += strings[i].isc;
    return sum;
}

graph::PartId Analysis::fuse_link(std::uint32_t device) const {
    const graph::Thing& t = d.things[ThingId(device)];
    if (parts[t.part.value].kind == "breaker") return t.part;
    for (std::uint32_t i = t.first_fitted; i < t.first_fitted + t.fitted; ++i) {
        if (parts[d.fitted[i].value].kind == "fuse") return d.fitted[i];
    }
    return {};
}

double Analysis::fuse_rating(const FuseWay& way) const {
    const graph::PartId link = fuse_link(way.device);
    if (!link) return graph::unknown;
    const auto rows = d.parts[link].rows;
    const double stated = d.number(rows, "current", "current");
    return std::isnan(stated) ? d.number(rows, "rated", "current") : stated;
}

double Analysis::across(std::uint32_t edge) const {
    const std::uint32_t on = net.on[net.edges[edge].a];
    double most = 0;
    for (const std::uint32_t end : {net.edges[edge].a, net.edges[edge].b}) {
        const ThingId thing = owner(end);
        if (part(thing).one_metal || part(thing).conducts == Conducts::converter) continue;
        const std::uint32_t first = d.things[thing].first_terminal.value;
        for (std::uint32_t i = 0; i < d.part_of(thing).terminals.size(); ++i) {
            const std::uint32_t other = net.on[first + i];
            if (circuits.island[other] == none || circuits.island[other] != circuits.island[on]) continue;
            most = std::fmax(most, std::fabs(circuits.potential[other] - circuits.potential[on]));
        }
    }
    return most;
}

Analysis::Side Analysis::side_of(std::uint32_t edge, const Feed& feed) const {
    if (feed.battery) return Side::battery;
    if (feed.strings != 0) return Side::array;
    const std::uint32_t on = net.on[net.edges[edge].a];
    const bool array = circuits.plus_ends[on] + circuits.minus_ends[on] != 0;
    const bool battery = circuits.battery_plus_ends[on] + circuits.battery_minus_ends[on] != 0;
    // No current passes and array and battery share the net: what stands across the device on it decides.
    if (array && battery) return across(edge) > circuits.battery_voltage[on] ? Side::array : Side::battery;
    return battery ? Side::battery : array ? Side::array : Side::neither;
}

double Analysis::edge_voltage(std::uint32_t edge, const Feed& feed) const {
    const std::uint32_t on = net.on[net.edges[edge].a];
    return side_of(edge, feed) == Side::battery ? circuits.battery_voltage[on] : circuits.net_voltage[on];
}

Lack Analysis::emf_lack(std::uint32_t source) const {
    const PowerSource& s = net.sources[source];
    if (!s.battery) return voltage_lack(d, parts, s, climate, Voltage::voc_coldest);
    const graph::Thing& t = d.things[s.thing];
    const graph::Part& part = t.groups != 0 ? d.parts[d.groups[t.first_group].part] : d.parts[t.part];
    return {fmt::format("`max-voltage` of {}", d.word(part.name)), part.span};
}

std::vector<std::string> Analysis::assumed_hottest_cell() const {
    if (!climate.hottest_cell_assumed) return {};
    return {fmt::format("hottest cell {} = hottest air {} + 30 K, as the site states no `hottest-cell`", show(climate.hottest_cell, "degC"),
                        show(climate.hottest, "degC"))};
}

Lack Analysis::circuit_lack(std::uint32_t circuit) const {
    const std::uint32_t source = circuit == no_row ? none : unknown_source[circuit];
    return source != none ? emf_lack(source) : Lack{"the voltage of its sources", d.site_span};
}

namespace {

void make_blank(Column& c, std::uint32_t rows) {
    switch (c.type) {
        case Type::number: c.numbers.assign(rows, graph::unknown); break;
        case Type::flag: c.flags.assign(rows, 0); break;
        case Type::word: c.words.assign(rows, base::Symbol()); break;
        case Type::subject: c.subjects.assign(rows, no_row); break;
        case Type::subjects: c.lists.assign(rows, {}); break;
    }
}

}  // namespace

Filler::Filler(Facts& facts, std::string_view table) : facts_(facts), table_(nullptr) {
    for (Table& t : facts.tables) {
        if (t.subject == table) table_ = &t;
    }
    assert(table_ != nullptr);
}

Filler::Filler(Facts& facts, std::string_view table, std::size_t rows) : Filler(facts, table) {
    table_->rows = static_cast<std::uint32_t>(rows);
    for (Column& c : table_->columns) make_blank(c, table_->rows);
}

void Filler::blank(std::string_view name) { make_blank(column(name), table_->rows); }

Column& Filler::column(std::string_view name) {
    const auto at = table_->by_name.find(std::string(name));
    assert(at != table_->by_name.end() && "a column that schema.cpp does not have");
    return table_->columns[at->second];
}

std::vector<double>& Filler::numbers(std::string_view name) { return column(name).numbers; }
std::vector<std::uint8_t>& Filler::flags(std::string_view name) { return column(name).flags; }
std::vector<std::uint32_t>& Filler::subjects(std::string_view name) { return column(name).subjects; }

void Filler::set_word(std::string_view name, std::uint32_t row, std::string_view word) {
    if (!word.empty()) column(name).words[row] = facts_.words.intern(word);
}

void Filler::add_list(std::string_view name, std::uint32_t row, const std::vector<std::uint32_t>& rows) {
    Column& c = column(name);
    c.lists[row] = {static_cast<std::uint32_t>(c.pool.size()), static_cast<std::uint32_t>(rows.size())};
    c.pool.insert(c.pool.end(), rows.begin(), rows.end());
}

Facts compute(const Design& design, const tables::Standard& standard, Words words) {
    const std::size_t size = design.conductors.size();
    std::future<Facts> empty = base::beside(size, [&design] { return schema(*design.units); });
    const Shared a = std::make_shared<const Analysis>(design, standard);
    Facts facts = empty.get();
    facts.design = &design;
    facts.words = std::move(words);
    // Twice two threads, of which neither reads or writes a column that the other writes.
    struct Made {
        explicit Made(const Analysis& analysis) : solution(analysis), protection(std::make_shared<const Protection>(analysis)) {}
        Solution solution;
        SharedProtection protection;
    };
    std::future<Made> beside = base::beside(size, [&] {
        Made made(*a);
        fill_inputs(facts, a);
        fill_batteries(facts, a);
        fill_positions(facts, a);
        fill_mistakes(facts, a);
        fill_boxes(facts, a);
        return made;
    });
    fill_strings(facts, a);
    fill_switches(facts, a);
    fill_devices(facts, a);
    fill_conductors(facts, a);
    fill_wiring(facts, a);
    Made made = beside.get();
    facts.basis = std::make_shared<const Basis>(Basis{a, made.protection, made.solution.solved, made.solution.points});
    fill_guards(facts, a, made.protection);
    std::future<void> others = base::beside(size, [&] {
        fill_network(facts, a, std::move(made.solution));
        fill_power(facts, a);
        fill_answers(facts, a);
        fill_runs(facts, a);
    });
    fill_sizes(facts, a);
    fill_surroundings(facts, a);
    fill_protection(facts, a, made.protection);
    others.get();
    return facts;
}

Renewed compute_again(const Design& design, const tables::Standard& standard, Facts& before, bool same_statements) {
    // Words that no fact says any more would pile up for as long as somebody types.
    if (before.words.size() > base::limits::words_kept) return {compute(design, standard), {}};
    Renewed out{compute(design, standard, std::move(before.words)), {}};
    out.since = Difference(before, out.facts, same_statements);
    return out;
}

}  // namespace ferrule::facts
