#include "service/outline.hpp"

#include <algorithm>
#include <variant>

#include "service/cursor.hpp"

namespace ferrule::service {

namespace {

using syntax::NodeIndex;
using syntax::NodeKind;

std::string unquoted(std::string_view text) {
    if (text.size() >= 2 && text.front() == '"') text = text.substr(1, text.size() - (text.back() == '"' ? 2 : 1));
    return std::string(text);
}

class Outliner {
public:
    explicit Outliner(const View& view) : view_(view), tree_(view.tree()) {}

    void statements(NodeIndex parent, std::vector<Symbol>& into) {
        for (const NodeIndex s : syntax::children(tree_, parent)) statement(s, into);
    }

private:
    using Sort = Symbol::Sort;

    void add(std::vector<Symbol>& into, Sort sort, NodeIndex statement, NodeIndex name, std::string detail, NodeIndex block = 0) {
        Symbol symbol;
        symbol.sort = sort;
        symbol.name = unquoted(text_of(view_, name));
        symbol.detail = std::move(detail);
        symbol.whole = tree_.span(statement);
        symbol.span = tree_.span(name);
        if (symbol.name.empty()) return;
        if (block != 0) statements(block, symbol.inside);
        into.push_back(std::move(symbol));
    }

    void declared(std::vector<Symbol>& into, Sort sort, NodeIndex s, const std::string& detail) {
        for (const NodeIndex c : syntax::children(tree_, s)) {
            if (tree_[c].kind == NodeKind::declared) add(into, sort, s, c, detail);
        }
    }

    std::string of_child(NodeIndex s, NodeKind kind) {
        const NodeIndex c = child_of(tree_, s, kind);
        if (c == 0) return {};
        const NodeIndex name = child_of(tree_, c, NodeKind::name);
        return std::string(text_of(view_, name == 0 ? c : name));
    }

    void statement(NodeIndex s, std::vector<Symbol>& into) {
        const NodeIndex name = child_of(tree_, s, NodeKind::name), text = child_of(tree_, s, NodeKind::text),
                        block = child_of(tree_, s, NodeKind::block);
        switch (tree_[s].kind) {
            case NodeKind::site: if (text != 0) add(into, Sort::site, s, text, "site"); break;
            case NodeKind::part: if (name != 0) add(into, Sort::part, s, name, of_child(s, NodeKind::word), block); break;
            case NodeKind::port: {
                const NodeIndex label = child_of(tree_, s, NodeKind::label);
                if (label != 0) add(into, Sort::port, s, label, of_child(s, NodeKind::word));
                break;
            }
            case NodeKind::place: declared(into, Sort::place, s, "place"); break;
            case NodeKind::string: declared(into, Sort::string, s, of_child(s, NodeKind::group)); break;
            case NodeKind::enclosure: declared(into, Sort::enclosure, s, of_child(s, NodeKind::is)); break;
            case NodeKind::device: declared(into, Sort::device, s, of_child(s, NodeKind::is)); break;
            case NodeKind::cable: declared(into, Sort::cable, s, of_child(s, NodeKind::is)); break;
            case NodeKind::run: if (name != 0) add(into, Sort::run, s, name, text == 0 ? "run" : unquoted(text_of(view_, text))); break;
            case NodeKind::assembly: if (name != 0) add(into, Sort::assembly, s, name, "assembly", block); break;
            case NodeKind::label_on: if (text != 0) add(into, Sort::label, s, text, "label"); break;
            case NodeKind::steps: if (text != 0) add(into, Sort::steps, s, text, "steps"); break;
            case NodeKind::reading: if (text != 0) add(into, Sort::reading, s, text, "reading"); break;
            case NodeKind::repeat: if (block != 0) statements(block, into); break;
            default: break;
        }
    }

    const View& view_;
    const syntax::Tree& tree_;
};

}  // namespace

std::vector<Symbol> symbols(const View& view) {
    std::vector<Symbol> all;
    Outliner(view).statements(0, all);
    return all;
}

std::vector<Fold> folds(const View& view) {
    const syntax::Tree& tree = view.tree();
    const std::string_view bytes = view.bytes();
    std::vector<Fold> all;
    for (NodeIndex n = 0; n < tree.nodes.size(); ++n) {
        if (tree[n].kind != NodeKind::block) continue;
        if (bytes.substr(tree[n].begin, tree[n].end - tree[n].begin).find('\n') == std::string_view::npos) continue;
        all.push_back({tree[n].begin, tree[n].end, false});
    }
    // Comments on lines of their own that follow each other.
    std::uint32_t first = 0, last = 0, lines = 0;
    const auto close = [&] {
        if (lines > 1) all.push_back({first, last, true});
        lines = 0;
    };
    for (std::size_t at = 0; at < bytes.size();) {
        const std::size_t end = std::min(bytes.find('\n', at), bytes.size());
        const std::size_t text = bytes.find_first_not_of(" \t", at);
        if (text < end && bytes[text] == '#') {
            if (lines++ == 0) first = static_cast<std::uint32_t>(text);
            last = static_cast<std::uint32_t>(end);
        } else {
            close();
        }
        at = end + 1;
    }
    close();
    return all;
}

std::vector<text::Span> around(const View& view, std::uint32_t offset) {
    const std::vector<NodeIndex> chain = chain_at(view.tree(), offset);
    std::vector<text::Span> all;
    for (auto it = chain.rbegin(); it != chain.rend(); ++it) {
        const text::Span s = view.tree().span(*it);
        if (all.empty() || s.begin < all.back().begin || s.end > all.back().end) all.push_back(s);
    }
    return all;
}

std::vector<Link> links(const View& view) {
    std::vector<Link> all;
    const syntax::Tree& tree = view.tree();
    project::Loader& loader = *view.design->loader;
    loader.enter(view.design->root);
    for (const NodeIndex s : syntax::children(tree, 0)) {
        if (tree[s].kind != NodeKind::include) continue;
        const NodeIndex text = child_of(tree, s, NodeKind::text);
        if (text == 0) continue;
        const auto opened = loader.include(view.file, unquoted(text_of(view, text)));
        const auto* file = std::get_if<text::FileId>(&opened);
        if (file == nullptr) continue;
        for (const auto& [path, id] : view.design->files) {
            if (id == *file) all.push_back({{view.file, tree[text].begin + 1, std::max(tree[text].begin + 1, tree[text].end - 1)}, path});
        }
    }
    return all;
}

}  // namespace ferrule::service
