// How conductors are laid and in what air: run by run what it states, how many loaded conductors share it, and the hottest air of
// each place and box. Kelvin and metres; one entry a run, place or box, never one a conductor.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "facts/analysis.hpp"

namespace ferrule::facts {

// The hottest air round something, and who says so.
struct Ambient {
    double kelvin = graph::unknown;
    std::uint32_t thing = none;  // the run, place or box it is stated at
    bool of_site = false;        // an outdoor place that states none: the site's hottest air
    [[nodiscard]] bool known() const { return kelvin == kelvin; }
};

// What a run says of the way its conductors lie.
struct Laying {
    enum class Kind : std::uint8_t { open, tray, conduit, buried };
    Kind kind = Kind::open;
    bool spaced = false;
    bool clipped = false;                  // it says at least that: `support` or a tray
    bool sun_no = false;
    double above_roof = graph::unknown;    // m
    double length = graph::unknown;        // m
    Ambient ambient;                       // its own, else the worst of the places it goes through
    Ambient open_air;                      // the air over a sunlit roof: its own, else the worst of the places outdoors it goes through
    std::uint32_t loaded = 0, singles = 0, cables = 0;  // loaded conductors; of these alone in their sheath; cables of several
};

class Layings {
public:
    // `loaded`: per conductor, whether it carries current in service.
    Layings(const Analysis& a, const std::vector<std::uint8_t>& loaded);
    [[nodiscard]] const Laying& operator[](graph::ThingId run) const { return runs_[a_.run_row[run.value]]; }
    // Of the place or box in which the owner of a terminal stands.
    [[nodiscard]] const Ambient& round(std::uint32_t terminal) const;
    // Is it the air of a place outdoors that the sun reaches?
    [[nodiscard]] bool sunlit(const Ambient& air) const;
    // Loaded cores of a cable of several.
    [[nodiscard]] std::uint32_t cores(graph::ThingId cable) const { return cores_[cable.value]; }

private:
    [[nodiscard]] Ambient of_place(graph::ThingId place) const;
    void read_runs();
    void count(const std::vector<std::uint8_t>& loaded);

    const Analysis& a_;
    std::vector<Laying> runs_;          // per run
    std::vector<Ambient> surroundings_; // per thing; places and boxes only
    std::vector<std::uint32_t> cores_;  // per thing; cables only
    Ambient nothing_;
};

}  // namespace ferrule::facts
