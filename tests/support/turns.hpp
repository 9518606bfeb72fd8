// How often a test repeats itself that tries things at random. Under sanitizers, where a turn takes five to ten times as long, a fifth must do.
#pragma once

#include <algorithm>
#include <cstdint>

namespace ferrule::tests {

constexpr std::uint32_t turns(std::uint32_t count) {
#ifdef FERRULE_SANITIZED
    return std::max(count / 5, 1U);
#else
    return count;
#endif
}

}  // namespace ferrule::tests
