#include "service/cursor.hpp"

namespace ferrule::service {

using syntax::NodeIndex;
using syntax::NodeKind;
using syntax::Tree;

std::vector<NodeIndex> chain_at(const Tree& tree, std::uint32_t offset) {
    std::vector<NodeIndex> chain;
    if (tree.nodes.empty()) return chain;
    NodeIndex at = 0;
    chain.push_back(at);
    for (bool deeper = true; deeper;) {
        deeper = false;
        NodeIndex touching = 0;
        for (const NodeIndex c : syntax::children(tree, at)) {
            if (tree[c].begin > offset) break;
            if (offset < tree[c].end) {
                touching = c;
                break;
            }
            if (offset == tree[c].end) touching = c;
        }
        if (touching != 0) {
            at = touching;
            chain.push_back(at);
            deeper = true;
        }
    }
    return chain;
}

std::optional<NodeIndex> word_at(const Tree& tree, std::uint32_t offset) {
    const std::vector<NodeIndex> chain = chain_at(tree, offset);
    for (auto it = chain.rbegin(); it != chain.rend(); ++it) {
        switch (tree[*it].kind) {
            case NodeKind::name:
            case NodeKind::word:
            case NodeKind::mark:
            case NodeKind::label:
            case NodeKind::rule_id:
            case NodeKind::unit: return *it;
            default: break;
        }
    }
    return std::nullopt;
}

NodeIndex child_of(const Tree& tree, NodeIndex node, NodeKind kind) {
    for (const NodeIndex c : syntax::children(tree, node)) {
        if (tree[c].kind == kind) return c;
    }
    return 0;
}

const graph::Kind* kind_of_statement(const View& view, NodeIndex statement) {
    const graph::Kinds& kinds = view.knowledge->kinds;
    const Tree& tree = view.tree();
    const auto named = [&](std::string_view group, std::string_view name) -> const graph::Kind* {
        const graph::KindId id = kinds.find(group, name);
        return id ? &kinds[id] : nullptr;
    };
    switch (tree[statement].kind) {
        case NodeKind::part:
        case NodeKind::port: {
            const NodeIndex word = child_of(tree, statement, NodeKind::word);
            if (word == 0) return nullptr;
            return named(tree[statement].kind == NodeKind::part ? "part" : "role", text_of(view, word));
        }
        case NodeKind::site: return named("block", "site");
        case NodeKind::place: return named("block", "place");
        case NodeKind::string: return named("block", "string");
        case NodeKind::enclosure: return named("block", "enclosure");
        case NodeKind::device: return named("block", "device");
        case NodeKind::run: return named("block", "run");
        case NodeKind::label_on: return named("block", "label");
        case NodeKind::steps: return named("block", "steps");
        case NodeKind::accept: return named("block", "accept");
        case NodeKind::reading: return named("block", "reading");
        default: return nullptr;
    }
}

Stating stating(const View& view, const std::vector<NodeIndex>& chain) {
    const Tree& tree = view.tree();
    Stating s;
    bool inside = false;
    for (std::size_t i = 0; i + 1 < chain.size(); ++i) {
        if (tree[chain[i + 1]].kind != NodeKind::block) continue;
        const NodeIndex owner = chain[i];
        inside = true;
        if (tree[owner].kind != NodeKind::property) {
            s = {kind_of_statement(view, owner), nullptr};
            continue;
        }
        const NodeIndex word = owner + 1;
        const auto* list = s.properties();
        const graph::Property* found = nullptr;
        if (list != nullptr) {
            for (const graph::Property& p : *list) {
                if (p.name == text_of(view, word)) found = &p;
            }
        }
        if (found == nullptr) return {};
        s.within = found;
    }
    return inside ? s : Stating{};
}

}  // namespace ferrule::service
