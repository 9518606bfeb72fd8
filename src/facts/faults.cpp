// Short circuits in the circuits of batteries.
#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "base/limits.hpp"
#include "facts/analysis.hpp"
#include "facts/solved.hpp"

namespace ferrule::facts {

namespace {

class Finder {
public:
    Finder(const Analysis& a, const Resistances& resist) : a_(a), n_(a.net), resist_(resist) {}

    Faults find() {
        out_.at.assign(n_.terminals, 0);
        out_.through.assign(n_.edges.size(), 0);
        out_.lacking.assign(a_.circuits.islands, none);
        if (a_.battery_sources.empty()) return std::move(out_);
        for (std::uint32_t t = 0; t < n_.terminals; ++t) {
            if (battery_net(n_.on[t])) terminals_.push_back(t);
        }
        detailed_ = terminals_.size() <= base::limits::short_circuit_terminals;
        out_.detailed = detailed_;
        number_nodes();
        circuit();
        const solve::Solver solver(circuit_);
        solver_ = &solver;
        base_ = solver.solve();
        out_.against.assign(n_.terminals, none);
        for (const std::uint32_t t : terminals_) {
            const Result r = short_at(t);
            out_.at[t] = r.ampere;
            out_.against[t] = r.against;
        }
        for (std::uint32_t e = 0; e < n_.edges.size(); ++e) {
            if (n_.edges[e].kind != Edge::Kind::wire && battery_net(n_.on[n_.edges[e].a])) out_.through[e] = through(e);
        }
        out_.node.assign(n_.terminals, none);
        for (const std::uint32_t t : terminals_) out_.node[t] = node(t);
        out_.circuit = std::move(circuit_);
        return std::move(out_);
    }

private:
    struct Result { double ampere = 0; std::uint32_t against = none; };

    [[nodiscard]] bool battery_net(std::uint32_t net) const {
        return a_.circuits.battery_plus_ends[net] + a_.circuits.battery_minus_ends[net] != 0;
    }
    [[nodiscard]] std::uint32_t node(std::uint32_t terminal) const { return node_[detailed_ ? terminal : n_.on[terminal]]; }

    void number_nodes() {
        node_.assign(detailed_ ? n_.terminals : n_.on.count, none);
        for (const std::uint32_t t : terminals_) {
            std::uint32_t& x = node_[detailed_ ? t : n_.on[t]];
            if (x == none) x = circuit_.nodes++;
        }
    }

    void circuit() {
        if (detailed_) {
            branch_.assign(n_.edges.size(), none);
            for (std::uint32_t e = 0; e < n_.edges.size(); ++e) {
                const Edge& x = n_.edges[e];
                if (!x.closed || !battery_net(n_.on[x.a])) continue;
                branch_[e] = static_cast<std::uint32_t>(circuit_.resistances.size());
                const double ohm = resist_.edge[e];
                circuit_.resistances.push_back({node(x.a), node(x.b), std::isfinite(ohm) && ohm > 0 ? ohm : 0});
            }
        }
        auto add = [&](std::uint32_t plus, std::uint32_t minus, double ampere, double siemens) {
            if (plus == none || minus == none || !battery_net(n_.on[plus]) || !battery_net(n_.on[minus])) return;
            if (a_.circuits.island[n_.on[plus]] != a_.circuits.island[n_.on[minus]]) return;
            circuit_.sources.push_back({node(plus), node(minus), ampere, siemens});
        };
        for (const std::uint32_t i : a_.battery_sources) {
            const PowerSource& s = n_.sources[i];
            if (s.plus == none || s.minus == none) continue;
            const BatteryData b = battery_data(a_.d, s.thing);
            if (!(b.short_circuit > 0) || !(b.nominal > 0)) {
                std::uint32_t& first = out_.lacking[a_.circuits.island[n_.on[s.plus]]];
                if (first == none) first = i;
                continue;
            }
            add(s.plus, s.minus, b.short_circuit, b.short_circuit / b.nominal);
        }
        for (std::uint32_t k = 0; k < n_.ports.size(); ++k) {
            const double gives = a_.demand.ports[k].gives;
            if (n_.ports[k].role == Port::Role::battery && gives > 0) add(n_.ports[k].plus, n_.ports[k].minus, gives, 0);
        }
        for (std::uint32_t i = 0; i < n_.strings; ++i) {
            const double isc = a_.strings[i].isc * a_.climate.irradiance;
            if (isc > 0) add(n_.sources[i].plus, n_.sources[i].minus, isc, 0);
        }
    }

