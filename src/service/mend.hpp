// What a person can do about a finding, as edits: what the finding itself proposes, or to accept it with a reason. And the house
// layout of a file as the smallest edits.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "service/workspace.hpp"

namespace ferrule::service {

struct Action {
    std::string title;
    std::vector<findings::Edit> edits;
    const findings::Finding* finding = nullptr;
    bool certain = false;   // may be applied without looking
    bool accepts = false;   // a reason is left to be typed: `cursor` is where
    text::Span cursor;
};

// For the findings that touch [begin, end) of the file.
[[nodiscard]] std::vector<Action> actions(const View& view, std::uint32_t begin, std::uint32_t end);

// All certain edits of the file, none overlapping another.
[[nodiscard]] std::vector<findings::Edit> all_certain(const View& view);

// The edits that bring the lines in [begin, end) into the house layout; nothing if the file cannot be read without errors.
[[nodiscard]] std::optional<std::vector<findings::Edit>> layout(const View& view, std::uint32_t begin, std::uint32_t end);

}  // namespace ferrule::service
