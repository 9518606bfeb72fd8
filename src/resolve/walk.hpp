// Carrying out statements: each once, those in a `repeat` once for each of its numbers. A step
// visits only what belongs to it.
#pragma once

#include <cstdint>
#include <optional>

#include "resolve/build.hpp"

namespace ferrule::resolve {

enum class Task : std::uint8_t { things, ports, wires, papers, excepts };

[[nodiscard]] bool belongs(NodeKind statement, Task task);
// A repeat that holds nothing for the task need not turn.
[[nodiscard]] bool holds(const View& v, NodeIndex block, Task task);

struct Turns {
    Symbol name;
    std::int64_t from = 1, to = 0;
};
// Nothing: it has been reported.
[[nodiscard]] std::optional<Turns> read_repeat(Build& b, const View& v, NodeIndex repeat);

// One more statement carried out in a repeat or an assembly. False once there were too many.
[[nodiscard]] bool count_work(Build& b, const View& v, NodeIndex statement);

template <class Visit>
void carry_out(Build& b, Statement s, Scope scope, Task task, Visit& visit) {
    const View& v = b.view(s);
    if (v.kind(s.node) != NodeKind::repeat) {
        if (belongs(v.kind(s.node), task)) visit(s, scope);
        return;
    }
    const NodeIndex block = v.child(s.node, NodeKind::block);
    if (block == no_node || !holds(v, block, task)) return;
    const auto turns = read_repeat(b, v, s.node);
    if (!turns) return;
    for (std::int64_t i = turns->from; i <= turns->to && !b.exhausted; ++i) {
        const Scope inner{scope.instance, b.names.turn(scope.frame, turns->name, i)};
        for (const NodeIndex item : v.children(block)) {
            if (!count_work(b, v, s.node)) return;
            carry_out(b, {s.file, item}, inner, task, visit);
        }
    }
}

// The statements in the braces of an assembly (or a run), for one instance.
template <class Visit>
void carry_out_block(Build& b, std::uint32_t file, NodeIndex block, Scope scope, Task task,
                     Visit& visit) {
    if (block == no_node) return;
    for (const NodeIndex item : b.views[file].children(block)) {
        if (b.exhausted) return;
        carry_out(b, {file, item}, scope, task, visit);
    }
}

}  // namespace ferrule::resolve
