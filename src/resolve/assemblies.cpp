#include "resolve/assemblies.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "resolve/blocks.hpp"
#include "resolve/index.hpp"
#include "resolve/lookup.hpp"
#include "resolve/parts.hpp"
#include "resolve/walk.hpp"

namespace ferrule::resolve {

namespace {

constexpr std::uint64_t ceiling = std::uint64_t{1}
                                  << 40U;  // far above every limit; sums stay below overflow

struct Weight {
    std::uint64_t things = 0;
    std::uint64_t statements = 0;
    void add(Weight w, std::uint64_t times = 1) {
        times = std::min(times, ceiling);
        things = std::min(ceiling, things + std::min(ceiling / times + 1, w.things) * times);
        statements =
            std::min(ceiling, statements + std::min(ceiling / times + 1, w.statements) * times);
    }
    [[nodiscard]] bool too_much() const {
        return things > base::limits::things || statements > base::limits::repeat_work;
    }
};

// How often a statement is meant by its ranges in brackets, as far as that stands in plain numbers.
std::uint64_t times(const View& v, NodeIndex declared) {
    const NodeIndex index = v.child(declared, NodeKind::index);
    if (index == no_node) return 1;
    const NodeIndex low = v.first(index);
    if (low == no_node) return 1;
    const NodeIndex high = v.node(low).next;
    if (high >= v.node(index).next) return 1;
    const auto from = whole(v.text(low)), to = whole(v.text(high));
    return from && to && *to >= *from ? static_cast<std::uint64_t>(*to - *from) + 1 : 1;
}

struct Counter {
    Build& b;
    struct Use {
        std::uint32_t assembly;
        Statement at;  // the device statement in it that is being followed
    };
    std::vector<Use> chain;

    std::uint32_t assembly_of(const View& v, NodeIndex device) {
        const NodeIndex is = v.child(device, NodeKind::is);
        const NodeIndex name = is == no_node ? no_node : v.child(is, NodeKind::name);
        if (name == no_node) return none;
        const Binding found = b.names.find(b.symbol(v, name), none);
        return found.means == Means::assembly ? found.id : none;
    }

    Weight statement(Statement s) {
        const View& v = b.view(s);
        Weight w;
        switch (v.kind(s.node)) {
            case NodeKind::repeat: {
                const NodeIndex body = v.child(s.node, NodeKind::block);
                std::vector<std::int64_t> ends;
                for (const NodeIndex c : v.children(s.node)) {
                    if (v.kind(c) != NodeKind::number) continue;
                    const auto n = whole(v.text(c));
                    if (!n) return w;  // reported when it is carried out
                    ends.push_back(*n);
                }
                if (body == no_node || ends.size() != 2 || ends[1] < ends[0] ||
                    ends[1] - ends[0] >= base::limits::repeat_count)
                    return w;
                Weight inner;
                for (const NodeIndex item : v.children(body)) inner.add(statement({s.file, item}));
                w.add(inner, static_cast<std::uint64_t>(ends[1] - ends[0]) + 1);
                return w;
            }
            case NodeKind::device: {
                const std::uint32_t assembly = assembly_of(v, s.node);
                Weight one{1, 1};
                if (assembly != none) {
                    visit(assembly, s);
                    b.assemblies[assembly].used = true;
                    // what holds something that cannot be built cannot be built either, and need
                    // not be told so
                    if (!b.assemblies[assembly].usable && !chain.empty())
                        b.assemblies[chain.back().assembly].usable = false;
                    one.add({b.assemblies[assembly].things, b.assemblies[assembly].statements});
                }
                for (const NodeIndex c : v.children(s.node)) {
                    if (v.kind(c) == NodeKind::declared) w.add(one, times(v, c));
                }
                return w;
            }
            case NodeKind::place:
            case NodeKind::string:
            case NodeKind::enclosure:
            case NodeKind::cable:
                for (const NodeIndex c : v.children(s.node)) {
                    if (v.kind(c) == NodeKind::declared) w.add({1, 1}, times(v, c));
                }
                return w;
            case NodeKind::run: {
                w.add({1, 1});
                if (const NodeIndex body = v.child(s.node, NodeKind::block); body != no_node) {
                    for (const NodeIndex item : v.children(body)) w.add(statement({s.file, item}));
                }
                return w;
            }
            default:
                return {0, 1};
        }
    }

