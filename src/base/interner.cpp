#include "base/interner.hpp"

#include <algorithm>
#include <cstring>

namespace ferrule::base {

namespace {

std::uint32_t hash_of(std::string_view s) {
    std::uint64_t x = 0x9E3779B97F4A7C15ULL ^ s.size();
    const char* p = s.data();
    std::size_t n = s.size();
    std::uint64_t w = 0;
    for (; n >= 8; n -= 8, p += 8) {
        std::memcpy(&w, p, 8);
        x = (x ^ w) * 0xff51afd7ed558ccdULL;
        x ^= x >> 32;
    }
    w = 0;
    if (n != 0) std::memcpy(&w, p, n);
    x = (x ^ w) * 0xff51afd7ed558ccdULL;
    return static_cast<std::uint32_t>(x ^ (x >> 29));
}

}  // namespace

Interner::Interner() { grow(1024); }

Interner::Interner(const Interner& other) : slots_(other.slots_) {
    texts_.reserve(other.texts_.size());
    for (const std::string_view text : other.texts_) texts_.push_back(keep(text));
}

Interner& Interner::operator=(const Interner& other) {
    if (this != &other) *this = Interner(other);
    return *this;
}

void Interner::grow(std::size_t slots) {
    std::size_t size = 16;
    while (size < slots) size *= 2;
    std::vector<Slot> old(size);
    old.swap(slots_);
    const std::size_t mask = slots_.size() - 1;
    for (const Slot& s : old) {
        if (s.symbol == 0xffffffffU) continue;
        std::size_t k = s.hash & mask;
        while (slots_[k].symbol != 0xffffffffU) k = (k + 1) & mask;
        slots_[k] = s;
    }
}

void Interner::reserve(std::size_t names) {
    if (names * 2 > slots_.size()) grow(names * 2);
    texts_.reserve(names);
}

std::size_t Interner::probe(std::string_view text, std::uint32_t hash) const {
    const std::size_t mask = slots_.size() - 1;
    std::size_t k = hash & mask;
    while (slots_[k].symbol != 0xffffffffU &&
           !(slots_[k].hash == hash && texts_[slots_[k].symbol] == text)) {
        k = (k + 1) & mask;
    }
    return k;
}

Symbol Interner::find(std::string_view text) const {
    const Slot& s = slots_[probe(text, hash_of(text))];
    return s.symbol == 0xffffffffU ? Symbol() : Symbol(s.symbol);
}

Interner::Prepared Interner::prepare(std::string_view text) const {
    const std::uint32_t hash = hash_of(text);
    __builtin_prefetch(&slots_[hash & (slots_.size() - 1)]);
    return {text, hash};
}

Symbol Interner::intern(std::string_view text) { return intern(Prepared{text, hash_of(text)}); }

Symbol Interner::intern(Prepared prepared) {
    const auto [text, hash] = prepared;
    if ((texts_.size() + 1) * 2 > slots_.size()) grow(slots_.size() * 2);
    Slot& s = slots_[probe(text, hash)];
    if (s.symbol == 0xffffffffU) {
        s = {hash, static_cast<std::uint32_t>(texts_.size())};
        texts_.push_back(keep(text));
    }
    return Symbol(s.symbol);
}

std::string_view Interner::keep(std::string_view text) {
    if (block_used_ + text.size() > block_size_) {
        block_size_ = std::max<std::size_t>(text.size(), std::size_t{1} << 16U);
        blocks_.push_back(std::make_unique<char[]>(block_size_));
        block_used_ = 0;
    }
    char* at = blocks_.back().get() + block_used_;
    if (!text.empty()) std::memcpy(at, text.data(), text.size());
    block_used_ += text.size();
    return {at, text.size()};
}

}  // namespace ferrule::base
