// What two texts do not share: the bytes between what is the same at their begin and at their end.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace ferrule::syntax {

struct Edit {
    std::uint32_t begin = 0, end_before = 0, end_now = 0;
};

inline Edit edit_between(std::string_view before, std::string_view now) {
    const auto shorter = static_cast<std::ptrdiff_t>(std::min(before.size(), now.size()));
    const auto begin = std::mismatch(before.begin(), before.begin() + shorter, now.begin()).first - before.begin();
    const auto end = std::mismatch(before.rbegin(), before.rbegin() + (shorter - begin), now.rbegin()).first - before.rbegin();
    return {static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(before.size() - static_cast<std::size_t>(end)), static_cast<std::uint32_t>(now.size() - static_cast<std::size_t>(end))};
}

}  // namespace ferrule::syntax
