// The current that a conductor, contact or fuse carries without end in service, and how it came about.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "facts/analysis.hpp"

namespace ferrule::facts {

// A. Of an array: isc of all behind it with the irradiance factor; of a battery's circuit what flows in service. Divided among
// ways in parallel. Unknown if a figure is lacking, or if no source and no load is on its net.
[[nodiscard]] double carried(const Analysis& a, const Feed& feed);

// The standard's factor on that current for duty without end: of the array's circuits, or of a battery's.
[[nodiscard]] double continuous_factor(const Analysis& a, const Feed& feed);

[[nodiscard]] std::vector<std::string> carried_text(const Analysis& a, std::uint32_t edge);
[[nodiscard]] std::vector<std::string> continuous_text(const Analysis& a, std::uint32_t edge);
[[nodiscard]] Missing carried_missing(const Analysis& a, std::uint32_t edge, text::Span place);
[[nodiscard]] std::vector<std::string> carried_assumed(const Analysis& a, std::uint32_t edge);

// Working, lack and assumptions of the column `current` (or another name) and of `continuous-current` beside it.
void explain_current(Filler& fill, const char* current, const std::function<std::uint32_t(std::uint32_t)>& edge,
                     const std::function<text::Span(std::uint32_t)>& place, const Shared& a);

// What the array beyond an edge drives back through it into a fault, A, without factors. Only strings in parallel with those behind it
// do: strings that merely share one pole with them (a common negative of two arrays) have no loop through it.
// `groups`: the isc of each group of circuits, when many are asked for.
[[nodiscard]] double driven_back(const Analysis& a, std::uint32_t edge, const Feed& feed, const std::vector<double>* groups = nullptr);

}  // namespace ferrule::facts
