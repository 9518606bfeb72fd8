// Boxes, their openings and what passes them; connector halves that meet.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "facts/network.hpp"
#include "facts/weather.hpp"
#include "tables/standard.hpp"

namespace ferrule::facts {

struct BoxData {
    graph::ThingId thing;
    graph::ThingId place;             // through the boxes it is in
    bool nested = false;
    Exposure exposure = Exposure::unknown;
    Ingress ingress;
    Answer tight = Answer::unknown;   // keeps_out
    bool metal = false;
    std::uint32_t entries = 0;
};

struct EntryData {
    std::uint32_t cables = 0;
    bool claimed = false;             // a run's `enters` names it, whether or not a cable is left for it
    double thinnest = graph::unknown, thickest = graph::unknown;  // m
    bool diameter_missing = false;
    std::uint32_t conductor = none;   // one that passes
};

struct Mating {
    std::string_view family_a, family_b, half_a, half_b;
    double rated_voltage = graph::unknown, rated_current = graph::unknown;
    double rated_at = graph::unknown;  // K: the connector's rated current holds up to this air, and the site's may be hotter
    bool listed_together = false;
    std::uint32_t conductor = none, string = none;  // string: index into Network::sources
    std::uint32_t terminal = none;
    graph::PartId part_a, part_b;
    bool voltage_of_a = false, current_of_a = false;  // the lesser rating is that of a: the module's or the lead's own half
};

struct Boxes {
    std::vector<BoxData> boxes;
    std::vector<std::uint32_t> box_of;  // per thing: index into boxes, or none
    std::vector<EntryData> entries;     // per Design::entries
    std::vector<Mating> matings;
};

[[nodiscard]] Boxes find_boxes(const graph::Design& design, const std::vector<PartData>& parts, const Network& network,
                              const tables::Standard& standard);

// The place a thing stands in, through the boxes around it; none if it says none.
[[nodiscard]] graph::ThingId place_of(const graph::Design& design, graph::ThingId thing);

}  // namespace ferrule::facts
