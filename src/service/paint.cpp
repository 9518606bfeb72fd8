#include "service/paint.hpp"

#include <unordered_map>

#include "service/cursor.hpp"

namespace ferrule::service {

namespace {

using syntax::NodeIndex;
using syntax::NodeKind;
using syntax::TokenKind;

struct Meaning {
    Paint paint;
    bool declares;
};

}  // namespace

std::vector<Painted> paint(const View& view) {
    const syntax::Tree& tree = view.tree();
    const graph::Design& d = view.design->graph();
    // By symbol: what its name stands for.
    std::vector<std::uint8_t> is_part(d.names.size(), 0), is_thing(d.names.size(), 0);
    for (const graph::Part& p : d.parts) {
        if (p.name && p.span) is_part[p.name.value] = 1;
    }
    for (const graph::Thing& t : d.things) {
        if (t.name) is_thing[t.name.value] = 1;
    }
    // What the tree knows of a token by its place.
    std::unordered_map<std::uint32_t, Meaning> known;
    std::vector<NodeIndex> up;
    for (NodeIndex n = 0; n < tree.nodes.size(); ++n) {
        while (!up.empty() && tree[up.back()].next <= n) up.pop_back();
        const NodeKind parent = up.empty() ? NodeKind::file : tree[up.back()].kind;
        const NodeKind kind = tree[n].kind;
        if (kind == NodeKind::label && parent == NodeKind::property && n == up.back() + 1) known[tree[n].begin] = {Paint::property, false};
        else if (kind == NodeKind::word && (parent == NodeKind::part || parent == NodeKind::port)) known[tree[n].begin] = {Paint::kind, false};
        else if (kind == NodeKind::mark) known[tree[n].begin] = {Paint::terminal, false};
        else if (kind == NodeKind::label && parent == NodeKind::port) known[tree[n].begin] = {Paint::terminal, true};
        else if (kind == NodeKind::name && parent == NodeKind::declared) known[tree[n].begin] = {Paint::thing, true};
        else if (kind == NodeKind::name && (parent == NodeKind::part || parent == NodeKind::assembly) && child_of(tree, up.back(), NodeKind::name) == n) known[tree[n].begin] = {Paint::part, true};
        else if (kind == NodeKind::name && parent == NodeKind::run) known[tree[n].begin] = {Paint::thing, true};
        else if (kind == NodeKind::rule_id) known[tree[n].begin] = {Paint::word, false};
        up.push_back(n);
    }
    std::vector<Painted> all;
    const std::string_view bytes = view.bytes();
    for (const syntax::Token& t : syntax::tokens(view.design->sources, tree)) {
        Painted p{t.begin, t.end, Paint::word, false};
        switch (t.kind) {
            case TokenKind::keyword:
            case TokenKind::joining: p.paint = Paint::keyword; break;
            case TokenKind::number: p.paint = Paint::number; break;
            case TokenKind::unit: p.paint = Paint::unit; break;
            case TokenKind::text: p.paint = Paint::text; break;
            case TokenKind::date: p.paint = Paint::number; break;
            case TokenKind::comment: p.paint = Paint::comment; break;
            case TokenKind::name:
            case TokenKind::label: {
                const auto at = known.find(t.begin);
                const graph::Symbol s = d.names.find(bytes.substr(t.begin, t.end - t.begin));
                if (at != known.end()) p.paint = at->second.paint, p.declares = at->second.declares;
                else if (s && s.value < is_part.size() && is_part[s.value] != 0) p.paint = Paint::part;
                else if (s && s.value < is_thing.size() && is_thing[s.value] != 0) p.paint = Paint::thing;
                break;
            }
            case TokenKind::punctuation: p.paint = Paint::punctuation; break;
            default: continue;
        }
        if (p.end > p.begin && p.paint != Paint::punctuation) all.push_back(p);
    }
    return all;
}

}  // namespace ferrule::service
