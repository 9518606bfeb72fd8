// Short circuits in the circuits of batteries.
#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <unordered_set>

#include "base/beside.hpp"
#include "base/limits.hpp"
#include "facts/analysis.hpp"
#include "facts/boxes.hpp"
#include "facts/solved.hpp"

namespace ferrule::facts {

namespace {

class FaultFinder {
public:
    FaultFinder(const Analysis& a, const Resistances& resist, bool keep_circuits) : a_(a), n_(a.net), resist_(resist), keep_circuits_(keep_circuits) {}

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
    // What 1 A causes that enters at a node and leaves at the first of its island.
    struct Reply { std::vector<double> volt, through; };  // per node; per fuse, breaker and switch of this part
    struct Point { std::uint32_t terminal, net, place; };

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
        for (const std::uint32_t t : p.terminals) {
            std::uint32_t& of_net = net_node_[n_.on[t]];
            if (detailed_) out_.node[t] = circuit_.nodes++;
            else out_.node[t] = of_net == none ? of_net = circuit_.nodes++ : of_net;
        }
        circuit(p);
        const solve::Solver solver(circuit_);
        solver_ = &solver;
        base_ = solver.solve();
        breakers_.clear();
        for (const std::uint32_t e : p.edges) {
            if (n_.edges[e].kind != Edge::Kind::wire) breakers_.push_back(e);
        }
        anchor_.assign(solver.islands(), none);
        poles_.clear();
        for (std::uint32_t i = 0; i < breakers_.size(); ++i) {
            const std::uint32_t b = branch_[breakers_[i]];
            if (b != none && circuit_.resistances[b].ohm > solve::least_ohm) poles_[n_.edges[breakers_[i]].thing].push_back(i);
        }
        replies_.clear();
        any_of_metal_.clear();
        find_points(p);
        for (const std::uint32_t t : p.terminals) {
            const Result r = short_at(t);
            out_.at[t] = r.ampere;
            out_.against[t] = r.against;
        }
        for (std::uint32_t i = 0; i < breakers_.size(); ++i) out_.through[breakers_[i]] = through(i);
        solver_ = nullptr;
    }

