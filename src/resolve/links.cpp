// Jumpers, bonds, earths, gangs, and what a run gives to the conductors in it.
#include <algorithm>

#include <fmt/format.h>

#include "resolve/index.hpp"
#include "resolve/walk.hpp"
#include "resolve/wiring.hpp"

namespace ferrule::resolve {

using graph::ConductorRole;

namespace {

constexpr Wanted a_device{.what = "a device",
                          .things = bit(ThingClass::device),
                          .parts = false,
                          .assemblies = false,
                          .kind = {}};

}  // namespace

// ---- jumpers

// `none` and `supplied` say all there is to say; lists of pairs add up.
void Wiring::state_jumpers(const View& v, NodeIndex node, ThingId device, bool pairs) {
    const auto [there, added] = jumpers_.try_emplace(device, Stated{v.head(node), pairs});
    if (added) {
        b_.design.jumpers_stated.push_back(device);
    } else if (!pairs || !there->second.pairs) {
        b_.report.error("design.stated-twice", v.head(node),
                        fmt::format("the jumpers of {} are stated twice", b_.design.name(device)),
                        there->second.span, "first stated here");
    }
}

void Wiring::supplied(const View& v, NodeIndex node, ThingId device, Span span) {
    const graph::Part& part = b_.design.part_of(device);
    if (!part.jumpers_stated) left_open(landing_of(device), {});  // which links lie in it is not known
    if (!part.jumpers_stated && !b_.doubtful_parts.contains(b_.design.things[device].part)) {
        b_.report.error(
            "design.needed-property", v.head(node),
            fmt::format("{} takes its links as supplied, but {} does not state which are",
                        b_.design.name(device), b_.text(part.name)),
            part.span, "`jumpers` belongs in this data sheet");
    }
    for (const auto& [x, y] : part.supplied_jumpers) {
        graph::Conductor c;
        c.a = b_.design.terminal(device, x);
        c.b = b_.design.terminal(device, y);
        c.role = ConductorRole::jumper;
        c.span = c.span_a = c.span_b = span;
        b_.design.conductors.add(c);
    }
}

void Wiring::jumper(Statement s, Scope scope, const RunContext* run_around) {
    const View& v = b_.view(s);
    const NodeIndex ref = v.child(s.node, NodeKind::ref);
    if (ref == no_node || ref != v.first(s.node)) return;
    const Path path = read_path(b_, v, ref, scope);
    const bool nothing = v.child(s.node, NodeKind::none_word) != no_node;
    const bool as_supplied = v.child(s.node, NodeKind::supplied_word) != no_node;
    std::vector<std::array<NodeIndex, 2>> pairs;
    NodeIndex after = v.node(ref).next;
    for (const NodeIndex c : v.children(s.node)) {
        if (v.kind(c) != NodeKind::pairing) continue;
        const NodeIndex one = v.first(c), two = one == no_node ? no_node : v.node(one).next;
        if (two != no_node && two < v.node(c).next) pairs.push_back({one, two});
        after = v.node(c).next;
    }
    const bool broken = v.child(s.node, NodeKind::junk) != no_node;
    if (!path.good || (!nothing && !as_supplied && pairs.empty())) {
        // what was meant is not known: the device's jumpers stay as open as its line is
        if (path.good) left_open(landing_of(thing_at(b_, path, 0, scope, a_device)), {});
        return;
    }
    const Tail tail =
        pairs.empty() ? Tail() : read_tail(b_, v, s.node, after, scope, TailOf::jumper);
    const Prepared prepared = prepare(v, tail, scope, nullptr);
    for (std::uint32_t k = 0; k < path.length() && !b_.exhausted; ++k) {
        const ThingId device = thing_at(b_, path, k, scope, a_device);
        if (!device) continue;
        state_jumpers(v, s.node, device, !pairs.empty());
        if (broken) left_open(landing_of(device), {});
        if (as_supplied) supplied(v, s.node, device, v.span(s.node));
        for (const auto& [one, two] : pairs) {
            Ends ends;
            ends.span_a = v.span(one);
            ends.span_b = v.span(two);
            ends.a = label_of_device(device, v, one);
            ends.b = label_of_device(device, v, two);
            if (!ends.a.terminal || !ends.b.terminal) {
                left_open(landing_of(device), {});
            } else if (ends.a.terminal == ends.b.terminal) {
                b_.report.error("design.conductor", v.span(v.node(one).begin, v.node(two).end),
                                fmt::format("a jumper from {} to itself links nothing",
                                            b_.design.name(ends.a.terminal)));
            } else {
                add(s, scope, run_around, ConductorRole::jumper, ends, prepared, 0, 1);
            }
        }
    }
}

Landing Wiring::landing_of(ThingId device) {
    Landing l;
    l.touched = device;
    return l;
}

Landing Wiring::label_of_device(ThingId device, const View& v, NodeIndex label) {
    Landing l;
    l.touched = device;
    if (const Symbol s = b_.design.names.find(v.text(label)))
        l.terminal = b_.design.terminal(device, s);
    if (!l.terminal) unknown_terminal(b_, device, v.span(label), v.text(label));
    return l;
}

// ---- bonds and earths

// A chain of stops; from each thing of one stop to the one thing of the next, or in step.
void Wiring::chain(Statement s, Scope scope, const RunContext* run_around, ConductorRole role) {
    const View& v = b_.view(s);
    std::vector<std::vector<Path>> stops;
    NodeIndex after = no_node;
    for (const NodeIndex c : v.children(s.node)) {
        if (v.kind(c) != NodeKind::refs) continue;
        after = v.node(c).next;
        std::vector<Path> stop;
        for (const NodeIndex ref : v.children(c)) {
            if (v.kind(ref) == NodeKind::ref) stop.push_back(read_path(b_, v, ref, scope));
        }
        stops.push_back(std::move(stop));
    }
    if (stops.size() < 2) return;
    const Tail tail = read_tail(b_, v, s.node, after, scope, TailOf::conductor);
    const Prepared prepared = prepare(v, tail, scope, run_around);
    for (std::size_t i = 0; i + 1 < stops.size(); ++i) {
        const auto& from = stops[i];
        const auto& to = stops[i + 1];
        if (from.empty() || to.empty()) continue;
        if (to.size() != 1 && to.size() != from.size()) {
            b_.report.error("design.range", v.span(to.front().begin, to.back().end),
                            fmt::format("{} things cannot be joined to {}: name one, or as many",
                                        from.size(), to.size()));
            continue;
        }
        for (std::size_t k = 0; k < from.size(); ++k) {
            const Path& target = to.size() == 1 ? to[0] : to[k];
            if (!from[k].good || !target.good) continue;
            if (!in_step(v, from[k].node, from[k].length(), target.node, target.length())) continue;
            between(s, scope, run_around, role, from[k], target, prepared);
        }
    }
}

// ---- gangs

void Wiring::gang(Statement s, Scope scope) {
    const View& v = b_.view(s);
    const NodeIndex refs = v.child(s.node, NodeKind::refs);
    if (refs == no_node) return;
    std::vector<ThingId> devices;
    for (const NodeIndex ref : v.children(refs)) {
        if (v.kind(ref) != NodeKind::ref) continue;
        const Path path = read_path(b_, v, ref, scope);
        for (std::uint32_t k = 0; path.good && k < path.length(); ++k) {
            if (const ThingId t = thing_at(b_, path, k, scope, a_device)) devices.push_back(t);
        }
    }
    for (NodeIndex n = v.node(refs).next; n < v.node(s.node).next; n = v.node(n).next) {
        if (v.kind(n) == NodeKind::junk || v.kind(n) == NodeKind::text) continue;
        b_.report.error(
            "design.tail", v.span(n),
            fmt::format("{} says nothing about a gang: only devices and a text may stand here",
                        quoted(v.text(n))));
    }
    if (devices.empty()) return;
    std::uint32_t handle = 0;
    for (const ThingId t : devices) handle = std::max(handle, b_.design.things[t].handle);
    if (handle == 0) handle = ++handles_;
    for (const ThingId t : devices) {
        const std::uint32_t before = b_.design.things[t].handle;
        if (before != 0 && before != handle) {  // two gangs that share a device are one
            for (graph::Thing& other : b_.design.things) {
                if (other.handle == before) other.handle = handle;
            }
        }
        b_.design.things[t].handle = handle;
    }
}

// ---- runs

ThingId Wiring::run_named(const View& v, NodeIndex run, NodeIndex name, Scope scope) {
    const Symbol symbol = b_.symbol(v, name);
    const Binding found = scope.instance == none ? b_.names.find(symbol, none)
                                                 : b_.names.find_own(symbol, scope.instance);
    const NodeIndex brackets = v.child(run, NodeKind::index);
    if (found.cls != ThingClass::run || (found.means == Means::array) != (brackets != no_node)) return {};
    if (found.means == Means::thing) return ThingId(found.id);
    if (found.means != Means::array) return {};
    const Index index = read_index(b_, v, brackets, scope);
    return index.good ? b_.names.array(found.id).at(index.low) : ThingId();
}

void Wiring::run(Statement s, Scope scope) {
    const View& v = b_.view(s);
    const NodeIndex name = v.child(s.node, NodeKind::name);
    const NodeIndex block = v.child(s.node, NodeKind::block);
    if (block == no_node) return;
    RunContext context;
    // What stands in it is wired, whatever became of its name.
    if (const ThingId there = name == no_node ? ThingId() : run_named(v, s.node, name, scope)) context = read_run(there);
    else context.length_written = true;
    if (std::isnan(context.length)) {
        for (const NodeIndex line : v.children(block)) {
            context.length_written = context.length_written || (v.kind(line) == NodeKind::property && v.text(v.first(line)) == "length");
        }
    }
    const auto visit = [&](Statement inner, Scope in) {
        if (b_.view(inner).kind(inner.node) != NodeKind::run) statement(inner, in, &context);
    };
    carry_out_block(b_, s.file, block, scope, Task::wires, visit);
}

RunContext Wiring::read_run(ThingId run_id) {
    RunContext c;
    c.run = run_id;
    const auto rows = b_.design.things[run_id].rows;
    std::vector<ThingId> runs{run_id};
    double sum = 0;
    if (const RowId via = b_.design.row(rows, b_.words.via)) {
        for (const FieldId fid : b_.design.rows[via].fields) {
            const graph::Field& f = b_.design.fields[fid];
            const ThingId other(f.target);
            if (b_.design.things[other].cls != ThingClass::run) continue;
            if (std::find(runs.begin(), runs.end(), other) != runs.end()) {
                b_.report.error("design.stated-twice",
                                {b_.design.rows[via].span.file, f.begin, f.end},
                                fmt::format("{} is passed twice", b_.design.name(other)));
                continue;
            }
            runs.push_back(other);
            sum += b_.design.number(b_.design.things[other].rows, "length", "length");
        }
    }
    c.first_via = static_cast<std::uint32_t>(b_.design.vias.size());
    c.vias = static_cast<std::uint32_t>(runs.size());
    b_.design.vias.insert(b_.design.vias.end(), runs.begin(), runs.end());
    c.length = b_.design.number(rows, "length", "length");
    if (std::isnan(c.length) && runs.size() > 1) c.length = sum;
    if (const RowId ends = b_.design.row(rows, b_.words.ends)) {
        for (const FieldId fid : b_.design.rows[ends].fields) {
            const graph::Field f = b_.design.fields[fid];
            const End e =
                read_end(b_, f.text, {b_.design.rows[ends].span.file, f.begin, f.end}, none);
            (f.name == b_.words.from ? c.end_a : c.end_b) = e.word;
            (f.name == b_.words.from ? c.end_part_a : c.end_part_b) = e.part;
        }
    }
    return c;
}

}  // namespace ferrule::resolve
