#include "solve/solver.hpp"

#include <cassert>
#include <cmath>
#include <limits>

namespace ferrule::solve {

Solver::Taken Solver::take(const Circuit& c, const Contraction& metal) {
    Taken t;
    t.of_resistance.assign(c.resistances.size(), none);
    t.of_source.assign(c.sources.size(), none);
    t.branches.reserve(c.resistances.size() + c.sources.size());
    auto add = [&](std::uint32_t a, std::uint32_t b, double siemens) {
        if (a == b) return none;
        t.branches.push_back({a, b, siemens});
        return static_cast<std::uint32_t>(t.branches.size() - 1);
    };
    for (std::uint32_t e = 0; e < c.resistances.size(); ++e) {
        const Resistance& r = c.resistances[e];
        assert(std::isfinite(r.ohm) && r.ohm >= 0 && r.a < c.nodes && r.b < c.nodes);
        if (r.ohm >= least_ohm) t.of_resistance[e] = add(metal.of[r.a], metal.of[r.b], 1 / r.ohm);
    }
    for (std::uint32_t s = 0; s < c.sources.size(); ++s) {
        const Source& x = c.sources[s];
        assert(std::isfinite(x.siemens) && x.siemens >= 0 && x.plus < c.nodes && x.minus < c.nodes);
        if (x.siemens > 0) t.of_source[s] = add(metal.of[x.plus], metal.of[x.minus], x.siemens);
    }
    return t;
}

Solver::Solver(const Circuit& c)
    : circuit_(&c), metal_(c), taken_(take(c, metal_)), simple_(metal_.count, taken_.branches), core_(simple_) {
    find_islands();
}

void Solver::find_islands() {
    std::vector<std::uint32_t> label(metal_.count, none);
    for (const std::uint32_t node : simple_.core_nodes) label[node] = core_.part_of(node);
    auto labels = static_cast<std::uint32_t>(core_.roots().size());
    simple_.from_roots([&](std::uint32_t node, std::uint32_t neighbour) { label[node] = neighbour == none ? labels++ : label[neighbour]; });
    std::vector<std::uint32_t> dense(labels, none);
    island_.resize(metal_.count);
    for (std::uint32_t n = 0; n < metal_.count; ++n) {
        std::uint32_t& d = dense[label[n]];
        if (d == none) {
            d = islands_++;
            reference_.push_back(n);
        }
        island_[n] = d;
    }
    std::vector<std::uint8_t> has(islands_, 0);
    for (const Source& s : circuit_->sources) {
        const std::uint32_t i = island(s.minus);
        if (has[i] != 0 || island(s.plus) != i) continue;
        has[i] = 1;
        reference_[i] = metal_.of[s.minus];
    }
}

Solver::State Solver::run(std::vector<double> injected) const {
    State s;
    s.volt.assign(metal_.count, 0);
    s.out.assign(taken_.branches.size() * 2, 0);
    simple_.forward(injected);
    core_.solve(injected, s.volt, s.out);
    simple_.backward(injected, s.volt, s.out);
    return s;
}

Solution Solver::solve() const {
    std::vector<double> ampere(circuit_->sources.size());
    for (std::size_t s = 0; s < ampere.size(); ++s) ampere[s] = circuit_->sources[s].ampere;
    return solve(ampere);
}

Solution Solver::solve(std::span<const double> ampere) const { return solve(ampere, {}); }

Solution Solver::response(std::uint32_t a, std::uint32_t b) const {
    assert(island(a) == island(b));
    return solve(std::vector<double>(circuit_->sources.size(), 0), {a, b, 1});
}

Solution Solver::solve(std::span<const double> ampere, const Contraction::Extra& extra) const {
    const Circuit& c = *circuit_;
    assert(ampere.size() == c.sources.size());
    Solution x;
    x.trouble.assign(islands_, Trouble::no);
    std::vector<double> injected(metal_.count, 0);
    for (std::uint32_t s = 0; s < c.sources.size(); ++s) {
        const std::uint32_t p = island(c.sources[s].plus), m = island(c.sources[s].minus);
        if (p != m) {
            if (ampere[s] != 0) x.trouble[p] = x.trouble[m] = Trouble::floating;
            continue;
        }
        injected[metal_.of[c.sources[s].plus]] += ampere[s];
        injected[metal_.of[c.sources[s].minus]] -= ampere[s];
    }
    if (extra.ampere != 0) {
        injected[metal_.of[extra.in]] += extra.ampere;
        injected[metal_.of[extra.out]] -= extra.ampere;
    }
    const State state = run(std::move(injected));
    for (std::size_t p = 0; p < core_.roots().size(); ++p) {
        const std::uint32_t root = core_.roots()[p];
        if (std::isnan(state.volt[root]) && x.trouble[island_[root]] == Trouble::no) x.trouble[island_[root]] = Trouble::singular;
    }
    std::vector<double> zero(islands_);
    for (std::uint32_t i = 0; i < islands_; ++i) zero[i] = x.trouble[i] == Trouble::no ? state.volt[reference_[i]] : unknown;
    x.volt.resize(c.nodes);
    for (std::uint32_t n = 0; n < c.nodes; ++n) x.volt[n] = state.volt[metal_.of[n]] - zero[island(n)];
    x.through.resize(c.resistances.size());
    for (std::uint32_t e = 0; e < x.through.size(); ++e) {
        const std::uint32_t b = taken_.of_resistance[e];
        x.through[e] = x.trouble[island(c.resistances[e].a)] != Trouble::no ? unknown : b == none ? 0 : state.out[2 * std::size_t{b}];
    }
    x.given.resize(c.sources.size());
    for (std::uint32_t s = 0; s < x.given.size(); ++s) {
        const std::uint32_t b = taken_.of_source[s];
        const bool judged = c.sources[s].siemens == 0 || x.trouble[island(c.sources[s].plus)] == Trouble::no;
        x.given[s] = !judged ? unknown : b == none ? ampere[s] : ampere[s] - state.out[2 * std::size_t{b}];
    }
    metal_.recover(c, x.given, extra, x.through);
    return x;
}

double Solver::resistance(std::uint32_t a, std::uint32_t b) const {
    const std::uint32_t x = metal_.of[a], y = metal_.of[b];
    if (x == y) return 0;
    if (island_[x] != island_[y]) return std::numeric_limits<double>::infinity();
    std::vector<double> injected(metal_.count, 0);
    injected[x] = 1;
    injected[y] = -1;
    const State s = run(std::move(injected));
    return s.volt[x] - s.volt[y];
}

}  // namespace ferrule::solve
