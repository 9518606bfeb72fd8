#include "resolve/things.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "resolve/assemblies.hpp"
#include "resolve/fill.hpp"
#include "resolve/lookup.hpp"
#include "resolve/parts.hpp"
#include "resolve/quantity.hpp"
#include "resolve/refs.hpp"
#include "resolve/walk.hpp"

namespace ferrule::resolve {

using graph::Group;
using graph::Thing;

namespace {

constexpr std::int64_t most_in_series = 1'000'000;

struct Made {
    ThingClass cls = ThingClass::device;
    PartId part;
    std::uint32_t assembly = none;
    std::vector<Group> groups;
    std::vector<PartId> fitted;
};

struct Maker {
    explicit Maker(Build& build) : b(build) {
        for (std::size_t i = 0; i < waits.size(); ++i)
            waits[i] = must_wait(b, static_cast<ThingClass>(i));
    }

    Build& b;
    std::array<PartId, class_words.size()> own_parts;
    std::array<bool, class_words.size()> waits =
        {};  // whether the blocks of a class can be read only when all things are known

    PartId own(ThingClass cls) {
        const auto i = static_cast<std::size_t>(cls);
        PartId& part = own_parts[i];
        if (!part) part = own_part(b, b.block_kinds[i], b.symbol(class_words[i]), {});
        return part;
    }

    PartId part_named(const View& v, NodeIndex name, const Wanted& wanted, Scope scope) {
        if (name == no_node) return {};
        const Binding found = look_up(b, b.symbol(v, name), v.span(name), scope.instance, wanted);
        return found ? PartId(found.id) : PartId();
    }

    // ---- what a statement says of all its names ----
    bool groups(const View& v, NodeIndex statement, Scope scope, Made& made) {
        for (const NodeIndex c : v.children(statement)) {
            if (v.kind(c) != NodeKind::group) continue;
            const auto group = read_group(v, c, scope);
            if (!group) return false;
            made.groups.push_back(*group);
        }
        return !made.groups.empty();
    }

    std::optional<Group> read_group(const View& v, NodeIndex node, Scope scope) {
        const NodeIndex number = v.child(node, NodeKind::number),
                        name = v.child(node, NodeKind::name);
        if (number == no_node || name == no_node) return std::nullopt;
        static constexpr Wanted module{.what = "a module, or a battery,",
                                       .things = 0,
                                       .parts = true,
                                       .assemblies = false,
                                       .kind = {}};
        const PartId part = part_named(v, name, module, scope);
        const auto count = parts_in_series(v.text(number));
        if (!count) {
            b.report.error(
                "design.range", v.span(number),
                fmt::format("a string is made of a whole number of parts from 1 to {}, not of {}",
                            most_in_series, quoted(v.text(number))));
            return std::nullopt;
        }
        if (!part) return std::nullopt;
        if (b.kind(part).conducts != "source") {
            b.report.error("design.wrong-kind", v.span(name),
                           fmt::format("{} is {}; a string is made of modules or batteries",
                                       quoted(v.text(name)), with_article(b.kind(part).name)),
                           b.design.parts[part].span, "declared here");
            return std::nullopt;
        }
        return Group{*count, part, v.span(name)};
    }

    bool fitted(const View& v, NodeIndex statement, Scope scope, Made& made) {
        const NodeIndex with = v.child(statement, NodeKind::with);
        if (with == no_node) return true;
        static constexpr Wanted a_part{.what = "a part to be fitted",
                                       .things = 0,
                                       .parts = true,
                                       .assemblies = false,
                                       .kind = {}};
        for (const NodeIndex name : v.children(with)) {
            if (v.kind(name) != NodeKind::name) continue;
            const PartId part = part_named(v, name, a_part, scope);
            if (!part) return false;
            made.fitted.push_back(part);
        }
        return true;
    }

    bool device_part(const View& v, NodeIndex statement, Scope scope, Made& made) {
        const NodeIndex is = v.child(statement, NodeKind::is);
        const NodeIndex name = is == no_node ? no_node : v.child(is, NodeKind::name);
        if (name == no_node) return false;
        static constexpr Wanted either{.what = "a part or an assembly",
                                       .things = 0,
                                       .parts = true,
                                       .assemblies = true,
                                       .kind = {}};
        const Binding found = look_up(b, b.symbol(v, name), v.span(name), scope.instance, either);
        if (!found) return false;
        if (found.means == Means::part) {
            made.part = PartId(found.id);
            return true;
        }
        if (!b.assemblies[found.id].usable) return false;
        made.assembly = found.id;
        made.part = b.assemblies[found.id].part;
        return true;
    }

