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
    Finder(const Analysis& a, const Resistances& resist, bool keep_circuits) : a_(a), n_(a.net), resist_(resist), keep_circuits_(keep_circuits) {}

    // Each piece of circuit that batteries join is solved by itself.
    Faults find() {
        out_.at.assign(n_.terminals, 0);
        out_.through.assign(n_.edges.size(), 0);
        out_.lacking.assign(a_.circuits.islands, none);
        out_.rough.assign(a_.circuits.islands, 0);
        if (a_.battery_sources.empty()) return std::move(out_);
        out_.node.assign(n_.terminals, none);
        out_.against.assign(n_.terminals, none);
        branch_.assign(n_.edges.size(), none);
        net_node_.assign(n_.on.count, none);
        sort_by_island();
        for (part_ = 0; part_ < parts_.size(); ++part_) solve_part();
        return std::move(out_);
    }

private:
    struct Result { double ampere = 0; std::uint32_t against = none; };

    [[nodiscard]] bool battery_net(std::uint32_t net) const {
        return a_.circuits.battery_plus_ends[net] + a_.circuits.battery_minus_ends[net] != 0;
    }
    struct Part {
        std::uint32_t island = none;
        std::vector<std::uint32_t> terminals, edges, batteries, ports, strings;
    };

    void sort_by_island() {
        std::vector<std::uint32_t> part_of(a_.circuits.islands, none);
        auto part = [&](std::uint32_t net) -> Part* {
            if (!battery_net(net) || a_.circuits.island[net] == none) return nullptr;
            std::uint32_t& p = part_of[a_.circuits.island[net]];
            if (p == none) {
                p = static_cast<std::uint32_t>(parts_.size());
                parts_.emplace_back();
                parts_.back().island = a_.circuits.island[net];
            }
            return &parts_[p];
        };
        for (std::uint32_t t = 0; t < n_.terminals; ++t) {
            if (Part* p = part(n_.on[t])) p->terminals.push_back(t);
        }
        for (std::uint32_t e = 0; e < n_.edges.size(); ++e) {
            if (Part* p = part(n_.on[n_.edges[e].a])) p->edges.push_back(e);
        }
        // Sources count with both ends in one piece.
        auto both = [&](std::uint32_t plus, std::uint32_t minus) -> Part* {
            if (plus == none || minus == none) return nullptr;
            Part* p = part(n_.on[plus]);
            return p == nullptr || p != part(n_.on[minus]) ? nullptr : p;
        };
        for (const std::uint32_t i : a_.battery_sources) {
            if (Part* p = both(n_.sources[i].plus, n_.sources[i].minus)) p->batteries.push_back(i);
        }
        for (std::uint32_t k = 0; k < n_.ports.size(); ++k) {
            if (Part* p = both(n_.ports[k].plus, n_.ports[k].minus)) p->ports.push_back(k);
        }
        for (std::uint32_t i = 0; i < n_.strings; ++i) {
            if (Part* p = both(n_.sources[i].plus, n_.sources[i].minus)) p->strings.push_back(i);
        }
    }

    [[nodiscard]] std::uint32_t node(std::uint32_t terminal) const { return out_.node[terminal]; }

    void solve_part() {
        const Part& p = parts_[part_];
        detailed_ = p.terminals.size() <= base::limits::short_circuit_terminals;
        out_.rough[p.island] = detailed_ ? 0 : 1;
        circuit_ = {};
        known_.clear();
        for (const std::uint32_t t : p.terminals) {
            std::uint32_t& of_net = net_node_[n_.on[t]];
            if (detailed_) out_.node[t] = circuit_.nodes++;
            else out_.node[t] = of_net == none ? of_net = circuit_.nodes++ : of_net;
        }
        circuit(p);
        const solve::Solver solver(circuit_);
        solver_ = &solver;
        base_ = solver.solve();
        for (const std::uint32_t t : p.terminals) {
            const Result r = short_at(t);
            out_.at[t] = r.ampere;
            out_.against[t] = r.against;
        }
        for (const std::uint32_t e : p.edges) {
            if (n_.edges[e].kind != Edge::Kind::wire) out_.through[e] = through(e);
        }
        solver_ = nullptr;
    }

    void circuit(const Part& p) {
        if (detailed_) {
            for (const std::uint32_t e : p.edges) {
                const Edge& x = n_.edges[e];
                if (!x.closed) continue;
                branch_[e] = static_cast<std::uint32_t>(circuit_.resistances.size());
                const double ohm = resist_.edge[e];
                circuit_.resistances.push_back({node(x.a), node(x.b), std::isfinite(ohm) && ohm > 0 ? ohm : 0});
            }
        }
        auto add = [&](std::uint32_t plus, std::uint32_t minus, double ampere, double siemens) {
            circuit_.sources.push_back({node(plus), node(minus), ampere, siemens});
        };
        for (const std::uint32_t i : p.batteries) {
            const PowerSource& s = n_.sources[i];
            const BatteryData b = battery_data(a_.d, s.thing);
            if (b.short_circuit > 0 && b.nominal > 0) add(s.plus, s.minus, b.short_circuit, b.short_circuit / b.nominal);
            else if (out_.lacking[p.island] == none) out_.lacking[p.island] = i;
        }
        for (const std::uint32_t k : p.ports) {
            const double gives = a_.demand.ports[k].gives;
            if (n_.ports[k].role == Port::Role::battery && gives > 0) add(n_.ports[k].plus, n_.ports[k].minus, gives, 0);
        }
        for (const std::uint32_t i : p.strings) {
            const double isc = a_.strings[i].isc * a_.climate.irradiance;
            if (isc > 0) add(n_.sources[i].plus, n_.sources[i].minus, isc, 0);
        }
        if (keep_circuits_) out_.circuits.emplace_back(p.island, circuit_);
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
        for (const std::uint32_t i : parts_[part_].batteries) {
            const PowerSource& s = n_.sources[i];
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
    bool keep_circuits_, detailed_ = true;
    std::vector<Part> parts_;
    std::size_t part_ = 0;
    std::vector<std::uint32_t> net_node_, branch_;
    solve::Circuit circuit_;
    const solve::Solver* solver_ = nullptr;
    solve::Solution base_;
    std::unordered_map<std::uint64_t, double> known_;
};

}  // namespace

Faults find_faults(const Analysis& a, const Resistances& resist, bool keep_circuits) { return Finder(a, resist, keep_circuits).find(); }

}  // namespace ferrule::facts
