#include "facts/banks.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <unordered_map>

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::ThingId;

// Figures of `count` cells or blocks of one part in series, added to what came before.
void add_part(const Design& d, BatteryData& b, graph::PartId id, double count, bool first) {
    const auto rows = d.parts[id].rows;
    const auto least_of = [first](double& to, double x) { to = first ? x : std::isnan(to) || std::isnan(x) ? graph::unknown : std::min(to, x); };
    const auto add = [first, count](double& to, double x) { to = first ? count * x : to + count * x; };
    const auto yes = [&](std::string_view property) { return d.text(rows, property, "answer") == "yes"; };
    add(b.nominal, d.number(rows, "nominal", "voltage"));
    add(b.most, d.number(rows, "max-voltage", "voltage"));
    add(b.least, d.number(rows, "min-voltage", "voltage"));
    const double cells = d.number(rows, "cells", "count");
    add(b.cells, cells);
    const double capacity = d.number(rows, "capacity", "charge");
    if (!first) b.capacity_spread = std::fmax(b.capacity_spread, std::fabs(b.capacity - capacity) / std::fmax(b.capacity, capacity));
    least_of(b.capacity, capacity);
    least_of(b.charge, d.number(rows, "charge", "current"));
    least_of(b.discharge, d.number(rows, "discharge", "current"));
    least_of(b.peak, d.number(rows, "peak", "current"));
    // The strongest cell is taken: the current that must be broken is then not put too low.
    double fault = d.number(rows, "short-circuit", "current");
    if (std::isnan(fault)) {
        fault = d.number(rows, "max-voltage", "voltage") / d.number(rows, "internal", "resistance");
        b.short_circuit_estimated = b.short_circuit_estimated || !std::isnan(fault);
    }
    b.short_circuit = first ? fault : std::isnan(b.short_circuit) || std::isnan(fault) ? graph::unknown : std::max(b.short_circuit, fault);
    const double age = d.number(rows, "age", "years");
    b.age = first ? age : std::fmax(b.age, age);
    if (const graph::Field* f = d.field(d.row(rows, "charge-temperature"), "temperature")) {
        b.charge_from = first ? f->low : std::fmax(b.charge_from, f->low);
        if (f->high > f->low) b.charge_to = std::fmin(b.charge_to, f->high);  // a single figure is where it begins
    }
    graph::Symbol chemistry;
    if (const graph::Field* f = d.field(d.row(rows, "chemistry"), "chemistry")) chemistry = f->text;
    if (first) b.chemistry = chemistry;
    else if (b.chemistry && chemistry && b.chemistry != chemistry) b.mixed = true;
    b.heater = (first || b.heater) && yes("heater");
    b.cold_cut_off = (first || b.cold_cut_off) && yes("cold-cut-off");
    b.commands = (first || b.commands) && yes("commands-charge");
    b.fused_inside = b.fused_inside || d.states(rows, "built-in-fuse");
    if (first) b.part = id;
}

class BankFinder {
public:
    BankFinder(const Design& d, const std::vector<PartData>& parts, const Network& n, const Circuits& c) : d_(d), parts_(parts), n_(n), c_(c) {}

    Banks find() {
        out_.of_source.assign(n_.sources.size(), none);
        out_.of_port.assign(n_.ports.size(), none);
        out_.own_fuse.assign(n_.sources.size(), 0);
        if (n_.sources.size() == n_.strings) return std::move(out_);
        middles();
        chains();
        ports();
        protection();
        return std::move(out_);
    }

private:
    // Groups by the net their + is on and the net their - is on, for nets between batteries: one of each.
    void middles() {
        count_plus_.assign(n_.on.count, 0);
        count_minus_.assign(n_.on.count, 0);
        below_.assign(n_.on.count, none);
        for (std::uint32_t g = 0; g < c_.groups.size(); ++g) {
            if (!c_.groups[g].battery) continue;
            ++count_plus_[c_.groups[g].net_a];
            ++count_minus_[c_.groups[g].net_b];
            below_[c_.groups[g].net_a] = g;
        }
    }

    [[nodiscard]] bool middle(std::uint32_t net) const { return count_plus_[net] == 1 && count_minus_[net] == 1; }

