#include "resolve/wiring.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "resolve/walk.hpp"

namespace ferrule::resolve {

using graph::Conductor;
using graph::ConductorRole;

Wiring::Wiring(Build& b) : b_(b), cables_(b) {}

void Wiring::statement(Statement s, Scope scope, const RunContext* run_around) {
    if (b_.exhausted) return;
    switch (b_.view(s).kind(s.node)) {
        case NodeKind::conductor:
            return conductor(s, scope, run_around);
        case NodeKind::jumper:
            return jumper(s, scope, run_around);
        case NodeKind::bond:
            return chain(s, scope, run_around, ConductorRole::bond);
        case NodeKind::earth:
            return chain(s, scope, run_around, ConductorRole::earth);
        case NodeKind::gang:
            return gang(s, scope);
        case NodeKind::run:
            return run(s, scope);
        default:
            return;
    }
}

bool Wiring::in_step(const View& v, NodeIndex x, std::uint32_t nx, NodeIndex y, std::uint32_t ny) {
    if (nx == ny || nx == 1 || ny == 1) return true;
    b_.report.error(
        "design.range", v.span(v.node(x).begin, v.node(y).end),
        fmt::format("{} are {} and {} are {}: they run in step, so they must be as many, or one",
                    quoted(v.text(x)), nx, quoted(v.text(y)), ny));
    return false;
}

void Wiring::left_open(const Landing& x, const Landing& y) {
    for (const Landing* l : {&x, &y}) {
        const ThingId t = l->terminal ? b_.design.terminals[l->terminal] : l->touched;
        if (t) b_.design.left_open.push_back(t);
    }
}

// ---- conductors

void Wiring::conductor(Statement s, Scope scope, const RunContext* run_around) {
    const View& v = b_.view(s);
    const NodeIndex from = v.first(s.node);
    if (from == no_node || v.kind(from) != NodeKind::ref) return;
    const NodeIndex to = v.node(from).next;
    if (to >= v.node(s.node).next || v.kind(to) != NodeKind::ref) return;
    const Path a = read_path(b_, v, from, scope);
    const Path b = read_path(b_, v, to, scope);
    const Tail tail = read_tail(b_, v, s.node, v.node(to).next, scope, TailOf::conductor);
    if (!a.good || !b.good || !in_step(v, from, a.length(), to, b.length())) {
        if (a.good) left_open(landing_at(b_, a, 0, scope, Bare::one_terminal), {});
        if (b.good) left_open(landing_at(b_, b, 0, scope, Bare::one_terminal), {});
        return;
    }
    between(s, scope, run_around, ConductorRole::power, a, b, prepare(v, tail, scope, run_around));
}

void Wiring::between(Statement s, Scope scope, const RunContext* run_around, ConductorRole role,
                     const Path& from, const Path& to, const Prepared& tail) {
    const std::uint32_t na = from.length(), nb = to.length();
    const std::uint32_t n = std::max(na, nb);
    const Bare bare = role == ConductorRole::power ? Bare::one_terminal : Bare::bonding_point;
    Ends ends;
    ends.span_a = from.span();
    ends.span_b = to.span();
    for (std::uint32_t k = 0; k < n && !b_.exhausted; ++k) {
        if (k == 0 || na != 1) ends.a = landing_at(b_, from, k, scope, bare);
        if (k == 0 || nb != 1) ends.b = landing_at(b_, to, k, scope, bare);
        if (!ends.a.terminal || !ends.b.terminal) {
            left_open(ends.a, ends.b);
            continue;
        }
        if (ends.a.terminal == ends.b.terminal) {
            b_.report.error("design.conductor", b_.view(s).head(s.node),
                            fmt::format("the conductor goes from {} to itself",
                                        b_.design.name(ends.a.terminal)));
            continue;
        }
        add(s, scope, run_around, role, ends, tail, k, n);
    }
}

Wiring::Prepared Wiring::prepare(const View& v, const Tail& tail, Scope scope,
                                 const RunContext* run_around) {
    Prepared p;
    p.tail = &tail;
    if (tail.named_cable != no_node) p.cable = read_path(b_, v, tail.named_cable, scope);
    if (tail.mark_indexed) p.mark = read_path(b_, v, tail.mark_node, scope);
    for (const NodeIndex n : tail.by) p.by.push_back(read_path(b_, v, n, scope));
    if (tail.via.empty()) {
        if (run_around != nullptr) {
            p.first_via = run_around->first_via;
            p.vias = run_around->vias;
        }
        return p;
    }
    static constexpr Wanted a_run{.what = "a run",
                                  .things = bit(ThingClass::run),
                                  .parts = false,
                                  .assemblies = false,
                                  .kind = {}};
    std::vector<ThingId> runs;
    if (run_around != nullptr) {
        for (std::uint32_t i = 0; i < run_around->vias; ++i)
            runs.push_back(b_.design.vias[run_around->first_via + i]);
    }
    double sum = 0;
    for (const NodeIndex n : tail.via) {
        const Path path = read_path(b_, v, n, scope);
        for (std::uint32_t k = 0; path.good && k < path.length(); ++k) {
            const ThingId run_id = thing_at(b_, path, k, scope, a_run);
            if (!run_id) continue;
            if (std::find(runs.begin(), runs.end(), run_id) != runs.end()) {
                b_.report.error(
                    "design.stated-twice", path.span(),
                    fmt::format("the conductor passes {} twice", b_.design.name(run_id)));
                continue;
            }
            runs.push_back(run_id);
            sum += b_.design.number(b_.design.things[run_id].rows, "length", "length");
        }
    }
    p.first_via = static_cast<std::uint32_t>(b_.design.vias.size());
    p.vias = static_cast<std::uint32_t>(runs.size());
    p.via_length = sum;
    b_.design.vias.insert(b_.design.vias.end(), runs.begin(), runs.end());
    return p;
}

ConductorId Wiring::add(Statement s, Scope scope, const RunContext* run_around, ConductorRole role,
                        const Ends& ends, const Prepared& prepared, std::uint32_t k,
                        std::uint32_t n) {
    if (b_.design.conductors.size() >= base::limits::conductors) {
        b_.exhausted = true;
        b_.report.error("design.limit", b_.view(s).head(s.node),
                        fmt::format("the design has more than {} conductors (limit conductors)",
                                    base::limits::conductors));
        return {};
    }
    const View& v = b_.view(s);
    const Tail& tail = *prepared.tail;
    const ConductorId id(b_.design.conductors.size());
    Conductor c;
    c.a = ends.a.terminal;
    c.b = ends.b.terminal;
    c.role = role;
    c.span = v.span(s.node);
    c.span_a = ends.span_a;
    c.span_b = ends.span_b;
    c.first_via = prepared.first_via;
    c.vias = prepared.vias;
    c.length = tail.length;
    made_of(c, prepared, scope, k);
    const bool ends_stated = tail.end_a || tail.end_b;
    c.end_a = tail.end_a;
    c.end_b = tail.end_b;
    c.end_part_a = tail.end_part_a;
    c.end_part_b = tail.end_part_b;
    if (run_around != nullptr && role != ConductorRole::jumper) {
        c.run = run_around->run;
        if (std::isnan(c.length)) c.length = run_around->length;
        if (!ends_stated && tail.good) {
            c.end_a = run_around->end_a;
            c.end_b = run_around->end_b;
            c.end_part_a = run_around->end_part_a;
            c.end_part_b = run_around->end_part_b;
        }
    }
    if (std::isnan(c.length)) c.length = prepared.via_length;
    if (role == ConductorRole::power && std::isnan(c.length) && tail.good && !c.named_cable &&
        !(c.cable && b_.kind(c.cable).conducts == "wire") &&
        (run_around == nullptr || !run_around->length_written)) {
        // Of a run that says none, once: the places of equal findings are one.
        const bool in_run = run_around != nullptr && run_around->run;
        const bool alone = !in_run && c.vias == 0;
        findings::Finding f = warning(
            "design.length-missing", in_run ? b_.design.things[run_around->run].span : v.head(s.node),
            in_run ? "the run states no length, nor does a conductor in it"
            : alone ? "the conductor stands in no run and states no length"
                    : "the conductor states no length, nor do all runs it goes through");
        f.subject = b_.design.name(c.a) + " -> " + b_.design.name(c.b);
        f.remedy = in_run ? "write it in the block of the run, such as length 12 m"
                          : "write its length behind it, such as 0.4 m";
        b_.report.add(std::move(f));
    }
    if (tail.mark) mark(c, id, prepared, v, scope, k);
    else c.mark = tail.text;
    if (!prepared.by.empty()) pass_entries(c, id, prepared, scope, k, n);
    b_.design.conductors.add(c);
    if (c.named_cable || tail.core != 0) use_core(c, id, tail, v);
    if (!tail.claims.empty() || ends.a.side || ends.b.side)
        claim(c, id, ends, prepared, v, scope, n);
    return id;
}

// Size, metal, colour and voltage: as stated, else those of the cable.
void Wiring::made_of(Conductor& c, const Prepared& prepared, Scope scope, std::uint32_t k) {
    static constexpr Wanted named{.what = "a cable",
                                  .things = bit(ThingClass::cable),
                                  .parts = false,
                                  .assemblies = false,
                                  .kind = {}};
    const Tail& tail = *prepared.tail;
    c.core = static_cast<std::uint16_t>(tail.core);
    c.cable = tail.cable;
    if (prepared.cable) {
        c.named_cable = thing_at(b_, *prepared.cable, k, scope, named);
        if (c.named_cable) {
            c.cable = b_.design.things[c.named_cable].part;
            if (std::isnan(c.length))
                c.length =
                    b_.design.number(b_.design.things[c.named_cable].rows, "length", "length");
        }
    }
    c.area = tail.area;
    c.area_unit = tail.area_unit;
    c.material = tail.material;
    c.copper_stated = tail.material == b_.words.copper;
    c.colour = tail.colour;
    c.rated_voltage = tail.rated_voltage;
    if (!c.cable) return;
    const CableFacts& cable = cables_[c.cable];
    if (std::isnan(c.area)) {
        c.area = cable.area;
        c.area_unit = cable.area_unit;
    }
    if (!c.material) c.material = cable.material;
    if (cable.material == b_.words.copper) c.copper_stated = true;
    if (std::isnan(c.rated_voltage)) c.rated_voltage = cable.rated_voltage;
    if (!c.colour) {
        if (c.core != 0 && c.core <= cable.colours.size()) c.colour = cable.colours[c.core - 1U];
        else if (c.core == 0 && cable.colours.size() == 1) c.colour = cable.colours[0];
    }
}

void Wiring::use_core(const Conductor& c, ConductorId id, const Tail& tail, const View& v) {
    if (!c.named_cable) {
        if (tail.named_cable == no_node && tail.good) {  // else it may be what could not be read
            b_.report.error("design.cable-core", tail.core_span,
                            "a core belongs to a cable with a name, and none stands here",
                            "declare the cable: cable K1 is PART; then write: K1 core 2");
        }
        return;
    }
    const CableFacts& cable = cables_[c.cable];
    if (tail.core > cable.cores) {
        b_.report.error("design.cable-core", tail.core_span,
                        fmt::format("{} has {}; there is no core {}", b_.design.name(c.named_cable),
                                    cable.cores == 1 ? std::string("one core")
                                                     : fmt::format("{} cores", cable.cores),
                                    tail.core),
                        b_.design.parts[c.cable].span, "its part is described here");
        return;
    }
    if (tail.core == 0 && cable.cores > 1) {
        b_.report.error(
            "design.cable-core", v.span(tail.named_cable),
            fmt::format("{} has {} cores; say which", b_.design.name(c.named_cable), cable.cores),
            "as in: core 2");
        return;
    }
    cores_.push_back({c.named_cable, std::max(tail.core, 1U), id,
                      tail.core != 0 ? tail.core_span : v.span(tail.named_cable)});
}

// `as W3`, `as W[i]`, `as W[1..6]` in step.
void Wiring::mark(Conductor& c, ConductorId id, const Prepared& prepared, const View& v,
                  Scope scope, std::uint32_t k) {
    c.mark = prepared.tail->mark;
    if (prepared.mark) {
        if (!prepared.mark->good) return;
        c.mark = b_.symbol(
            fmt::format("{}[{}]", b_.text(prepared.mark->head), prepared.mark->index.at(k)));
    }
    if (scope.instance == none && c.mark.value >= marked_.size())
        marked_.resize(
            std::max<std::size_t>(c.mark.value + std::size_t{1}, b_.design.names.size()));
    ConductorId& first =
        scope.instance == none
            ? marked_[c.mark.value]
            : marked_inside_[(std::uint64_t{scope.instance} << 32U) | c.mark.value];
    if (!first) {
        first = id;
        return;
    }
    findings::Finding f =
        error("design.mark-twice", v.span(prepared.tail->mark_node),
              fmt::format("the mark {} is on two conductors", quoted(b_.text(c.mark))));
    f.subject = b_.text(c.mark);
    f.related.push_back({b_.design.conductors.has(first) ? b_.design.conductors[first].span
                                                         : v.span(prepared.tail->mark_node),
                         "the first is here"});
    f.remedy = "give each conductor a mark of its own";
    b_.report.add(std::move(f));
}

void Wiring::claim(const Conductor& c, ConductorId id, const Ends& ends, const Prepared& prepared,
                   const View& v, Scope scope, std::uint32_t n) {
    static constexpr Wanted device{.what = "a device",
                                   .things = bit(ThingClass::device),
                                   .parts = false,
                                   .assemblies = false,
                                   .kind = {}};
    for (const Landing* l : {&ends.a, &ends.b}) {
        if (l->side)
            b_.design.claims.push_back({id,
                                        b_.design.terminals[l->terminal],
                                        l->side,
                                        l->position,
                                        {},
                                        l == &ends.a ? ends.span_a : ends.span_b});
    }
    for (const Claim& stated : prepared.tail->claims) {
        const Path path = read_path(b_, v, stated.device, scope);
        const ThingId where = path.good ? thing_at(b_, path, 0, scope, device) : ThingId();
        if (!where) continue;
        const bool at_a = b_.design.terminals[c.a] == where,
                   at_b = b_.design.terminals[c.b] == where;
        if (!at_a && !at_b) {
            b_.report.error("design.position", stated.span,
                            fmt::format("the conductor does not land on {}", b_.design.name(where)),
                            "name the device at one of its ends");
        } else if (at_a && at_b) {
            b_.report.error("design.position", stated.span,
                            fmt::format("both ends land on {}: which is meant cannot be told",
                                        b_.design.name(where)));
        } else if (n > 1) {
            b_.report.error("design.position", stated.span,
                            "several conductors cannot land in one place",
                            "write this conductor on a line of its own");
        } else {
            b_.design.claims.push_back(
                {id, where, stated.side, stated.position, at_a ? c.a : c.b, stated.span});
        }
    }
}

void Wiring::pass_entries(Conductor& c, ConductorId id, const Prepared& prepared, Scope scope,
                          std::uint32_t k, std::uint32_t n) {
    c.first_entry = static_cast<std::uint32_t>(b_.design.entry_uses.size());
    for (const Path& path : prepared.by) {
        if (!path.good) continue;
        const std::uint32_t count = path.length();
        const bool step = count == n && n > 1;
        for (std::uint32_t i = step ? k : 0; i < (step ? k + 1 : count); ++i) {
            if (const auto entry = entry_at(b_, path, i, scope))
                b_.design.entry_uses.push_back({*entry, id, c.named_cable, path.span()});
        }
    }
    c.entries = static_cast<std::uint32_t>(b_.design.entry_uses.size()) - c.first_entry;
}

// ---- what can be said only of all conductors together

void Wiring::finish() {
    std::stable_sort(cores_.begin(), cores_.end(), [](const CoreUse& x, const CoreUse& y) {
        return x.cable != y.cable ? x.cable < y.cable : x.core < y.core;
    });
    for (std::size_t i = 1; i < cores_.size(); ++i) {
        if (cores_[i].cable != cores_[i - 1].cable || cores_[i].core != cores_[i - 1].core)
            continue;
        b_.report.error("design.cable-core", cores_[i].span,
                        fmt::format("core {} of {} is used twice", cores_[i].core,
                                    b_.design.name(cores_[i].cable)),
                        cores_[i - 1].span, "first used here");
    }
}

}  // namespace ferrule::resolve
