#include "resolve/change_count.hpp"

#include <vector>

#include "resolve/things.hpp"

namespace ferrule::resolve {

namespace {

using syntax::NodeIndex;
using syntax::NodeKind;

std::string_view word(const Text& t, NodeIndex node) { return t.bytes.substr(t.tree[node].begin, t.tree[node].end - t.tree[node].begin); }

// The statement that a node is a child of a child of; 0 if it stands deeper.
NodeIndex statement_around(const syntax::Tree& tree, NodeIndex number) {
    for (const NodeIndex top : syntax::children(tree, 0)) {
        if (tree[top].next <= number) continue;
        for (const NodeIndex child : syntax::children(tree, top)) {
            if (child + 1 == number && tree[child].next > number) return top;
        }
        return 0;
    }
    return 0;
}

}  // namespace

bool change_count(graph::Design& d, Text before, Text now, NodeIndex number) {
    const NodeIndex statement = statement_around(before.tree, number);
    if (statement == 0 || before.tree[statement].broken || before.tree[statement].kind != NodeKind::string) return false;
    const NodeIndex name = number + 1;
    if (before.tree[number - 1].kind != NodeKind::group || before.tree[number - 1].next != name + 1 || before.tree[name].kind != NodeKind::name) return false;
    const auto was = parts_in_series(word(before, number)), is = parts_in_series(word(now, number));
    if (!was || !is) return false;
    std::vector<graph::Group*> of;
    for (graph::Group& g : d.groups) {
        if (g.span != before.tree.span(name)) continue;
        if (g.count != *was) return false;
        of.push_back(&g);
    }
    for (graph::Group* g : of) g->count = *is;
    return !of.empty();
}

}  // namespace ferrule::resolve
