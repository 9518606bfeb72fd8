#include "facts/circuits.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <unordered_map>

#include "facts/blame.hpp"

namespace ferrule::facts {

namespace {

using graph::Design;

class CircuitFinder {
public:
    CircuitFinder(const Design& d, const Network& n, const std::vector<double>& emf) : d_(d), n_(n), emf_(emf) {}

    Circuits find() {
        c_.reversed.assign(n_.sources.size(), 0);
        c_.group_of.assign(n_.sources.size(), none);
        count_ends();
        group();
        orient();
        port_reversals();
        potentials();
        voltages();
        circuits();
        c_.shorts = find_shorts(d_, n_);
        return std::move(c_);
    }

private:
    void count_ends() {
        for (auto* v : {&c_.plus_ends, &c_.minus_ends, &c_.battery_plus_ends, &c_.battery_minus_ends}) v->assign(n_.on.count, 0);
        for (const PowerSource& s : n_.sources) {
            if (s.plus != none) ++(s.battery ? c_.battery_plus_ends : c_.plus_ends)[n_.on[s.plus]];
            if (s.minus != none) ++(s.battery ? c_.battery_minus_ends : c_.minus_ends)[n_.on[s.minus]];
        }
    }

    [[nodiscard]] bool landed(std::uint32_t t) const { return n_.landings[t] != 0 || n_.links[t] != 0; }

    // By the pair of nets: on a common negative thousands of groups share one of the two.
    void group() {
        std::unordered_map<std::uint64_t, std::uint32_t> arrays, batteries;
        for (std::uint32_t i = 0; i < n_.sources.size(); ++i) {
            const PowerSource& s = n_.sources[i];
            if (s.plus == none || s.minus == none || !landed(s.plus) || !landed(s.minus)) continue;
            std::uint32_t a = n_.on[s.plus], b = n_.on[s.minus];
            if (a == b) continue;
            const bool turned = a > b;
            if (turned) std::swap(a, b);
            const auto [at, is_new] =
                (s.battery ? batteries : arrays).emplace(pair_of(a, b), static_cast<std::uint32_t>(c_.groups.size()));
            const std::uint32_t g = at->second;
            if (is_new) c_.groups.push_back({a, b, {}, {}, s.battery});
            (turned ? c_.groups[g].reversed : c_.groups[g].members).push_back(i);
            c_.group_of[i] = g;
        }
    }

    // Array ports (or all others) from + to - by their pair of nets: which way round the converters want it.
    [[nodiscard]] std::unordered_map<std::uint64_t, int> marked(bool array) const {
        std::unordered_map<std::uint64_t, int> count;
        for (const Port& p : n_.ports) {
            if (p.plus == none || p.minus == none || (p.role == Port::Role::array) != array) continue;
            ++count[pair_of(n_.on[p.plus], n_.on[p.minus])];
        }
        return count;
    }

    // In a group the fewer are wrong; between equals the converter's marks decide, else the later in the text.
    void orient() {
        const std::unordered_map<std::uint64_t, int> arrays = marked(true), others = marked(false);
        auto marked_way = [&](const Parallel& g) {
            const auto& ports = g.battery ? others : arrays;
            const auto right = ports.find(pair_of(g.net_a, g.net_b)), wrong = ports.find(pair_of(g.net_b, g.net_a));
            return (right == ports.end() ? 0 : right->second) - (wrong == ports.end() ? 0 : wrong->second);
        };
        for (Parallel& g : c_.groups) {
            if (!g.members.empty() && !g.reversed.empty()) {
                const auto ahead = static_cast<std::int64_t>(g.members.size()) - static_cast<std::int64_t>(g.reversed.size());
                bool turn = ahead < 0;
                if (ahead == 0) {
                    const int way = marked_way(g);
                    turn = way != 0 ? way < 0 : g.members.front() > g.reversed.front();
                }
                if (turn) swap_sides(g);
                for (const std::uint32_t i : g.reversed) {
                    c_.reversed[i] = 1;
                    c_.reversals.push_back(blame_source(d_, n_, i, static_cast<std::uint32_t>(g.members.size() + g.reversed.size())));
                }
            } else if (g.members.empty()) {
                swap_sides(g);
            }
        }
    }

    static void swap_sides(Parallel& g) {
        std::swap(g.members, g.reversed);
        std::swap(g.net_a, g.net_b);
    }

    // A port whose + is reached by the - ends and whose - is reached by the + ends of its sources.
    void port_reversals() {
        for (std::uint32_t k = 0; k < n_.ports.size(); ++k) {
            const Port& p = n_.ports[k];
            if (p.plus == none || p.minus == none) continue;
            const std::uint32_t plus = n_.on[p.plus], minus = n_.on[p.minus];
            if (plus == minus) continue;
            const bool array = p.role == Port::Role::array;
            const auto& at_plus = array ? c_.plus_ends : c_.battery_plus_ends;
            const auto& at_minus = array ? c_.minus_ends : c_.battery_minus_ends;
            // At a common negative the - may hold - ends of other trackers as well; the + may not hold a + end.
            if (at_plus[plus] != 0 || at_minus[plus] == 0 || at_plus[minus] == 0) continue;
            if (array && d_.text(d_.part_of(p.device).ports[p.port].rows, "polarity-free", "answer") == "yes") continue;
            c_.reversals.push_back(blame_port(d_, n_, k));
        }
    }

