#include "resolve/refs.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "base/nearest.hpp"

namespace ferrule::resolve {

namespace {

// How far a path could be followed: to a thing, and with `port` set to a port of an assembly's
// instance.
struct Located {
    ThingId thing;
    TerminalId port;
    std::uint8_t used = 0;         // steps that led there
    const Step* member = nullptr;  // the first that went into an instance other than by a port
};

std::string written(const Path& path, std::uint32_t begin, std::uint32_t end) {
    return quoted(path.view->bytes().substr(begin, end - begin));
}

// A terminal is declared in the data sheet; one that the part has without saying so comes with the part.
void use_terminal(Build& b, Span at, TerminalId terminal) {
    const Span own = b.design.terminal(terminal).span;
    const Span part = b.design.part_of(b.design.terminals[terminal]).span;
    if (own && own != part) b.use(at, own);
    else b.use(at, part, true);
}

// One of an array, or the thing itself.
ThingId pick(Build& b, Binding found, const Index& index, std::uint32_t k, std::string_view name,
             Span at) {
    const bool several = found.means == Means::array;
    if (!several && !index.stated) return ThingId(found.id);
    if (several && index.stated) {
        if (const ThingId one = b.names.array(found.id).at(index.at(k))) return one;
    }
    if (b.report.said("design.range", at)) return {};
    if (!several) {
        b.report.error("design.range", at,
                       fmt::format("{} is {}, not several: it has no [{}]", quoted(name),
                                   describe(b, found), index.at(k)),
                       fmt::format("a terminal is written {}.{}", quoted(name), index.at(k)));
        return {};
    }
    const Array& array = b.names.array(found.id);
    if (!index.stated) {
        b.report.error("design.range", at,
                       fmt::format("{} are several, {}[{}]; say which", quoted(name), quoted(name),
                                   array.indices()));
        return {};
    }
    b.report.error("design.range", at,
                   fmt::format("there is no {}[{}]; there are {}[{}]", quoted(name), index.at(k),
                               quoted(name), array.indices()),
                   array.any() ? b.design.things[array.any()].span : Span(), "declared here");
    return {};
}

TerminalId port_of(const Build& b, const Instance& instance, const Step& step, std::uint32_t k) {
    const Symbol label = label_of(b, step, k);
    if (!label) return {};
    for (const auto& [name, terminal] : instance.ports) {
        if (name == label) return terminal;
    }
    return {};
}

Located locate(Build& b, const Path& path, std::uint32_t k, Scope scope, const Wanted& wanted) {
    Located at;
    if (!path.good) return at;
    const Binding found =
        look_up(b, path.head, path.head_span(), scope.instance, path.count == 0 ? wanted : a_thing);
    if (!found) return at;
    at.thing =
        pick(b, found, path.index, k, b.text(path.head),
             path.view->span(path.begin, path.index.stated ? path.index.end : path.head_end));
    while (at.thing && at.used < path.count) {
        const Instance* instance = b.instance_of(at.thing);
        if (instance == nullptr) return at;
        const Step& step = path.steps[at.used];
        ++at.used;
        at.port = port_of(b, *instance, step, k);
        const Span here = path.view->span(step.begin, step.index.stated ? step.index.begin : step.end);
        if (at.port) {
            if (b.keep_uses) use_terminal(b, here, at.port);
            return at;
        }
        const Binding member =
            step.mark ? b.names.find_own(step.mark,
                                         static_cast<std::uint32_t>(instance - b.instances.data()))
                      : Binding();
        if (member.means == Means::poisoned || (!member && instance->broken)) return {};
        if (!member) {
            if (b.report.said("design.unknown-terminal", path.view->span(step.begin, step.end)))
                return {};
            std::vector<std::string_view> ports;
            for (const auto& [name, terminal] : instance->ports) ports.push_back(b.text(name));
            b.report.error(
                "design.unknown-terminal", path.view->span(step.begin, step.end),
                fmt::format("{} has no port {}; {}", b.design.name(at.thing),
                            written(path, step.begin, step.end),
                            ports.empty() ? "it has none at all" : "it has " + list(ports)),
                b.assemblies[instance->assembly].span, "the assembly");
            return {};
        }
        if (at.member == nullptr) at.member = &step;
        if (b.keep_uses) b.use(here, place_of(b, member));
        at.thing = pick(b, member, step.index, k, b.text(step.mark),
                        path.view->span(step.begin, step.end));
    }
    return at;
}

// The one terminal that a bare name means; 0xffff if there is none or it is not clear which.
std::uint16_t bare_terminal(const Build& b, ThingId thing, Bare bare) {
    const graph::Part& part = b.design.part_of(thing);
    const auto& terminals = part.terminals;
    if (terminals.size() == 1 ||
        (b.kind(b.design.things[thing].part).one_metal && !terminals.empty()))
        return 0;
    if (bare == Bare::one_terminal) return 0xffff;
    std::uint16_t found = 0xffff;
    for (std::uint16_t i = 0; i < terminals.size(); ++i) {
        if (!terminals[i].protective) continue;
        if (found != 0xffff) return 0xffff;
        found = i;
    }
    return found;
}

std::vector<std::string_view> labels(const Build& b, ThingId thing) {
    std::vector<std::string_view> all;
    for (const auto& t : b.design.part_of(thing).terminals) all.push_back(b.text(t.label));
    return all;
}

void missing_terminal(Build& b, const Path& path, ThingId thing, Bare bare) {
    const auto all = labels(b, thing);
    std::string message = fmt::format("{} names no terminal", quoted(path.view->text(path.node)));
    if (all.empty()) {
        if (b.doubtful_parts.contains(b.design.things[thing].part)) return;
        message = fmt::format("{} has no terminals", b.design.name(thing));
    } else if (bare == Bare::bonding_point) {
        const bool some = std::any_of(b.design.part_of(thing).terminals.begin(),
                                      b.design.part_of(thing).terminals.end(),
                                      [](const auto& t) { return t.protective; });
        message =
            fmt::format("{} has {}; say which terminal: {}", b.design.name(thing),
                        some ? "several bonding points" : "no bonding point", list(all, "or"));
    } else {
        message += fmt::format("; it has {}", list(all));
    }
    b.report.error("design.unknown-terminal", path.span(), std::move(message),
                   b.design.part_of(thing).span, "its terminals are given here");
}

// `Q1.upper[3]`: the third terminal in the row `upper` of its face.
Landing by_position(Build& b, const Path& path, ThingId thing, const Step& step, std::uint32_t k) {
    Landing landing;
    landing.touched = thing;
    landing.side = step.mark;
    landing.position =
        static_cast<std::uint16_t>(std::min<std::uint32_t>(step.index.at(k), 0xffff));
    const graph::Part& part = b.design.part_of(thing);
    std::uint16_t places = 0;
    for (const auto& place : part.face) {
        if (place.side != step.mark) continue;
        ++places;
        if (place.position == landing.position)
            landing.terminal = b.design.terminal(thing, place.terminal);
    }
    if (landing.terminal || b.doubtful_parts.contains(b.design.things[thing].part)) return landing;
    const Span at = path.view->span(step.begin, step.end);
    if (part.face.empty()) {
        b.report.error("design.position", at,
                       fmt::format("{} is named by its place, but {} states no face: nothing says "
                                   "which terminal that is",
                                   written(path, path.begin, path.end), b.text(part.name)),
                       part.span, "a `face` belongs in this data sheet");
    } else if (places == 0) {
        b.report.error(
            "design.position", at,
            fmt::format("the face of {} has no {}", b.text(part.name), b.text(step.mark)),
            part.span, "its data sheet");
    } else {
        b.report.error("design.position", at,
                       fmt::format("the face of {} has {} in {}, no number {}", b.text(part.name),
                                   places, b.text(step.mark), landing.position),
                       part.span, "its data sheet");
    }
    return landing;
}

Landing terminal_of(Build& b, const Path& path, const Located& at, std::uint32_t k, Bare bare) {
    Landing landing;
    landing.touched = at.thing;
    if (at.used == path.count) {
        const std::uint16_t local = bare_terminal(b, at.thing, bare);
        if (local == 0xffff) missing_terminal(b, path, at.thing, bare);
        else landing.terminal = b.design.terminal(at.thing, local);
        return landing;
    }
    const Step& step = path.steps[at.used];
    if (at.used + 1 == path.count) {
        if (const Symbol label = label_of(b, step, k))
            landing.terminal = b.design.terminal(at.thing, label);
        if (landing.terminal) {
            if (b.keep_uses) use_terminal(b, path.view->span(step.begin, step.end), landing.terminal);
            return landing;
        }
        if (step.mark && step.index.stated && step.sign == 0 &&
            b.words.in_tail(step.mark) == TailWord::side) {
            return by_position(b, path, at.thing, step, k);
        }
    }
    unknown_terminal(b, at.thing, path.view->span(step.begin, path.end),
                     path.view->bytes().substr(step.begin, path.end - step.begin));
    return landing;
}

}  // namespace

Symbol label_of(const Build& b, const Step& step, std::uint32_t k) {
    if (!step.index.stated) return step.mark;
    std::string label = step.mark ? std::string(b.text(step.mark)) : std::string();
    label += std::to_string(step.index.at(k));
    if (step.sign != 0) label += step.sign;
    return b.design.names.find(label);
}

std::uint32_t Path::length() const {
    std::uint32_t n = index.count();
    for (std::uint8_t i = 0; i < count; ++i) n = std::max(n, steps[i].index.count());
    return n;
}

Path read_path(Build& b, const View& v, NodeIndex ref, Scope scope) {
    Path path;
    path.view = &v;
    path.node = ref;
    path.begin = v.node(ref).begin;
    path.end = v.node(ref).end;
    const std::string_view bytes = v.bytes();
    Index* last = nullptr;
    bool ranged = false;
    for (const NodeIndex c : v.children(ref)) {
        const syntax::Node& node = v.node(c);
        const NodeKind kind = v.kind(c);
        if (kind == NodeKind::name) {
            path.head = b.symbol(v, c);
            path.head_end = node.end;
            last = &path.index;
        } else if (kind == NodeKind::mark ||
                   (kind == NodeKind::index && node.begin > 0 && bytes[node.begin - 1] == '.')) {
            if (path.count == path.steps.size()) {
                b.report.error(
                    "design.unknown-name", v.span(ref),
                    fmt::format("{} goes deeper than anything here", quoted(v.text(ref))));
                path.good = false;
                return path;
            }
            Step& step = path.steps[path.count++];
            step.begin = node.begin;
            step.end = node.end;
            if (kind == NodeKind::mark) step.mark = b.symbol(v, c);
            last = &step.index;
        }
        if (kind == NodeKind::index && last != nullptr) {
            *last = read_index(b, v, c, scope);
            if (!last->good) path.good = false;
            if (last->range && ranged) {
                b.report.error("design.range", v.span(ref),
                               fmt::format("{} has two ranges; one at most can run in step",
                                           quoted(v.text(ref))));
                path.good = false;
            }
            ranged = ranged || last->range;
            if (path.count > 0) {
                Step& step = path.steps[path.count - 1];
                step.end = node.end;
                if (node.end < path.end && (bytes[node.end] == '+' || bytes[node.end] == '-')) {
                    step.sign = bytes[node.end];
                    ++step.end;
                }
            }
        } else if (kind == NodeKind::junk) {
            path.good = false;
        }
    }
    if (!path.head) path.good = false;
    return path;
}

ThingId thing_at(Build& b, const Path& path, std::uint32_t k, Scope scope, const Wanted& wanted) {
    const Located at = locate(b, path, k, scope, wanted);
    if (!at.thing) return {};
    if (at.port || at.used < path.count) {
        b.report.error("design.wrong-kind", path.span(),
                       fmt::format("{} is a terminal; {} is wanted here",
                                   quoted(path.view->text(path.node)), wanted.what));
        return {};
    }
    const Binding found{Means::thing, b.design.things[at.thing].cls, at.thing.value};
    if (wanted.takes(b, found)) return at.thing;
    b.report.error("design.wrong-kind", path.span(),
                   fmt::format("{} is {}; {} is wanted here", quoted(path.view->text(path.node)),
                               describe(b, found), wanted.what),
                   b.design.things[at.thing].span, "declared here");
    return {};
}

Landing landing_at(Build& b, const Path& path, std::uint32_t k, Scope scope, Bare bare) {
    const Located at = locate(b, path, k, scope, a_thing);
    if (!at.thing) return {};
    if (at.member != nullptr) {
        const ThingId outer = thing_at(
            b,
            [&] {
                Path head = path;
                head.count = 0;
                return head;
            }(),
            k, scope, a_thing);
        const Instance* instance = outer ? b.instance_of(outer) : nullptr;
        if (instance == nullptr) return {};
        std::vector<std::string_view> ports;
        for (const auto& [name, terminal] : instance->ports) ports.push_back(b.text(name));
        b.report.error(
            "design.assembly", path.span(),
            fmt::format("{} is inside {}; from outside a conductor lands on its ports only{}",
                        quoted(path.view->text(path.node)), b.design.name(outer),
                        ports.empty() ? std::string(", and it has none") : ": " + list(ports)),
            b.assemblies[instance->assembly].span,
            "the assembly, where a `port` makes a terminal reachable");
        return {};
    }
    if (at.port) {
        if (at.used == path.count) return {at.port, {}, 0, b.design.terminals[at.port]};
        unknown_terminal(b, at.thing, path.span(), path.view->text(path.node));
        return {};
    }
    return terminal_of(b, path, at, k, bare);
}

TerminalId terminal_at(Build& b, const Path& path, std::uint32_t k, Scope scope) {
    const Located at = locate(b, path, k, scope, a_thing);
    if (!at.thing) return {};
    if (at.port) return at.port;
    return terminal_of(b, path, at, k, Bare::bonding_point).terminal;
}

Either either_at(Build& b, const Path& path, std::uint32_t k, Scope scope) {
    const Located at = locate(b, path, k, scope, a_thing);
    if (!at.thing) return {};
    if (at.port) return {b.design.terminals[at.port], at.port};
    if (at.used == path.count) return {at.thing, {}};
    return {at.thing, terminal_of(b, path, at, k, Bare::bonding_point).terminal};
}

ThingId owner_at(Build& b, const Path& path, std::uint32_t k, Scope scope) {
    const Located at = locate(b, path, k, scope, a_thing);
    if (!at.thing) return {};
    if (at.port) return b.design.terminals[at.port];
    if (at.used == path.count) return at.thing;
    const Step& step = path.steps[at.used];
    if (at.used + 1 == path.count) {
        const std::string mark(step.mark ? b.text(step.mark) : std::string_view());
        const std::string sign = step.sign != 0 ? std::string(1, step.sign) : std::string();
        const bool one = step.index.stated;
        if (b.design.has_place(at.thing, one ? fmt::format("{}{}{}", mark, step.index.at(k), sign) : mark)) return at.thing;
        if (one && b.design.has_place(at.thing, fmt::format("{}[{}]", mark, step.index.at(k)))) return at.thing;
    }
    const Span here = path.view->span(step.begin, path.end);
    const std::string_view written_so = path.view->bytes().substr(step.begin, path.end - step.begin);
    if (b.design.things[at.thing].cls == ThingClass::enclosure) unknown_entry(b, at.thing, here, written_so);
    else unknown_terminal(b, at.thing, here, written_so);
    return {};
}

std::optional<std::uint32_t> entry_of(const Build& b, ThingId box, Symbol name,
                                      std::uint32_t index) {
    const auto found = b.entries_of.find(box);
    if (found == b.entries_of.end()) return std::nullopt;
    for (std::uint32_t i = 0; i < found->second.second; ++i) {
        const graph::Entry& e = b.design.entries[found->second.first + i];
        if (e.name == name && e.index == index) return found->second.first + i;
    }
    return std::nullopt;
}

void unknown_entry(Build& b, ThingId box, Span at, std::string_view what) {
    if (b.doubtful_boxes.contains(box) || b.report.said("design.unknown-entry", at)) return;
    b.design.left_open.push_back(box);  // what does not pass its openings proves nothing
    std::string message = fmt::format("{} has no entry {}", b.design.name(box), quoted(what));
    if (const auto found = b.entries_of.find(box); found != b.entries_of.end()) {
        std::vector<std::string> names;
        for (std::uint32_t i = 0; i < found->second.second; ++i) {
            const graph::Entry& e = b.design.entries[found->second.first + i];
            names.push_back(e.index == 0 ? std::string(b.text(e.name))
                                         : fmt::format("{}[{}]", b.text(e.name), e.index));
        }
        message += "; it has " + list({names.begin(), names.end()});
    } else {
        message += "; it states none";
    }
    b.report.error("design.unknown-entry", at, std::move(message), b.design.things[box].span,
                   "the box");
}

std::optional<std::uint32_t> entry_at(Build& b, const Path& path, std::uint32_t k, Scope scope) {
    const Located at = locate(b, path, k, scope, a_thing);
    if (!at.thing || at.port) return std::nullopt;
    const bool box = b.design.things[at.thing].cls == ThingClass::enclosure;
    if (!box || at.used + 1 != path.count) {
        b.report.error(
            "design.unknown-entry", path.span(),
            box ? fmt::format("{} names no entry of {}", quoted(path.view->text(path.node)),
                              b.design.name(at.thing))
                : fmt::format("{} is no enclosure: it has no entries", b.design.name(at.thing)));
        return std::nullopt;
    }
    const Step& step = path.steps[at.used];
    const auto entry = entry_of(b, at.thing, step.mark, step.index.stated ? step.index.at(k) : 0);
    if (!entry)
        unknown_entry(b, at.thing, path.view->span(step.begin, step.end),
                      path.view->bytes().substr(step.begin, step.end - step.begin));
    return entry;
}

void unknown_terminal(Build& b, ThingId device, Span at, std::string_view what) {
    const graph::Part& part = b.design.part_of(device);
    if (b.doubtful_parts.contains(b.design.things[device].part) ||
        b.report.said("design.unknown-terminal", at))
        return;
    const auto all = labels(b, device);
    std::string message = fmt::format("{} has no terminal {}", b.design.name(device), quoted(what));
    message += all.empty() ? "; it has none at all" : "; it has " + list(all, "and", 24);
    findings::Finding f = error("design.unknown-terminal", at, std::move(message));
    f.subject = b.design.name(device);
    if (const std::string_view near = base::nearest(what, all); !near.empty())
        f.remedy = fmt::format("write {} if that is meant", near);
    if (part.span)
        f.related.push_back({part.span, fmt::format("{} is described here", b.text(part.name))});
    b.report.add(std::move(f));
}

}  // namespace ferrule::resolve
