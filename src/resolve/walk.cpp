#include "resolve/walk.hpp"

#include <fmt/format.h>

#include "base/limits.hpp"
#include "resolve/index.hpp"

namespace ferrule::resolve {

bool belongs(NodeKind statement, Task task) {
    switch (statement) {
        case NodeKind::place:
        case NodeKind::string:
        case NodeKind::enclosure:
        case NodeKind::device:
        case NodeKind::cable:
            return task == Task::things;
        case NodeKind::run:
            return task == Task::things || task == Task::wires;
        case NodeKind::port:
            return task == Task::ports;
        case NodeKind::conductor:
        case NodeKind::jumper:
        case NodeKind::bond:
        case NodeKind::earth:
        case NodeKind::gang:
            return task == Task::wires;
        case NodeKind::label_on:
        case NodeKind::steps:
        case NodeKind::reading:
        case NodeKind::accept:
            return task == Task::papers;
        case NodeKind::except:
            return task == Task::excepts;
        default:
            return false;
    }
}

bool holds(const View& v, NodeIndex block, Task task) {
    for (const NodeIndex item : v.children(block)) {
        if (belongs(v.kind(item), task)) return true;
        if (v.kind(item) != NodeKind::repeat) continue;
        const NodeIndex inner = v.child(item, NodeKind::block);
        if (inner != no_node && holds(v, inner, task)) return true;
    }
    return false;
}

std::optional<Turns> read_repeat(Build& b, const View& v, NodeIndex repeat) {
    const NodeIndex name = v.child(repeat, NodeKind::name);
    if (name == no_node) return std::nullopt;
    NodeIndex numbers[2] = {no_node, no_node};
    int found = 0;
    for (const NodeIndex c : v.children(repeat)) {
        if (v.kind(c) == NodeKind::number && found < 2) numbers[found++] = c;
    }
    if (found < 2) return std::nullopt;
    const auto from = whole(v.text(numbers[0]));
    const auto to = whole(v.text(numbers[1]));
    const Span at = v.span(v.node(numbers[0]).begin, v.node(numbers[1]).end);
    const auto digits = [](std::string_view s) {
        return s.find_first_not_of("0123456789") == std::string_view::npos;
    };
    if ((!from && !digits(v.text(numbers[0]))) || (!to && !digits(v.text(numbers[1])))) {
        b.report.error("design.repeat", at,
                       fmt::format("a repeat counts in whole numbers, not in {}",
                                   quoted(v.bytes().substr(at.begin, at.end - at.begin))));
        return std::nullopt;
    }
    if (from && to && *to < *from) {
        b.report.error(
            "design.repeat", at,
            fmt::format("the repeat runs from {} to {}: there is no such number", *from, *to));
        return std::nullopt;
    }
    if (!from || !to || *to - *from >= base::limits::repeat_count) {
        b.report.error("design.repeat", at,
                       fmt::format("the repeat runs from {} to {}; at most {} turns are carried "
                                   "out (limit repeat_count)",
                                   quoted(v.text(numbers[0])), quoted(v.text(numbers[1])),
                                   base::limits::repeat_count));
        return std::nullopt;
    }
    return Turns{b.symbol(v, name), *from, *to};
}

bool count_work(Build& b, const View& v, NodeIndex statement) {
    if (b.exhausted) return false;
    if (++b.work <= base::limits::repeat_work) return true;
    b.exhausted = true;
    b.report.error(
        "design.limit", v.head(statement),
        fmt::format(
            "repeats and assemblies come to more than {} statements here (limit repeat_work)",
            base::limits::repeat_work));
    return false;
}

}  // namespace ferrule::resolve
