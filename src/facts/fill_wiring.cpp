// conductor: what it may carry, conductors side by side, what its ends take.
#include <fmt/core.h>

#include <cmath>
#include <unordered_map>

#include "facts/carrying.hpp"
#include "facts/currents.hpp"
#include "facts/wiring.hpp"

namespace ferrule::facts {

namespace {

using graph::Conductor;
using graph::ConductorId;
using graph::ConductorRole;
using graph::TerminalId;

// The column's value of inexact bounds that two needs are compared with.
double settled(const Bounds& b, double need, double other) {
    if (b.exact()) return b.low;
    if (b.low >= need && (std::isnan(other) || b.low >= other)) return b.low;
    if (b.high < need || (b.low >= need && b.high < other)) return b.high;
    return graph::unknown;
}

double continuous_of(const Analysis& a, std::uint32_t row) {
    const std::uint32_t e = a.edge_of[row];
    if (e == none) return graph::unknown;
    const Feed& f = a.feeds.of(e);
    return carried(a, f) * continuous_factor(a, f);
}

// Alternating current and data lines: no direct-current source reaches them.
bool judged(const Analysis& a, std::uint32_t row, base::Symbol source, base::Symbol nothing) {
    const ConductorRole role = a.d.conductors[ConductorId(row)].role;
    return a.edge_of[row] != none && source && source != nothing && (role == ConductorRole::power || role == ConductorRole::jumper);
}

}  // namespace

bool is_supplied(const graph::Design& d, const Conductor& c) {
    if (c.role != ConductorRole::jumper || c.cable) return false;
    const std::uint16_t a = d.local(c.a), b = d.local(c.b);
    for (const auto& [x, y] : d.part_of(d.terminals[c.a]).supplied_jumpers) {
        if ((x == a && y == b) || (x == b && y == a)) return true;
    }
    return false;
}

std::shared_ptr<const Carrying> make_carrying(const Facts& facts, const Shared& a) {
    const Table& t = *facts.table("conductor");
    const std::vector<double>& current = t.column("current")->numbers;
    std::vector<std::uint8_t> loaded(t.rows);
    for (std::uint32_t r = 0; r < t.rows; ++r) {
        // A conductor of unknown current counts; one that can carry none (to a surge protector, say) does not.
        loaded[r] = a->d.conductors[ConductorId(r)].role == ConductorRole::power && a->edge_of[r] != none && !(current[r] == 0);
    }
    return std::make_shared<const Carrying>(*a, loaded);
}

void fill_wiring(Facts& facts, const Shared& a) {
    const std::shared_ptr<const Carrying> k = make_carrying(facts, a);
    fill_bundles(facts, a, *k);
    Filler fill(facts, "conductor");
    const Table& t = fill.table();
    const std::uint32_t rows = t.rows;
    const std::vector<double>& current = t.column("current")->numbers;
    const std::vector<double>& continuous = t.column("continuous-current")->numbers;
    const std::vector<double>& reverse = t.column("reverse-current")->numbers;
    const std::vector<double>& parallel = t.column("parallel")->numbers;
    const std::vector<base::Symbol>& source = t.column("source")->words;
    const base::Symbol nothing = facts.words.intern("none");
    std::vector<base::Symbol> methods;
    for (std::size_t m = 0; m < method_count; ++m) methods.push_back(facts.words.intern(word(static_cast<Method>(m))));

    auto& method = fill.column("method").words;
    auto& insulation = fill.numbers("insulation-temperature");
    auto& ambient = fill.numbers("ambient");
    auto& ambient_factor = fill.numbers("ambient-factor");
    auto& loaded = fill.numbers("loaded");
    auto& grouping = fill.numbers("grouping-factor");
    auto& table = fill.numbers("table-ampacity");
    auto& ampacity = fill.numbers("ampacity");
    auto& on_terminals = fill.flags("on-terminals");
    auto& terminal_temperature = fill.numbers("terminal-temperature");
    auto& terminal = fill.numbers("terminal-ampacity");
    auto& device_most = fill.numbers("device-most");
    auto& input = fill.subjects("input");
    auto& on_limit = fill.flags("on-tracker-limit");
    auto& supplied = fill.flags("supplied");
    auto& on_aux = fill.subjects("on-aux");
    auto& in_line = fill.flags("device-in-line");
    auto& rated = fill.numbers("rated-current");
    std::vector<double> limit(a->net.ports.size(), graph::unknown);
    for (const std::uint32_t p : a->inputs) {
        const Port& port = a->net.ports[p];
        limit[p] = a->d.number(a->d.part_of(port.device).ports[port.port].rows, "max-current", "current");
    }
    // Trunks of the circuit with a fuse or breaker in them.
    const Pieces& pieces = a->feeds.pieces();
    std::vector<std::uint8_t> guarded(pieces.trunks.size(), 0);
    for (const Analysis::FuseWay& way : a->fuses) {
        if (pieces.parts[way.edge].trunk != none) guarded[pieces.parts[way.edge].trunk] = 1;
    }
    for (std::uint32_t r = 0; r < rows; ++r) {
        if (!judged(*a, r, source[r], nothing)) continue;
        const ConductorId id(r);
        const Conductor& c = a->d.conductors[id];
        const std::uint32_t e = a->edge_of[r];
        const std::uint32_t trunk = pieces.parts[e].trunk, alone = a->feeds.of(e).alone;
        in_line[r] = (trunk != none && guarded[trunk] != 0) || (alone != none && alone < a->own_fuse.size() && a->own_fuse[alone] != no_row) ? 1 : 0;
        rated[r] = k->cable(c).rated_current;
        supplied[r] = is_supplied(a->d, c) ? 1 : 0;
        const Judgement j = k->judge(id, c.area, continuous[r]);
        insulation[r] = k->cable(c).temperature;
        table[r] = settled(j.table, continuous[r], graph::unknown);
        ampacity[r] = settled(j.ampacity, current[r], reverse[r]);
        if (j.worst.method != Method::unlisted) method[r] = methods[static_cast<std::size_t>(j.worst.method)];
        ambient[r] = j.worst.kelvin;
        loaded[r] = j.worst.loaded;
        if (j.worst.ambient_factor.exact()) ambient_factor[r] = j.worst.ambient_factor.low;
        if (j.worst.grouping.exact()) grouping[r] = j.worst.grouping.low;
        if (j.at) {
            on_terminals[r] = 1;
            terminal_temperature[r] = j.terminal_temperature;
            terminal[r] = std::isnan(continuous[r]) && j.terminal_assumed ? graph::unknown : settled(j.terminal, continuous[r], graph::unknown);
        }
        // Where the terminals must be kept to, a device protects them as well.
        const bool limited = on_terminals[r] != 0 && k->tables().by_raceway();
        // What bounds leave open is settled when the device is known (fill_sizes).
        const double least = limited ? std::fmin(j.ampacity.low, j.terminal.low) : j.ampacity.low;
        if (j.ampacity.exact() && !(limited && !j.terminal.exact()) && !(limited && std::isnan(terminal[r]))) {
            device_most[r] = k->device_most(k->aluminium(c), c.area, least, parallel[r]);
        }
        if (!std::isnan(rated[r])) device_most[r] = rated[r];  // a set of links is tested as it is
        const std::uint32_t net = a->net.on[c.a.value];
        for (const graph::TerminalId end : {c.a, c.b}) {
            const std::uint32_t here = a->net.on[end.value];
            if (a->d.terminal(end).aux && a->circuits.plus_ends[here] + a->circuits.minus_ends[here] != 0) on_aux[r] = a->device_row[a->owner(end.value).value];
        }
        const std::uint32_t port = a->port_plus_on[net] != none ? a->port_plus_on[net] : a->port_minus_on[net];
        if (port == none) continue;
        input[r] = a->input_row[port];
        const bool short_of = ampacity[r] < current[r] || table[r] < continuous[r];
        on_limit[r] = short_of && limit[port] <= ampacity[r] && limit[port] < current[r] ? 1 : 0;
    }

    const auto missing = [a, k](std::uint32_t row) {
        const Lack l = k->lack(ConductorId(row), continuous_of(*a, row));
        return Missing{l.what, l.where};
    };
    for (const char* name : {"insulation-temperature", "ambient-factor", "grouping-factor", "table-ampacity", "ampacity", "terminal-ampacity", "device-most"}) {
        fill.column(name).missing = missing;
    }
    fill.column("rated-current").missing = [a](std::uint32_t row) {
        const Conductor& c = a->d.conductors[ConductorId(row)];
        return c.cable ? Missing{"`rated` of " + std::string(a->d.word(a->d.parts[c.cable].name)), a->d.parts[c.cable].span} : Missing{"what the link is rated for", c.span};
    };
    fill.column("table-ampacity").working = [a, k](std::uint32_t row) { return k->working(ConductorId(row), continuous_of(*a, row), false); };
    fill.column("ampacity").working = [a, k](std::uint32_t row) { return k->working(ConductorId(row), continuous_of(*a, row), true); };
    fill.column("terminal-ampacity").working = [a, k](std::uint32_t row) { return k->terminal_working(ConductorId(row), continuous_of(*a, row)); };
    const auto assumed = [a, k](std::uint32_t row) {
        const std::uint32_t e = a->edge_of[row];
        return k->assumed(ConductorId(row), continuous_of(*a, row), e == none ? graph::unknown : carried(*a, a->feeds.of(e)));
    };
    fill.column("ampacity").assumed = assumed;
    fill.column("table-ampacity").assumed = [a, k](std::uint32_t row) {
        const double need = continuous_of(*a, row);
        return k->assumed_insulation(ConductorId(row), need, need);
    };
    fill.column("device-most").working = [a, k, sets = parallel](std::uint32_t row) {
        const double rating = k->cable(a->d.conductors[ConductorId(row)]).rated_current;
        if (!std::isnan(rating)) return std::vector{fmt::format("the links are rated {}", a->show(rating, "A"))};
        std::vector<std::string> lines = k->working(ConductorId(row), continuous_of(*a, row), true);
        if (!k->tables().by_raceway()) return lines;
        for (std::string& line : k->terminal_working(ConductorId(row), continuous_of(*a, row))) lines.push_back(std::move(line));
        if (sets[row] > 1) lines.push_back(fmt::format("one device for the {} in parallel: each has its part of what the set may have (240.4(B), 240.4(C))", sets[row]));
        return lines;
    };
    fill_ends(facts, a, *k);
}

}  // namespace ferrule::facts
