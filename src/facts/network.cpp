#include "facts/network.hpp"

#include <string_view>

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::Thing;
using graph::ThingClass;
using graph::ThingId;

// Of a change-over switch, the position called `on`, or else the first in which anything is closed, stands for "on".
bool closed_when_on(const graph::Part& part, const graph::PoleTemplate& pole, graph::Symbol on_word) {
    if (!pole.closed_in || pole.closed_in == on_word) return true;
    for (const graph::PoleTemplate& p : part.poles) {
        if (p.closed_in && p.closed_in == on_word) return false;
    }
    for (const graph::PoleTemplate& p : part.poles) {
        if (p.closed_in) return p.closed_in == pole.closed_in;
    }
    return true;
}

class Builder {
public:
    Builder(const Design& d, const std::vector<PartData>& parts) : d_(d), parts_(parts), on_word_(d.names.find("on")) {}

    Network build() {
        n_.terminals = static_cast<std::uint32_t>(d_.terminals.size());
        n_.landings.assign(n_.terminals, 0);
        n_.links.assign(n_.terminals, 0);
        n_.edges.reserve(d_.conductors.size() + d_.things.size() / 2);
        for (const ThingId id : d_.things.ids()) {
            if (d_.things[id].cls == ThingClass::string && !is_battery(d_.things[id])) add_source(id, false);
        }
        n_.strings = static_cast<std::uint32_t>(n_.sources.size());
        for (const ThingId id : d_.things.ids()) inside(id);
        for (const graph::ConductorId id : d_.conductors.ids()) between(id);
        adjacency();
        n_.wires = nets([](const Edge& e) { return e.kind == Edge::Kind::wire; });
        n_.off = nets([](const Edge& e) { return e.kind != Edge::Kind::contact; });
        n_.idle = nets([](const Edge& e) { return e.kind != Edge::Kind::contact || (!e.load_break && e.closed); });
        n_.on = nets([](const Edge& e) { return e.closed; });
        return std::move(n_);
    }

private:
    [[nodiscard]] bool is_battery(const Thing& t) const {
        return t.groups != 0 && parts_[d_.groups[t.first_group].part.value].kind != "module";
    }

    [[nodiscard]] std::uint32_t signed_terminal(ThingId id, int sign) const {
        const Thing& t = d_.things[id];
        const auto& terminals = d_.parts[t.part].terminals;
        for (std::size_t i = 0; i < terminals.size(); ++i) {
            if (terminals[i].sign == sign && !terminals[i].protective) {
                return t.first_terminal.value + static_cast<std::uint32_t>(i);
            }
        }
        return none;
    }

    void add_source(ThingId id, bool battery) {
        PowerSource s;
        s.thing = id;
        s.battery = battery;
        s.plus = signed_terminal(id, 1);
        s.minus = signed_terminal(id, -1);
        n_.sources.push_back(s);
    }

    void wire(ThingId id, std::uint32_t a, std::uint32_t b) {
        Edge e;
        e.a = a;
        e.b = b;
        e.thing = id.value;
        n_.edges.push_back(e);
    }

    void inside(ThingId id) {
        const Thing& t = d_.things[id];
        if (t.cls == ThingClass::string && is_battery(t)) add_source(id, true);
        if (t.cls != ThingClass::device) return;
        const graph::Part& part = d_.parts[t.part];
        const PartData& data = parts_[t.part.value];
        const std::uint32_t base = t.first_terminal.value;
        if (data.conducts == Conducts::source) add_source(id, true);
        if (data.one_metal || data.conducts == Conducts::wire) {
            std::uint32_t first = none;
            for (std::uint32_t i = 0; i < part.terminals.size(); ++i) {
                if (!data.one_metal && part.terminals[i].protective) continue;
                if (first == none) first = base + i;
                else wire(id, first, base + i);
            }
        }
        for (const auto& join : part.joins) wire(id, base + join[0], base + join[1]);
        for (std::size_t k = 0; k < part.poles.size(); ++k) {
            const graph::PoleTemplate& pole = part.poles[k];
            if (pole.aux) continue;
            Edge e;
            e.a = base + pole.a;
            e.b = base + pole.b;
            e.thing = id.value;
            e.pole = static_cast<std::uint16_t>(k);
            if (data.conducts == Conducts::guard) {
                e.kind = Edge::Kind::guard;
            } else {
                e.kind = Edge::Kind::contact;
                e.load_break = data.breaks_load;
                e.closed = closed_when_on(part, pole, on_word_);
            }
            n_.edges.push_back(e);
        }
        ports(id, part, data);
    }

