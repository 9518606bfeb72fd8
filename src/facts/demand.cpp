#include "facts/demand.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::RowId;
using graph::ThingId;

Stated stated(const Design& d, base::Range<RowId> rows, std::string_view property, std::string_view field, bool low = false) {
    Stated s;
    const RowId row = d.row(rows, property);
    if (!row) return s;
    if (const graph::Field* f = d.field(row, field)) {
        s.value = low ? f->low : f->high;
        s.row = row;
    }
    return s;
}

// Between nets that batteries join: what the batteries give when they are as low as they may go.
class LowestVolts {
public:
    LowestVolts(const Design& d, const Network& n, const Circuits& c) : n_(n), at_(n.on.count, graph::unknown), island_(n.on.count, none) {
        std::vector<double> low(n.sources.size(), graph::unknown);
        for (std::uint32_t i = n.strings; i < n.sources.size(); ++i) low[i] = own(d, n.sources[i].thing);
        std::vector<double> bank(low);
        for (const Parallel& g : c.groups) {
            if (!g.battery) continue;
            double least = graph::unknown;
            bool all = true;
            for (const std::uint32_t i : g.members) {
                all = all && !std::isnan(low[i]);
                least = std::fmin(least, low[i]);
            }
            for (const std::uint32_t i : g.members) bank[i] = all ? least : graph::unknown;
        }
        std::vector<std::vector<std::uint32_t>> on;
        std::vector<std::uint32_t> slot(n.on.count, none);
        auto list = [&](std::uint32_t net) -> std::vector<std::uint32_t>& {
            if (slot[net] == none) {
                slot[net] = static_cast<std::uint32_t>(on.size());
                on.emplace_back();
            }
            return on[slot[net]];
        };
        for (std::uint32_t i = n.strings; i < n.sources.size(); ++i) {
            const PowerSource& s = n.sources[i];
            if (s.plus == none || s.minus == none) continue;
            list(n.on[s.plus]).push_back(i);
            list(n.on[s.minus]).push_back(i);
        }
        std::vector<std::uint32_t> stack;
        for (std::uint32_t root = 0; root < n.on.count; ++root) {
            if (slot[root] == none || island_[root] != none) continue;
            island_[root] = root;
            at_[root] = 0;
            stack.push_back(root);
            while (!stack.empty()) {
                const std::uint32_t v = stack.back();
                stack.pop_back();
                for (const std::uint32_t i : on[slot[v]]) {
                    const std::uint32_t plus = n.on[n.sources[i].plus], minus = n.on[n.sources[i].minus];
                    const std::uint32_t u = plus == v ? minus : plus;
                    if (island_[u] != none) continue;
                    island_[u] = root;
                    at_[u] = at_[v] + (u == plus ? bank[i] : -bank[i]);
                    stack.push_back(u);
                }
            }
        }
    }

    // Unknown if no batteries join the two, or one of them does not say how low it may go.
    [[nodiscard]] double between(const Port& p) const {
        if (p.plus == none || p.minus == none) return graph::unknown;
        const std::uint32_t a = n_.on[p.plus], b = n_.on[p.minus];
        if (a == b || island_[a] == none || island_[a] != island_[b]) return graph::unknown;
        return std::fabs(at_[a] - at_[b]);
    }

    // A battery with an end on the port's +; none if there is none.
    [[nodiscard]] std::uint32_t battery_at(const Port& p) const {
        if (p.plus == none || island_[n_.on[p.plus]] == none) return none;
        for (std::uint32_t i = n_.strings; i < n_.sources.size(); ++i) {
            if (n_.sources[i].plus != none && n_.on[n_.sources[i].plus] == n_.on[p.plus]) return i;
        }
        return none;
    }

private:
    static double own(const Design& d, ThingId id) {
        const graph::Thing& t = d.things[id];
        if (t.groups == 0) return d.number(d.parts[t.part].rows, "min-voltage", "voltage");
        double sum = 0;
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            sum += d.groups[g].count * d.number(d.parts[d.groups[g].part].rows, "min-voltage", "voltage");
        }
        return sum;
    }

    const Network& n_;
    std::vector<double> at_;
    std::vector<std::uint32_t> island_;
};

