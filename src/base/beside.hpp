// Work beside what the caller goes on with, on a second core where there is one. What is worked out must not be read, and nothing
// it reads be changed, before the answer is taken; then the order of the two cannot show in it.
#pragma once

#include <cstddef>
#include <future>
#include <system_error>
#include <thread>
#include <type_traits>

#include "base/limits.hpp"

namespace ferrule::base {

// From a number of conductors on the work outweighs the start of a thread (some tens of microseconds). The answer, or what was
// thrown, comes of get(); work that is not worth a thread, or gets none, is done there.
template <class Work>
[[nodiscard]] std::future<std::invoke_result_t<Work>> beside(std::size_t conductors, const Work& work) {
    if (conductors > limits::alone_conductors && std::thread::hardware_concurrency() > 1) {
        try {
            return std::async(std::launch::async, work);
        } catch (const std::system_error&) {  // no more threads may be started
        }
    }
    return std::async(std::launch::deferred, work);
}

}  // namespace ferrule::base