    bool describe_all(const View& v, NodeIndex statement, Scope scope, Made& made) {
        switch (v.kind(statement)) {
            case NodeKind::place:
                made.cls = ThingClass::place;
                break;
            case NodeKind::string:
                made.cls = ThingClass::string;
                if (!groups(v, statement, scope, made)) return false;
                break;
            case NodeKind::run:
                made.cls = ThingClass::run;
                break;
            case NodeKind::enclosure: {
                made.cls = ThingClass::enclosure;
                const NodeIndex is = v.child(statement, NodeKind::is);
                if (is == no_node) break;
                static constexpr Wanted box{.what = "a box",
                                            .things = 0,
                                            .parts = true,
                                            .assemblies = false,
                                            .kind = "box"};
                made.part = part_named(v, v.child(is, NodeKind::name), box, scope);
                return static_cast<bool>(made.part);
            }
            case NodeKind::cable: {
                made.cls = ThingClass::cable;
                const NodeIndex is = v.child(statement, NodeKind::is);
                static constexpr Wanted cable{.what = "a cable",
                                              .things = 0,
                                              .parts = true,
                                              .assemblies = false,
                                              .kind = "cable"};
                made.part = is == no_node
                                ? PartId()
                                : part_named(v, v.child(is, NodeKind::name), cable, scope);
                return static_cast<bool>(made.part);
            }
            default:
                made.cls = ThingClass::device;
                if (!device_part(v, statement, scope, made)) return false;
                return fitted(v, statement, scope, made);
        }
        made.part = own(made.cls);
        return true;
    }

    // ---- the things ----
    void statement(Statement s, Scope scope) {
        if (b.exhausted) return;
        const View& v = b.view(s);
        Made made;
        const bool good = describe_all(v, s.node, scope, made);
        Thing thing;
        thing.cls = made.cls;
        thing.part = made.part;
        if (scope.instance != none) thing.owner = b.instances[scope.instance].thing;
        thing.statement = v.head(s.node);
        keep_groups(thing, made.groups);
        keep_fitted(thing, made.fitted);
        if (v.kind(s.node) == NodeKind::run) {
            if (const NodeIndex name = v.child(s.node, NodeKind::name); name != no_node)
                names(s, scope, name, v.child(s.node, NodeKind::index), thing, made, good);
            return;
        }
        for (const NodeIndex c : v.children(s.node)) {
            if (v.kind(c) != NodeKind::declared) continue;
            if (const NodeIndex name = v.first(c); name != no_node)
                names(s, scope, name, v.child(c, NodeKind::index), thing, made, good);
        }
    }

    void keep_groups(Thing& thing, const std::vector<Group>& groups) {
        thing.first_group = static_cast<std::uint32_t>(b.design.groups.size());
        thing.groups = static_cast<std::uint32_t>(groups.size());
        b.design.groups.insert(b.design.groups.end(), groups.begin(), groups.end());
    }
    void keep_fitted(Thing& thing, const std::vector<PartId>& fitted) {
        thing.first_fitted = static_cast<std::uint32_t>(b.design.fitted.size());
        thing.fitted = static_cast<std::uint32_t>(fitted.size());
        b.design.fitted.insert(b.design.fitted.end(), fitted.begin(), fitted.end());
    }