class DemandFinder {
public:
    DemandFinder(const Design& d, const std::vector<PartData>& parts, const Network& n, const Circuits& c) : d_(d), parts_(parts), n_(n), lowest_(d, n, c) {}

    Demand find() {
        demand_.ports.resize(n_.ports.size());
        demand_.battery_lowest.assign(n_.ports.size(), graph::unknown);
        for (std::uint32_t k = 0; k < n_.ports.size(); ++k) {
            const Port& p = n_.ports[k];
            if (p.role == Port::Role::array) continue;
            demand_.battery_lowest[k] = lowest_.between(p);
            if (p.port == 0xffff) load(k);
            else if (p.role == Port::Role::load) load_port(k);
            else battery_port(k);
        }
        return std::move(demand_);
    }

private:
    [[nodiscard]] base::Range<RowId> rows(const Port& p) const { return d_.part_of(p.device).ports[p.port].rows; }
    [[nodiscard]] bool has(const Port& p, std::string_view role) const {
        const auto& ports = d_.part_of(p.device).ports;
        return std::any_of(ports.begin(), ports.end(), [&](const graph::PortTemplate& t) { return d_.word(t.role) == role; });
    }

    void by_power(PortDemand& x) const { x.takes = x.power.value / ((x.efficiency.known() ? x.efficiency.value : 1.0) * x.voltage.value); }

    void lowest_battery(std::uint32_t k, PortDemand& x) const {
        if (x.voltage.known()) return;
        x.voltage.value = demand_.battery_lowest[k];
        if (x.voltage.known()) x.battery = lowest_.battery_at(n_.ports[k]);
    }

    void load(std::uint32_t k) {
        const Port& p = n_.ports[k];
        PortDemand& x = demand_.ports[k];
        const auto part = d_.part_of(p.device).rows;
        x.current = stated(d_, part, "current", "current");
        if (x.current.known()) {
            x.takes = x.current.value;
            x.takes_by = PortDemand::By::current;
            return;
        }
        x.power = stated(d_, part, "power", "power");
        x.takes_by = PortDemand::By::power;
        lowest_battery(k, x);
        if (!x.voltage.known()) x.voltage = stated(d_, part, "voltage", "voltage", true);
        x.lacking = !x.power.known() ? "power" : !x.voltage.known() ? "voltage" : nullptr;
        by_power(x);
    }

    // It passes on what the battery port of the same controller takes.
    void load_port(std::uint32_t k) {
        PortDemand& x = demand_.ports[k];
        x.charge = stated(d_, rows(n_.ports[k]), "max-current", "current");
        x.gives = x.charge.value;
        if (!x.charge.known()) x.lacking_charge = "max-current";
    }

