#include "facts/positions.hpp"

#include <algorithm>
#include <map>

#include "base/limits.hpp"

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::ThingId;

struct Handle {
    std::uint32_t id = 0;
    std::vector<std::uint32_t> contacts;      // edges
    std::vector<graph::Symbol> positions;     // number 0 is off; then each position in which something is closed
};

class Trial {
public:
    Trial(const Design& d, const Network& n, const Circuits& c) : d_(d), n_(n), c_(c) {}

    Positions run() {
        // What some position of a change-over switch joins is one circuit here.
        UnionFind circuits(c_.circuit_count);
        for (const Edge& e : n_.edges) {
            if (e.kind == Edge::Kind::contact) circuits.join(c_.circuit[n_.on[e.a]], c_.circuit[n_.on[e.b]]);
        }
        circuit_ = circuits.nets();
        std::map<std::uint32_t, std::map<std::uint32_t, Handle>> by_circuit;  // circuit, handle
        std::size_t devices = 0;
        std::uint32_t last = none;
        for (std::uint32_t e = 0; e < n_.edges.size(); ++e) {
            const Edge& edge = n_.edges[e];
            if (edge.kind != Edge::Kind::contact) continue;
            if (edge.thing != last) ++devices;
            last = edge.thing;
            if (devices > base::limits::position_devices) return {};
            const std::uint32_t id = handle_of(d_, edge.thing);
            for (const std::uint32_t t : {edge.a, edge.b}) {
                Handle& h = by_circuit[circuit_at(t)][id];
                h.id = id;
                if (h.contacts.empty() || h.contacts.back() != e) h.contacts.push_back(e);
            }
        }
        sources_of_.resize(circuit_.count);
        ports_of_.resize(circuit_.count);
        for (std::uint32_t i = 0; i < n_.sources.size(); ++i) {
            if (n_.sources[i].plus != none) sources_of_[circuit_at(n_.sources[i].plus)].push_back(i);
        }
        for (const Port& p : n_.ports) {
            for (const std::uint32_t t : {p.plus, p.minus}) {
                if (t != none) ports_of_[circuit_at(t)].push_back(t);
            }
        }
        for (auto& [circuit, handles] : by_circuit) {
            std::vector<Handle> list;
            for (auto& [id, h] : handles) list.push_back(std::move(h));
            try_circuit(circuit, list);
        }
        return std::move(out_);
    }

private:
    [[nodiscard]] std::uint32_t circuit_at(std::uint32_t terminal) const { return circuit_.of[c_.circuit[n_.on[terminal]]]; }

    [[nodiscard]] graph::Symbol position_of(std::uint32_t edge) const {
        const Edge& e = n_.edges[edge];
        return d_.part_of(ThingId(e.thing)).poles[e.pole].closed_in;
    }

    void try_circuit(std::uint32_t circuit, std::vector<Handle>& handles) {
        std::size_t combinations = 1;
        for (Handle& h : handles) {
            h.positions.emplace_back();
            for (const std::uint32_t e : h.contacts) {
                const graph::Symbol p = position_of(e);
                if (std::find(h.positions.begin() + 1, h.positions.end(), p) == h.positions.end()) h.positions.push_back(p);
            }
            if (combinations <= base::limits::position_rows) combinations *= h.positions.size();
        }
        terminals_of(circuit, handles);
        std::vector<std::size_t> at(handles.size(), 1);
        const bool all = handles.size() <= base::limits::switch_combinations &&
                         combinations * (terminals_.size() + sources_of_[circuit].size()) <= base::limits::position_rows;
        if (all) {
            // Counting in mixed bases, everything on first.
            for (std::size_t k = 0; k < combinations; ++k) {
                std::size_t rest = combinations - 1 - k;
                for (std::size_t i = 0; i < handles.size(); ++i) {
                    at[i] = rest % handles[i].positions.size();
                    rest /= handles[i].positions.size();
                }
                state(circuit, handles, at);
            }
            return;
        }
        if ((handles.size() + 2) * terminals_.size() * sources_of_[circuit].size() > base::limits::position_sources) return;
        state(circuit, handles, at);
        state(circuit, handles, std::vector<std::size_t>(handles.size(), 0));
        for (std::size_t i = 0; i < handles.size(); ++i) {
            at[i] = 0;
            state(circuit, handles, at);
            at[i] = 1;
        }
    }

