// Memory for the few tables that grow with the size of a plant (the nodes of a tree, the rows of a
// graph). A fresh page costs more than what is written into it, so from `large_block` on the system
// is asked for its large pages. It is an allocator for std::vector and changes nothing but the
// time. What is reserved and never touched costs no memory.
#pragma once

#include <cstddef>
#include <cstdlib>
#include <new>
#include <vector>

#if defined(__linux__)
#include <sys/mman.h>
#endif

namespace ferrule::base {

inline constexpr std::size_t large_page = std::size_t{2} << 20U;
inline constexpr std::size_t large_block = 2 * large_page;

template <class T>
struct LargeAllocator {
    using value_type = T;
    LargeAllocator() = default;
    template <class U>
    LargeAllocator(const LargeAllocator<U>&) {}  // NOLINT: allocators of all types are one

    [[nodiscard]] T* allocate(std::size_t count) {
        const std::size_t bytes = count * sizeof(T);
        if (bytes < large_block) return static_cast<T*>(::operator new(bytes));
        void* const memory =
            std::aligned_alloc(large_page, (bytes + large_page - 1) / large_page * large_page);
        if (memory == nullptr) throw std::bad_alloc();
#if defined(MADV_HUGEPAGE)
        ::madvise(memory, bytes, MADV_HUGEPAGE);  // a hint: whether it is followed does not matter
#endif
        return static_cast<T*>(memory);
    }
    void deallocate(T* memory, std::size_t count) noexcept {
        if (count * sizeof(T) < large_block) ::operator delete(memory);
        else std::free(memory);
    }
    friend bool operator==(LargeAllocator, LargeAllocator) {
        return true;
    }
};

template <class T>
using LargeVector = std::vector<T, LargeAllocator<T>>;

}  // namespace ferrule::base
