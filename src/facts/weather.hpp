// What keeps dust and water out: of a box, of a device outside any box, of what closes an opening; and what their place asks for.
#pragma once

#include <string>
#include <string_view>

#include "facts/parts.hpp"
#include "tables/standard.hpp"

namespace ferrule::facts {

enum class Exposure : std::uint8_t { indoors, damp, sheltered, exposed, wet, immersion, unknown };
[[nodiscard]] std::string_view word(Exposure e);

[[nodiscard]] Exposure exposure_of(const graph::Design& design, graph::ThingId place);

// As it is marked: two digits, or an enclosure type of the standard's table.
struct Ingress {
    std::string_view code;            // as written; empty if nothing is stated
    double solids = graph::unknown, water = graph::unknown;  // of an IP code
    bool type = false;                // a type number
    [[nodiscard]] bool read() const { return type || (solids == solids && water == water); }
    [[nodiscard]] std::string shown() const;  // "IP65", "Type 4X"; empty if it cannot be read
};
[[nodiscard]] Ingress read_ingress(std::string_view code, const tables::Standard& standard);

// Whether it keeps out what its place brings, each mark by its own table: a type says what it was tested for, and no digits.
[[nodiscard]] Answer keeps_out(const graph::Design& design, const Ingress& ingress, graph::ThingId place, const tables::Standard& standard);
// The marks that would do there: "IP65 or more", "Type 4, 4X, 6 or 6P".
[[nodiscard]] std::string asked_of(const graph::Design& design, const Ingress& ingress, graph::ThingId place, const tables::Standard& standard);

}  // namespace ferrule::facts
