#include "facts/switches.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "base/limits.hpp"
#include "facts/shortest_way.hpp"
#include "facts/switch_graph.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::Design;
using graph::TerminalId;
using graph::ThingId;

// One conductor of one circuit through a handle, from its source to its load.
struct Path {
    std::uint32_t cluster = 0;
    std::uint32_t from = 0, to = 0;   // nets within the cluster
    bool plus = false, battery = false;
    bool bypassed = false;            // joined with the handle off: no contact is on the way
    std::uint32_t bypass = none;
    bool matched = false;
    Load source;
    Load load;
    Way way;
};

class SwitchFinder {
public:
    SwitchFinder(const Design& d, const Network& n, const Circuits& c, const std::vector<Load>& loads)
        : d_(d), n_(n), c_(c), graph_(d, n, loads) {}

    Switches find() {
        state_of_.assign(d_.things.size(), none);
        pole_of_.assign(n_.edges.size(), none);
        source_end_.assign(n_.terminals, 0);
        load_end_.assign(n_.terminals, 0);
        for (const PowerSource& x : n_.sources) {
            for (const std::uint32_t t : {x.plus, x.minus}) {
                if (t != none) source_end_[t] = 1;
            }
        }
        for (const Port& x : n_.ports) {
            for (const std::uint32_t t : {x.plus, x.minus}) {
                if (t != none) load_end_[t] = 1;
            }
        }
        for (std::uint32_t e = 0; e < n_.edges.size(); ++e) {
            const Edge& edge = n_.edges[e];
            if (edge.kind != Edge::Kind::contact) continue;
            pole_of_[e] = static_cast<std::uint32_t>(out_.poles.size());
            PoleState pole;
            pole.edge = e;
            pole.device = edge.thing;
            out_.poles.push_back(pole);
            if (state_of_[edge.thing] == none) {
                state_of_[edge.thing] = static_cast<std::uint32_t>(out_.switches.size());
                out_.switches.push_back({});
                out_.switches.back().device = edge.thing;
            }
        }
        mark_protective();
        const auto& clusters = graph_.clusters();
        for (std::uint32_t c = 0; c < clusters.size();) {
            std::uint32_t end = c;
            while (end < clusters.size() && clusters[end].handle == clusters[c].handle) ++end;
            handle(c, end);
            c = end;
        }
        finish();
        return std::move(out_);
    }

private:
    [[nodiscard]] const Cluster& cluster(std::uint32_t c) const { return graph_.clusters()[c]; }

    void handle(std::uint32_t begin, std::uint32_t end) {
        std::vector<Path> paths;
        std::uint32_t arrives = none;
        std::uint32_t unfed = none;
        for (std::uint32_t c = begin; c < end; ++c) {
            const Cluster& k = cluster(c);
            std::vector<Load> sides(k.nets.size());
            for (std::uint32_t i = 0; i < k.nets.size(); ++i) sides[i] = graph_.side(c, i);
            const std::size_t before = paths.size();
            find_paths(c, sides, paths);
            mark_poles(c, sides, paths, before);
            if (paths.size() != before) continue;
            bool source = false, load = false;
            for (const Load& s : sides) {
                source = source || s.strings + s.batteries != 0;
                load = load || s.inputs + s.sinks != 0;
            }
            for (const Contact& x : k.contacts) {
                if (!source || load || arrives != none) break;
                if (sides[x.a].strings + sides[x.a].batteries != 0) arrives = n_.edges[x.edge].a;
                else if (sides[x.b].strings + sides[x.b].batteries != 0) arrives = n_.edges[x.edge].b;
            }
            if (load && !source && unfed == none) unfed = landing_in(c, sides);
        }
        pair(paths);
        if (arrives != none && unfed != none) {
            for (std::uint32_t c = begin; c < end; ++c) {
                for (const Contact& k : cluster(c).contacts) {
                    SwitchState& s = state(n_.edges[k.edge].thing);
                    s.no_path = true;
                    s.unfed = unfed;
                    s.arrives = arrives;
                }
            }
        }
    }

    SwitchState& state(std::uint32_t device) { return out_.switches[state_of_[device]]; }