    void circuit(const Part& p) {
        if (detailed_) {
            for (const std::uint32_t e : p.edges) {
                const Edge& x = n_.edges[e];
                if (!x.closed) continue;
                branch_[e] = static_cast<std::uint32_t>(circuit_.resistances.size());
                const double ohm = resist_.cold_edge[e];
                circuit_.resistances.push_back({node(x.a), node(x.b), std::isfinite(ohm) && ohm > 0 ? ohm : 0});
            }
        }
        auto add = [&](std::uint32_t plus, std::uint32_t minus, double ampere, double siemens) {
            circuit_.sources.push_back({node(plus), node(minus), ampere, siemens});
        };
        for (const std::uint32_t i : p.batteries) {
            const PowerSource& s = n_.sources[i];
            const BatteryData b = battery_data(a_.d, s.thing);
            // What was worked out from the internal resistance stands behind just that.
            const double behind = b.short_circuit_estimated ? b.most : b.nominal;
            if (b.short_circuit > 0 && behind > 0) add(s.plus, s.minus, b.short_circuit, b.short_circuit / behind);
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

    // Terminals to short others to: of each piece of metal one in each place.
    void find_points(const Part& p) {
        points_.clear();
        std::unordered_set<std::uint64_t> seen;
        for (const std::uint32_t t : p.terminals) {
            const std::uint32_t place = place_of(a_.d, a_.owner(t)).value;
            if (seen.insert(std::uint64_t{solver_->metal(node(t))} << 32U | place).second) points_.push_back({t, n_.on[t], place});
        }
    }

    // The other pole: at the same device; else wherever it is in the same place; else wherever it is.
    [[nodiscard]] std::vector<std::uint32_t> other_pole(std::uint32_t t) const {
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
        if (best != none) return {best};
        const std::uint32_t place = place_of(a_.d, thing).value;
        std::vector<std::uint32_t> here, anywhere;
        for (const Point& p : points_) {
            if (p.net == net) continue;
            anywhere.push_back(p.terminal);
            if (p.place == place) here.push_back(p.terminal);
        }
        return here.empty() ? anywhere : here;
    }

    const Reply& reply(std::uint32_t node) {
        const auto [at, fresh] = replies_.try_emplace(node);
        if (fresh) {
            std::uint32_t& anchor = anchor_[solver_->island(node)];
            if (anchor == none) anchor = node;
            solve::Solution s = solver_->response(node, anchor);
            at->second.volt = std::move(s.volt);
            for (const std::uint32_t e : breakers_) at->second.through.push_back(branch_[e] == none ? 0 : s.through[branch_[e]]);
        }
        return at->second;
    }

    // The current from one node into the other, joined by 0 ohm. NaN: it cannot be judged.
    double shorted(std::uint32_t x, std::uint32_t y) {
        if (solver_->island(x) != solver_->island(y) || solver_->metal(x) == solver_->metal(y)) return 0;
        const Reply &from = reply(any_of_metal_.try_emplace(solver_->metal(x), x).first->second);
        const Reply &to = reply(any_of_metal_.try_emplace(solver_->metal(y), y).first->second);
        return (base_.volt[x] - base_.volt[y]) / (from.volt[x] - from.volt[y] - to.volt[x] + to.volt[y]);
    }

    // The current through that pole of a fuse, breaker or switch with x and y joined by 0 ohm and the device itself replaced by a conductor
    // of next to no resistance: prospective current is without the device (IEC 60050-441, 441-17-01). What others lose counts.
    double without_device(std::uint32_t pole, const std::vector<std::uint32_t>& poles, std::uint32_t x, std::uint32_t y) {
        if (solver_->island(x) != solver_->island(y)) return std::fabs(base_.through[branch_[breakers_[pole]]]);
        struct Join { std::uint32_t a, b; double ohm; };
        std::vector<Join> joins{{x, y, 0}};
        std::size_t own = 0;
        for (const std::uint32_t i : poles) {
            const solve::Resistance& r = circuit_.resistances[branch_[breakers_[i]]];
            if (solver_->island(r.a) != solver_->island(x) || (i != pole && joins.size() > most_poles)) continue;
            if (i == pole) own = joins.size();
            joins.push_back({r.a, r.b, r.ohm * beside_own});
        }
        // What each join carries makes the volts across it: Gauss on a symmetric, positive matrix as small as the device has poles.
        const std::size_t n = joins.size();
        std::vector<std::vector<double>> m(n, std::vector<double>(n + 1));
        for (std::size_t k = 0; k < n; ++k) {
            const Reply &from = reply(any_of_metal_.try_emplace(solver_->metal(joins[k].a), joins[k].a).first->second);
            const Reply &to = reply(any_of_metal_.try_emplace(solver_->metal(joins[k].b), joins[k].b).first->second);
            for (std::size_t j = 0; j < n; ++j) m[j][k] = from.volt[joins[j].a] - from.volt[joins[j].b] - to.volt[joins[j].a] + to.volt[joins[j].b];
            m[k][k] += joins[k].ohm;
            m[k][n] = base_.volt[joins[k].a] - base_.volt[joins[k].b];
        }
        for (std::size_t k = 0; k < n; ++k) {
            for (std::size_t j = k + 1; j < n; ++j) {
                const double share = m[j][k] / m[k][k];
                for (std::size_t i = k; i <= n; ++i) m[j][i] -= share * m[k][i];
            }
        }
        for (std::size_t k = n; k-- > 0;) {
            for (std::size_t i = k + 1; i < n; ++i) m[k][n] -= m[k][i] * m[i][n];
            m[k][n] /= m[k][k];
        }
        return std::fabs(m[own][n]);
    }

    // The largest of all ways to short it.
    Result short_at(std::uint32_t t) {
        Result r;
        for (const std::uint32_t against : other_pole(t)) {
            if (out_.lacking[a_.circuits.island[n_.on[t]]] != none) return {graph::unknown, against};
            const double ampere = std::fabs(shorted(node(t), node(against)));
            if (std::isnan(ampere)) return {ampere, against};
            if (r.against == none || ampere > r.ampere) r = {ampere, against};
        }
        return r;
    }

    double through(std::uint32_t i) {
        const std::uint32_t e = breakers_[i];
        const Edge& edge = n_.edges[e];
        const double most = std::fmax(out_.at[edge.a], out_.at[edge.b]);
        if (std::isnan(out_.at[edge.a]) || !detailed_ || branch_[e] == none) return std::isnan(out_.at[edge.a]) ? graph::unknown : most;
        const auto poles_of = poles_.find(edge.thing);
        double largest = 0;
        for (const std::uint32_t t : {edge.a, edge.b}) {
            const std::vector<std::uint32_t> poles = other_pole(t);
            if (poles.empty()) return most;
            for (const std::uint32_t against : poles) {
                const std::uint32_t x = node(t), y = node(against);
                if (solver_->metal(x) == solver_->metal(y)) return most;
                const double at = poles_of != poles_.end()
                                      ? without_device(i, poles_of->second, x, y)
                                      : std::fabs(base_.through[branch_[e]] - shorted(x, y) * (reply(x).through[i] - reply(y).through[i]));
                if (std::isnan(at)) return most;
                largest = std::fmax(largest, at);
            }
        }
        return largest;
    }

    static constexpr double beside_own = 1e-9;     // of a pole's own resistance: enough to share between poles side by side
    static constexpr std::size_t most_poles = 16;  // of a device, that are replaced together

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
    std::vector<std::uint32_t> breakers_, anchor_;  // of this part: fuses, breakers and switches; per island of the solver: a node
    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> poles_;  // per device whose poles resist: which of breakers_ they are
    std::vector<Point> points_;
    std::unordered_map<std::uint32_t, Reply> replies_;  // per node, as a fuse of 0 ohm has both ends on one piece of metal
    std::unordered_map<std::uint32_t, std::uint32_t> any_of_metal_;
};

}  // namespace

Faults find_faults(const Analysis& a, const Resistances& resist, bool keep_circuits) { return FaultFinder(a, resist, keep_circuits).find(); }

Solution::Solution(const Analysis& a) : solved(std::make_shared<Solved>(a)), faults(find_faults(a, solved->resist)) {
    std::vector<std::uint8_t> live(a.net.on.count, 0);
    for (const PowerSource& x : a.net.sources) {
        for (const std::uint32_t t : {x.plus, x.minus}) {
            if (t != none) live[a.net.on[t]] = 1;
        }
    }
    for (std::uint32_t t = 0; t < a.net.terminals && points.size() <= base::limits::points; ++t) {
        if (live[a.net.on[t]] != 0) points.push_back(t);
    }
    if (points.size() > base::limits::points) points.clear();
    if (!points.empty()) open_volt = base::beside(a.d.conductors.size(), [solved = solved, &a] { return solved->open_circuit(a); });
}

}  // namespace ferrule::facts
