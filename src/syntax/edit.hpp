// For whoever compares a text with what it was: what the two do not share, and which findings an edit elsewhere leaves alone.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

#include "findings/finding.hpp"

namespace ferrule::syntax {

// The bytes between what is the same at the begin of two texts and at their end.
struct Edit {
    std::uint32_t begin = 0, end_before = 0, end_now = 0;
};

inline Edit edit_between(std::string_view before, std::string_view now) {
    const auto shorter = static_cast<std::ptrdiff_t>(std::min(before.size(), now.size()));
    const auto begin = std::mismatch(before.begin(), before.begin() + shorter, now.begin()).first - before.begin();
    const auto end = std::mismatch(before.rbegin(), before.rbegin() + (shorter - begin), now.rbegin()).first - before.rbegin();
    return {static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(before.size() - static_cast<std::size_t>(end)), static_cast<std::uint32_t>(now.size() - static_cast<std::size_t>(end))};
}

// Is each about one statement alone? All others are about a block or the whole file.
inline bool all_local(const std::vector<findings::Finding>& found) {
    constexpr std::array<std::string_view, 4> local_rules{"syntax.expected", "syntax.name", "syntax.number", "syntax.text"};
    return std::all_of(found.begin(), found.end(), [&](const findings::Finding& f) { return std::find(local_rules.begin(), local_rules.end(), f.rule) != local_rules.end(); });
}

}  // namespace ferrule::syntax
