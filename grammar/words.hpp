// The reserved words of the design language, and the table they are looked up in. A word is read once, to its end,
// and looked up once; so a word that merely begins like a reserved one (`input`, `partner`) is not mistaken for it.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace ferrule::syntax::grammar {

// Words in the order of their bytes, with the place where those of each first byte begin.
template <std::size_t N>
struct WordTable {
    static_assert(N < 256);
    std::array<std::string_view, N> words{};
    std::array<std::uint8_t, 257> first{};

    consteval explicit WordTable(const std::string_view (&list)[N]) {
        std::copy(list, list + N, words.begin());
        std::sort(words.begin(), words.end());
        for (const std::string_view w : words) ++first[static_cast<unsigned char>(w[0]) + 1U];
        for (std::size_t i = 1; i < first.size(); ++i) first[i] += first[i - 1];
    }
    [[nodiscard]] constexpr bool may_begin(unsigned char byte) const {
        return first[byte] != first[byte + 1U];
    }
    [[nodiscard]] constexpr bool has(std::string_view word) const {
        if (word.empty()) return false;
        const auto byte = static_cast<unsigned char>(word[0]);
        for (std::size_t i = first[byte]; i < first[byte + 1U]; ++i)
            if (words[i] == word) return true;
        return false;
    }
};

// The words that open a statement.
inline constexpr std::string_view keyword_list[] = {
    "edition", "site", "include", "place", "part", "string", "enclosure", "device",
    "run", "cable", "jumper", "bond", "earth", "gang", "label", "steps",
    "assembly", "port", "repeat", "except", "accept", "reading",
};

// The words that join the pieces of a statement: no names, but a property may be called so.
inline constexpr std::string_view joining_list[] = {
    "is", "in", "on", "of", "to", "with", "by", "via", "as", "from",
    "for", "and", "x", "none", "supplied", "because", "until", "ends", "core", "at",
};

inline constexpr WordTable keyword_table{keyword_list};
inline constexpr WordTable joining_table{joining_list};

}  // namespace ferrule::syntax::grammar