    // A conductor that leaves towards the load from a cluster that nothing feeds.
    [[nodiscard]] std::uint32_t landing_in(std::uint32_t c, const std::vector<Load>& sides) const {
        for (const Contact& k : cluster(c).contacts) {
            for (const auto& [net, t] : {std::pair{k.a, n_.edges[k.edge].a}, std::pair{k.b, n_.edges[k.edge].b}}) {
                if (sides[net].inputs + sides[net].sinks == 0) continue;
                const std::uint32_t found = landing(t, false);
                if (found != none) return found;
            }
        }
        return none;
    }

    // A conductor (or jumper) at a terminal.
    [[nodiscard]] std::uint32_t landing(std::uint32_t t, bool jumper) const {
        for (std::uint32_t k = n_.first[t]; k < n_.first[t + 1]; ++k) {
            const std::uint32_t c = n_.edges[n_.at[k]].conductor;
            if (c != none && (d_.conductors[ConductorId(c)].role == graph::ConductorRole::jumper) == jumper) return c;
        }
        return none;
    }

    // A conductor on this terminal, or on another terminal of the switch that links join to it.
    [[nodiscard]] std::uint32_t landing_on(std::uint32_t c, std::uint32_t net, std::uint32_t terminal) const {
        std::uint32_t found = landing(terminal, false);
        for (const Contact& k : cluster(c).contacts) {
            for (const auto& [on, t] : {std::pair{k.a, n_.edges[k.edge].a}, std::pair{k.b, n_.edges[k.edge].b}}) {
                if (found == none && on == net) found = landing(t, false);
            }
        }
        return found;
    }

    void find_paths(std::uint32_t c, const std::vector<Load>& sides, std::vector<Path>& paths) {
        const auto nets = static_cast<std::uint32_t>(sides.size());
        const std::size_t before = paths.size();
        auto add = [&](std::uint32_t from, std::uint32_t to, bool battery) {
            Path p;
            p.cluster = c;
            p.from = from;
            p.to = to;
            p.battery = battery;
            p.source = sides[from];
            p.load = sides[to];
            p.plus = battery ? p.source.battery_plus * 2 >= p.source.batteries : p.source.plus * 2 >= p.source.strings;
            p.way = way_through(cluster(c), from, to);
            if (p.way.contacts == 0) return;
            if (graph_.joined_outside(c, from, to)) {
                p.bypassed = true;
                p.bypass = outside_conductor(c, from, to);
            }
            paths.push_back(std::move(p));
        };
        auto nearest = [&](std::uint32_t from, auto is_load) {
            std::uint32_t best = none, contacts = none;
            for (std::uint32_t j = 0; j < nets; ++j) {
                if (j == from || !is_load(sides[j])) continue;
                const Way w = way_through(cluster(c), from, j);
                if (w.contacts != 0 && w.contacts < contacts) {
                    contacts = w.contacts;
                    best = j;
                }
            }
            return best;
        };
        // + goes to the load's + and - to its -; only when none does are conductors crossed, and then any load's terminal counts.
        for (const bool matching : {true, false}) {
            for (std::uint32_t i = 0; i < nets; ++i) {
                const Load& s = sides[i];
                if (s.strings == 0 || s.batteries + s.sinks != 0) continue;
                const bool plus = s.plus * 2 >= s.strings;
                if ((matching ? (plus ? s.input_plus : s.inputs - s.input_plus) : s.inputs) != 0) continue;  // no contact between
                const std::uint32_t to = nearest(i, [&](const Load& l) {
                    return matching ? (plus ? l.input_plus : l.inputs - l.input_plus) != 0 : l.inputs != 0;
                });
                if (to != none) add(i, to, false);
            }
            if (paths.size() != before) return;
        }
        bypassed(c, sides, paths);
        if (paths.size() != before) return;
        // Inputs side by side on one array, each behind a switch of its own: the array's side holds the other inputs.
        for (std::uint32_t i = 0; i < nets; ++i) {
            const Load& s = sides[i];
            if (s.strings == 0 || s.inputs == 0 || s.batteries + s.sinks != 0) continue;
            const bool plus = s.plus * 2 >= s.strings;
            const std::uint32_t to = nearest(i, [&](const Load& l) { return l.strings == 0 && (plus ? l.input_plus : l.inputs - l.input_plus) != 0; });
            if (to != none) add(i, to, false);
        }
        if (paths.size() != before) return;
        for (std::uint32_t i = 0; i < nets; ++i) {
            const Load& s = sides[i];
            if (s.batteries == 0 || s.inputs + s.sinks != 0) continue;
            const std::uint32_t to = nearest(i, [](const Load& l) { return l.sinks != 0; });
            if (to != none) add(i, to, true);
        }
    }

