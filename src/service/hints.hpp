// Volts and amperes beside the text: at strings what they give, at conductors what they carry, at the terminals of devices where
// conductors land what stands there and what a short would draw.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "service/workspace.hpp"

namespace ferrule::service {

struct Hint {
    std::uint32_t at = 0;   // byte behind which it stands
    std::string label;      // "224.6 V 17.3 A"
    std::string tooltip;    // what the figures are
    const facts::Table* table = nullptr;  // for the working, when somebody asks
    std::uint32_t row = 0;
};

// Of what stands in [begin, end). A line that says several things shows the largest figures and how many there are.
[[nodiscard]] std::vector<Hint> hints(const View& view, std::uint32_t begin, std::uint32_t end);

// The working of a hint, Markdown.
[[nodiscard]] std::string hint_page(const View& view, const std::string& table, std::uint32_t row);

}  // namespace ferrule::service
