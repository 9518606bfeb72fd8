// The words that resolve itself gives a meaning to, interned once: what may stand in a conductor's
// tail, and the properties behind the settled meanings of the language (length, ends, enters, via
// …). Everything else that a block may state is known to the table of kinds alone.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "base/interner.hpp"
#include "graph/kinds.hpp"

namespace ferrule::resolve {

// What a word in a conductor's tail announces or is.
enum class TailWord : std::uint8_t {
    no,
    colour,
    material,
    as,
    core,
    ends,
    by,
    via,
    at,
    rated,
    side
};

struct Words {
    Words(base::Interner& names, const graph::Kinds& kinds);

    [[nodiscard]] TailWord in_tail(base::Symbol s) const {
        return s.value < tail_.size() ? tail_[s.value] : TailWord::no;
    }
    // Kinds of parts that conductors can be made of: those with a cross-section.
    [[nodiscard]] bool is_cable(graph::KindId kind) const { return sized_[kind.value]; }
    [[nodiscard]] std::vector<std::string_view> all_in_tail(const base::Interner& names) const;

    base::Symbol section, area, material, rated, voltage, diameter, cores, colour;  // cables
    base::Symbol clamps, holes, length;                                             // glands, runs
    base::Symbol ends, from, to, enters, via, through;                              // runs
    base::Symbol spare, outside;                                                    // devices
    base::Symbol because, until, by;                                                // accepts
    base::Symbol copper;

private:
    std::vector<TailWord> tail_;  // by symbol; the words are interned first, so it is short
    std::vector<bool> sized_;     // by kind
};

}  // namespace ferrule::resolve