    // A net of the switch that holds both the source and the load: no contact is between them.
    void bypassed(std::uint32_t c, const std::vector<Load>& sides, std::vector<Path>& paths) {
        const Cluster& k = cluster(c);
        for (std::uint32_t i = 0; i < sides.size(); ++i) {
            const Load& s = sides[i];
            const bool battery = s.strings + s.inputs == 0 && s.batteries != 0 && s.sinks != 0;
            if (!battery && (s.strings == 0 || s.inputs == 0)) continue;
            for (std::uint32_t j = 0; j < sides.size(); ++j) {
                if (j != i && !graph_.joined_outside(c, i, j) && !sides[j].empty()) return;  // a branch of its own
            }
            std::uint32_t landed = 0, jumper = none, last = none;
            std::vector<std::uint32_t> seen;
            for (const Contact& contact : k.contacts) {
                for (const auto& [net, t] : {std::pair{contact.a, n_.edges[contact.edge].a}, std::pair{contact.b, n_.edges[contact.edge].b}}) {
                    if (net != i || std::find(seen.begin(), seen.end(), t) != seen.end()) continue;
                    seen.push_back(t);
                    landed += n_.landings[t];
                    if (jumper == none) jumper = landing(t, true);
                    if (n_.landings[t] != 0) last = landing(t, false);
                }
            }
            if (landed < 2 || (battery && jumper == none)) continue;
            Path p;
            p.battery = battery;
            p.cluster = c;
            p.from = p.to = i;
            p.source = p.load = s;
            p.plus = battery ? s.battery_plus * 2 >= s.batteries : s.plus * 2 >= s.strings;
            p.bypassed = true;
            p.bypass = jumper != none ? jumper : last;
            p.way.used.assign(k.contacts.size(), 0);
            paths.push_back(std::move(p));
            return;
        }
    }

    // For a way round the switch: a conductor on it that is not the switch's own.
    [[nodiscard]] std::uint32_t outside_conductor(std::uint32_t c, std::uint32_t from, std::uint32_t to) const {
        const Cluster& k = cluster(c);
        auto terminal_of = [&](std::uint32_t net) {
            for (const Contact& contact : k.contacts) {
                if (contact.a == net) return n_.edges[contact.edge].a;
                if (contact.b == net) return n_.edges[contact.edge].b;
            }
            return none;
        };
        const std::uint32_t a = terminal_of(from), b = terminal_of(to);
        if (a == none || b == none) return none;
        for (const std::uint32_t e : shortest_way(n_, a, b, [&](const Edge& x) {
                 return x.closed && !(x.kind == Edge::Kind::contact && handle_of(d_, x.thing) == k.handle);
             })) {
            if (n_.edges[e].conductor != none) return n_.edges[e].conductor;
        }
        return none;
    }

