// "Did you mean": the known word that a person most likely meant. A slip is a letter added, dropped, changed or
// swapped with its neighbour; words further off than a third of their length are never proposed.
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace ferrule::base {

// Slips between two words, or `limit` + 1 if there are more. O(length²).
[[nodiscard]] std::size_t slips(std::string_view a, std::string_view b, std::size_t limit);

// The nearest known word (the first of equals), or "" when none is near.
[[nodiscard]] std::string_view nearest(std::string_view wanted, std::span<const std::string_view> known);

}  // namespace ferrule::base