    // The other pole: at the same device, else the other end of a battery that has one end here.
    [[nodiscard]] std::uint32_t other_pole(std::uint32_t t) const {
        const std::uint32_t net = n_.on[t], island = a_.circuits.island[net];
        const graph::ThingId thing = a_.owner(t);
        const std::uint32_t first = a_.d.things[thing].first_terminal.value;
        std::uint32_t best = none;
        double most = 0;
        for (std::uint32_t i = 0; i < a_.d.part_of(thing).terminals.size(); ++i) {
            const std::uint32_t at = n_.on[first + i];
            if (at == net || !battery_net(at) || a_.circuits.island[at] != island) continue;
            const double v = std::fabs(a_.circuits.potential[at] - a_.circuits.potential[net]);
            if (best != none && !(v > most)) continue;
            best = first + i;
            most = v;
        }
        if (best != none) return best;
        for (const std::uint32_t i : a_.battery_sources) {
            const PowerSource& s = n_.sources[i];
            if (s.plus == none || s.minus == none) continue;
            if (n_.on[s.plus] == net) return s.minus;
            if (n_.on[s.minus] == net) return s.plus;
        }
        return none;
    }

    Result short_at(std::uint32_t t) {
        Result r;
        r.against = other_pole(t);
        if (r.against == none) return r;
        if (out_.lacking[a_.circuits.island[n_.on[t]]] != none) {
            r.ampere = graph::unknown;
            return r;
        }
        const std::uint32_t x = node(t), y = node(r.against);
        const std::uint64_t key = std::uint64_t{solver_->metal(x)} << 32U | solver_->metal(y);
        const auto [at, fresh] = known_.try_emplace(key, 0.0);
        if (fresh && solver_->metal(x) != solver_->metal(y)) {
            const double volt = base_.volt[x] - base_.volt[y];
            at->second = volt / solver_->resistance(x, y);
        }
        r.ampere = std::fabs(at->second);
        return r;
    }

    double through(std::uint32_t e) {
        const Edge& edge = n_.edges[e];
        const double most = std::fmax(out_.at[edge.a], out_.at[edge.b]);
        if (std::isnan(out_.at[edge.a]) || !detailed_ || branch_[e] == none) return std::isnan(out_.at[edge.a]) ? graph::unknown : most;
        double largest = 0;
        for (const std::uint32_t t : {edge.a, edge.b}) {
            const std::uint32_t against = other_pole(t);
            if (against == none) return most;
            const std::uint32_t x = node(t), y = node(against);
            if (solver_->island(x) != solver_->island(y) || solver_->metal(x) == solver_->metal(y)) return most;
            const solve::Solution unit = solver_->response(x, y);
            const double ampere = (base_.volt[x] - base_.volt[y]) / (unit.volt[x] - unit.volt[y]);
            const double i = std::fabs(base_.through[branch_[e]] - ampere * unit.through[branch_[e]]);
            if (std::isnan(i)) return most;
            largest = std::fmax(largest, i);
        }
        return largest;
    }

    const Analysis& a_;
    const Network& n_;
    const Resistances& resist_;
    Faults out_;
    bool detailed_ = true;
    std::vector<std::uint32_t> terminals_, node_, branch_;
    solve::Circuit circuit_;
    const solve::Solver* solver_ = nullptr;
    solve::Solution base_;
    std::unordered_map<std::uint64_t, double> known_;
};

}  // namespace

Faults find_faults(const Analysis& a, const Resistances& resist) { return Finder(a, resist).find(); }

}  // namespace ferrule::facts
