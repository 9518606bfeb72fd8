#include "facts/sides.hpp"

#include <algorithm>
#include <utility>

namespace ferrule::facts {

std::uint64_t scatter(std::uint32_t index) {
    std::uint64_t x = index + 0x9E3779B97F4A7C15ULL;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
    return x ^ (x >> 31);
}

Load& Load::operator+=(const Load& o) {
    isc += o.isc;
    strings += o.strings;
    plus += o.plus;
    dark += o.dark;
    one ^= o.one;
    set += o.set;
    batteries += o.batteries;
    battery_plus += o.battery_plus;
    inputs += o.inputs;
    input_plus += o.input_plus;
    one_input ^= o.one_input;
    sinks += o.sinks;
    return *this;
}

Load Load::minus(const Load& o) const {
    Load r = *this;
    r.isc = strings == o.strings ? 0 : std::max(0.0, isc - o.isc);
    r.strings -= o.strings;
    r.plus -= o.plus;
    r.dark -= o.dark;
    r.one ^= o.one;
    r.set -= o.set;
    r.batteries -= o.batteries;
    r.battery_plus -= o.battery_plus;
    r.inputs -= o.inputs;
    r.input_plus -= o.input_plus;
    r.one_input ^= o.one_input;
    r.sinks -= o.sinks;
    return r;
}

Sides::Sides(std::vector<Load> loads, const std::vector<GraphEdge>& edges) : below_(std::move(loads)) {
    const std::size_t n = below_.size();
    child_.assign(edges.size(), no_child);
    ring_of_.assign(edges.size(), 0);
    net_.assign(n, no_child);
    place_.assign(n, no_child);
    last_.assign(n, 0);
    parent_.assign(n, no_child);
    low_.assign(n, 0);
    order_.reserve(n);
    walk(edges);
    rings(edges);
}

// Depth-first without recursion: a chain of a million conductors must not use up the stack.
void Sides::walk(const std::vector<GraphEdge>& edges) {
    const std::size_t n = below_.size();
    std::vector<std::uint32_t> first(n + 2, 0), at(edges.size() * 2);
    for (const GraphEdge& e : edges) {
        ++first[e.a + 2];
        ++first[e.b + 2];
    }
    for (std::size_t i = 2; i < first.size(); ++i) first[i] += first[i - 1];
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
        at[first[edges[e].a + 1]++] = e;
        at[first[edges[e].b + 1]++] = e;
    }
    std::vector<std::uint32_t> next(first.begin(), first.end() - 1);
    std::vector<std::uint32_t> came_by(n, no_child);
    std::vector<std::uint32_t> stack;
    for (std::uint32_t root = 0; root < n; ++root) {
        if (place_[root] != no_child) continue;
        const auto net = static_cast<std::uint32_t>(total_.size());
        first_place_.push_back(static_cast<std::uint32_t>(order_.size()));
        stack.push_back(root);
        while (!stack.empty()) {
            const std::uint32_t v = stack.back();
            if (place_[v] == no_child) {
                place_[v] = low_[v] = static_cast<std::uint32_t>(order_.size());
                net_[v] = net;
                order_.push_back(v);
            }
            if (next[v] < first[v + 1]) {
                const std::uint32_t e = at[next[v]++];
                const std::uint32_t u = edges[e].a == v ? edges[e].b : edges[e].a;
                if (e == came_by[v] || u == v) continue;
                if (place_[u] == no_child) {
                    came_by[u] = e;
                    parent_[u] = v;
                    stack.push_back(u);
                } else {
                    low_[v] = std::min(low_[v], place_[u]);
                }
                continue;
            }
            stack.pop_back();
            last_[v] = static_cast<std::uint32_t>(order_.size());
            if (came_by[v] != no_child) {
                const std::uint32_t p = parent_[v];
                low_[p] = std::min(low_[p], low_[v]);
                below_[p] += below_[v];
                if (low_[v] > place_[p]) child_[came_by[v]] = v;
            }
        }
        total_.push_back(below_[root]);
    }
    first_place_.push_back(static_cast<std::uint32_t>(order_.size()));
}

// A ring (2-edge-connected part) is what is left when the bridges are gone.
void Sides::rings(const std::vector<GraphEdge>& edges) {
    const std::size_t n = below_.size();
    bool any = false;
    for (std::uint32_t e = 0; e < edges.size() && !any; ++e) any = ring(e);
    if (!any) {
        ring_feed_.resize(1);
        return;
    }
    // In the order of the walk a node belongs to its parent's ring unless the edge between them is a bridge.
    std::vector<std::uint8_t> own(n, 0);
    for (const std::uint32_t c : child_) {
        if (c != no_child) own[c] = 1;
    }
    std::vector<std::uint32_t> ring_at(n, 0);
    for (const std::uint32_t v : order_) {
        if (parent_[v] == no_child || own[v] != 0) {
            ring_at[v] = static_cast<std::uint32_t>(ring_feed_.size());
            ring_feed_.emplace_back();
        } else {
            ring_at[v] = ring_at[parent_[v]];
        }
    }
    std::vector<Load> alone(below_);
    for (auto v = order_.rbegin(); v != order_.rend(); ++v) {
        if (parent_[*v] != no_child) alone[parent_[*v]] = alone[parent_[*v]].minus(below_[*v]);
    }
    for (std::uint32_t v = 0; v < n; ++v) {
        Load here = alone[v];
        if (here.strings != 0) ring_feed_[ring_at[v]] += here;
    }
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
        ring_of_[e] = ring_at[edges[e].a];
        if (ring(e)) continue;
        const std::uint32_t c = child_[e];
        const std::uint32_t p = parent_[c];
        const Load down = below_[c];
        const Load up = whole(c).minus(down);
        if (down.inputs == 0) ring_feed_[ring_at[p]] += down;
        if (up.inputs == 0) ring_feed_[ring_at[c]] += up;
    }
}

Load Sides::side(std::uint32_t edge, std::uint32_t node) const {
    const std::uint32_t c = child_[edge];
    if (c == no_child) return whole(node);
    return c == node ? below_[c] : whole(node).minus(below_[c]);
}

Sides::Run Sides::run(std::uint32_t edge, std::uint32_t node) const {
    const std::uint32_t c = child_[edge];
    if (c == no_child) return {0, 0, true};
    return {place_[c], last_[c], c != node};
}

void SourceEnds::sort() {
    std::sort(ends_.begin(), ends_.end(), [](const End& a, const End& b) {
        return a.place < b.place || (a.place == b.place && a.source < b.source);
    });
}

void SourceEnds::take(std::uint32_t begin, std::uint32_t end, std::size_t most, std::vector<std::uint32_t>& found) const {
    auto at = std::lower_bound(ends_.begin(), ends_.end(), begin, [](const End& e, std::uint32_t place) { return e.place < place; });
    for (; at != ends_.end() && at->place < end && found.size() < most; ++at) found.push_back(at->source);
}

void SourceEnds::take(const Sides::Run& run, const Sides::Run& whole, std::size_t most, std::vector<std::uint32_t>& found) const {
    if (!run.outside) return take(run.begin, run.end, most, found);
    take(whole.begin, run.begin, most, found);
    take(run.end, whole.end, most, found);
}

}  // namespace ferrule::facts
