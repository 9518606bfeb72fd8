#include "service/navigation.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "service/cursor.hpp"

namespace ferrule::service {

namespace {

using resolve::Use;
using syntax::NodeIndex;
using syntax::NodeKind;

// What is declared begins here: parts, assemblies and things, each at its name.
bool declares(const View& view, NodeIndex node, const std::vector<NodeIndex>& chain) {
    if (chain.size() < 2) return false;
    const syntax::Tree& tree = view.tree();
    const NodeIndex up = chain[chain.size() - 2];
    if (tree[node].kind != NodeKind::name) return false;
    switch (tree[up].kind) {
        case NodeKind::declared: return true;
        case NodeKind::part:
        case NodeKind::run:
        case NodeKind::assembly: return child_of(tree, up, NodeKind::name) == node;
        default: return false;
    }
}

bool same_place(text::Span a, text::Span b) { return a.file == b.file && a.begin == b.begin; }

}  // namespace

std::optional<Named> named_at(const View& view, std::uint32_t offset) {
    const auto word = word_at(view.tree(), offset);
    if (!word) return std::nullopt;
    const text::Span here = view.tree().span(*word);
    std::vector<NodeIndex> chain = chain_at(view.tree(), offset);
    while (!chain.empty() && chain.back() != *word) chain.pop_back();
    for (const Use& use : view.design->uses()) {
        if (use.at.file != here.file || use.at.begin > here.begin || here.begin >= use.at.end) continue;
        return Named{use.at, use.declared, use.comes_with ? std::string(view.design->sources.text(use.at)) : std::string()};
    }
    if (declares(view, *word, chain)) return Named{here, here, {}};
    // The label of a terminal in its data sheet.
    for (const Use& use : view.design->uses()) {
        if (same_place(use.declared, here)) return Named{here, use.declared, {}};
    }
    return std::nullopt;
}

std::vector<Place> places_of(const Design& design, text::Span declared, std::string_view label) {
    std::vector<Place> all;
    for (const Use& use : design.uses()) {
        if (!same_place(use.declared, declared) || use.comes_with == label.empty()) continue;
        if (use.comes_with && design.sources.text(use.at) != label) continue;
        all.push_back({&design, use.at, false});
    }
    const std::string_view bytes = design.sources[declared.file].bytes();
    // A declaration may be recorded with its index (S[1..6]): its name ends before that.
    text::Span name = declared;
    const std::size_t bracket = bytes.substr(name.begin, name.end - name.begin).find('[');
    if (bracket != std::string_view::npos) name.end = name.begin + static_cast<std::uint32_t>(bracket);
    std::sort(all.begin(), all.end(), [](const Place& a, const Place& b) { return a.span < b.span; });
    all.erase(std::unique(all.begin(), all.end(), [](const Place& a, const Place& b) { return same_place(a.span, b.span); }), all.end());
    all.insert(all.begin(), Place{&design, name, true});
    return all;
}

std::variant<text::Span, std::string> renamable(const View& view, std::uint32_t offset) {
    const auto named = named_at(view, offset);
    if (!named) return std::string("there is no name of this design here");
    const View there{view.design, view.knowledge, named->declared.file};
    const auto word = word_at(there.tree(), named->declared.begin);
    std::vector<NodeIndex> chain = chain_at(there.tree(), named->declared.begin);
    while (!chain.empty() && word && chain.back() != *word) chain.pop_back();
    if (!word || !named->label.empty() || !declares(there, *word, chain)) {
        return std::string("this is a terminal's label: it is what is marked on the device, and stands in its data sheet");
    }
    return named->here;
}

std::optional<std::string> unfit(const View& view, std::string_view name) {
    const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
    const auto goes_on = [&](char c) { return letter(c) || (c >= '0' && c <= '9') || c == '-' || c == '_'; };
    if (name.empty() || !letter(name.front()) || !std::all_of(name.begin(), name.end(), goes_on) || name.back() == '-') {
        return "a name starts with a letter, goes on with letters, digits, - and _, and does not end in -";
    }
    for (const auto words : {syntax::keywords(), syntax::joining_words()}) {
        if (std::find(words.begin(), words.end(), name) != words.end()) return fmt::format("{} is a word of the language", name);
    }
    const graph::Design& d = view.design->graph();
    const graph::Symbol symbol = d.names.find(name);
    if (!symbol) return std::nullopt;
    const bool taken = std::any_of(d.parts.begin(), d.parts.end(), [&](const graph::Part& p) { return p.name == symbol; }) ||
                       std::any_of(d.things.begin(), d.things.end(), [&](const graph::Thing& t) { return t.name == symbol; });
    if (taken) return fmt::format("there is a {} already", name);
    return std::nullopt;
}

}  // namespace ferrule::service
