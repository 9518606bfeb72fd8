#include "facts/feeds.hpp"

#include <algorithm>
#include <cmath>

namespace ferrule::facts {

namespace {

// The larger; unknown if one is.
double most(double a, double b) { return std::isnan(a) || a > b ? a : b; }

double ampere_hours(const graph::Design& d, graph::ThingId id) {
    const graph::Thing& t = d.things[id];
    if (t.groups == 0) return d.number(d.parts[t.part].rows, "capacity", "charge");
    // In series the smallest counts.
    double least = graph::unknown;
    for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
        const double c = d.number(d.parts[d.groups[g].part].rows, "capacity", "charge");
        if (std::isnan(c)) return c;
        least = std::fmin(least, c);
    }
    return least;
}

// What each battery carries in service, from the nets where chargers and loads are on through batteries in series.
class BatteryCurrents {
public:
    BatteryCurrents(const Network& n, const std::vector<Flow>& own, const Pieces& p, const std::vector<double>& capacity)
        : n_(n), capacity_(capacity), net_(n.on.count), current_(n.sources.size(), 0.0), known_(n.sources.size(), 0), ends_(n.on.count) {
        std::vector<std::uint8_t> seen(p.of.count, 0);
        for (std::uint32_t t = 0; t < n.terminals; ++t) {
            if (seen[p.of[t]] != 0) continue;
            seen[p.of[t]] = 1;
            net_[n.on[t]] += own[p.of[t]];
        }
        for (std::uint32_t i = n.strings; i < n.sources.size(); ++i) {
            const PowerSource& s = n.sources[i];
            if (s.plus == none || s.minus == none || n.on[s.plus] == n.on[s.minus]) continue;
            ends_[n.on[s.plus]].push_back(i);
            ends_[n.on[s.minus]].push_back(i);
        }
    }

    std::vector<double> find() {
        for (std::uint32_t i = n_.strings; i < n_.sources.size(); ++i) {
            const PowerSource& s = n_.sources[i];
            if (s.plus == none || s.minus == none) continue;
            for (const std::uint32_t net : {n_.on[s.plus], n_.on[s.minus]}) {
                const Flow& f = net_[net];
                if (f.ports == 0 || mixed(f)) continue;
                set(i, most(current_[i], share(i, f, f.batteries()) * extra(f)));
            }
        }
        while (!queue_.empty()) {
            const std::uint32_t net = queue_.back();
            queue_.pop_back();
            if (mixed(net_[net])) pass_on(net);
        }
        return std::move(current_);
    }

private:
    [[nodiscard]] static bool mixed(const Flow& f) { return f.plus_ends != 0 && f.minus_ends != 0; }
    [[nodiscard]] static double extra(const Flow& f) {
        return f.dark_takes + f.dark_gives != 0 ? graph::unknown : std::max(f.takes, f.gives);
    }
    [[nodiscard]] double share(std::uint32_t i, const Flow& f, std::uint32_t of) const {
        return f.dark_capacity != 0 || !(f.capacity > 0) ? 1.0 / of : capacity_[i] / f.capacity;
    }

    void set(std::uint32_t i, double amperes) {
        current_[i] = amperes;
        known_[i] = 1;
        queue_.push_back(n_.on[n_.sources[i].plus]);
        queue_.push_back(n_.on[n_.sources[i].minus]);
    }

    // What comes in by the batteries on one side goes out by those on the other.
    void pass_on(std::uint32_t net) {
        double sum[2] = {0, 0}, capacity[2] = {0, 0};
        std::uint32_t count[2] = {0, 0}, found[2] = {0, 0};
        for (const std::uint32_t i : ends_[net]) {
            const int side = n_.on[n_.sources[i].plus] == net ? 0 : 1;
            ++count[side];
            found[side] += known_[i];
            sum[side] += current_[i];
            capacity[side] += capacity_[i];
        }
        for (const int from : {0, 1}) {
            const int to = 1 - from;
            if (count[from] == 0 || found[from] != count[from] || found[to] != 0) continue;
            for (const std::uint32_t i : ends_[net]) {
                if ((n_.on[n_.sources[i].plus] == net ? 0 : 1) != to) continue;
                const double part = capacity[to] > 0 ? capacity_[i] / capacity[to] : 1.0 / count[to];
                set(i, (sum[from] + extra(net_[net])) * part);
            }
            return;
        }
    }

    const Network& n_;
    const std::vector<double>& capacity_;
    std::vector<Flow> net_;
    std::vector<double> current_;
    std::vector<std::uint8_t> known_;
    std::vector<std::vector<std::uint32_t>> ends_;
    std::vector<std::uint32_t> queue_;
};

}  // namespace

Flow& Flow::operator+=(const Flow& o) {
    takes += o.takes;
    gives += o.gives;
    capacity += o.capacity;
    through += o.through;
    ports += o.ports;
    dark_takes += o.dark_takes;
    dark_gives += o.dark_gives;
    plus_ends += o.plus_ends;
    minus_ends += o.minus_ends;
    dark_capacity += o.dark_capacity;
    dark_through += o.dark_through;
    return *this;
}