    void mark_poles(std::uint32_t c, const std::vector<Load>& sides, const std::vector<Path>& paths, std::size_t first) {
        const Cluster& k = cluster(c);
        for (std::size_t p = first; p < paths.size(); ++p) {
            const Path& path = paths[p];
            for (std::size_t i = 0; i < k.contacts.size(); ++i) {
                if (path.way.used[i] == 0) continue;
                PoleState& pole = out_.poles[pole_of_[k.contacts[i].edge]];
                pole.in_circuit = true;
                if (!path.battery) check_direction(path, k.contacts[i], pole);
            }
        }
        const bool has_way = paths.size() != first;
        for (const Contact& contact : k.contacts) {
            PoleState& pole = out_.poles[pole_of_[contact.edge]];
            const Edge& edge = n_.edges[contact.edge];
            pole.jumper = landing(edge.a, true) != none ? landing(edge.a, true) : landing(edge.b, true);
            if (!pole.protective) pole.landing = landing(edge.a, false) != none ? landing(edge.a, false) : landing(edge.b, false);
            if (contact.a == contact.b) {
                pole.bridged = true;
                pole.bridge = bridge(edge);
                continue;
            }
            if (pole.in_circuit || pole.protective) continue;
            // One side is on the circuit, by its own sources or through the poles that are in it; the other has nothing on it.
            const bool on_a = on_circuit(c, contact.a, sides), on_b = on_circuit(c, contact.b, sides);
            if (on_a == on_b) continue;
            const std::uint32_t live = on_a ? edge.a : edge.b;
            const std::uint32_t dead = on_a ? edge.b : edge.a;
            if (n_.landings[dead] != 0) continue;
            if (n_.links[live] != 0 && has_way) {
                pole.dead_branch = true;
                pole.jumper = landing(live, true);
                pole.circuit_landing = landing_on(c, on_a ? contact.a : contact.b, live);
            } else if (n_.landings[live] != 0 && n_.links[dead] == 0) {
                pole.live_tail = true;
                pole.landing = landing(live, false);
            }
        }
    }

    [[nodiscard]] bool on_circuit(std::uint32_t c, std::uint32_t net, const std::vector<Load>& sides) const {
        if (sides[net].strings + sides[net].batteries != 0) return true;
        for (const Contact& k : cluster(c).contacts) {
            if ((k.a == net || k.b == net) && out_.poles[pole_of_[k.edge]].in_circuit) return true;
        }
        return false;
    }

    // Conventional current flows from the array's + through the switch to the load, and back to the array's -.
    void check_direction(const Path& path, const Contact& contact, PoleState& pole) const {
        const Edge& edge = n_.edges[contact.edge];
        const graph::Part& part = d_.part_of(ThingId(edge.thing));
        const int wanted = part.poles[edge.pole].current_in;
        if (wanted == 0 || path.way.distance.empty()) return;
        const std::uint32_t a = path.way.distance[contact.a], b = path.way.distance[contact.b];
        if (a == b) return;
        const bool enters_a = (a < b) == path.plus;
        if (enters_a != (wanted > 0)) pole.backwards = true;
    }

    // What joins the two terminals of a pole: a link; or else the conductor without which the source is on one side of the open
    // switch and the load on the other.
    [[nodiscard]] std::uint32_t bridge(const Edge& edge) const {
        std::vector<std::uint32_t> conductors;
        for (const std::uint32_t e : shortest_way(n_, edge.a, edge.b, [](const Edge& x) { return x.kind != Edge::Kind::contact; })) {
            const std::uint32_t c = n_.edges[e].conductor;
            if (c == none) continue;
            if (d_.conductors[ConductorId(c)].role == graph::ConductorRole::jumper) return c;
            conductors.push_back(c);
        }
        for (const std::uint32_t c : conductors) {
            const auto reaches = [&](std::uint32_t from, bool source) {
                return !shortest_way_to(n_, from, [&](std::uint32_t t) { return (source ? source_end_ : load_end_)[t] != 0; }, [&](const Edge& x) {
                    return x.closed && x.conductor != c && !(x.kind == Edge::Kind::contact && handle_of(d_, x.thing) == handle_of(d_, edge.thing));
                }).empty();
            };
            if ((reaches(edge.a, true) && reaches(edge.b, false)) || (reaches(edge.b, true) && reaches(edge.a, false))) return c;
        }
        return conductors.empty() ? none : conductors.back();
    }

