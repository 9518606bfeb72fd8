// position.
#include <map>

#include "facts/analysis.hpp"

namespace ferrule::facts {

namespace {

// Of two rising lists.
bool share_one(const std::vector<std::uint32_t>& a, const std::vector<std::uint32_t>& b) {
    for (auto x = a.begin(), y = b.begin(); x != a.end() && y != b.end();) {
        if (*x == *y) return true;
        *x < *y ? ++x : ++y;
    }
    return false;
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
}

}  // namespace ferrule::facts
