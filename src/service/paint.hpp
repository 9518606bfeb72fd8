// What each piece of a file is, for an editor that colours by meaning.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "service/workspace.hpp"

namespace ferrule::service {

enum class Paint : std::uint8_t { keyword, part, thing, kind, property, terminal, word, number, unit, text, comment, punctuation };
inline constexpr std::size_t paints = 12;

struct Painted {
    std::uint32_t begin = 0, end = 0;
    Paint paint = Paint::word;
    bool declares = false;
};

// In order, without overlap; blanks and junk are left out. Pieces never pass the end of a line.
[[nodiscard]] std::vector<Painted> paint(const View& view);

}  // namespace ferrule::service
