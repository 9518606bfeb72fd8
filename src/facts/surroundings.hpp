// What stands round the equipment: the air it has to bear, the thin air of the mountains, the light of the ground. A box is warmer
// than its place by what the sun and its contents add. Temperatures in K, heat in W, surface in m2; NaN where the design or a data
// sheet does not say. Read once per part, place and box; a device only looks them up.
#pragma once

#include <cstdint>
#include <vector>

#include "facts/analysis.hpp"
#include "facts/ratings.hpp"

namespace ferrule::facts {

// What a data sheet says about air, height and heat.
struct PartAir {
    double coldest = graph::unknown, hottest = graph::unknown;  // `ambient`
    double loss = graph::unknown;      // at full load
    bool heats = false;                // of a kind that gives off heat in service, whether its data sheet says how much or not
    bool scales = false;               // a contact or a fuse: its heat goes with the square of the current
    double full_load = graph::unknown; // A: the current of that heat
    double voltage_factor = graph::unknown, current_factor = graph::unknown;  // at the altitude of the site
    bool too_high = false;             // the site is above every height it states
};

struct PlaceAir {
    double hottest = graph::unknown, coldest = graph::unknown;
    Answer sun = Answer::unknown;      // does the sun shine on what stands there
    bool heated = false;
    bool outdoors = false;
    bool hottest_of_site = false, coldest_of_site = false;  // taken from the site, as the place does not say
};

struct BoxAir {
    double around = graph::unknown;    // air around it: its place's, or that in the box it is in
    Answer in_sun = Answer::unknown;
    double sun_rise = 0;               // K
    double heat = 0;                   // W: what is known of it, boxes inside included
    std::uint32_t heat_lacks = none;   // a thing inside whose heat nobody states
    bool heat_stated = false;          // something inside states its heat
    double surface = graph::unknown;   // m2
    double declared = graph::unknown;  // `inside`
    double inside = graph::unknown;    // declared, or reckoned with everything known
    double least = graph::unknown;     // it is at least this warm: reckoned with what is known
    double outside = graph::unknown;   // declared, else the air around it: certain
    std::uint32_t weakest = none;      // the device in it that stands the least heat (a thing)
};

struct Surroundings {
    std::vector<PartAir> parts;
    std::vector<PlaceAir> places;      // per row of places
    std::vector<BoxAir> boxes;         // per Boxes::boxes
    double altitude = graph::unknown;  // m
};

// `current`: what each device carries (A, per row of devices; 0 where that is not known).
[[nodiscard]] Surroundings find_surroundings(const Analysis& analysis, const std::vector<double>& current);

// A rating in air of some temperature, from the rows of a data sheet and its `derate` lines.
struct AirRating {
    double current = graph::unknown;   // A; unknown if the data sheet does not say
    double factor = 1;
    graph::RowId row, derate;          // the rows it was taken from; derate may be none
    bool ambient_only = false;         // no rating for that air is printed, and its `ambient` includes it
};
[[nodiscard]] AirRating rating_in_air(const Analysis& analysis, graph::PartId part, const PartAir& air, const Contacts& contacts, double voltage,
                                      double temperature);

// What lies in each run, which system each conductor belongs to, where weather reaches it.
void fill_run_contents(Facts& facts, const Shared& a, const Surroundings& surroundings);
// surge-mode, and the sides of switches that were meant for the supply.
void fill_surges(Facts& facts, const Shared& a);
void fill_line_sides(Facts& facts, const Shared& a);

}  // namespace ferrule::facts
