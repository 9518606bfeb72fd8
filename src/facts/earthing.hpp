// The protective side: which metal is joined to which by bonds, earthing conductors, clamps and bars; which of it reaches the
// earth; where a live pole of a DC circuit meets it.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "facts/circuits.hpp"

namespace ferrule::facts {

struct MetalThing {
    enum class What : std::uint8_t { frames, box, metal_case, place, metalwork };
    What what = What::box;
    graph::ThingId thing;
    std::uint32_t terminal = none;   // its bonding point
    bool class_two = false;
    bool bonded = false;
};

// A protective conductor that lands on a live pole, or on a device that ties a pole to its protective terminal inside.
struct EarthLink {
    std::uint32_t conductor = none;
    std::uint32_t terminal = none;   // the live one
};

struct Earthing {
    Nets nets;                                // terminals joined by metal
    std::vector<std::uint8_t> main;           // per net: it is the protective earthing: an electrode or an earth bar is on it
    std::vector<MetalThing> metal;
    std::vector<EarthLink> links;
    std::vector<graph::ThingId> electrodes;
    std::vector<std::uint32_t> electrode_group;  // per electrode: number from 1
    std::uint32_t electrode_groups = 0;
    std::vector<graph::ThingId> bars;            // earth bars
    std::vector<std::uint8_t> bar_earthed;       // per bar: an electrode is on it, a bar before it is on the same metal, or the design has none
    std::vector<std::uint8_t> pole_earthed;   // per net of Network::on: a link lands on it
};

[[nodiscard]] Earthing find_earthing(const graph::Design& design, const std::vector<PartData>& parts, const Network& network);

}  // namespace ferrule::facts
