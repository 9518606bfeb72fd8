// position.
#include <algorithm>
#include <cmath>
#include <map>

#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

// Of two rising lists.
bool share_one(const std::vector<std::uint32_t>& a, const std::vector<std::uint32_t>& b) {
    for (auto x = a.begin(), y = b.begin(); x != a.end() && y != b.end();) {
        if (*x == *y) return true;
        *x < *y ? ++x : ++y;
    }
    return false;
}

struct TurnedInput {
    std::uint32_t port = none, device = none, state = none;
    std::uint32_t plus = none, minus = none;  // rows of Positions at its two terminals
};

// The handle that alone stands in another position than the one taken for on, all others being on; none if there is no such one.
std::uint32_t turned_in(const std::vector<Setting>& state, const std::map<std::uint32_t, graph::Symbol>& on) {
    std::uint32_t turned = none;
    for (const Setting& s : state) {
        if (s.off) return none;
        const auto at = on.find(s.handle);
        if (at == on.end() || at->second == s.position) continue;
        if (turned != none) return none;
        turned = s.handle;
    }
    return turned;
}

std::vector<TurnedInput> turned_inputs(const Analysis& a) {
    std::map<std::uint32_t, graph::Symbol> on;      // per handle of a change-over switch
    std::map<std::uint32_t, std::uint32_t> device;  // and its device
    for (const Edge& e : a.net.edges) {
        if (e.kind != Edge::Kind::contact || !e.closed) continue;
        const graph::Symbol position = a.d.part_of(ThingId(e.thing)).poles[e.pole].closed_in;
        if (!position) continue;
        on.emplace(handle_of(a.d, e.thing), position);
        device.emplace(handle_of(a.d, e.thing), e.thing);
    }
    if (on.empty()) return {};
    std::vector<std::uint32_t> port_at(a.net.terminals, none);
    for (const std::uint32_t k : a.inputs) {
        for (const std::uint32_t t : {a.net.ports[k].plus, a.net.ports[k].minus}) {
            if (t != none) port_at[t] = k;
        }
    }
    std::map<std::pair<std::uint32_t, std::uint32_t>, TurnedInput> found;  // state, port
    for (std::uint32_t r = 0; r < a.positions.rows.size(); ++r) {
        const PositionRow& row = a.positions.rows[r];
        const std::uint32_t k = port_at[row.terminal];
        const std::uint32_t handle = k == none ? none : turned_in(a.positions.states[row.state], on);
        if (handle == none) continue;
        TurnedInput& x = found[{row.state, k}];
        x.port = k;
        x.device = device[handle];
        x.state = row.state;
        (row.terminal == a.net.ports[k].plus ? x.plus : x.minus) = r;
    }
    std::vector<TurnedInput> all;
    const auto reached = [&](std::uint32_t r) { return !a.positions.rows[r].plus.empty() || !a.positions.rows[r].minus.empty(); };
    for (const auto& [key, x] : found) {
        if (x.plus != none && x.minus != none && (reached(x.plus) || reached(x.minus))) all.push_back(x);
    }
    return all;
}

void fill_turned_inputs(Facts& facts, const Shared& a, const std::vector<base::Symbol>& states) {
    const auto rows = std::make_shared<const std::vector<TurnedInput>>(turned_inputs(*a));
    Filler fill(facts, "turned-input", static_cast<std::uint32_t>(rows->size()));
    Table& t = fill.table();
    t.name = [a, rows](std::uint32_t row) { return port_name(*a, (*rows)[row].port); };
    t.place = [a, rows](std::uint32_t row) { return a->d.things[ThingId((*rows)[row].device)].span; };
    t.thing = [rows](std::uint32_t row) { return (*rows)[row].device; };
    t.circuit = [a, rows](std::uint32_t row) { return a->circuit_of(a->net.ports[(*rows)[row].port].plus); };
    for (std::uint32_t r = 0; r < rows->size(); ++r) {
        const TurnedInput& x = (*rows)[r];
        const PositionRow &plus = a->positions.rows[x.plus], &minus = a->positions.rows[x.minus];
        fill.subjects("input")[r] = a->input_row[x.port];
        fill.subjects("switch")[r] = a->device_row[x.device];
        fill.column("state").words[r] = states[x.state];
        const bool at_plus = !plus.plus.empty() || !plus.minus.empty(), at_minus = !minus.plus.empty() || !minus.minus.empty();
        const bool reversed = plus.plus.empty() && !plus.minus.empty() && !minus.plus.empty();
        fill.flags("half-fed")[r] = at_plus != at_minus ? 1 : 0;
        fill.flags("reversed")[r] = reversed ? 1 : 0;
        double& v = fill.numbers("voltage")[r];
        const bool parallel = reversed ? plus.minus == minus.plus : plus.plus == minus.minus;
        v = parallel ? 0 : graph::unknown;
        for (const std::uint32_t i : reversed ? minus.plus : plus.plus) v = std::isnan(a->emf[i]) || std::isnan(v) ? graph::unknown : std::max(v, a->emf[i]);
    }
    fill.column("voltage").missing = [a, rows](std::uint32_t row) {
        return Missing{"what its strings give there, unless they are in parallel and their data sheets complete", a->d.things[ThingId((*rows)[row].device)].span};
    };
}

}  // namespace

void fill_positions(Facts& facts, const Shared& a) {
    const std::vector<PositionRow>& rows = a->positions.rows;
    const auto n = static_cast<std::uint32_t>(rows.size());
    Filler fill(facts, "position", n);
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(graph::TerminalId(a->positions.rows[row].terminal)); };
    t.place = [a](std::uint32_t row) { return a->d.things[a->owner(a->positions.rows[row].terminal)].span; };
    t.thing = [a](std::uint32_t row) { return a->owner(a->positions.rows[row].terminal).value; };
    t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->positions.rows[row].terminal); };
    std::vector<base::Symbol> states(a->positions.states.size());
    const StateNames spoken(a->d, a->net);
    for (std::size_t s = 0; s < states.size(); ++s) states[s] = facts.words.intern(spoken.text(a->positions.states[s]));
    // Terminals and states share a few lists of sources.
    std::map<std::vector<std::uint32_t>, base::Symbol> lists;
    const auto names = [&](const std::vector<std::uint32_t>& sources) {
        const auto [at, is_new] = lists.try_emplace(sources);
        if (is_new) {
            std::string out;
            for (const std::uint32_t i : sources) out += (out.empty() ? "" : ", ") + a->d.name(a->net.sources[i].thing);
            at->second = facts.words.intern(out.empty() ? "none" : out);
        }
        return at->second;
    };
    auto& device = fill.subjects("device");
    auto& live = fill.flags("live");
    auto& mixed = fill.flags("mixed");
    auto& state = fill.column("state").words;
    auto& plus = fill.column("plus").words;
    auto& minus = fill.column("minus").words;
    for (std::uint32_t r = 0; r < n; ++r) {
        const PositionRow& row = rows[r];
        device[r] = a->device_row[a->owner(row.terminal).value];
        state[r] = states[row.state];
        plus[r] = names(row.plus);
        minus[r] = names(row.minus);
        live[r] = row.plus.empty() && row.minus.empty() ? 0 : 1;
        mixed[r] = share_one(row.plus, row.minus) ? 1 : 0;
    }
    fill_turned_inputs(facts, a, states);
}

}  // namespace ferrule::facts