Flow Flow::minus(const Flow& o) const {
    Flow r = *this;
    r.ports -= o.ports;
    r.dark_takes -= o.dark_takes;
    r.dark_gives -= o.dark_gives;
    r.plus_ends -= o.plus_ends;
    r.minus_ends -= o.minus_ends;
    r.dark_capacity -= o.dark_capacity;
    r.dark_through -= o.dark_through;
    // Where nothing is left, nothing of the rounding is left either.
    r.takes = r.ports == 0 ? 0 : std::max(0.0, takes - o.takes);
    r.gives = r.ports == 0 ? 0 : std::max(0.0, gives - o.gives);
    r.capacity = r.batteries() == 0 ? 0 : std::max(0.0, capacity - o.capacity);
    r.through = r.batteries() == 0 ? 0 : through - o.through;
    return r;
}

Feeds::Feeds(const graph::Design& d, const std::vector<PartData>& parts, const Network& n, const std::vector<Load>& loads, const Demand& demand)
    : network_(&n), demand_(&demand), pieces_(find_pieces(d, parts, n, loads)), own_(piece_loads(pieces_, loads)), sides_(own_, pieces_.trunks) {
    for (std::uint32_t i = 0; i < n.strings; ++i) {
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            if (t != none) ends_.add(sides_.place(pieces_.of[t]), i);
        }
    }
    ends_.sort();
    find_flows(d);
    of_.reserve(network_->edges.size());
    for (std::uint32_t e = 0; e < network_->edges.size(); ++e) of_.push_back(find(e));
}

void Feeds::find_flows(const graph::Design& d) {
    const Network& n = *network_;
    const bool ports = std::any_of(n.ports.begin(), n.ports.end(), [](const Port& p) { return p.role != Port::Role::array; });
    if (!ports && n.sources.size() == n.strings) return;
    flows_.resize(pieces_.of.count);
    for (std::uint32_t k = 0; k < n.ports.size(); ++k) {
        if (n.ports[k].role == Port::Role::array) continue;
        const PortDemand& x = demand_->ports[k];
        for (const std::uint32_t t : {n.ports[k].plus, n.ports[k].minus}) {
            if (t == none) continue;
            Flow& f = flows_[pieces_.of[t]];
            ++f.ports;
            if (std::isnan(x.takes)) ++f.dark_takes;
            else f.takes += x.takes;
            if (std::isnan(x.gives)) ++f.dark_gives;
            else f.gives += x.gives;
        }
    }
    std::vector<double> capacity(n.sources.size(), 0);
    for (std::uint32_t i = n.strings; i < n.sources.size(); ++i) {
        capacity[i] = ampere_hours(d, n.sources[i].thing);
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            if (t == none) continue;
            Flow& f = flows_[pieces_.of[t]];
            ++(t == n.sources[i].plus ? f.plus_ends : f.minus_ends);
            if (std::isnan(capacity[i])) ++f.dark_capacity;
            else f.capacity += capacity[i];
        }
    }
    const std::vector<double> current = BatteryCurrents(n, flows_, pieces_, capacity).find();
    for (std::uint32_t i = n.strings; i < n.sources.size(); ++i) {
        for (const std::uint32_t t : {n.sources[i].plus, n.sources[i].minus}) {
            if (t == none) continue;
            Flow& f = flows_[pieces_.of[t]];
            if (std::isnan(current[i])) ++f.dark_through;
            else f.through += t == n.sources[i].plus ? current[i] : -current[i];
        }
    }
    sides_.sum_up(flows_);
}

Feeds::Terms Feeds::terms(std::uint32_t edge) const {
    Terms t;
    const Pieces::Part& p = pieces_.parts[edge];
    if (flows_.empty() || p.trunk == none) return t;
    const std::uint32_t here = pieces_.towards(*network_, edge, network_->edges[edge].a), there = pieces_.towards(*network_, edge, network_->edges[edge].b);
    const Flow& all = sides_.whole_of(flows_, here);
    t.near = sides_.side_of(flows_, p.trunk, here);
    t.far = sides_.side_of(flows_, p.trunk, there);
    const bool mesh = sides_.ring(p.trunk);
    if (all.plus_ends != 0 && all.minus_ends != 0) {
        t.series = all.dark_through != 0 ? graph::unknown : std::max(std::fabs(t.near.through), std::fabs(t.far.through));
    } else if (t.near.batteries() != 0 && t.far.batteries() != 0 && !mesh) {
        const bool capacity = all.dark_capacity == 0 && all.capacity > 0;
        t.share_near = capacity ? t.near.capacity / all.capacity : static_cast<double>(t.near.batteries()) / all.batteries();
        t.share_far = 1 - t.share_near;
    }
    auto one_way = [](const Flow& from, const Flow& to, double share_from, double share_to) {
        const double takes = to.dark_takes != 0 ? graph::unknown : to.takes, gives = from.dark_gives != 0 ? graph::unknown : from.gives;
        double most_of = std::fmin(gives, takes);  // one of the two bounds it when the other is not known
        if (from.batteries() != 0) most_of = most(most_of, takes * share_from);
        if (to.batteries() != 0) most_of = most(most_of, gives * share_to);
        return most_of;
    };
    t.to_far = one_way(t.near, t.far, t.share_near, t.share_far);
    t.to_near = one_way(t.far, t.near, t.share_far, t.share_near);
    return t;
}

