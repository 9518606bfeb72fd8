// What a conductor may carry: its size, metal and insulation against the tables, in each run it passes, with the heat and the
// company it has there; and what the terminals at its ends stand. Judged for any section, so that the smallest that would do can be
// found. Amperes, square metres, kelvin. One judgement costs a few look-ups in short tables and allocates nothing.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "facts/ampacity.hpp"
#include "facts/laying.hpp"
#include "facts/takes.hpp"

namespace ferrule::facts {

// What the data sheet of a cable (or set of links) says that matters here, read once per part.
struct CableData {
    double temperature = graph::unknown;     // insulation
    std::uint8_t cls = AmpacityTables::no_class;
    double rated_current = graph::unknown;   // links
    bool cable = false;
    bool several_cores = false;
    bool pv_cable = false;                   // rated by its own tables
    bool roof_exempt = false;
};

// A conductor in one of its runs, or between its two ends when it lies in none.
struct Passage {
    graph::ThingId run;
    Method method = Method::unlisted;
    Ambient ambient;                // unknown: the default counts
    bool from_ends = false;         // the ambient is that of the place of one of its ends
    bool roof = false;              // the addition for a sunlit roof is in `kelvin`
    double kelvin = graph::unknown; // what the factor is looked up for
    std::uint32_t loaded = 1, circuits = 1;  // loaded conductors and circuits that share it
    bool apart = false;             // short, or spaced: company does not count
    bool open = false;              // nothing is said of the way it lies
    Bounds ambient_factor{1, 1}, grouping{1, 1};
    Bounds table, ampacity;
};

// What stands in the way of a value.
enum class Without : std::uint8_t { nothing, section, insulation, cool_insulation, metal, buried, size, grouping };

struct Judgement {
    Passage worst;                               // the passage of the least ampacity
    Bounds table, ampacity;                      // A; the least of all passages
    Bounds terminal{no_limit, no_limit};         // A; no_limit: no terminal limits it
    double terminal_temperature = graph::unknown;
    graph::TerminalId at;                        // the terminal that limits it
    bool terminal_assumed = false;               // the standard's column, as none is stated
    Without without = Without::nothing;
};

// What of bounds is settled by a need: the value, or NaN.
[[nodiscard]] double settled(const Bounds& bounds, double need);

class Carrying {
public:
    Carrying(const Analysis& a, const std::vector<std::uint8_t>& loaded);

    // `continuous`: A, decides which column of the table terminals without a stated temperature count for.
    [[nodiscard]] Judgement judge(graph::ConductorId conductor, double area, double continuous) const;
    // The largest overcurrent device that may protect a conductor of so many amperes. Of several in parallel one device protects the
    // set: each has its part of that.
    [[nodiscard]] double device_most(bool aluminium, double area, double amps, double parallel) const;
    // Standard sizes of the conductor's own kind (metric or gauge), ascending.
    [[nodiscard]] const std::vector<double>& sizes(const graph::Conductor& c) const;

    [[nodiscard]] const CableData& cable(const graph::Conductor& c) const { return c.cable ? cables_[c.cable.value] : bare_; }
    [[nodiscard]] bool aluminium(const graph::Conductor& c) const { return aluminium_ && c.material == aluminium_; }
    [[nodiscard]] const AmpacityTables& tables() const { return tables_; }
    [[nodiscard]] const Takes& takes() const { return takes_; }
    // "10 AWG", "300 kcmil", "6 mm2": a section in the conductor's own kind of sizes.
    [[nodiscard]] std::string size_text(double area, const graph::Conductor& c) const;

    // The steps, the defaults leant on, and what was lacking.
    [[nodiscard]] std::vector<std::string> working(graph::ConductorId conductor, double continuous, bool with_factors) const;
    [[nodiscard]] std::vector<std::string> terminal_working(graph::ConductorId conductor, double continuous) const;
    [[nodiscard]] std::vector<std::string> assumed(graph::ConductorId conductor, double continuous, double need) const;
    [[nodiscard]] std::vector<std::string> assumed_insulation(graph::ConductorId conductor, double continuous, double need) const;
    [[nodiscard]] Lack lack(graph::ConductorId conductor, double continuous) const;

private:
    void read_cables();
    [[nodiscard]] std::string ambient_text(const Passage& p) const;
    [[nodiscard]] Passage pass(const graph::Conductor& c, graph::ThingId run, double area) const;
    [[nodiscard]] Method method(const Laying* laying, const CableData& cable, double area) const;
    void limit_terminals(const graph::Conductor& c, double area, double continuous, Judgement& j) const;

    const Analysis& a_;
    AmpacityTables tables_;
    Layings layings_;
    Takes takes_;
    std::vector<CableData> cables_;
    CableData bare_;
    graph::Symbol aluminium_;
    std::vector<double> metric_, gauge_, devices_;
    double gauge_limit_ = no_limit;  // m²: the largest section with a gauge number; above it kcmil
    units::UnitId mm2_;
    double default_ambient_ = graph::unknown;
    double roof_adder_ = 0, roof_distance_ = 0, grouping_length_ = 0, touching_from_ = 0, next_size_limit_ = 0;
    double terminal_current_ = graph::unknown, terminal_small_ = graph::unknown, terminal_large_ = graph::unknown;
};

}  // namespace ferrule::facts
