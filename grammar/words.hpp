// The reserved words of the design language, and the table they are looked up in. A word is read
// once, to its end, and looked up once; so a word that merely begins like a reserved one (`input`,
// `partner`) is not mistaken for it.
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

// What a byte may be part of or may begin, a bit a class. A dash and the accented letters, which
// have two bytes, are not in it.
inline constexpr std::uint8_t letter_bytes = 1;  // a-z A-Z
inline constexpr std::uint8_t digit_bytes = 2;   // 0-9
inline constexpr std::uint8_t under_bytes = 4;   // _
inline constexpr std::uint8_t slash_bytes = 8;   // / + : in labels only
inline constexpr std::uint8_t blank_bytes = 16;
inline constexpr std::uint8_t odd_bytes = 32;  // may begin a blank that is no plain one
inline constexpr std::array<std::uint8_t, 256> byte_classes = [] {
    std::array<std::uint8_t, 256> classes{};
    for (unsigned char c = 'a'; c <= 'z'; ++c) classes[c] = letter_bytes;
    for (unsigned char c = 'A'; c <= 'Z'; ++c) classes[c] = letter_bytes;
    for (unsigned char c = '0'; c <= '9'; ++c) classes[c] = digit_bytes;
    classes['_'] = under_bytes;
    classes['/'] = classes['+'] = slash_bytes;
    classes[' '] = classes['\t'] = blank_bytes;
    classes['\f'] = classes['\v'] = classes[0xC2] = classes[0xE2] = odd_bytes;
    return classes;
}();

// The words that open a statement.
inline constexpr std::string_view keyword_list[] = {
    "edition",  "site",  "include", "place",  "part",   "string",  "enclosure", "device",
    "run",      "cable", "jumper",  "bond",   "earth",  "gang",    "label",     "steps",
    "assembly", "port",  "repeat",  "except", "accept", "reading",
};

// The words that join the pieces of a statement: no names, but a property may be called so.
inline constexpr std::string_view joining_list[] = {
    "is",  "in",  "on", "of",   "to",       "with",    "by",    "via",  "as",   "from",
    "for", "and", "x",  "none", "supplied", "because", "until", "ends", "core", "at",
};

inline constexpr WordTable keyword_table{keyword_list};
inline constexpr WordTable joining_table{joining_list};

}  // namespace ferrule::syntax::grammar