    void visit(std::uint32_t index, Statement use) {
        using Counted = Assembly::Counted;
        Assembly& assembly = b.assemblies[index];
        if (assembly.counted == Counted::yes) return;
        if (assembly.counted == Counted::going) return circle(index, use);
        if (chain.size() >= base::limits::block_depth) {
            b.report.error(
                "design.limit", b.view(use).head(use.node),
                fmt::format("assemblies stand in each other more than {} deep (limit block_depth)",
                            base::limits::block_depth));
            assembly.usable = false;
            return;
        }
        assembly.counted = Counted::going;
        const View& v = b.view(assembly.at);
        Weight sum;
        std::uint64_t most = 0;
        if (const NodeIndex body = v.child(assembly.at.node, NodeKind::block); body != no_node) {
            for (const NodeIndex item : v.children(body)) {
                chain.push_back({index, {assembly.at.file, item}});
                const Weight w = statement({assembly.at.file, item});
                chain.pop_back();
                sum.add(w);
                if (w.things > most) {
                    most = w.things;
                    assembly.heaviest = item;
                }
                if (sum.too_much()) {
                    too_large(index, {assembly.at.file, item}, sum);
                    sum = {};
                    break;
                }
            }
        }
        if (!assembly.usable) sum = {};
        assembly.things = sum.things;
        assembly.statements = sum.statements;
        assembly.counted = Counted::yes;
    }

    void circle(std::uint32_t index, Statement use) {
        const auto start = std::find_if(chain.begin(), chain.end(),
                                        [&](const Use& u) { return u.assembly == index; });
        findings::Finding f =
            error("design.assembly", b.view(use).head(use.node),
                  fmt::format("assembly {} contains itself{}", b.text(b.assemblies[index].name),
                              chain.end() - start > 1 ? " by way of others" : ""));
        for (auto step = start; step != chain.end(); ++step) {
            b.assemblies[step->assembly].usable = false;
            f.related.push_back(
                {b.assemblies[step->assembly].span,
                 fmt::format("assembly {}", b.text(b.assemblies[step->assembly].name))});
            if (step + 1 != chain.end()) {
                f.related.push_back(
                    {b.view(step->at).head(step->at.node),
                     fmt::format("uses {}", b.text(b.assemblies[(step + 1)->assembly].name))});
            }
        }
        f.remedy = "an assembly cannot be a part of itself; take one of these devices out";
        b.report.add(std::move(f));
    }

    void too_large(std::uint32_t index, Statement at, Weight sum) {
        b.assemblies[index].usable = false;
        b.report.add(
            explained(at, fmt::format("assembly {} comes to more than {} here",
                                      b.text(b.assemblies[index].name), limit_passed(sum))));
    }

    static std::string limit_passed(Weight sum) {
        return sum.things > base::limits::things
                   ? fmt::format("{} things (limit things)", base::limits::things)
                   : fmt::format("{} statements (limit repeat_work)", base::limits::repeat_work);
    }

