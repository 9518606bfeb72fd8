#include "resolve/symbols.hpp"

#include <cstring>
#include <utility>

namespace ferrule::resolve {

std::uint64_t SymbolReader::JustMet::key(std::string_view bytes, std::uint32_t begin,
                                         std::uint32_t end) {
    const std::uint32_t length = end - begin;
    if (length == 0 || length > 8 || begin + 8 > bytes.size()) return 0;
    std::uint64_t word = 0;
    std::memcpy(&word, bytes.data() + begin, 8);
    return word << (64 - 8 * length);  // names hold no zero bytes, so the length is in it
}

SymbolReader::SymbolReader(base::Interner& names, const syntax::Tree& tree, std::string_view bytes)
    : names_(&names), tree_(&tree), bytes_(bytes), symbols_(tree.nodes.size()) {}

void SymbolReader::settle() {
    const Waiting& w = ring_[out_++ % ahead];
    symbols_[w.node] = names_->intern(w.prepared);
    if (w.key != 0) just_met_.keep(w.key, symbols_[w.node]);
}

void SymbolReader::read_to(syntax::NodeIndex end) {
    using syntax::NodeKind;
    for (; at_ < end; ++at_) {
        const syntax::Node& node = tree_->nodes[at_];
        if (node.kind != NodeKind::name && node.kind != NodeKind::mark &&
            node.kind != NodeKind::label && node.kind != NodeKind::word)
            continue;
        const std::uint64_t key = JustMet::key(bytes_, node.begin, node.end);
        if (key != 0) {
            symbols_[at_] = just_met_.find(key);
            if (symbols_[at_]) continue;
        }
        if (in_ - out_ == ahead) settle();
        ring_[in_++ % ahead] = {names_->prepare(bytes_.substr(node.begin, node.end - node.begin)),
                                key, at_};
    }
}

std::vector<base::Symbol> SymbolReader::take() {
    read_to(static_cast<syntax::NodeIndex>(tree_->nodes.size()));
    while (out_ < in_) settle();
    return std::move(symbols_);
}

}  // namespace ferrule::resolve
