// How thick protective conductors must be: which circuits have their metal on each, the device that a fault there must open, and
// what the standard asks for it; the same for conductors to earth electrodes. Square metres and amperes. Linear in the conductors,
// but for one sort of the protective ones.
#pragma once

#include <string>
#include <vector>

#include "facts/wiring.hpp"

namespace ferrule::facts {

// What metal asks of the conductor that bonds it.
struct BondNeed {
    enum class By : std::uint8_t { nothing, device, frames, section };
    By by = By::nothing;
    std::uint32_t conductor = none;        // of the circuit
    double device = graph::unknown;        // A; by device
    bool assumed = false;                  // no device is in the circuit: the one that would be is assumed
    bool several = false;                  // several devices let so much pass together
    bool unknown = false;                  // it asks for something, but what is not known
    double ratio = 1;                      // the circuit's conductors are so many times what they need be
    double section = graph::unknown;       // m² of the circuit's conductor
    double copper = 0, aluminium = 0;      // m², not yet grown by that ratio
    double floor = 0;                      // m²: below it no reading of the standards is met; copper
    [[nodiscard]] double weight() const { return copper * ratio; }
};

struct Bond {
    std::uint32_t conductor = none;
    BondNeed need;
    bool exposed = false;                  // outdoors under no roof, in no conduit, in no cable
    graph::ThingId electrode;              // it goes to this one
    double grown = graph::unknown;         // m²: what the proportion asks, before the next size is taken
    double least = graph::unknown, floor = graph::unknown;  // m² of its own metal
    double electrode_least = graph::unknown;
};

// All protective conductors between pieces of metal, and what is asked of each; from the filled tables of conductors and fuses.
class Bonds {
public:
    // The carrying of conductors is looked at only under a standard that grows bonds with their circuit's conductors; may be null.
    Bonds(const Facts& facts, const Analysis& a, const Carrying* carrying);
    [[nodiscard]] const std::vector<Bond>& all() const { return all_; }
    // The smallest standard size of its own kind (gauge or metric) that is not below; unknown when the list ends before.
    [[nodiscard]] double next_size(std::uint32_t conductor, double area) const;
    [[nodiscard]] bool metric(std::uint32_t conductor) const;  // its section is stated in mm2, not by gauge
    [[nodiscard]] bool aluminium(const Bond& b) const;
    [[nodiscard]] std::string size_text(std::uint32_t conductor, double area) const;
    [[nodiscard]] std::vector<std::string> working(const Bond& b) const;
    [[nodiscard]] std::vector<std::string> electrode_working(const Bond& b) const;

private:
    void read_sizes();
    void find_needs(const Facts& facts, const Carrying* carrying);
    void hang();
    void size(Bond& b) const;
    [[nodiscard]] double rounded(double area) const;
    void size_electrode(Bond& b) const;
    [[nodiscard]] BondNeed of_circuit(std::uint32_t row, double device, bool assumed, double needed, bool array) const;
    void demand(graph::ThingId thing, const BondNeed& need);
    [[nodiscard]] graph::ThingId node(std::uint32_t terminal) const;
    [[nodiscard]] bool exposed(const graph::Conductor& c) const;

    const Analysis& a_;
    units::UnitId mm2_;
    graph::Symbol frames_;
    const tables::FigureTable* rounded_ = nullptr;  // sections as the standard rounds them; null: as they are
    const tables::FigureTable* devices_ = nullptr;  // least section by the rating of a device; null under a standard without one
    bool lightning_ = false;
    double alike_ = graph::unknown;                 // aluminium for copper of the same resistance
    double equal_most_ = graph::unknown, half_above_ = graph::unknown;       // m²: up to where a bond is as thick as its circuit, from where half
    double alone_least_ = graph::unknown, aluminium_least_ = graph::unknown; // m²
    double earthed_largest_ = 0;                    // m²: largest conductor of a direct-current system that has an earthed pole
    std::vector<BondNeed> needs_;                   // per thing
    std::vector<Bond> all_;
    std::vector<double> metric_, gauge_;            // standard sizes, ascending
};

}  // namespace ferrule::facts