double Feeds::service(const Terms& t) const { return most(t.series, most(t.to_far, t.to_near)); }

std::uint32_t Feeds::lacking(std::uint32_t edge) const {
    const std::uint32_t net = network_->on[network_->edges[edge].a];
    for (std::uint32_t k = 0; k < network_->ports.size(); ++k) {
        const Port& p = network_->ports[k];
        const PortDemand& x = demand_->ports[k];
        if (x.lacking == nullptr && x.lacking_charge == nullptr) continue;
        if ((p.plus != none && network_->on[p.plus] == net) || (p.minus != none && network_->on[p.minus] == net)) return k;
    }
    return none;
}

Feed Feeds::find(std::uint32_t edge) const {
    const Edge& e = network_->edges[edge];
    const Pieces::Part& part = pieces_.parts[edge];
    Feed f;
    if (part.trunk == none) return f;
    f.share = part.share;
    const std::uint32_t here = pieces_.towards(*network_, edge, e.a), there = pieces_.towards(*network_, edge, e.b);
    const Load& all = sides_.whole(here);
    f.live = !all.empty();
    f.mesh = sides_.ring(part.trunk);
    if (!flows_.empty()) f.service = service(terms(edge));
    f.near = e.a;
    if (f.mesh) {
        const Load& l = sides_.ring_feed(part.trunk);
        f.isc = l.dark != 0 ? graph::unknown : l.isc;
        f.strings = l.strings;
        f.plus = l.plus * 2 >= l.strings;
        f.battery = l.strings == 0 && all.batteries != 0;
        if (f.battery) f.plus = all.battery_plus * 2 >= all.batteries;
        return f;
    }
    Load a = sides_.side(part.trunk, here), b = sides_.side(part.trunk, there);
    // The source's side is the one without an input. Where both have one, the one with more behind it. Where neither has (a
    // circuit that leads nowhere, or the middle of a series), each string carries its own current: the smaller that is not none.
    const bool one_sided = (a.inputs == 0) != (b.inputs == 0);
    const bool dead_end = a.inputs == 0 && b.inputs == 0;
    const bool swap = one_sided ? a.inputs != 0 : dead_end ? a.strings == 0 || (b.isc > 0 && b.isc < a.isc) : b.isc > a.isc;
    if (swap) {
        std::swap(a, b);
        f.near = e.b;
    }
    for (const Load* side : {&a, &b}) {
        if (side->strings == 1 && side->inputs + side->batteries + side->sinks == 0) f.alone = side->one;
    }
    f.back = b.dark != 0 ? graph::unknown : b.isc;
    f.isc = a.dark != 0 ? graph::unknown : a.isc;
    f.strings = a.strings;
    f.plus = a.plus * 2 >= a.strings;
    if (a.strings == 1) f.one = a.one;
    if (a.strings != 0 && a.batteries != 0) f.one = none;
    if (a.strings == 0 || a.inputs != 0) {
        f.battery = (a.batteries != 0 && b.sinks + b.batteries != 0) || (b.batteries != 0 && a.sinks + a.batteries != 0) ||
                    (a.strings == 0 && b.strings == 0 && a.batteries + b.batteries != 0);
        if (f.battery) {
            const bool source_a = a.batteries != 0 && (b.batteries == 0 || a.sinks == 0);
            const Load& source = source_a ? a : b;
            f.plus = source.battery_plus * 2 >= source.batteries;
            if (!source_a) f.near = network_->other(edge, f.near);
            if (a.inputs != 0) f.isc = f.strings = 0;
        }
    }
    return f;
}

std::vector<std::uint32_t> Feeds::strings(std::uint32_t edge, std::size_t at_most) const {
    std::vector<std::uint32_t> found;
    const Feed& f = of(edge);
    if (f.one != none) return {f.one};
    if (f.strings == 0) return found;
    const std::uint32_t trunk = pieces_.parts[edge].trunk;
    const std::uint32_t near = pieces_.towards(*network_, edge, f.near);
    const Sides::Run run = f.mesh ? sides_.whole_run(near) : sides_.run(trunk, near);
    ends_.take(run, sides_.whole_run(near), at_most, found);
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
    return found;
}

}  // namespace ferrule::facts