    void pair(std::vector<Path>& paths) {
        for (Path& a : paths) {
            if (!a.plus || a.matched) continue;
            for (Path& b : paths) {
                if (b.plus || b.matched || a.battery != b.battery || a.source.set != b.source.set) continue;
                a.matched = b.matched = true;
                add_circuit(&a, &b);
                break;
            }
        }
        // Strings in series on one input: the first string's + and the last one's - are one circuit.
        for (Path& a : paths) {
            if (!a.plus || a.matched || a.battery || a.load.inputs != 1) continue;
            for (Path& b : paths) {
                if (b.plus || b.matched || b.battery || b.load.inputs != 1 || a.load.one_input != b.load.one_input) continue;
                a.matched = b.matched = true;
                add_circuit(&a, &b);
                std::vector<std::uint32_t>& all = out_.circuits.back().sources;
                for (const Path* p : {&a, &b}) {
                    const auto more = list_sources(*p);
                    all.insert(all.end(), more.begin(), more.end());
                }
                std::sort(all.begin(), all.end());
                all.erase(std::unique(all.begin(), all.end()), all.end());
                break;
            }
        }
        // Strings joined in one conductor and single in the other: the sets must add up.
        for (Path& a : paths) {
            if (a.matched) continue;
            std::uint64_t sum = 0;
            std::uint32_t least = none;
            std::vector<Path*> several;
            for (Path& b : paths) {
                if (b.matched || b.plus == a.plus || b.battery != a.battery || b.source.strings >= a.source.strings) continue;
                sum += b.source.set;
                several.push_back(&b);
                if (least == none || b.way.contacts < least) least = b.way.contacts;
            }
            if (several.empty() || sum != a.source.set) continue;
            a.matched = true;
            for (Path* b : several) {
                b->matched = true;
                if (a.plus) add_circuit(&a, b);
                else add_circuit(b, &a);
            }
        }
        // What is left is mispaired if the handle opens one end of a string and not the other. Of strings in series with a conductor
        // between them (a centre tap), each has its two ends in two of the ways.
        bool plus_left = false, minus_left = false;
        for (const Path& p : paths) {
            if (!p.matched && !p.battery) (p.plus ? plus_left : minus_left) = true;
        }
        std::map<std::uint32_t, std::uint32_t> ends;  // per source
        for (const Path& p : paths) {
            if (p.matched || p.battery || !plus_left || !minus_left) continue;
            for (const std::uint32_t i : list_sources(p)) ++ends[i];
        }
        const bool one_end = std::any_of(ends.begin(), ends.end(), [](const auto& of) { return of.second == 1; });
        for (Path& p : paths) {
            if (p.matched) continue;
            add_circuit(p.plus ? &p : nullptr, p.plus ? nullptr : &p);
            if (p.battery || !plus_left || !minus_left) continue;
            BrokenCircuit& made = out_.circuits.back();
            made.joined_plus = made.joined_minus = false;
            state(made.device).mispaired = one_end;
        }
    }

    // The sources behind a way, as many as may still be listed.
    [[nodiscard]] std::vector<std::uint32_t> list_sources(const Path& p) {
        std::vector<std::uint32_t> found = graph_.sources(p.cluster, p.from, listed_ < base::limits::switch_sources ? none : base::limits::switch_sources_each);
        listed_ += found.size();
        return found;
    }

    // A contact on the way, or any of the switch if there is none.
    [[nodiscard]] std::uint32_t contact_on(const Path& p) const {
        const Cluster& k = cluster(p.cluster);
        for (std::size_t i = 0; i < k.contacts.size(); ++i) {
            if (p.way.used[i] != 0) return k.contacts[i].edge;
        }
        return k.contacts.front().edge;
    }

    void add_circuit(const Path* plus, const Path* minus) {
        const Path& lead = plus != nullptr && (!plus->bypassed || minus == nullptr) ? *plus : minus != nullptr ? *minus : *plus;
        const Path& said = minus == nullptr || (plus != nullptr && plus->source.strings <= minus->source.strings) ? *plus : *minus;
        BrokenCircuit b;
        b.device = n_.edges[contact_on(lead)].thing;
        b.handle = cluster(lead.cluster).handle;
        b.battery = lead.battery;
        b.sources = list_sources(said);
        b.isc = said.source.dark != 0 ? graph::unknown : said.source.isc;
        b.strings = said.source.strings;
        if (lead.load.inputs == 1) b.input = lead.load.one_input;
        b.more_beyond = plus != nullptr && plus->load.strings + plus->load.batteries != 0;
        std::uint32_t fewest = none;
        auto take = [&](const Path* p, std::uint32_t& poles, std::uint32_t& net, bool& joined) {
            if (p == nullptr) {
                joined = true;
                return;
            }
            poles = p->bypassed && p->from == p->to ? 0 : p->way.contacts;
            net = n_.on[n_.edges[cluster(p->cluster).contacts[0].edge].a];
            joined = p->bypassed;
            if (p->bypassed) b.bypass = p->bypass;
            if (poles == 0) return;
            fewest = std::min(fewest, p->way.side_by_side);
            if (p->way.side_by_side <= b.paralleled) return;
            b.paralleled = p->way.side_by_side;
            b.beside = contact_on(*p);
        };
        take(plus, b.poles_plus, b.net_plus, b.joined_plus);
        take(minus, b.poles_minus, b.net_minus, b.joined_minus);
        if (fewest != none) b.paralleled_least = std::max(fewest, 1U);
        b.pole_a = contact_on(lead);
        state(b.device).circuits += 1;
        out_.circuits.push_back(std::move(b));
    }

