#include "resolve/near_names.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "resolve/lookup.hpp"

namespace ferrule::resolve {

namespace {

char folded(char c) {
    return c == '_' ? '-' : c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}

}  // namespace

void near_names(Build& b) {
    // Two names in capitals with hyphens only cannot be near each other, so only the others are
    // looked up, by their capitals.
    base::Interner capitals;
    std::vector<Symbol> owner;  // by symbol in `capitals`
    std::string fold;
    const auto& global = b.names.global();
    for (std::uint32_t i = 0; i < global.size(); ++i) {
        if (!global[i] || global[i].means == Means::poisoned) continue;
        const Symbol name(i);
        const std::string_view text = b.text(name);
        fold.assign(text);
        std::transform(fold.begin(), fold.end(), fold.begin(), folded);
        if (fold == text) continue;
        Symbol other = b.design.names.find(fold);
        if (!other || other.value >= global.size() || !global[other.value]) {
            const Symbol key = capitals.intern(fold);
            if (key.value >= owner.size()) owner.resize(key.value + std::size_t{1});
            other = owner[key.value];
            owner[key.value] = name;
        }
        if (!other) continue;
        Span here = place_of(b, global[i]), there = place_of(b, global[other.value]);
        if (!here || !there) continue;
        std::string_view mine = text, theirs = b.text(other);
        if (here < there) {
            std::swap(here, there);
            std::swap(mine, theirs);
        }
        findings::Finding f =
            warning("design.near-names", here,
                    fmt::format("{} and {} are two names that a reader takes for one", quoted(mine),
                                quoted(theirs)));
        f.subject = mine;
        f.related.push_back({there, fmt::format("{} is declared here", quoted(theirs))});
        f.remedy = "give one of them a name that differs in more than its case or its - and _";
        b.report.add(std::move(f));
    }
}

}  // namespace ferrule::resolve