    void battery_port(std::uint32_t k) {
        const Port& p = n_.ports[k];
        PortDemand& x = demand_.ports[k];
        const graph::Part& part = d_.part_of(p.device);
        // What it gives.
        x.charge = set_or_stated(d_, p, "charge", "current");
        const bool charges = has(p, "array") || x.charge.known();
        x.gives = charges ? x.charge.value : 0;
        if (charges && !x.charge.known()) x.lacking_charge = "charge";
        // What it takes.
        const Stated limit = stated(d_, rows(p), "discharge", "current");
        if (!has(p, "ac-out") && parts_[d_.things[p.device].part.value].kind == "controller") {
            // A charge controller takes what its load output passes on, and next to nothing itself.
            for (const graph::PortTemplate& t : part.ports) {
                if (d_.word(t.role) != "load") continue;
                const Stated out = stated(d_, t.rows, "max-current", "current");
                x.takes += out.value;
                x.current = {x.takes, out.row};
                x.takes_by = PortDemand::By::current;
                if (!out.known()) x.lacking = "max-current";
            }
            return;
        }
        double ac = 0;
        for (const graph::PortTemplate& t : part.ports) {
            if (d_.word(t.role) != "ac-out") continue;
            const Stated power = stated(d_, t.rows, "power", "power");
            ac += power.value;
            x.power.row = power.row;
        }
        if (ac > 0) x.power.value = ac;
        else x.power = stated(d_, part.rows, "power", "power");
        if (!x.power.known() && limit.known()) {
            x.current = limit;
            x.takes = limit.value;
            x.takes_by = PortDemand::By::limit;
            return;
        }
        x.takes_by = PortDemand::By::power;
        x.efficiency = stated(d_, part.rows, "efficiency", "share");
        if (!(x.efficiency.value > 0 && x.efficiency.value <= 1)) x.efficiency = {};  // no converter has such a one
        x.voltage = set_or_stated(d_, p, "cut-off", "voltage");
        lowest_battery(k, x);
        x.lacking = !x.power.known() ? "power" : !x.efficiency.known() ? "efficiency" : !x.voltage.known() ? "cut-off" : nullptr;
        by_power(x);
        if (x.lacking == nullptr) {
            // It may hold itself to so many amperes and give less power from a low battery; not to so few that its power is never reached.
            const double most = stated(d_, rows(p), "max-voltage", "voltage").value;
            if (limit.value < x.takes && limit.value * most * x.efficiency.value >= x.power.value) {
                x.current = limit;
                x.takes = limit.value;
                x.takes_by = PortDemand::By::limit;
            }
            return;
        }
        x.takes = limit.value;  // unknown, or what it limits itself to
        if (limit.known()) {
            x.current = limit;
            x.takes_by = PortDemand::By::limit;
            x.lacking = nullptr;
        }
    }

    const Design& d_;
    const std::vector<PartData>& parts_;
    const Network& n_;
    LowestVolts lowest_;
    Demand demand_;
};

}  // namespace

Demand find_demand(const Design& d, const std::vector<PartData>& parts, const Network& n, const Circuits& c) { return DemandFinder(d, parts, n, c).find(); }

RowId setting(const Design& d, ThingId device, std::string_view what) {
    const graph::Symbol set = d.names.find("set"), word = d.names.find(what);
    if (!set || !word) return {};
    for (const RowId row : d.things[device].rows) {
        if (d.rows[row].property != set) continue;
        const graph::Field* f = d.field(row, "what");
        if (f != nullptr && f->text == word) return row;
    }
    return {};
}

Stated set_or_stated(const Design& d, const Port& p, std::string_view what, std::string_view field) {
    const RowId row = setting(d, p.device, what);
    if (const graph::Field* f = d.field(row, field); row && f != nullptr) return {f->high, row};
    if (p.port == 0xffff) return {};
    return stated(d, d.part_of(p.device).ports[p.port].rows, what, field);
}

std::string takes_text(const Design& d, const PortDemand& x) {
    auto show = [&](double v, const char* unit) { return d.units->show(v, d.units->find(unit)); };
    switch (x.takes_by) {
        case PortDemand::By::nothing: return {};
        case PortDemand::By::current: return fmt::format("takes {}, as stated", show(x.takes, "A"));
        case PortDemand::By::limit: return fmt::format("takes {} at most, the limit of its port", show(x.takes, "A"));
        case PortDemand::By::power: break;
    }
    if (x.efficiency.known()) {
        return fmt::format("{} / (efficiency {} x lowest voltage {}) = {}", show(x.power.value, "W"), show(x.efficiency.value, "%"), show(x.voltage.value, "V"),
                           show(x.takes, "A"));
    }
    return fmt::format("{} / lowest voltage {} = {}", show(x.power.value, "W"), show(x.voltage.value, "V"), show(x.takes, "A"));
}

Lack takes_lack(const Design& d, const Port& p, const PortDemand& x) {
    const graph::Part& part = d.part_of(p.device);
    return {fmt::format("`{}` of {}", x.lacking != nullptr ? x.lacking : "power", d.word(part.name)), part.span};
}

Lack gives_lack(const Design& d, const Port& p, const PortDemand& x) {
    const graph::Part& part = d.part_of(p.device);
    return {fmt::format("`{}` of {}", x.lacking_charge != nullptr ? x.lacking_charge : "charge", d.word(part.name)), part.span};
}

}  // namespace ferrule::facts
