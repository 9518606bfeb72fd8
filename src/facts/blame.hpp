// Where a mistake is put right. A reversed pair or a short shows everywhere at once; these find the one line a person should look
// at, from what the design itself says: signs of terminals, colours, the order of poles, which links the box was supplied with.
#pragma once

#include "facts/positions.hpp"

namespace ferrule::facts {

// A source that is the wrong way round against its neighbours.
[[nodiscard]] Reversal blame_source(const graph::Design& design, const Network& network, std::uint32_t source, std::uint32_t parallel);
// A port that is fed the wrong way round.
[[nodiscard]] Reversal blame_port(const graph::Design& design, const Network& network, std::uint32_t port);
// Sources whose two ends are one net with every switch on (or in some position of a change-over switch).
[[nodiscard]] std::vector<Short> find_shorts(const graph::Design& design, const Network& network);

// Sources that are shorted in some position of change-over switches, and not with everything on.
[[nodiscard]] std::vector<Short> find_position_shorts(const graph::Design& design, const Network& network, const Positions& positions);

// What the colour of a conductor claims: +1, -1, or 0 when it claims nothing.
[[nodiscard]] int claimed_sign(const graph::Design& design, graph::ConductorId conductor);

}  // namespace ferrule::facts
