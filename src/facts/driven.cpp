#include "facts/driven.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>

namespace ferrule::facts {

namespace {

// Positives that share a negative, kept apart; more than this are taken together.
constexpr std::uint32_t most_groups = 16;

// A set of things by the sum of their scattered numbers.
struct Things {
    std::uint64_t sum = 0;
    std::uint32_t count = 0;
    Things& operator+=(const Things& o) {
        sum += o.sum;
        count += o.count;
        return *this;
    }
    [[nodiscard]] Things minus(const Things& o) const { return {sum - o.sum, count - o.count}; }
};

}  // namespace

Push& Push::operator+=(const Push& o) {
    amperes += o.amperes;
    guarded += o.guarded;
    unlimited += o.unlimited;
    dark += o.dark;
    guards += o.guards;
    guard ^= o.guard;
    return *this;
}

Push Push::minus(const Push& o) const {
    Push r = *this;
    r.amperes = std::max(0.0, amperes - o.amperes);
    r.guarded = std::max(0.0, guarded - o.guarded);
    r.unlimited -= o.unlimited;
    r.dark -= o.dark;
    r.guards -= o.guards;
    r.guard ^= o.guard;
    if (r.amperes < amperes * 1e-12) r.amperes = 0;
    if (r.guards == 0) r.guarded = 0;
    return r;
}

Push Driven::through(Push p, const Cap& cap) {
    if (cap.amperes == endless || p.nothing()) return p;
    if (std::isnan(cap.amperes)) {
        // A holder whose link is not known: it limits, nobody can say to what.
        if (p.unlimited != 0) p = {0, 0, 0, 1, 0, 0};
        return p;
    }
    if (p.unlimited != 0 || p.dark != 0 || p.amperes > cap.amperes) return {cap.amperes, cap.amperes, 0, 0, 1, cap.guard};
    return p;
}

Driven::Driven(const Network& n, const Feeds& feeds, const std::vector<double>& source_push, const std::vector<double>& port_push,
               const GuardRatings& guards, std::unordered_set<std::uint32_t> tied)
    : n_(&n), feeds_(&feeds), guards_(&guards), tied_(std::move(tied)) {
    const Pieces& p = feeds.pieces();
    const Sides& s = feeds.sides();
    caps_.assign(p.trunks.size(), {endless, none});
    down_.resize(p.trunks.size());
    up_.resize(p.trunks.size());
    above_.assign(p.of.count, none);
    for (std::uint32_t t = 0; t < p.trunks.size(); ++t) {
        if (!s.ring(t)) above_[s.child(t)] = t;
    }
    find_caps();
    group_things(source_push, port_push);
    pair_poles();

    rep_.resize(p.of.count);
    for (const std::uint32_t v : s.order()) rep_[v] = above_[v] != none || s.parent(v) == none ? v : rep_[s.parent(v)];
    sum_.resize(p.of.count);
    rest_.resize(p.of.count);
    members_.assign(p.of.count, 0);
    for (std::uint32_t t = 0; t < p.trunks.size() && mesh_.empty(); ++t) {
        if (s.ring(t)) mesh_.resize(p.of.count);
    }
    for (std::size_t i = 0; i < things_.size();) {
        std::size_t end = i;
        std::uint32_t groups = 0;
        for (; end < things_.size() && things_[end].net == things_[i].net; ++end) groups = std::max(groups, things_[end].group + 1);
        for (std::uint32_t g = 0; g < groups; ++g) walk_net(static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(end), g, groups > 1);
        i = end;
    }
    match_poles();
}

// A lone guard caps its trunk; guards side by side cap it with their sum, if every way has one.
void Driven::find_caps() {
    const Pieces& p = feeds_->pieces();
    way_cap_.assign(p.bundles == 0 ? 0 : n_->edges.size(), endless);
    way_guard_.assign(way_cap_.size(), none);
    std::unordered_map<std::uint64_t, Cap> ways;   // by bundle and way
    struct Bundle {
        std::uint32_t trunk = none, ways = 0, guarded = 0;
        double sum = 0;
        bool whole = false;
    };
    std::vector<Bundle> bundles(p.bundles);
    for (std::uint32_t e = 0; e < n_->edges.size(); ++e) {
        const Pieces::Part& part = p.parts[e];
        if (part.trunk == none) continue;
        if (part.bundle != none) {
            bundles[part.bundle].trunk = part.trunk;
            bundles[part.bundle].ways = part.ways;
            if (part.outermost) bundles[part.bundle].whole = true;
        }
        const double rating = (*guards_)[e];
        if (rating == endless) continue;
        if (part.bundle == none) {
            Cap& cap = caps_[part.trunk];
            if (!(rating >= cap.amperes)) cap = {rating, e};
            continue;
        }
        const std::uint64_t key = (static_cast<std::uint64_t>(part.bundle) << 32) | part.way;
        const auto [at, is_new] = ways.try_emplace(key, Cap{rating, e});
        if (!is_new && !(rating >= at->second.amperes)) at->second = {rating, e};
    }
    for (const auto& [key, cap] : ways) {
        Bundle& b = bundles[key >> 32];
        ++b.guarded;
        b.sum += cap.amperes;
    }
    for (const Bundle& b : bundles) {
        if (b.trunk == none || !b.whole || b.guarded < b.ways) continue;
        if (!(b.sum >= caps_[b.trunk].amperes)) caps_[b.trunk] = {b.sum, none};
    }
    if (ways.empty()) return;
    for (std::uint32_t e = 0; e < n_->edges.size(); ++e) {
        const Pieces::Part& part = p.parts[e];
        if (part.trunk == none || part.bundle == none) continue;
        const auto at = ways.find((static_cast<std::uint64_t>(part.bundle) << 32) | part.way);
        if (at == ways.end()) continue;
        way_cap_[e] = at->second.amperes;
        way_guard_[e] = at->second.guard;
    }
}

// A guard in one pole caps what has the same things on one of its sides in the other pole. In its own pole only what comes through
// it: the conductor between a battery and its fuse is not guarded by that fuse.
// A guard on that net is none for a trunk of the battery's other pole.
bool Driven::past(std::uint32_t guarded, std::uint32_t trunk) const {
    return tied_.count(guarded) != 0 && feeds_->sides().whole(feeds_->pieces().trunks[trunk].a).batteries != 0;
}

bool Driven::past_earth(std::uint32_t edge) const {
    const std::uint32_t trunk = feeds_->pieces().parts[edge].trunk;
    return trunk != none && past_[trunk] != 0;
}

void Driven::pair_poles() {
    const Pieces& p = feeds_->pieces();
    const Sides& s = feeds_->sides();
    names_.resize(p.trunks.size());
    shared_.assign(p.trunks.size(), 0);
    paired_.assign(p.trunks.size(), 0);
    past_.assign(p.trunks.size(), 0);
    std::vector<Things> on(p.of.count);
    // Things of one pair of nets at a time: what else shares the negative is no part of the way.
    for (std::size_t i = 0; i < things_.size();) {
        std::size_t end = i;
        std::uint32_t groups = 0;
        for (; end < things_.size() && things_[end].net == things_[i].net; ++end) groups = std::max(groups, things_[end].group + 1);
        const Sides::Run run = s.whole_run(things_[i].piece);
        for (std::uint32_t g = 0; g < groups; ++g) {
            for (std::uint32_t k = run.begin; k < run.end; ++k) on[s.order()[k]] = {};
            Things all;
            for (std::size_t k = i; k < end; ++k) {
                if (things_[k].group != g) continue;
                const Things one{scatter(things_[k].id), 1};
                on[things_[k].piece] += one;
                all += one;
            }
            for (std::uint32_t k = run.end; k-- > run.begin;) {
                const std::uint32_t v = s.order()[k], t = above_[v];
                if (s.parent(v) != none) on[s.parent(v)] += on[v];
                if (t == none) continue;
                const Things below = on[v], rest = all.minus(on[v]);
                if (below.count == 0 || rest.count == 0) continue;  // nothing flows there
                if (names_[t][0] != 0 || names_[t][1] != 0) {
                    shared_[t] = 1;
                    continue;
                }
                // The side with fewer things names the trunk; of equal sides both do.
                if (below.count <= rest.count) names_[t][0] = below.sum;
                if (rest.count <= below.count) names_[t][1] = rest.sum;
            }
        }
        i = end;
    }
    struct Pole {
        std::uint32_t net = none;
        Cap cap{endless, none};
    };
    std::unordered_map<std::uint64_t, std::array<Pole, 2>> least;
    for (std::uint32_t t = 0; t < p.trunks.size(); ++t) {
        if (caps_[t].amperes == endless || s.ring(t)) continue;
        const std::uint32_t net = s.net(p.trunks[t].a);
        for (const std::uint64_t name : names_[t]) {
            if (name == 0) continue;
            std::array<Pole, 2>& poles = least[name];
            Pole& pole = poles[0].net == none || poles[0].net == net ? poles[0] : poles[1];
            if (pole.net != none && pole.net != net) continue;
            pole.net = net;
            if (!(caps_[t].amperes >= pole.cap.amperes)) pole.cap = caps_[t];
        }
    }
    own_.assign(p.trunks.size(), none);
    if (least.empty()) return;
    for (std::uint32_t t = 0; t < p.trunks.size(); ++t) {
        for (const std::uint64_t name : names_[t]) {
            const auto at = name == 0 ? least.end() : least.find(name);
            if (at == least.end()) continue;
            const std::uint32_t net = s.net(p.trunks[t].a);
            const auto& [first, second] = at->second;
            const bool own_pole = first.net == net || second.net == net;
            const std::uint32_t own = first.net == net ? first.cap.guard : second.net == net ? second.cap.guard : none;
            if (own != none) own_[t] = own;
            if (own_pole || first.cap.amperes >= caps_[t].amperes) continue;
            if (past(first.net, t)) {
                past_[t] = 1;
                continue;
            }
            caps_[t] = first.cap;
            paired_[t] = 1;
        }
    }
}

// Things by net, and on a net of one polarity by the net of their other pole.
void Driven::group_things(const std::vector<double>& source_push, const std::vector<double>& port_push) {
    const Pieces& p = feeds_->pieces();
    struct Raw {
        Thing thing;
        std::uint32_t other = none;
        int sign = 0;   // of a source's end
    };
    std::vector<Raw> raw;
    raw.reserve(2 * (n_->sources.size() + n_->ports.size()));
    auto add = [&](std::uint32_t id, std::uint32_t terminal, std::uint32_t other, double amperes, bool battery, int sign) {
        if (terminal == none) return;
        Raw r;
        r.thing.id = id;
        r.thing.piece = p.of[terminal];
        r.thing.net = n_->on[terminal];
        r.other = other == none ? none : n_->on[other];
        r.sign = sign;
        if (battery && amperes != endless) r.thing.push = {amperes, amperes, 0, 0, 1, none};  // a fuse of its own inside
        else if (battery) r.thing.push.unlimited = 1;
        else if (std::isnan(amperes)) r.thing.push.dark = 1;
        else r.thing.push.amperes = amperes;
        raw.push_back(r);
    };
    for (std::uint32_t i = 0; i < n_->sources.size(); ++i) {
        const PowerSource& s = n_->sources[i];
        add(i, s.plus, s.minus, source_push[i], s.battery, 1);
        add(i, s.minus, s.plus, source_push[i], s.battery, -1);
    }
    for (std::uint32_t k = 0; k < n_->ports.size(); ++k) {
        const auto id = static_cast<std::uint32_t>(n_->sources.size()) + k;
        add(id, n_->ports[k].plus, n_->ports[k].minus, port_push[k], false, 0);
        add(id, n_->ports[k].minus, n_->ports[k].plus, port_push[k], false, 0);
    }
    std::stable_sort(raw.begin(), raw.end(), [](const Raw& a, const Raw& b) { return a.thing.net < b.thing.net; });
    things_.reserve(raw.size());
    std::vector<std::uint32_t> others;
    for (std::size_t i = 0; i < raw.size();) {
        std::size_t end = i;
        bool plus = false, minus = false;
        for (; end < raw.size() && raw[end].thing.net == raw[i].thing.net; ++end) {
            plus = plus || raw[end].sign > 0;
            minus = minus || raw[end].sign < 0;
        }
        others.clear();
        for (; i < end; ++i) {
            Thing t = raw[i].thing;
            if (!(plus && minus)) {
                const auto at = std::find(others.begin(), others.end(), raw[i].other);
                t.group = std::min(static_cast<std::uint32_t>(at - others.begin()), most_groups - 1);
                if (at == others.end() && others.size() < most_groups) others.push_back(raw[i].other);
            }
            things_.push_back(t);
        }
    }
}

void Driven::walk_net(std::uint32_t first, std::uint32_t last, std::uint32_t group, bool split) {
    const Sides& s = feeds_->sides();
    const Pieces& p = feeds_->pieces();
    const Sides::Run run = s.whole_run(things_[first].piece);
    const std::vector<std::uint32_t>& order = s.order();
    for (std::uint32_t k = run.begin; k < run.end; ++k) {
        sum_[order[k]] = rest_[order[k]] = {};
        members_[order[k]] = 0;
    }
    std::uint32_t all = 0;
    for (std::uint32_t i = first; i < last; ++i) {
        if (things_[i].group != group) continue;
        sum_[rep_[things_[i].piece]] += things_[i].push;
        ++members_[rep_[things_[i].piece]];
        ++all;
    }
    for (std::uint32_t k = run.end; k-- > run.begin;) {
        const std::uint32_t v = order[k], t = above_[v];
        if (t == none) continue;
        const std::uint32_t to = rep_[s.parent(v)];
        sum_[to] += through(sum_[v], caps_[t]);
        members_[to] += members_[v];
    }
    auto larger = [](Push& kept, const Push& found) {
        if (found.unlimited > kept.unlimited || (found.unlimited == kept.unlimited && (found.dark > kept.dark || (found.dark == kept.dark && found.amperes > kept.amperes)))) kept = found;
    };
    for (std::uint32_t k = run.begin; k < run.end; ++k) {
        const std::uint32_t v = order[k], t = above_[v];
        if (t == none) continue;
        const std::uint32_t from = rep_[s.parent(v)];
        const Push below = through(sum_[v], caps_[t]);
        Push above = sum_[from].minus(below);
        above += rest_[from];
        above = through(above, caps_[t]);
        rest_[v] = above;
        // On a shared negative only what has a partner on the other side can send its current there.
        const bool child_is_b = p.trunks[t].b == v;
        const bool to_child = !split || members_[v] != 0 || s.side(t, v).empty(), to_parent = !split || all != members_[v];
        if (to_child) larger(child_is_b ? down_[t] : up_[t], above);
        if (to_parent) larger(child_is_b ? up_[t] : down_[t], below);
    }
    if (mesh_.empty()) return;
    for (std::uint32_t k = run.begin; k < run.end; ++k) {
        const std::uint32_t v = order[k];
        if (rep_[v] != v) continue;
        Push whole = sum_[v];
        whole += rest_[v];
        larger(mesh_[v], whole);
    }
}

// What is driven back into the same things passes both poles: a fuse that they share with others in one pole bounds the other too.
void Driven::match_poles() {
    const Pieces& p = feeds_->pieces();
    const Sides& s = feeds_->sides();
    auto less = [](const Push& x, const Push& y) {
        if (x.unlimited != y.unlimited) return x.unlimited < y.unlimited;
        return x.dark != y.dark ? x.dark < y.dark : x.amperes < y.amperes * (1 - 1e-9);
    };
    // The push through a trunk towards the side that a name stands for.
    auto towards = [&](std::uint32_t t, bool child) -> Push& { return (p.trunks[t].b == s.child(t)) == child ? down_[t] : up_[t]; };
    struct Pole {
        std::uint32_t net = none;
        Push push;
    };
    std::unordered_map<std::uint64_t, std::array<Pole, 2>> least;
    auto each = [&](auto use) {
        for (std::uint32_t t = 0; t < p.trunks.size(); ++t) {
            if (s.ring(t) || shared_[t] != 0 || paired_[t] != 0 || own_[t] != none) continue;  // a guard of its own: as paired
            for (const bool child : {true, false}) {
                const std::uint64_t name = names_[t][child ? 0 : 1];
                if (name != 0) use(name, t, s.net(p.trunks[t].a), towards(t, child));
            }
        }
    };
    // Only where a guard bounds the one pole does it bound the other, and not where that has one itself.
    each([&](std::uint64_t name, std::uint32_t, std::uint32_t net, const Push& push) {
        if (push.guards == 0 || push.unlimited != 0 || push.dark != 0) return;
        std::array<Pole, 2>& poles = least[name];
        Pole& pole = poles[0].net == none || poles[0].net == net ? poles[0] : poles[1];
        if (pole.net != none && pole.net != net) return;
        if (pole.net == none || less(push, pole.push)) pole.push = push;
        pole.net = net;
    });
    if (least.empty()) return;
    each([&](std::uint64_t name, std::uint32_t t, std::uint32_t net, Push& push) {
        const auto at = least.find(name);
        if (at == least.end() || push.nothing()) return;
        const auto& [first, second] = at->second;
        if (first.net == net || second.net != none || !less(first.push, push)) return;
        if (past(first.net, t)) past_[t] = 1;
        else push = first.push;
    });
}

Driven::Both Driven::of(std::uint32_t edge) const {
    const Pieces& p = feeds_->pieces();
    const Pieces::Part& part = p.parts[edge];
    if (part.trunk == none) return {};
    Both both{down_[part.trunk], up_[part.trunk]};
    if (feeds_->sides().ring(part.trunk)) {
        both.from_a = mesh_[rep_[p.trunks[part.trunk].a]];
        both.from_b = both.from_a;
    }
    if (!part.forward) std::swap(both.from_a, both.from_b);
    if (part.bundle == none) return both;
    for (Push* push : {&both.from_a, &both.from_b}) {
        if (way_guard_[edge] != none) *push = through(*push, {way_cap_[edge], way_guard_[edge]});
        else {
            push->amperes *= part.share;
            push->guarded *= part.share;
        }
    }
    return both;
}

bool Driven::same_current(std::uint32_t x, std::uint32_t y) const {
    const Pieces::Part &a = feeds_->pieces().parts[x], &b = feeds_->pieces().parts[y];
    if (a.trunk == none || b.trunk == none) return false;
    if (a.bundle != none && b.bundle == a.bundle) return a.way == b.way;
    if (a.trunk == b.trunk) return true;
    for (const std::uint64_t name : names_[a.trunk]) {
        if (name != 0 && (name == names_[b.trunk][0] || name == names_[b.trunk][1])) return true;
    }
    return false;
}

std::uint32_t Driven::own_guard(std::uint32_t edge) const {
    const Pieces::Part& part = feeds_->pieces().parts[edge];
    if (part.trunk == none || feeds_->sides().ring(part.trunk)) return none;
    if (part.bundle != none && way_guard_[edge] != none) return way_guard_[edge];
    return own_[part.trunk] != none ? own_[part.trunk] : caps_[part.trunk].guard;
}

}  // namespace ferrule::facts