    // Landed terminals of the circuit's switches and ports.
    void terminals_of(std::uint32_t circuit, const std::vector<Handle>& handles) {
        terminals_.clear();
        auto add = [&](std::uint32_t t) {
            if (circuit_at(t) == circuit && (n_.landings[t] != 0 || n_.links[t] != 0)) terminals_.push_back(t);
        };
        for (const Handle& h : handles) {
            for (const std::uint32_t e : h.contacts) {
                add(n_.edges[e].a);
                add(n_.edges[e].b);
            }
        }
        for (const std::uint32_t t : ports_of_[circuit]) add(t);
        std::sort(terminals_.begin(), terminals_.end());
        terminals_.erase(std::unique(terminals_.begin(), terminals_.end()), terminals_.end());
    }

    void state(std::uint32_t circuit, const std::vector<Handle>& handles, const std::vector<std::size_t>& at) {
        std::map<std::uint32_t, std::uint32_t> joined;  // net of `off` -> the net that stands for it
        const auto find = [&](std::uint32_t net) {
            for (auto k = joined.find(net); k != joined.end(); k = joined.find(net)) net = k->second;
            return net;
        };
        std::vector<Setting> settings;
        for (std::size_t i = 0; i < handles.size(); ++i) {
            const bool off = at[i] == 0;
            const graph::Symbol position = handles[i].positions[std::min(at[i], handles[i].positions.size() - 1)];
            settings.push_back({handles[i].id, off, position});
            for (const std::uint32_t e : handles[i].contacts) {
                if (off || position_of(e) != position) continue;
                const std::uint32_t a = find(n_.off[n_.edges[e].a]), b = find(n_.off[n_.edges[e].b]);
                if (a != b) joined[std::max(a, b)] = std::min(a, b);
            }
        }
        std::map<std::uint32_t, std::pair<std::vector<std::uint32_t>, std::vector<std::uint32_t>>> ends;
        for (const std::uint32_t i : sources_of_[circuit]) {
            ends[find(n_.off[n_.sources[i].plus])].first.push_back(i);
            if (n_.sources[i].minus != none) ends[find(n_.off[n_.sources[i].minus])].second.push_back(i);
        }
        const auto number = static_cast<std::uint32_t>(out_.states.size());
        for (const std::uint32_t t : terminals_) {
            PositionRow row;
            row.terminal = t;
            row.state = number;
            const auto here = ends.find(find(n_.off[t]));
            if (here != ends.end()) {
                row.plus = here->second.first;
                row.minus = here->second.second;
            }
            out_.rows.push_back(std::move(row));
        }
        out_.states.push_back(std::move(settings));
    }

    const Design& d_;
    const Network& n_;
    const Circuits& c_;
    Nets circuit_;  // per circuit of `on`
    std::vector<std::vector<std::uint32_t>> sources_of_, ports_of_;  // per circuit: indices into sources; terminals of ports
    std::vector<std::uint32_t> terminals_;
    Positions out_;
};

}  // namespace

Positions try_positions(const Design& design, const Network& network, const Circuits& circuits) {
    return Trial(design, network, circuits).run();
}

StateNames::StateNames(const Design& d, const Network& n) : d_(d) {
    std::uint32_t last = none;
    for (const Edge& e : n.edges) {
        if (e.kind != Edge::Kind::contact || e.thing == last) continue;
        last = e.thing;
        std::string& name = handles_[handle_of(d, e.thing)];
        name += (name.empty() ? "" : " with ") + d.name(ThingId(e.thing));
    }
}

std::string StateNames::text(const std::vector<Setting>& state) const {
    std::string out;
    for (const Setting& s : state) {
        if (!out.empty()) out += ", ";
        const auto at = handles_.find(s.handle);
        if (at != handles_.end()) out += at->second;
        out += s.off ? " off" : s.position ? " " + std::string(d_.word(s.position)) : " on";
    }
    return out;
}

}  // namespace ferrule::facts
