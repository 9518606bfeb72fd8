// Words and names as small numbers. Equal texts get equal symbols, so names are compared as integers.
// The interner keeps its own copy of each distinct text (in blocks that never move); a look-up copies
// nothing. Symbols are dense from 0 and can index a vector.
#pragma once

#include <cstdint>
#include <memory>
#include <string_view>
#include <vector>

#include "base/ids.hpp"

namespace ferrule::base {

using Symbol = Id<struct SymbolTag>;

class Interner {
public:
    Interner();
    Interner(const Interner& other);  // the same texts under the same symbols
    Interner& operator=(const Interner& other);
    Interner(Interner&&) noexcept = default;
    Interner& operator=(Interner&&) noexcept = default;
    ~Interner() = default;
    Symbol intern(std::string_view text);                       // adds it if new
    // The same in two steps, for those who intern by the million: prepare a few dozen texts, and while the first is interned
    // the memory that the others need is on its way.
    struct Prepared {
        std::string_view text;
        std::uint32_t hash = 0;
    };
    [[nodiscard]] Prepared prepare(std::string_view text) const;
    Symbol intern(Prepared prepared);
    [[nodiscard]] Symbol find(std::string_view text) const;     // none if it was never interned
    [[nodiscard]] std::string_view text(Symbol s) const { return texts_[s.value]; }  // "" must not be asked of none
    [[nodiscard]] std::size_t size() const { return texts_.size(); }
    void reserve(std::size_t names);

private:
    struct Slot {
        std::uint32_t hash = 0;
        std::uint32_t symbol = 0xffffffffU;
    };
    std::string_view keep(std::string_view text);
    void grow(std::size_t slots);
    [[nodiscard]] std::size_t probe(std::string_view text, std::uint32_t hash) const;

    std::vector<Slot> slots_;
    std::vector<std::string_view> texts_;
    std::vector<std::unique_ptr<char[]>> blocks_;
    std::size_t block_used_ = 0;
    std::size_t block_size_ = 0;
};

}  // namespace ferrule::base