    // With the way down through the assemblies that bring most.
    findings::Finding explained(Statement at, std::string message) {
        findings::Finding f = error("design.limit", b.view(at).head(at.node), std::move(message));
        f.remedy =
            "nothing of it was written out; check the numbers in brackets and how often assemblies "
            "use each other";
        for (int depth = 0; depth < 12; ++depth) {
            NodeIndex node = at.node;
            const View& v = b.view(at);
            while (node != no_node && v.kind(node) == NodeKind::repeat) {  // the first device in it
                const NodeIndex body = v.child(node, NodeKind::block);
                node = body == no_node ? no_node : v.child(body, NodeKind::device);
            }
            const std::uint32_t next =
                node == no_node || v.kind(node) != NodeKind::device ? none : assembly_of(v, node);
            if (next == none || b.assemblies[next].heaviest == no_node) break;
            at = {b.assemblies[next].at.file, b.assemblies[next].heaviest};
            f.related.push_back(
                {b.view(at).head(at.node),
                 fmt::format("{} comes to {} things, most of them here",
                             b.text(b.assemblies[next].name), b.assemblies[next].things)});
        }
        return f;
    }
};

// Nothing comes of the names in it.
void poison_all(Build& b, const View& v, NodeIndex statement) {
    for (NodeIndex n = statement; n < v.node(statement).next; ++n) {
        if (v.kind(n) != NodeKind::declared) continue;
        const NodeIndex name = v.first(n);
        if (name == no_node) continue;
        const Symbol symbol = b.symbol(v, name);
        if (!b.names.find(symbol, none)) b.names.poison(symbol, none);
    }
}

constexpr NodeKind allowed_inside[] = {
    NodeKind::place, NodeKind::string,    NodeKind::enclosure, NodeKind::device, NodeKind::run,
    NodeKind::cable, NodeKind::conductor, NodeKind::jumper,    NodeKind::bond,   NodeKind::earth,
    NodeKind::gang,  NodeKind::label_on,  NodeKind::port,      NodeKind::repeat, NodeKind::junk};

void check_statements(Build& b, const View& v, NodeIndex block) {
    for (const NodeIndex item : v.children(block)) {
        if (std::find(std::begin(allowed_inside), std::end(allowed_inside), v.kind(item)) ==
            std::end(allowed_inside)) {
            if (v.kind(item) == NodeKind::property) {
                const NodeIndex word = v.first(item);
                if (word != no_node)
                    b.report.error("design.unknown-statement", v.span(word),
                                   fmt::format("{} opens no statement", quoted(v.text(word))));
            } else {
                misplaced(b, v, item, "in an assembly");
            }
        } else if (v.kind(item) == NodeKind::repeat) {
            if (const NodeIndex inner = v.child(item, NodeKind::block); inner != no_node)
                check_statements(b, v, inner);
        }
    }
}

}  // namespace

void read_assemblies(Build& b) {
    for (const Statement s : b.assembly_statements) {
        const View& v = b.view(s);
        const NodeIndex name = v.child(s.node, NodeKind::name);
        if (name == no_node) continue;
        const Symbol symbol = b.symbol(v, name);
        if (const Binding before = b.names.find(symbol, none)) {
            duplicate(b, symbol, v.span(name), before);
            continue;
        }
        Assembly a;
        a.name = symbol;
        a.at = s;
        a.span = v.span(name);
        a.part = own_part(b, b.block_kinds[static_cast<std::size_t>(ThingClass::device)], symbol,
                          a.span);
        b.names.bind(symbol, none,
                     {Means::assembly, {}, static_cast<std::uint32_t>(b.assemblies.size())});
        b.assemblies.push_back(a);
        if (const NodeIndex block = v.child(s.node, NodeKind::block); block != no_node)
            check_statements(b, v, block);
    }
    Counter counter{b, {}};
    for (std::uint32_t i = 0; i < b.assemblies.size(); ++i) counter.visit(i, b.assemblies[i].at);
}

bool affordable(Build& b, Statement s, Task task) {
    const View& v = b.view(s);
    Counter counter{b, {}};
    Weight sum{task == Task::things ? b.design.things.size() : 0, b.work};
    const Weight own = counter.statement(s);
    sum.add(own);
    if (!sum.too_much()) return true;
    b.report.add(counter.explained(
        s, fmt::format("the design comes to more than {} here", Counter::limit_passed(sum))));
    poison_all(b, v, s.node);
    return false;
}

}  // namespace ferrule::resolve
