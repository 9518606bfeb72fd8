// The names of a file as symbols, all in one go: a large design has millions of names, and
// interning them one by one at the places where they are met would wait for memory each time.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "base/interner.hpp"
#include "syntax/tree.hpp"

namespace ferrule::resolve {

class SymbolReader {
public:
    SymbolReader(base::Interner& names, const syntax::Tree& tree, std::string_view bytes);
    // Reads the nodes up to this one; the symbols of the last few of them come later.
    void read_to(syntax::NodeIndex end);
    void leave_out(syntax::NodeIndex end) { at_ = end; }  // those up to this one
    // By node: the symbol of each name, mark, label and word; none for other nodes, and for those left out.
    [[nodiscard]] std::vector<base::Symbol> take();

private:
    // Most names of a text have just been met: +, red, the string declared one line above. Names of
    // up to eight bytes, which are their own key, are looked for here first.
    class JustMet {
    public:
        [[nodiscard]] base::Symbol find(std::uint64_t key) const {
            const Entry& e = entries_[slot(key)];
            return e.key == key ? e.symbol : base::Symbol();
        }
        void keep(std::uint64_t key, base::Symbol symbol) { entries_[slot(key)] = {key, symbol}; }
        // 0: too long, or at the very end of the file.
        static std::uint64_t key(std::string_view bytes, std::uint32_t begin, std::uint32_t end);

    private:
        struct Entry {
            std::uint64_t key = 0;
            base::Symbol symbol;
        };
        static constexpr unsigned bits = 12;
        static std::size_t slot(std::uint64_t key) {
            return static_cast<std::size_t>((key * 0x9E3779B97F4A7C15ULL) >> (64U - bits));
        }
        std::vector<Entry> entries_ = std::vector<Entry>(std::size_t{1} << bits);
    };
    struct Waiting {
        base::Interner::Prepared prepared;
        std::uint64_t key = 0;
        syntax::NodeIndex node = 0;
    };
    void settle();

    static constexpr std::size_t ahead = 32;  // enough for memory to answer
    base::Interner* names_;
    const syntax::Tree* tree_;
    std::string_view bytes_;
    std::vector<base::Symbol> symbols_;
    JustMet just_met_;
    std::array<Waiting, ahead> ring_;
    std::size_t in_ = 0, out_ = 0;
    syntax::NodeIndex at_ = 0;
};

}  // namespace ferrule::resolve
