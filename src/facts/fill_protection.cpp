// What may be driven through conductors, and what caps it.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <unordered_set>

#include "facts/ports.hpp"
#include "facts/protection.hpp"

namespace ferrule::facts {

namespace {

bool more(const Push& x, const Push& y) {
    if (x.unlimited != y.unlimited) return x.unlimited > y.unlimited;
    if (x.dark != y.dark) return x.dark > y.dark;
    return x.amperes > y.amperes;
}

const Push& larger(const Driven::Both& b) { return more(b.from_b, b.from_a) ? b.from_b : b.from_a; }

std::vector<std::string> driven_text(const Analysis& a, const Protection& p, std::uint32_t edge) {
    if (edge == none) return {};
    const Push push = larger(p.driven->of(edge));
    if (push.unlimited != 0 || push.dark != 0 || push.amperes == 0) return {};
    if (push.guards == 1) {
        const std::uint32_t row = push.guard == none ? none : p.fuse_row[push.guard];
        if (row == none) return {fmt::format("fuses side by side, or one inside a battery, let {} pass without end", a.show(push.guarded, "A"))};
        const double rating = a.fuse_rating(a.fuses[row]);
        std::vector<std::string> steps{fmt::format("{} lets {} pass without end", a.d.name(graph::ThingId(a.fuses[row].device)), a.show(rating, "A"))};
        if (push.amperes > rating * (1 + 1e-9)) steps.push_back(fmt::format("with what else drives it: {}", a.show(push.amperes, "A")));
        return steps;
    }
    if (push.guards > 1) return {fmt::format("{} overcurrent devices let {} pass together", push.guards, a.show(push.amperes, "A"))};
    return {fmt::format("the sources on one side drive {} at most", a.show(push.amperes, "A"))};
}

}  // namespace

namespace {

// Nets on which a battery meets earth with no guard between.
std::unordered_set<std::uint32_t> tied_nets(const Analysis& a, const GuardRatings& guards) {
    std::unordered_set<std::uint32_t> tied, seen;
    if (a.earthing.links.empty()) return tied;
    std::vector<std::uint8_t> battery(a.net.terminals, 0);
    for (const std::uint32_t i : a.battery_sources) {
        for (const std::uint32_t t : {a.net.sources[i].plus, a.net.sources[i].minus}) {
            if (t != none) battery[t] = 1;
        }
    }
    std::vector<std::uint32_t> front;
    for (const EarthLink& l : a.earthing.links) {
        front.assign(1, l.terminal);
        for (std::size_t i = 0; i < front.size(); ++i) {
            const std::uint32_t t = front[i];
            if (i == 0 && !seen.insert(t).second) break;  // another link has been here
            if (battery[t] != 0) tied.insert(a.feeds.sides().net(a.feeds.pieces().of[t]));
            for (std::uint32_t k = a.net.first[t]; k < a.net.first[t + 1]; ++k) {
                const std::uint32_t e = a.net.at[k], u = a.net.other(e, t);
                if (a.net.edges[e].closed && guards[e] == endless && seen.insert(u).second) front.push_back(u);
            }
        }
    }
    return tied;
}

}  // namespace

Protection::Protection(const Analysis& a) {
    const Network& n = a.net;
    fuse_row.assign(n.edges.size(), none);
    guards.assign(n.edges.size(), endless);
    for (std::uint32_t r = 0; r < a.fuses.size(); ++r) {
        fuse_row[a.fuses[r].edge] = r;
        guards[a.fuses[r].edge] = a.fuse_rating(a.fuses[r]);
    }
    std::vector<double> sources(n.sources.size(), endless), ports(n.ports.size());
    for (std::uint32_t i = 0; i < n.strings; ++i) sources[i] = a.strings[i].isc * a.climate.irradiance;
    for (std::uint32_t i = n.strings; i < n.sources.size(); ++i) {
        const graph::Thing& t = a.d.things[n.sources[i].thing];
        const double inside = a.d.number(a.d.parts[t.groups != 0 ? a.d.groups[t.first_group].part : t.part].rows, "built-in-fuse", "current");
        if (!std::isnan(inside)) sources[i] = inside;
    }
    backfeed.assign(n.ports.size(), 0);
    backfeed_assumed.assign(n.ports.size(), 0);
    for (std::uint32_t k = 0; k < n.ports.size(); ++k) {
        const Port& p = n.ports[k];
        ports[k] = a.demand.ports[k].gives;
        if (p.role != Port::Role::array) continue;
        const graph::Part& part = a.d.part_of(p.device);
        backfeed[k] = a.d.number(part.ports[p.port].rows, "backfeed", "current");
        // What joins array and battery without converting feeds back whatever the battery drives, unless the maker says it does not.
        if (std::isnan(backfeed[k]) && a.d.text(part.rows, "type", "type") != "pwm") {
            backfeed[k] = 0;
            backfeed_assumed[k] = 1;
        }
        ports[k] = backfeed[k];
    }
    driven = std::make_unique<const Driven>(n, a.feeds, sources, ports, guards, tied_nets(a, guards));
}

void fill_driven(Facts& facts, const Shared& a, const SharedProtection& p) {
    Filler fill(facts, "conductor");
    Table& t = fill.table();
    auto& fault = fill.numbers("fault-current");
    auto& let = fill.numbers("let-through");
    let.assign(t.rows, 0);
    auto& by = fill.subjects("protected-by");
    auto& unprotected = fill.flags("unprotected");
    auto& own = fill.flags("own-device");
    auto& in_line = fill.flags("device-in-line");
    auto& short_tap = fill.flags("short-tap");
    auto& backfeed = fill.numbers("backfeed");
    auto& supplies = fill.subjects("supplies");
    auto& supplied_bare = fill.flags("supplied-bare");
    auto& past_earth = fill.flags("fuse-earthed");
    // What inputs on a net feed back into it.
    std::vector<double> fed_back(a->net.on.count, 0);
    for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
        const Port& port = a->net.ports[k];
        if (port.role != Port::Role::array) continue;
        for (const std::uint32_t end : {port.plus, port.minus}) {
            if (end != none) fed_back[a->net.on[end]] += p->backfeed[k];
        }
    }
    const Pieces& pieces = a->feeds.pieces();
    const double tap_length = a->standard.number("tap-length"), tap_share = a->standard.number("tap-share");
    const auto& ampacity = fill.numbers("ampacity");
    for (std::uint32_t r = 0; r < t.rows; ++r) {
        const std::uint32_t e = a->edge_of[r];
        if (e == none || pieces.parts[e].trunk == none) continue;
        const GraphEdge& trunk = pieces.trunks[pieces.parts[e].trunk];
        if (a->feeds.sides().whole(trunk.a).empty()) continue;
        if (p->driven->own_guard(e) != none) in_line[r] = 1;
        const Driven::Both both = p->driven->of(e);
        const Push& push = larger(both);
        unprotected[r] = push.unlimited != 0 ? 1 : 0;
        if (push.unlimited == 0 && push.dark == 0) fault[r] = push.amperes;
        const graph::Conductor& c = a->d.conductors[graph::ConductorId(r)];
        backfeed[r] = fed_back[a->net.on[c.a.value]];
        const Push& guarded = both.from_a.guards == 0 || (both.from_b.guards != 0 && more(both.from_b, both.from_a)) ? both.from_b : both.from_a;
        // What leads to a surge protector or an instrument carries nothing in service, and is guarded as its maker says.
        if (a->feeds.sides().side(pieces.parts[e].trunk, trunk.a).empty() || a->feeds.sides().side(pieces.parts[e].trunk, trunk.b).empty()) continue;
        if (guarded.guards != 0 && guarded.unlimited == 0 && guarded.dark == 0) let[r] = guarded.guarded;
        // A short tap counts as guarded by the device at its end.
        const std::uint32_t tap = p->driven->own_guard(e);
        const bool could_be = let[r] > 0 && tap != none && p->guards[tap] < let[r] && !(ampacity[r] < tap_share * let[r]);
        if (could_be && std::isnan(c.length)) short_tap[r] = 2;
        if (could_be && c.length <= tap_length) {
            short_tap[r] = 1;
            let[r] = p->guards[tap];
            by[r] = p->fuse_row[tap];
            own[r] = 1;
        } else if (guarded.guards == 1 && guarded.guard != none && p->fuse_row[guarded.guard] != none) {
            by[r] = p->fuse_row[guarded.guard];
            own[r] = p->driven->same_current(e, guarded.guard) ? 1 : 0;
        }
        // Equipment at one end, and whether a battery drives it from the other with nothing in between.
        for (const bool at_a : {true, false}) {
            const std::uint32_t end = at_a ? c.a.value : c.b.value;
            if (a->feeds.own(pieces.of[end]).sinks == 0) continue;
            const std::uint32_t device = a->device_row[a->owner(end).value];
            const PartData& part = a->part(a->owner(end));
            if (part.conducts != Conducts::converter && part.kind != "load") continue;
            supplies[r] = device;
            const Push& towards = a->net.edges[e].a == end ? both.from_b : both.from_a;
            const bool starter = part.kind == "load" && a->d.text(a->d.part_of(a->owner(end)).rows, "starter", "answer") == "yes";
            supplied_bare[r] = towards.unlimited != 0 && !starter ? 1 : 0;
            past_earth[r] = supplied_bare[r] != 0 && p->driven->past_earth(e) ? 1 : 0;
        }
    }
    const auto edge = [a](std::uint32_t row) { return a->edge_of[row]; };
    for (const char* column : {"fault-current", "let-through"}) {
        fill.column(column).working = [a, p, edge](std::uint32_t row) { return driven_text(*a, *p, edge(row)); };
    }
    fill.column("short-tap").missing = [a, place = t.place](std::uint32_t row) {
        return Missing{fmt::format("the length of {}, which may be a short tap", a->d.name(graph::ConductorId(row))), place(row)};
    };
    fill.column("fault-current").missing = [a, p, place = t.place](std::uint32_t row) {
        const std::uint32_t e = a->edge_of[row];
        if (e == none) return Missing{"a current in a fault: it is part of the protective earthing", place(row)};
        const Push push = larger(p->driven->of(e));
        if (push.unlimited != 0) return Missing{"an end to it: a battery drives it with no fuse or breaker between", place(row)};
        const std::uint32_t net = a->net.on[a->net.edges[e].a];
        for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
            const Port& port = a->net.ports[k];
            const bool here = (port.plus != none && a->net.on[port.plus] == net) || (port.minus != none && a->net.on[port.minus] == net);
            if (!here) continue;
            const graph::Part& part = a->d.part_of(port.device);
            if (std::isnan(p->backfeed[k])) return Missing{fmt::format("`backfeed` of {}", a->d.word(part.name)), part.span};
            if (std::isnan(a->demand.ports[k].gives)) {
                const Lack l = gives_lack(a->d, port, a->demand.ports[k]);
                return Missing{l.what, l.where};
            }
        }
        for (const Analysis::FuseWay& w : a->fuses) {
            if (a->net.on[a->net.edges[w.edge].a] == net && std::isnan(a->fuse_rating(w))) {
                const graph::Thing& thing = a->d.things[graph::ThingId(w.device)];
                return Missing{fmt::format("the rating of the link in {}", a->d.name(graph::ThingId(w.device))), thing.span};
            }
        }
        return Missing{"what its sources drive", place(row)};
    };
    fill.column("backfeed").missing = [a, p](std::uint32_t row) {
        const std::uint32_t net = a->net.on[a->d.conductors[graph::ConductorId(row)].a.value];
        for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
            const Port& port = a->net.ports[k];
            if (!std::isnan(p->backfeed[k]) || port.plus == none || port.minus == none || (a->net.on[port.plus] != net && a->net.on[port.minus] != net)) continue;
            const graph::Part& part = a->d.part_of(port.device);
            return Missing{fmt::format("`backfeed` of {}", a->d.word(part.name)), part.span};
        }
        return Missing{"what inputs feed back", a->d.site_span};
    };
    for (const char* column : {"fault-current", "backfeed"}) {
        fill.column(column).assumed = [a, p](std::uint32_t row) {
            std::vector<std::string> lines;
            const std::uint32_t net = a->net.on[a->d.conductors[graph::ConductorId(row)].a.value];
            for (std::uint32_t k = 0; k < a->net.ports.size() && lines.size() < 2; ++k) {
                const Port& port = a->net.ports[k];
                if (p->backfeed_assumed[k] == 0 || port.plus == none || port.minus == none || (a->net.on[port.plus] != net && a->net.on[port.minus] != net)) continue;
                lines.push_back(fmt::format("{} feeds nothing back, as its data sheet states no `backfeed`", port_name(*a, k)));
            }
            return lines;
        };
    }
}