    // NAME or NAME[1..6] of a statement.
    void names(Statement s, Scope scope, NodeIndex name, NodeIndex brackets, Thing thing,
               const Made& made, bool good) {
        const View& v = b.view(s);
        thing.name = b.symbol(v, name);
        thing.span = v.span(name);
        const Binding before = scope.instance == none
                                   ? b.names.find(thing.name, none)
                                   : b.names.find_own(thing.name, scope.instance);
        if (before.means == Means::poisoned) return;
        Index index;
        if (brackets != no_node) index = read_index(b, v, brackets, scope);
        if (index.good && index.range && thing.cls == ThingClass::run) {
            b.report.error("design.range", v.span(brackets),
                           "what stands in a run lies in one way, so it has one index",
                           fmt::format("put it in a repeat: repeat i in {}..{} {{ run {}[i] {{ … }} }}",
                                       index.low, index.high, b.text(thing.name)));
            index.good = false;
        }
        if (!good || !index.good) {
            if (!before) b.names.poison(thing.name, scope.instance);
            return;
        }
        if (before && !(before.means == Means::array && index.stated)) {
            duplicate(b, thing.name, thing.span, before);
            // A part and a thing under one name: what is said of the name later fits one of them only.
            if (before.means == Means::part) b.names.poison(thing.name, none);
            return;
        }
        if (before && before.cls != thing.cls) return duplicate(b, thing.name, thing.span, before);
        if (!index.stated) {
            const ThingId id = make(thing, made, v, s);
            if (!id) return;
            b.names.bind(thing.name, scope.instance, {Means::thing, thing.cls, id.value});
            finish(s, scope, id, 1, made);
            return;
        }
        Binding array = before;
        if (array) {  // one more line that declares some of them
            if (b.keep_uses) b.use(thing.span, place_of(b, array));
        } else {
            array = {Means::array, thing.cls, b.names.add_array()};
            b.names.bind(thing.name, scope.instance, array);
        }
        several(s, scope, array, index, thing, made);
    }

    void several(Statement s, Scope scope, Binding array, const Index& index, Thing thing,
                 const Made& made) {
        const View& v = b.view(s);
        ThingId first;
        std::uint32_t count = 0;
        for (std::uint32_t i = index.low; i <= index.high && !b.exhausted; ++i) {
            if (const ThingId there = b.names.array(array.id).at(i)) {
                b.report.error("design.duplicate-name", thing.span,
                               fmt::format("{}[{}] is declared twice", b.text(thing.name), i),
                               b.design.things[there].span, "first declared here");
                break;
            }
            thing.index = i;
            const ThingId id = make(thing, made, v, s);
            if (!id) break;
            b.names.array(array.id).add(i, id);
            if (made.assembly != none) {
                finish(s, scope, id, 1, made);
            } else {
                if (count == 0) first = id;
                ++count;
            }
        }
        if (count != 0) finish(s, scope, first, count, made);
    }

    ThingId make(Thing thing, const Made& made, const View& v, Statement s) {
        if (b.design.things.size() >= base::limits::things) {
            b.exhausted = true;
            b.report.error("design.limit", v.head(s.node),
                           fmt::format("the design has more than {} things (limit things)",
                                       base::limits::things));
            return {};
        }
        if (!b.excepted.empty() && b.excepted.contains(thing.name)) except(thing, made);
        const ThingId id(b.design.things.size());
        const std::size_t terminals = b.design.parts[thing.part].terminals.size();
        thing.first_terminal = TerminalId(b.design.terminals.size());
        for (std::size_t i = 0; i < terminals; ++i) b.design.terminals.add(id);
        return b.design.things.add(thing);
    }

    // The usual case, at once: in a place or box that is declared above under a plain name.
    bool place_now(const View& v, NodeIndex where, Scope scope, ThingId first,
                   std::uint32_t count) {
        const NodeIndex ref = v.first(where);
        const NodeIndex name = ref == no_node ? no_node : v.first(ref);
        if (name == no_node || v.node(name).next != v.node(where).next) return false;
        const Binding there = b.names.find(b.symbol(v, name), scope.instance);
        if (there.means != Means::thing ||
            (there.cls != ThingClass::place && there.cls != ThingClass::enclosure))
            return false;
        if (b.keep_uses) b.use(v.span(name), place_of(b, there));
        for (std::uint32_t k = 0; k < count; ++k)
            b.design.things[ThingId(first.value + k)].where = ThingId(there.id);
        return true;
    }

    // What else has to be read, and the inside of an assembly.
    void finish(Statement s, Scope scope, ThingId first, std::uint32_t count, const Made& made) {
        const View& v = b.view(s);
        const NodeIndex where = v.child(s.node, NodeKind::where);
        const bool placed = where == no_node || place_now(v, where, scope, first, count);
        const NodeIndex block = v.child(s.node, NodeKind::block);
        Pending rest{s,     scope,  first,
                     count, placed, block == no_node || !waits[static_cast<std::size_t>(made.cls)]};
        if (block != no_node && rest.filled) fill_block(b, rest, block);
        if (!rest.placed || !rest.filled || made.cls == ThingClass::cable)
            b.pending.push_back(rest);
        if (made.assembly == none) return;
        Assembly& assembly = b.assemblies[made.assembly];
        assembly.used = true;
        Instance instance;
        instance.assembly = made.assembly;
        instance.thing = first;
        const auto inside = static_cast<std::uint32_t>(b.instances.size());
        b.instances.push_back(instance);
        const Statement at = assembly.at;
        const View& body = b.view(at);
        const auto visit = [&](Statement inner, Scope in) {
            if (count_work(b, b.view(inner), inner.node)) statement(inner, in);
        };
        carry_out_block(b, at.file, body.child(at.node, NodeKind::block), {inside, none},
                        Task::things, visit);
    }