    void ports(ThingId id, const graph::Part& part, const PartData& data) {
        const std::uint32_t base = d_.things[id].first_terminal.value;
        for (std::size_t k = 0; k < part.ports.size(); ++k) {
            const graph::PortTemplate& p = part.ports[k];
            const std::string_view role = d_.word(p.role);
            Port port;
            if (role == "array") port.role = Port::Role::array;
            else if (role == "battery") port.role = Port::Role::battery;
            else if (role == "load") port.role = Port::Role::load;
            else continue;
            port.device = id;
            port.port = static_cast<std::uint16_t>(k);
            if (p.plus != 0xffff) port.plus = base + p.plus;
            if (p.minus != 0xffff) port.minus = base + p.minus;
            n_.ports.push_back(port);
        }
        if (data.kind == "load") {
            Port port;
            port.device = id;
            port.plus = signed_terminal(id, 1);
            port.minus = signed_terminal(id, -1);
            n_.ports.push_back(port);
        }
    }

    void between(graph::ConductorId id) {
        const graph::Conductor& c = d_.conductors[id];
        if (Network::protective(d_, c)) return;
        Edge e;
        e.a = c.a.value;
        e.b = c.b.value;
        e.conductor = id.value;
        std::vector<std::uint8_t>& count = c.role == graph::ConductorRole::jumper ? n_.links : n_.landings;
        for (const std::uint32_t t : {e.a, e.b}) {
            if (count[t] != 255) ++count[t];
        }
        n_.edges.push_back(e);
    }

    void adjacency() {
        n_.first.assign(n_.terminals + 2, 0);
        for (const Edge& e : n_.edges) {
            ++n_.first[e.a + 2];
            ++n_.first[e.b + 2];
        }
        for (std::size_t i = 2; i < n_.first.size(); ++i) n_.first[i] += n_.first[i - 1];
        n_.at.resize(n_.edges.size() * 2);
        for (std::uint32_t e = 0; e < n_.edges.size(); ++e) {
            n_.at[n_.first[n_.edges[e].a + 1]++] = e;
            n_.at[n_.first[n_.edges[e].b + 1]++] = e;
        }
        n_.first.pop_back();
    }

    template <class Use>
    [[nodiscard]] Nets nets(Use use) const {
        UnionFind sets(n_.terminals);
        for (const Edge& e : n_.edges) {
            if (use(e)) sets.join(e.a, e.b);
        }
        return sets.nets();
    }

    const Design& d_;
    const std::vector<PartData>& parts_;
    graph::Symbol on_word_;
    Network n_;
};

}  // namespace

UnionFind::UnionFind(std::uint32_t n) : parent_(n) {
    for (std::uint32_t i = 0; i < n; ++i) parent_[i] = i;
}

std::uint32_t UnionFind::find(std::uint32_t x) {
    while (parent_[x] != x) {
        parent_[x] = parent_[parent_[x]];
        x = parent_[x];
    }
    return x;
}

bool UnionFind::join(std::uint32_t a, std::uint32_t b) {
    a = find(a);
    b = find(b);
    if (a == b) return false;
    if (a > b) std::swap(a, b);  // the lower number leads: what comes out does not depend on the order of joining
    parent_[b] = a;
    return true;
}

Nets UnionFind::nets() {
    Nets nets;
    nets.of.resize(parent_.size());
    for (std::uint32_t i = 0; i < parent_.size(); ++i) {
        const std::uint32_t root = find(i);
        nets.of[i] = root == i ? nets.count++ : nets.of[root];
    }
    return nets;
}

std::uint32_t handle_of(const Design& d, std::uint32_t device) {
    const std::uint32_t gang = d.things[ThingId(device)].handle;
    return gang == 0 ? device : static_cast<std::uint32_t>(d.things.size()) + gang;
}

std::uint32_t Network::landing(std::uint32_t terminal) const {
    if (terminal == none) return none;
    for (std::uint32_t k = first[terminal]; k < first[terminal + 1]; ++k) {
        if (edges[at[k]].conductor != none) return edges[at[k]].conductor;
    }
    return none;
}

bool Network::protective(const graph::Design& d, const graph::Conductor& c) {
    if (c.role == graph::ConductorRole::bond || c.role == graph::ConductorRole::earth) return true;
    return c.role == graph::ConductorRole::power && (d.terminal(c.a).protective || d.terminal(c.b).protective);
}

Network build_network(const graph::Design& design, const std::vector<PartData>& parts) {
    return Builder(design, parts).build();
}

}  // namespace ferrule::facts
