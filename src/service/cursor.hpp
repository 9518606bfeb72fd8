// Where a byte of a file stands in its tree, and what may be stated there.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "graph/kinds.hpp"
#include "service/workspace.hpp"
#include "syntax/tree.hpp"

namespace ferrule::service {

// The nodes around a byte, the file first and the innermost last. A byte just behind a node still belongs to it: that is where a
// cursor stands after typing.
[[nodiscard]] std::vector<syntax::NodeIndex> chain_at(const syntax::Tree& tree, std::uint32_t offset);

// The smallest name, word, label or mark there; none if there is none.
[[nodiscard]] std::optional<syntax::NodeIndex> word_at(const syntax::Tree& tree, std::uint32_t offset);

// What a block may state: the properties of a kind, or those of a property's own block.
struct Stating {
    const graph::Kind* kind = nullptr;        // of the statement the block belongs to
    const graph::Property* within = nullptr;  // the property whose block it is; null: the statement's own
    [[nodiscard]] const std::vector<graph::Property>* properties() const {
        return within != nullptr ? &within->block : kind != nullptr ? &kind->properties : nullptr;
    }
};
// Of the innermost block in the chain; nothing when that block holds statements or conductors only, or is not known.
[[nodiscard]] Stating stating(const View& view, const std::vector<syntax::NodeIndex>& chain);

// The kind that tells what a statement's block may state; null if it has none.
[[nodiscard]] const graph::Kind* kind_of_statement(const View& view, syntax::NodeIndex statement);

[[nodiscard]] syntax::NodeIndex child_of(const syntax::Tree& tree, syntax::NodeIndex node, syntax::NodeKind kind);  // 0: none
[[nodiscard]] inline std::string_view text_of(const View& view, syntax::NodeIndex node) {
    const syntax::Node& n = view.tree()[node];
    return view.bytes().substr(n.begin, n.end - n.begin);
}

}  // namespace ferrule::service