    void chains() {
        std::vector<std::uint8_t> used(c_.groups.size(), 0);
        std::unordered_map<std::uint64_t, std::uint32_t> by_nets;
        const auto walk = [&](std::uint32_t g) {
            Bank bank;
            bank.plus = c_.groups[g].net_a;
            std::vector<Bank::Stage> chain;
            for (std::uint32_t next = g; next != none && used[next] == 0;) {
                used[next] = 1;
                const Parallel& p = c_.groups[next];
                chain.push_back(p.all());
                bank.reversed = bank.reversed || !p.reversed.empty();
                bank.minus = p.net_b;
                next = middle(p.net_b) ? below_[p.net_b] : none;
                if (next != none && used[next] == 0) bank.between.push_back(p.net_b);
            }
            const auto [at, is_new] = by_nets.emplace(pair_of(bank.plus, bank.minus), static_cast<std::uint32_t>(out_.banks.size()));
            if (is_new) {
                out_.banks.push_back(std::move(bank));
            } else {
                Bank& other = out_.banks[at->second];
                other.reversed = other.reversed || bank.reversed;
                other.between.insert(other.between.end(), bank.between.begin(), bank.between.end());
            }
            out_.banks[at->second].chains.push_back(std::move(chain));
        };
        for (std::uint32_t g = 0; g < c_.groups.size(); ++g) {
            if (c_.groups[g].battery && !middle(c_.groups[g].net_a)) walk(g);
        }
        for (std::uint32_t g = 0; g < c_.groups.size(); ++g) {  // a ring of batteries has no beginning
            if (c_.groups[g].battery && used[g] == 0) walk(g);
        }
        for (std::uint32_t b = 0; b < out_.banks.size(); ++b) {
            for (const std::uint32_t i : out_.banks[b].batteries()) out_.of_source[i] = b;
        }
    }

    void ports() {
        std::unordered_map<std::uint64_t, std::uint32_t> by_nets;
        std::unordered_map<std::uint32_t, std::uint32_t> by_middle;
        for (std::uint32_t b = 0; b < out_.banks.size(); ++b) {
            by_nets.emplace(pair_of(out_.banks[b].plus, out_.banks[b].minus), b);
            for (const std::uint32_t net : out_.banks[b].between) by_middle.emplace(net, b);
        }
        for (std::uint32_t k = 0; k < n_.ports.size(); ++k) {
            const Port& p = n_.ports[k];
            if (p.plus == none || p.minus == none || p.role == Port::Role::array) continue;
            if (p.role == Port::Role::load && p.port != 0xffff) continue;  // what a controller passes on has a circuit of its own
            const std::uint32_t plus = n_.on[p.plus], minus = n_.on[p.minus];
            if (const auto at = by_nets.find(pair_of(plus, minus)); at != by_nets.end()) {
                out_.of_port[k] = at->second;
                out_.banks[at->second].ports.push_back(k);
            }
            for (const std::uint32_t t : {p.plus, p.minus}) {
                const auto at = by_middle.find(n_.on[t]);
                if (at == by_middle.end()) continue;
                Bank& bank = out_.banks[at->second];
                const graph::Part& part = d_.part_of(p.device);
                if (d_.text(part.rows, "balances", "answer") == "yes") bank.balanced = true;
                else if (bank.tap == none && parts_[d_.things[p.device].part.value].kind != "controller") {  // a charger for one battery evens out
                    bank.tap = k;
                    bank.tapped = n_.landing(t);
                }
            }
        }
    }

