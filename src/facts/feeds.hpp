// What each conductor, fuse way and contact carries: which sources are behind it, from one walk over all terminals.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/sides.hpp"
#include "facts/switches.hpp"

namespace ferrule::facts {

struct Feed {
    double isc = 0;              // A, without factors: of the strings behind it, towards the load
    double back = 0;             // A: of the strings beyond it
    std::uint32_t strings = 0;   // string ends behind it
    std::uint32_t one = none;    // the string, when there is one
    std::uint32_t alone = none;  // the string that is alone on one of its sides: it protects that string
    bool battery = false;        // a battery is on one side and something to feed on the other
    bool plus = false;           // it is in the + conductor of what is behind it
    std::uint32_t near = none;   // the terminal on the source's side
};

class Feeds {
public:
    Feeds(const Network& network, const std::vector<Load>& terminal_loads);
    [[nodiscard]] Feed of(std::uint32_t edge) const;
    // The strings behind an edge, at most `most` of them.
    [[nodiscard]] std::vector<std::uint32_t> strings(std::uint32_t edge, std::size_t most) const;

private:
    const Network* network_;
    Sides sides_;
    SourceEnds ends_;
};

}  // namespace ferrule::facts