    // ---- except ----
    void except(Thing& thing, const Made& made) {
        std::string name = thing.owner ? b.design.name(thing.owner) + '.' : std::string();
        name += b.text(thing.name);
        if (thing.index != 0) name += fmt::format("[{}]", thing.index);
        const auto found = b.exceptions.find(name);
        if (found == b.exceptions.end()) return;
        found->second.met = true;
        const Statement s = found->second.at;
        const View& v = b.view(s);
        Made differs;
        const NodeIndex group = v.child(s.node, NodeKind::group),
                        is = v.child(s.node, NodeKind::is), with = v.child(s.node, NodeKind::with);
        const std::string_view wrong =
            group != no_node && thing.cls != ThingClass::string
                ? "is no string: it is not made of so many parts"
            : (is != no_node || with != no_node) && thing.cls != ThingClass::device
                ? "is no device: it has no part of its own and nothing is fitted in it"
            : made.assembly != none ? "is an instance of an assembly: name the member that differs"
                                    : "";
        if (!wrong.empty())
            return b.report.error("design.except", v.head(s.node),
                                  fmt::format("{} {}", name, wrong), thing.span, "declared here");
        bool changed = false;
        if (group != no_node) {
            if (!groups(v, s.node, {}, differs)) return;
            changed = !same(made.groups, differs.groups);
            keep_groups(thing, differs.groups);
        }
        if (is != no_node) {
            if (!device_part(v, s.node, {}, differs)) return;
            if (differs.assembly != none)
                return b.report.error(
                    "design.except", v.head(s.node),
                    fmt::format("{} is a device; an assembly cannot take its place", name));
            changed = changed || differs.part != thing.part;
            thing.part = differs.part;
        }
        if (with != no_node) {
            if (!fitted(v, s.node, {}, differs)) return;
            changed = changed || differs.fitted != made.fitted;
            keep_fitted(thing, differs.fitted);
        }
        if (!changed && v.child(s.node, NodeKind::junk) == no_node) {
            b.report.error("design.except", v.head(s.node),
                           fmt::format("this changes nothing: {} is so already", name), thing.span,
                           "declared here");
            return;
        }
        const Span now = v.span(v.child(s.node, NodeKind::ref));
        if (b.keep_uses) b.before_except.emplace(Build::place(now), thing.span);
        thing.span = now;  // what it is now, this line says
    }

    static bool same(const std::vector<Group>& x, const std::vector<Group>& y) {
        return std::equal(
            x.begin(), x.end(), y.begin(), y.end(),
            [](const Group& a, const Group& c) { return a.count == c.count && a.part == c.part; });
    }
};

}  // namespace

void make_things(Build& b) {
    Maker maker(b);
    const auto visit = [&](Statement s, Scope scope) { maker.statement(s, scope); };
    b.design.things.reserve(b.things.size());
    for (const Statement s : b.things) {
        const NodeKind kind = b.view(s).kind(s.node);
        const bool much =
            kind == NodeKind::repeat || (kind == NodeKind::device && !b.assemblies.empty());
        if (!much || affordable(b, s, Task::things)) carry_out(b, s, {}, Task::things, visit);
    }
    for (const Assembly& a : b.assemblies) {
        if (a.used || !a.usable) continue;
        findings::Finding f =
            warning("design.assembly", a.span,
                    fmt::format("assembly {} is used nowhere, so what stands in it was not judged",
                                b.text(a.name)));
        f.severity = findings::Severity::note;
        f.remedy = fmt::format("use it: device NAME is {}; or take it out", b.text(a.name));
        b.report.add(std::move(f));
    }
}

std::optional<std::uint32_t> parts_in_series(std::string_view digits) {
    const auto count = whole(digits);
    if (!count || *count < 1 || *count > most_in_series) return std::nullopt;
    return static_cast<std::uint32_t>(*count);
}

}  // namespace ferrule::resolve