    // With every fuse and breaker taken out: batteries that are still side by side have nothing of their own between them.
    void protection() {
        UnionFind sets(n_.terminals);
        for (const Edge& e : n_.edges) {
            const bool device = e.kind != Edge::Kind::wire;
            if (e.closed && !(device && parts_[d_.things[ThingId(e.thing)].part.value].overcurrent)) sets.join(e.a, e.b);
        }
        std::unordered_map<std::uint64_t, std::vector<std::uint32_t>> side_by_side;
        for (Bank& bank : out_.banks) {
            const bool many = bank.parallel() > 1;
            side_by_side.clear();
            for (const auto& chain : bank.chains) {
                bool inside = false;
                for (std::size_t s = 0; s < chain.size(); ++s) {
                    for (const std::uint32_t i : chain[s]) {
                        inside = inside || d_.states(d_.parts[battery_part(i)].rows, "built-in-fuse");
                        if (s != 0) inside = inside || sets.find(n_.sources[chain[s - 1].front()].minus) != sets.find(n_.sources[i].plus);
                    }
                }
                // Batteries of one stage are side by side by themselves; the first and last stage stand for a chain of single ones.
                const Bank::Stage& widest = *std::max_element(chain.begin(), chain.end(), [](const auto& a, const auto& b) { return a.size() < b.size(); });
                for (std::size_t m = 0; m < widest.size(); ++m) {
                    const bool single = widest.size() == 1;
                    const std::uint32_t first = single ? chain.front().front() : widest[m], last = single ? chain.back().front() : widest[m];
                    const bool fused_inside = single ? inside : d_.states(d_.parts[battery_part(widest[m])].rows, "built-in-fuse");
                    if (!many || fused_inside) out_.own_fuse[widest[m]] = 1;
                    else side_by_side[pair_of(sets.find(n_.sources[first].plus), sets.find(n_.sources[last].minus))].push_back(widest[m]);
                }
            }
            for (const auto& [ends, members] : side_by_side) {
                if (members.size() == 1) out_.own_fuse[members.front()] = 1;
            }
            for (const auto& chain : bank.chains) spread(chain);
        }
    }

    // What was found for one stage holds for those in series with it.
    void spread(const std::vector<Bank::Stage>& chain) {
        const Bank::Stage* widest = &chain.front();
        for (const Bank::Stage& stage : chain) widest = stage.size() > widest->size() ? &stage : widest;
        for (const Bank::Stage& stage : chain) {
            for (std::size_t m = 0; m < stage.size(); ++m) out_.own_fuse[stage[m]] = out_.own_fuse[(*widest)[m]];
        }
    }

    [[nodiscard]] graph::PartId battery_part(std::uint32_t source) const {
        const graph::Thing& t = d_.things[n_.sources[source].thing];
        return t.groups != 0 ? d_.groups[t.first_group].part : t.part;
    }

    const Design& d_;
    const std::vector<PartData>& parts_;
    const Network& n_;
    const Circuits& c_;
    Banks out_;
    std::vector<std::uint32_t> count_plus_, count_minus_, below_;  // per net: battery groups with their + (-) here; the one below
};

}  // namespace

BatteryData battery_data(const Design& d, ThingId id) {
    const graph::Thing& t = d.things[id];
    BatteryData b;
    if (t.groups == 0) {
        add_part(d, b, t.part, 1, true);
    } else {
        b.blocks = 0;
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            add_part(d, b, d.groups[g].part, d.groups[g].count, g == t.first_group);
            b.blocks += d.groups[g].count;
        }
    }
    const double own_age = d.number(t.rows, "age", "years");
    if (!std::isnan(own_age)) b.age = own_age;
    return b;
}

std::vector<std::uint32_t> Bank::batteries() const {
    std::vector<std::uint32_t> all;
    for (const auto& chain : chains) {
        for (const Stage& stage : chain) all.insert(all.end(), stage.begin(), stage.end());
    }
    std::sort(all.begin(), all.end());
    return all;
}

std::uint32_t Bank::parallel() const {
    std::size_t sum = 0;
    for (const auto& chain : chains) {
        std::size_t widest = 0;
        for (const Stage& stage : chain) widest = std::max(widest, stage.size());
        sum += widest;
    }
    return static_cast<std::uint32_t>(sum);
}

bool Bank::laddered() const {
    return std::any_of(chains.begin(), chains.end(), [](const auto& chain) {
        return chain.size() > 1 && std::any_of(chain.begin(), chain.end(), [](const Stage& s) { return s.size() > 1; });
    });
}

Banks find_banks(const Design& design, const std::vector<PartData>& parts, const Network& network, const Circuits& circuits) {
    return BankFinder(design, parts, network, circuits).find();
}

}  // namespace ferrule::facts
