// Typed indices: a TerminalId cannot index the devices. An id is a 32-bit position in one table; the
// all-ones value means "none". IdVector is that table. Both cost what the bare integer and vector cost.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

namespace ferrule::base {

template <class Tag>
struct Id {
    static constexpr std::uint32_t none_value = 0xffffffffU;
    std::uint32_t value = none_value;

    constexpr Id() = default;
    constexpr explicit Id(std::size_t v) : value(static_cast<std::uint32_t>(v)) {}
    constexpr explicit operator bool() const { return value != none_value; }
    friend constexpr bool operator==(Id, Id) = default;
    friend constexpr auto operator<=>(Id, Id) = default;
};

// A half-open run of rows in some table: [first, first + count).
template <class IdT>
struct Range {
    std::uint32_t first = 0;
    std::uint32_t count = 0;

    struct Iterator {
        std::uint32_t at;
        IdT operator*() const { return IdT(at); }
        Iterator& operator++() { ++at; return *this; }
        friend bool operator==(Iterator, Iterator) = default;
    };
    [[nodiscard]] Iterator begin() const { return {first}; }
    [[nodiscard]] Iterator end() const { return {first + count}; }
    [[nodiscard]] bool empty() const { return count == 0; }
    [[nodiscard]] IdT operator[](std::size_t i) const { return IdT(first + i); }
};

template <class IdT, class T>
class IdVector {
public:
    [[nodiscard]] T& operator[](IdT id) { return rows_[id.value]; }
    [[nodiscard]] const T& operator[](IdT id) const { return rows_[id.value]; }
    IdT add(T row) {
        rows_.push_back(std::move(row));
        return IdT(rows_.size() - 1);
    }
    void resize(std::size_t n, const T& fill = T()) { rows_.resize(n, fill); }
    void reserve(std::size_t n) { rows_.reserve(n); }
    [[nodiscard]] std::size_t size() const { return rows_.size(); }
    [[nodiscard]] bool empty() const { return rows_.empty(); }
    [[nodiscard]] bool has(IdT id) const { return id.value < rows_.size(); }
    [[nodiscard]] Range<IdT> ids() const { return {0, static_cast<std::uint32_t>(rows_.size())}; }
    auto begin() { return rows_.begin(); }
    auto end() { return rows_.end(); }
    auto begin() const { return rows_.begin(); }
    auto end() const { return rows_.end(); }
    T& back() { return rows_.back(); }

private:
    std::vector<T> rows_;
};

}  // namespace ferrule::base

template <class Tag>
struct std::hash<ferrule::base::Id<Tag>> {
    std::size_t operator()(ferrule::base::Id<Tag> id) const noexcept { return id.value * 0x9E3779B97F4A7C15ULL; }
};