    void mark_protective() {
        std::vector<std::uint32_t> by(n_.terminals, none);
        for (const ConductorId id : d_.conductors.ids()) {
            const graph::Conductor& c = d_.conductors[id];
            if (!Network::protective(d_, c)) continue;
            for (const TerminalId t : {c.a, c.b}) by[t.value] = id.value;
        }
        for (PoleState& p : out_.poles) {
            const Edge& e = n_.edges[p.edge];
            const std::uint32_t c = by[e.a] != none ? by[e.a] : by[e.b];
            if (c == none) continue;
            p.protective = true;
            p.landing = c;
        }
    }

    void finish() {
        for (SwitchState& s : out_.switches) {
            const graph::Thing& t = d_.things[ThingId(s.device)];
            for (std::uint32_t i = 0; i < d_.part_of(ThingId(s.device)).terminals.size(); ++i) {
                const std::uint32_t net = n_.on[t.first_terminal.value + i];
                const bool array = c_.plus_ends[net] + c_.minus_ends[net] != 0;
                s.in_array = s.in_array || array;
                s.in_dc = s.in_dc || array || c_.battery_plus_ends[net] + c_.battery_minus_ends[net] != 0;
            }
        }
        for (PoleState& p : out_.poles) {
            if (p.live_tail && state(p.device).no_path) p.live_tail = false;  // the missing way is the cause
        }
    }

    const Design& d_;
    const Network& n_;
    const Circuits& c_;
    SwitchGraph graph_;
    Switches out_;
    std::vector<std::uint32_t> state_of_, pole_of_;
    std::vector<std::uint8_t> source_end_, load_end_;  // per terminal: of a source; of a converter or load
    std::size_t listed_ = 0;  // sources of all circuits so far
};

}  // namespace

std::vector<Load> terminal_loads(const Network& n, const std::vector<StringData>& strings, Ends ends) {
    std::vector<Load> loads(n.terminals);
    for (std::uint32_t i = 0; i < n.sources.size(); ++i) {
        const PowerSource& s = n.sources[i];
        for (const std::uint32_t t : {s.plus, s.minus}) {
            if (t == none) continue;
            // Both ends of a shorted source are one net: what it drives counts there once.
            if (ends == Ends::shorted_once && t == s.minus && s.plus != none && n.on[s.plus] == n.on[s.minus]) continue;
            Load& l = loads[t];
            l.one ^= i;
            l.set += scatter(i);
            if (s.battery) {
                ++l.batteries;
                l.battery_plus += t == s.plus ? 1 : 0;
            } else {
                ++l.strings;
                l.plus += t == s.plus ? 1 : 0;
                if (std::isnan(strings[i].isc)) ++l.dark;
                else l.isc += strings[i].isc;
            }
        }
    }
    for (std::uint32_t k = 0; k < n.ports.size(); ++k) {
        for (const std::uint32_t t : {n.ports[k].plus, n.ports[k].minus}) {
            if (t == none) continue;
            if (n.ports[k].role == Port::Role::array) {
                ++loads[t].inputs;
                loads[t].input_plus += t == n.ports[k].plus ? 1 : 0;
                loads[t].one_input ^= k;
            } else {
                ++loads[t].sinks;
            }
        }
    }
    return loads;
}

Switches find_switches(const Design& d, const Network& n, const Circuits& c, const std::vector<StringData>& strings) {
    return SwitchFinder(d, n, c, terminal_loads(n, strings, Ends::both)).find();
}

}  // namespace ferrule::facts
