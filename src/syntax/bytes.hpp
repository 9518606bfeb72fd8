// What is asked of single bytes and words where text is read without the grammar.
#pragma once

#include <algorithm>
#include <span>
#include <string_view>

namespace ferrule::syntax {

// Of ASCII alone, whatever the locale.
[[nodiscard]] inline bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\f' || c == '\v';
}
[[nodiscard]] inline bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

[[nodiscard]] inline bool in_list(std::span<const std::string_view> list, std::string_view word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

}  // namespace ferrule::syntax
