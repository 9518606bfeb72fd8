// One file as resolve reads it: its tree, its bytes and its names together. Copies nothing.
#pragma once

#include <string_view>
#include <utility>
#include <vector>

#include "base/interner.hpp"
#include "syntax/tree.hpp"

namespace ferrule::resolve {

using syntax::NodeIndex;
using syntax::NodeKind;

inline constexpr NodeIndex no_node = 0;  // the root, which is nobody's child

class View {
public:
    View(const syntax::Tree& tree, std::string_view bytes) : tree_(&tree), bytes_(bytes) {}
    void know(std::vector<base::Symbol> symbols) { symbols_ = std::move(symbols); }

    [[nodiscard]] const syntax::Tree& tree() const { return *tree_; }
    [[nodiscard]] std::string_view bytes() const { return bytes_; }
    [[nodiscard]] NodeKind kind(NodeIndex n) const { return (*tree_)[n].kind; }
    [[nodiscard]] const syntax::Node& node(NodeIndex n) const { return (*tree_)[n]; }
    [[nodiscard]] std::string_view text(NodeIndex n) const {
        const syntax::Node& at = (*tree_)[n];
        return bytes_.substr(at.begin, at.end - at.begin);
    }
    // Of a name, mark, label or word, once they are known; none for any other node.
    [[nodiscard]] base::Symbol symbol(NodeIndex n) const {
        return n < symbols_.size() ? symbols_[n] : base::Symbol();
    }
    [[nodiscard]] text::Span span(NodeIndex n) const { return tree_->span(n); }
    [[nodiscard]] text::Span span(std::uint32_t begin, std::uint32_t end) const {
        return {tree_->file, begin, end};
    }
    [[nodiscard]] syntax::Children children(NodeIndex n) const {
        return syntax::children(*tree_, n);
    }
    // The first child of a kind, or no_node.
    [[nodiscard]] NodeIndex child(NodeIndex n, NodeKind wanted) const {
        for (const NodeIndex c : children(n)) {
            if (kind(c) == wanted) return c;
        }
        return no_node;
    }
    [[nodiscard]] NodeIndex first(NodeIndex n) const {
        return tree_->has_children(n) ? n + 1 : no_node;
    }
    // From the first child to the last one that is no block: a statement without its braces and
    // keyword.
    [[nodiscard]] text::Span head(NodeIndex n) const {
        std::uint32_t begin = node(n).begin, end = begin;
        bool started = false;
        for (const NodeIndex c : children(n)) {
            if (kind(c) == NodeKind::block) break;
            if (!started) begin = node(c).begin;
            started = true;
            end = node(c).end;
        }
        return span(begin, end);
    }

private:
    const syntax::Tree* tree_;
    std::string_view bytes_;
    std::vector<base::Symbol> symbols_;
};

}  // namespace ferrule::resolve
