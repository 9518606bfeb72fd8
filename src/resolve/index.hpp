// Square brackets: [3], [1..6], [2*i-1]. Whole numbers from 1 up to a limit; arithmetic that runs
// over is a finding.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "resolve/build.hpp"

namespace ferrule::resolve {

struct Index {
    bool stated = false;
    bool good = true;  // false: it has been reported
    bool range = false;
    std::uint32_t low = 0, high = 0;
    std::uint32_t begin = 0, end = 0;

    [[nodiscard]] std::uint32_t count() const { return range ? high - low + 1 : 1; }
    [[nodiscard]] std::uint32_t at(std::uint32_t k) const { return range ? low + k : low; }
};

// `node` is an `index` node.
[[nodiscard]] Index read_index(Build& b, const View& v, NodeIndex node, Scope scope);

// Digits to a whole number of at most 18 digits; nothing if they are more or something else.
[[nodiscard]] std::optional<std::int64_t> whole(std::string_view digits);

}  // namespace ferrule::resolve