    // Sources in falling order of voltage: the first between two sets of nets fixes their difference, so that the largest
    // open-circuit voltage stands. Reversed sources come last and add nothing to what is already joined.
    void potentials() {
        const std::uint32_t nets = n_.on.count;
        parent_.resize(nets);
        std::iota(parent_.begin(), parent_.end(), 0U);
        above_.assign(nets, 0.0);
        std::vector<std::uint32_t> order(n_.sources.size());
        std::iota(order.begin(), order.end(), 0U);
        std::stable_sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
            if (c_.reversed[a] != c_.reversed[b]) return c_.reversed[a] < c_.reversed[b];
            const double x = std::isnan(emf_[a]) ? -1 : emf_[a];
            const double y = std::isnan(emf_[b]) ? -1 : emf_[b];
            return x > y;
        });
        for (const std::uint32_t i : order) {
            const PowerSource& s = n_.sources[i];
            if (s.plus == none || s.minus == none) continue;
            const std::uint32_t a = n_.on[s.plus], b = n_.on[s.minus];
            const auto [ra, pa] = lift(a);
            const auto [rb, pb] = lift(b);
            if (ra == rb) continue;
            // potential(a) - potential(b) = emf
            parent_[ra] = rb;
            above_[ra] = pb + emf_[i] - pa;
        }
        c_.island.assign(nets, none);
        c_.potential.assign(nets, graph::unknown);
        std::vector<double> lowest(nets, std::numeric_limits<double>::infinity());
        std::vector<std::uint32_t> number(nets, none);
        for (std::uint32_t v = 0; v < nets; ++v) {
            if (c_.plus_ends[v] + c_.minus_ends[v] + c_.battery_plus_ends[v] + c_.battery_minus_ends[v] == 0) continue;
            const auto [root, p] = lift(v);
            if (number[root] == none) number[root] = c_.islands++;
            c_.island[v] = number[root];
            c_.potential[v] = p;
            lowest[root] = std::isnan(p) ? p : std::min(lowest[root], p);
        }
        for (std::uint32_t v = 0; v < nets; ++v) {
            if (c_.island[v] != none) c_.potential[v] -= lowest[lift(v).first];
        }
    }

    std::pair<std::uint32_t, double> lift(std::uint32_t v) {
        // Path compression in two passes; potentials are kept against the parent.
        std::uint32_t root = v;
        double sum = 0;
        while (parent_[root] != root) {
            sum += above_[root];
            root = parent_[root];
        }
        double rest = sum;
        while (parent_[v] != root && v != root) {
            const std::uint32_t up = parent_[v];
            const double step = above_[v];
            parent_[v] = root;
            above_[v] = rest;
            rest -= step;
            v = up;
        }
        return {root, sum};
    }

    [[nodiscard]] double between(std::uint32_t a, std::uint32_t b) const {
        if (a == none || b == none || c_.island[a] == none || c_.island[a] != c_.island[b]) return 0;
        return std::fabs(c_.potential[a] - c_.potential[b]);
    }

    void voltages() {
        c_.net_voltage.assign(n_.on.count, 0.0);
        c_.battery_voltage.assign(n_.on.count, 0.0);
        auto raise = [&](std::vector<double>& all, std::uint32_t net, double v) {
            double& to = all[net];
            if (!std::isnan(to) && (std::isnan(v) || v > to)) to = v;
        };
        for (std::uint32_t i = 0; i < n_.sources.size(); ++i) {
            const PowerSource& s = n_.sources[i];
            for (const std::uint32_t t : {s.plus, s.minus}) {
                if (t == none) continue;
                raise(c_.net_voltage, n_.on[t], emf_[i]);
                if (s.battery) raise(c_.battery_voltage, n_.on[t], emf_[i]);
            }
        }
        for (const Port& p : n_.ports) {
            if (p.plus == none || p.minus == none) continue;
            const std::uint32_t a = n_.on[p.plus], b = n_.on[p.minus];
            const double v = between(a, b);
            for (const std::uint32_t net : {a, b}) {
                raise(c_.net_voltage, net, v);
                if (p.role != Port::Role::array) raise(c_.battery_voltage, net, v);
            }
        }
    }

    void circuits() {
        UnionFind sets(n_.on.count);
        for (const PowerSource& s : n_.sources) {
            if (s.plus != none && s.minus != none) sets.join(n_.on[s.plus], n_.on[s.minus]);
        }
        for (const Port& p : n_.ports) {
            if (p.plus != none && p.minus != none) sets.join(n_.on[p.plus], n_.on[p.minus]);
        }
        Nets nets = sets.nets();
        c_.circuit = std::move(nets.of);
        c_.circuit_count = nets.count;
    }

    const Design& d_;
    const Network& n_;
    const std::vector<double>& emf_;
    Circuits c_;
    std::vector<std::uint32_t> parent_;
    std::vector<double> above_;
};

}  // namespace

std::vector<std::uint32_t> Parallel::all() const {
    std::vector<std::uint32_t> both = members;
    both.insert(both.end(), reversed.begin(), reversed.end());
    std::sort(both.begin(), both.end());
    return both;
}

Circuits find_circuits(const Design& design, const Network& network, const std::vector<double>& emf) {
    return CircuitFinder(design, network, emf).find();
}

}  // namespace ferrule::facts
