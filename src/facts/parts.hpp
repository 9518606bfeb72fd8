// What the analyses ask of a data sheet, read once per part and never once per thing.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "graph/design.hpp"

namespace ferrule::facts {

enum class Conducts : std::uint8_t { none, source, contact, guard, converter, wire };
enum class Answer : std::uint8_t { no, yes, unknown };

// What a switch is there for: the duty that a utilisation category has to fit.
enum class Duty : std::uint8_t { one_string, several, battery };
inline constexpr std::size_t duties = 3;

// `rated 2 in series 700 V 32 A`
struct RatingRow {
    enum class Arrangement : std::uint8_t { series, parallel, conductor };
    std::uint32_t contacts = 0;
    Arrangement arrangement = Arrangement::series;
    double voltage = graph::unknown;
    double current = graph::unknown;
    double ambient = graph::unknown;
    graph::RowId row;
    std::string_view category;                  // its own; empty: those of the part count
    std::array<std::uint8_t, duties> fits{};    // how well its category fits: 2 well, 1 opens under load, 0 does not
};

struct ModuleData {
    double voc = graph::unknown, voc_relative = graph::unknown, voc_absolute = graph::unknown;  // V, 1/K, V/K
    double vmp = graph::unknown, vmp_relative = graph::unknown, vmp_absolute = graph::unknown;
    double pmax_relative = graph::unknown;
    double isc = graph::unknown, imp = graph::unknown;
    double max_fuse = graph::unknown, max_system = graph::unknown;
    bool silicon = true;             // what the table of a standard holds for; also where nothing is stated
    bool coefficient_doubtful = false, isc_doubtful = false;  // stated, and cannot be right
};

struct PartData {
    std::string_view kind;
    Conducts conducts = Conducts::none;
    bool breaks_load = false;
    bool one_metal = false;
    bool overcurrent = false;        // protects by itself: a fuse way or a breaker
    Answer isolated = Answer::unknown;
    std::string_view ground_fault;   // none, detects, interrupts; empty if not stated
    std::vector<RatingRow> ratings;
    bool ac_rated = false;
    std::vector<std::string_view> categories;  // stated by `category` or by a row of its ratings
    bool rows_differ = false;        // a row of its ratings states a category of its own
    bool without_end = false;        // `continuous-duty yes`
    double rated_voltage = graph::unknown;  // DC; the largest row
    double rated_current = graph::unknown;
    bool spring = false;             // its clamps need no torque
    bool torque_stated = false;  // or its line could not be read
    bool rated_unread = false;   // a `rated` line could not be read: that there is none proves nothing
    bool class_two = false;
    bool metal = false;              // its material is a metal
    ModuleData module;
};

[[nodiscard]] std::vector<PartData> read_parts(const graph::Design& design);

// Equal but for capitals: what is printed on a body is printed in capitals as often as not.
[[nodiscard]] bool same_letters(std::string_view x, std::string_view y);

// Utilisation categories for direct current (IEC 60947-3), however their letters are written: those that cover opening under
// load, those that do not. A word that is none of them says nothing.
[[nodiscard]] bool category_breaks_load(std::string_view category);
[[nodiscard]] bool category_no_load(std::string_view category);
[[nodiscard]] bool category_starts(std::string_view category, std::string_view with);

// steel, aluminium, … and every material word that begins or ends with one of them.
[[nodiscard]] bool is_metal(std::string_view material);

}  // namespace ferrule::facts
