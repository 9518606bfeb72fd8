// References: Q1.2, A[1..6].+, CB[3].F[7], Q1.[2*i-1], Q1.upper[3], MPPT.pv[i]+. A reference is
// read once into a path and then evaluated for each step of its range. What is wrong is reported at
// the piece that is wrong.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "resolve/index.hpp"
#include "resolve/lookup.hpp"

namespace ferrule::resolve {

struct Step {
    Symbol mark;  // none: the index alone, as in Q1.[3]
    Index index;
    char sign = 0;  // the + or - behind an index: pv[i]+
    std::uint32_t begin = 0, end = 0;
};

struct Path {
    const View* view = nullptr;
    NodeIndex node = no_node;
    Symbol head;
    Index index;
    std::array<Step, 4> steps;
    std::uint8_t count = 0;  // steps used
    bool good = true;        // false: it has been reported
    std::uint32_t begin = 0, end = 0;
    std::uint32_t head_end = 0;

    // How many things or terminals it names: those of its one range.
    [[nodiscard]] std::uint32_t length() const;
    [[nodiscard]] Span span() const { return view->span(begin, end); }
    [[nodiscard]] Span head_span() const { return view->span(begin, head_end); }
};

[[nodiscard]] Path read_path(Build& b, const View& v, NodeIndex ref, Scope scope);

// The k-th thing of a path that names things. None: reported, or silent because its cause was.
[[nodiscard]] ThingId thing_at(Build& b, const Path& path, std::uint32_t k, Scope scope,
                               const Wanted& wanted);

// A terminal that a conductor lands on.
struct Landing {
    TerminalId terminal;  // none: reported
    Symbol side;          // when it was named by its place: `Q1.upper[3]`
    std::uint16_t position = 0;
    ThingId touched;  // the device, where that much is known though the terminal is not
};
enum class Bare : std::uint8_t {
    bonding_point,
    one_terminal
};  // what a thing without a terminal means
[[nodiscard]] Landing landing_at(Build& b, const Path& path, std::uint32_t k, Scope scope,
                                 Bare bare);

// A terminal named in papers and blocks, where members of assemblies may be named too.
[[nodiscard]] TerminalId terminal_at(Build& b, const Path& path, std::uint32_t k, Scope scope);

// A thing or one of its terminals, whichever is written.
struct Either {
    ThingId thing;
    TerminalId terminal;
};
[[nodiscard]] Either either_at(Build& b, const Path& path, std::uint32_t k, Scope scope);

// The thing of a path that names it, or a terminal, a port or an entry of it: what a finding speaks of.
[[nodiscard]] ThingId owner_at(Build& b, const Path& path, std::uint32_t k, Scope scope);

// The entry of a box that BOX.G1 or BOX.G[2] names; none if it has no such entry (reported).
[[nodiscard]] std::optional<std::uint32_t> entry_at(Build& b, const Path& path, std::uint32_t k,
                                                    Scope scope);
// The entry of that name and index of one box.
[[nodiscard]] std::optional<std::uint32_t> entry_of(const Build& b, ThingId box, Symbol name,
                                                    std::uint32_t index);
void unknown_entry(Build& b, ThingId box, Span at, std::string_view written);

// The label that a step means, with its index and sign for the k-th turn: pv[i]+ -> pv2+. None if
// it was never written.
[[nodiscard]] Symbol label_of(const Build& b, const Step& step, std::uint32_t k);

void unknown_terminal(Build& b, ThingId device, Span at, std::string_view written);

}  // namespace ferrule::resolve
