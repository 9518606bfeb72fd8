#include "resolve/lookup.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "base/nearest.hpp"

namespace ferrule::resolve {

Instance* Build::instance_of(ThingId thing) {
    if (instances.empty()) return nullptr;
    std::size_t low = 0, high = instances.size();
    while (low < high) {
        const std::size_t middle = (low + high) / 2;
        if (instances[middle].thing < thing) low = middle + 1;
        else high = middle;
    }
    return low < instances.size() && instances[low].thing == thing ? &instances[low] : nullptr;
}

bool Wanted::takes(const Build& b, Binding binding) const {
    switch (binding.means) {
        case Means::part:
            return parts && (kind.empty() || b.kind(PartId(binding.id)).name == kind);
        case Means::assembly:
            return assemblies;
        case Means::thing:
        case Means::array:
            return (things & bit(binding.cls)) != 0;
        default:
            return false;
    }
}

std::string describe(const Build& b, Binding binding) {
    switch (binding.means) {
        case Means::part:
            return fmt::format("a part ({})", b.kind(PartId(binding.id)).name);
        case Means::assembly:
            return "an assembly";
        case Means::thing:
            return with_article(class_words[static_cast<std::size_t>(binding.cls)]);
        case Means::array:
            return fmt::format("{}[{}]", class_words[static_cast<std::size_t>(binding.cls)],
                               b.names.array(binding.id).indices());
        default:
            return "nothing";
    }
}

std::string meant(std::string_view nearest) {
    return nearest.empty() ? std::string() : fmt::format("; there is {}", quoted(nearest));
}

std::string_view nearest_name(Build& b, std::string_view name, std::uint32_t instance,
                              const Wanted& wanted) {
    std::vector<std::string_view> candidates;
    const auto consider = [&](Symbol s, Binding binding) {
        if (!wanted.takes(b, binding) || b.slips_left == 0) return;
        const std::string_view text = b.text(s);
        if (text.size() > name.size() + 3 || name.size() > text.size() + 3) return;
        --b.slips_left;
        candidates.push_back(text);
    };
    if (instance != none) {
        for (const Symbol s : b.names.of_instance(instance))
            consider(s, b.names.find_own(s, instance));
    }
    const auto& global = b.names.global();
    for (std::uint32_t i = 0; i < global.size(); ++i) {
        if (global[i]) consider(Symbol(i), global[i]);
    }
    // Of equals the first by its letters, wherever it stands in the text.
    std::string_view best = base::nearest(name, candidates);
    const std::size_t apart = base::slips(name, best, name.size());
    for (const std::string_view other : candidates) {
        if (other < best && base::slips(name, other, apart) == apart &&
            apart < std::max(name.size(), other.size()))
            best = other;
    }
    return best;
}

void doubt(Build& b, const View& v) {
    const auto in_word = [](char c) {
        return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
               c == '_' || c == '-' || (static_cast<unsigned char>(c) & 0x80U) != 0;
    };
    const auto words = [&](std::string_view text) {
        for (std::size_t i = 0; i < text.size();) {
            std::size_t end = i;
            while (end < text.size() && in_word(text[end])) ++end;
            if (end > i && end - i <= base::limits::name_bytes)
                b.maybe.insert(text.substr(i, end - i));
            i = end + 1;
        }
    };
    for (const NodeIndex item : v.children(0)) {
        if (v.kind(item) == NodeKind::property) words(v.text(item));
    }
    if (v.tree().findings.empty()) return;
    for (NodeIndex n = 1; n < v.tree().nodes.size(); ++n) {
        if (v.kind(n) == NodeKind::junk) words(v.text(n));
    }
}

Binding look_up(Build& b, Symbol name, Span at, std::uint32_t instance, const Wanted& wanted) {
    const Binding found = b.names.find(name, instance);
    if (found.means == Means::poisoned) return {};
    if (!found) {
        const std::uint64_t key = (std::uint64_t{at.file.value} << 32U) | name.value;
        if (b.may_be_declared(b.text(name))) {
            b.doubted = true;
            return {};
        }
        if (!b.unknown_reported.insert(key).second) return {};
        const std::string_view near = nearest_name(b, b.text(name), instance, wanted);
        findings::Finding f = error("design.unknown-name", at,
                                    fmt::format("{} is declared nowhere; {} is wanted here{}",
                                                quoted(b.text(name)), wanted.what, meant(near)));
        f.subject = b.text(name);
        if (!near.empty()) {
            f.remedy = fmt::format("write {}, or declare {}", quoted(near), quoted(b.text(name)));
            f.edits.push_back({at, std::string(near)});
            const Binding meant_thing = b.names.find(b.design.names.find(near), instance);
            // Most likely that one was meant: what seems not to land on it proves nothing.
            if (meant_thing.means == Means::thing) b.design.left_open.push_back(ThingId(meant_thing.id));
            if (const Span there = place_of(b, meant_thing)) {
                f.related.push_back({there, fmt::format("{} is declared here", quoted(near))});
            }
        } else {
            f.remedy = fmt::format("declare {}, or name what is meant", quoted(b.text(name)));
        }
        b.report.add(std::move(f));
        return {};
    }
    if (!wanted.takes(b, found)) {
        findings::Finding f = error("design.wrong-kind", at,
                                    fmt::format("{} is {}; {} is wanted here", quoted(b.text(name)),
                                                describe(b, found), wanted.what));
        f.subject = b.text(name);
        if (const Span there = place_of(b, found)) f.related.push_back({there, "declared here"});
        b.report.add(std::move(f));
        return {};
    }
    if (b.keep_uses) b.use(at, place_of(b, found));
    return found;
}

Span place_of(const Build& b, Binding binding) {
    switch (binding.means) {
        case Means::part:
            return b.design.parts[PartId(binding.id)].span;
        case Means::assembly:
            return b.assemblies[binding.id].span;
        case Means::thing:
            return b.design.things[ThingId(binding.id)].span;
        case Means::array: {
            const ThingId any = b.names.array(binding.id).any();
            return any ? b.design.things[any].span : Span();
        }
        default:
            return {};
    }
}

void duplicate(Build& b, Symbol name, Span at, Binding first) {
    constexpr std::string_view rule = "design.duplicate-name";
    if (!b.report.lists(rule)) return b.report.add(error(rule, at, {}));
    findings::Finding f =
        error(rule, at, fmt::format("{} is declared twice", quoted(b.text(name))));
    f.subject = b.text(name);
    f.remedy = "give one of them another name";
    if (place_of(b, first) == at) {
        f.message = fmt::format("{} is declared anew in each turn of the repeat", quoted(b.text(name)));
        f.remedy = fmt::format("give it the repeat's name for an index, such as {}[i]", b.text(name));
    } else if (const Span there = place_of(b, first))
        f.related.push_back({there, fmt::format("first declared here, as {}", describe(b, first))});
    b.report.add(std::move(f));
}

}  // namespace ferrule::resolve