// What comes back through each string, as far as a device on the way limits it: in the pole where that is less.
void fill_string_guards(Facts& facts, const Analysis& a, const Protection& p) {
    Filler fill(facts, "string");
    auto& guarded = fill.numbers("reverse-guarded");
    // What no device cuts down are other strings: they count with the factor for what drives back. Not where an input feeds back too.
    const bool strings_alone = std::all_of(p.backfeed.begin(), p.backfeed.end(), [](double x) { return x == 0; });
    const double factor = strings_alone ? a.climate.reverse / a.climate.irradiance : 1;
    for (std::uint32_t i = 0; i < a.net.strings; ++i) {
        for (const std::uint32_t end : {a.net.sources[i].plus, a.net.sources[i].minus}) {
            if (end == none || a.net.first[end] == a.net.first[end + 1]) continue;
            const std::uint32_t e = a.net.at[a.net.first[end]];
            const Driven::Both both = p.driven->of(e);
            const Push& back = a.net.edges[e].a == end ? both.from_b : both.from_a;
            if (back.guards != 0 && back.unlimited == 0 && back.dark == 0) guarded[i] = std::fmin(guarded[i], back.guarded + (back.amperes - back.guarded) * factor);
        }
    }
}

void fill_guards(Facts& facts, const Shared& a, const SharedProtection& p) {
    fill_driven(facts, a, p);
    fill_string_guards(facts, *a, *p);
}

void fill_protection(Facts& facts, const Shared& a, const SharedProtection& p) {
    Filler devices(facts, "device");
    const std::vector<double>& current = devices.numbers("current");
    std::vector<double>& isc = devices.numbers("isc");
    for (std::size_t r = 0; r < current.size(); ++r) isc[r] = current[r] / a->climate.irradiance;
    fill_fuse_sizes(facts, a);
    fill_fuse_facts(facts, a, p);
    fill_battery_leads(facts, a, p);
    fill_fittings(facts, a);
}

}  // namespace ferrule::facts
