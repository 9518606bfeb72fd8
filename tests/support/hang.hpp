// The bound beyond which something hangs. It is no measure of speed, which tests/bench has: a machine in a slow hour must not fail
// a test, and work that grows with the square of a million would pass this bound a thousand times over.
#pragma once

#include <ctime>

namespace ferrule::tests {

inline constexpr unsigned hang_seconds = 300;  // of the processor, instrumented code included

// Seconds of the processor that the work takes; other programs may be busy.
template <typename Work>
double cpu_seconds(Work&& work) {
    const std::clock_t start = std::clock();
    work();
    return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

}  // namespace ferrule::tests
