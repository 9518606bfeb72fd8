// The ampacity tables of a standard, made ready for look-up: what a conductor of a size, metal and insulation carries by the way it
// is laid, and how heat and company reduce that. Amperes, square metres, kelvin. A look-up walks a short table and allocates nothing.
// What a table does not hold comes back as bounds, never as a guess; a standard may lack any of the tables.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "tables/standard.hpp"

namespace ferrule::facts {

// Sections are the same size when they differ by less than this share: what separates rounding from the next size.
inline constexpr double same_size = 1e-6;
inline constexpr double no_limit = std::numeric_limits<double>::infinity();

// Something known to lie between two values; exact when they are equal.
struct Bounds {
    double low = 0, high = no_limit;
    [[nodiscard]] bool exact() const { return low == high; }
    [[nodiscard]] Bounds operator*(const Bounds& o) const { return {low * o.low, high == no_limit || o.high == no_limit ? no_limit : high * o.high}; }
    [[nodiscard]] Bounds operator*(double x) const { return *this * Bounds{x, x}; }
};

// How a conductor is laid, as far as the tables tell ways apart. `unlisted`: the tables have none for it.
enum class Method : std::uint8_t { unlisted, raceway, free_air, b1, c, e, f, pv_free_air, pv_on_surface, pv_side_by_side };
inline constexpr std::size_t method_count = 10;
[[nodiscard]] std::string_view word(Method method);      // "raceway", "free-air", "b1", … as columns and figures name it
[[nodiscard]] std::string_view in_words(Method method);  // "in a raceway or cable", "clipped to a surface"
[[nodiscard]] constexpr bool pv_cable_method(Method m) { return m >= Method::pv_free_air; }

class AmpacityTables {
public:
    explicit AmpacityTables(const tables::Standard& standard);

    // A standard that tells raceway from free air alone; the other kind has reference methods and counts circuits.
    [[nodiscard]] bool by_raceway() const { return by_raceway_; }

    static constexpr std::uint8_t no_class = 0xff;
    [[nodiscard]] std::uint8_t classes() const { return static_cast<std::uint8_t>(classes_.size()); }
    [[nodiscard]] double class_temperature(std::uint8_t cls) const { return classes_[cls].temperature; }
    // The highest class that the insulation reaches; no_class below the lowest and for NaN.
    [[nodiscard]] std::uint8_t class_of(double temperature) const;

    struct Row {
        double area = 0, amps = 0;
        bool unchecked = false;  // of a table that stands `from memory`
    };
    // The largest listed size that is not above the section; null when the table has none.
    [[nodiscard]] const Row* listed(Method method, std::uint8_t cls, bool aluminium, double area) const;
    // What the section carries. Above the largest listed size: at least as much as that; below the smallest: at most as much.
    [[nodiscard]] Bounds amps(Method method, std::uint8_t cls, bool aluminium, double area) const;
    // 0 where the insulation is not allowed at that ambient.
    [[nodiscard]] double ambient_factor(Method method, std::uint8_t cls, double kelvin) const;
    // `count`: loaded conductors or circuits, whichever the standard counts.
    [[nodiscard]] Bounds grouping(std::uint32_t count) const;
    // The largest overcurrent device for a small conductor; no_limit for others.
    [[nodiscard]] double small_conductor(bool aluminium, double area) const;
    // The clause, for the working: "Table 310.16", "IEC 60364-5-52:2009, B.52.2 …".
    [[nodiscard]] std::string clause(Method method, const Row& row) const;
    [[nodiscard]] std::string ambient_clause(Method method) const;
    [[nodiscard]] std::string grouping_clause() const;

private:
    using Lane = std::vector<Row>;
    struct InsulationClass {
        double temperature = 0;
        std::string ampacity, ambient;  // columns
    };
    struct Factor {
        double to = 0, factor = 0;
    };
    [[nodiscard]] const Lane& lane(Method method, std::uint8_t cls, bool aluminium) const;
    [[nodiscard]] std::string clause_of(std::string_view table) const;
    [[nodiscard]] std::vector<Factor> factors(std::string_view table, std::string_view more, const std::string& column) const;

    const tables::Standard& standard_;
    bool by_raceway_ = false;
    std::vector<InsulationClass> classes_;
    std::array<std::vector<Lane>, 2 * method_count> lanes_;  // [method, metal][class]
    std::vector<std::vector<Factor>> ambient_;               // [class]
    std::vector<Factor> ambient_pv_;
    std::vector<Factor> grouping_;
    std::array<Lane, 2> small_;                              // [metal]
    Lane nothing_;
};

}  // namespace ferrule::facts
