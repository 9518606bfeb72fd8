// The resistance of what a current passes: conductors at the temperature they are reckoned at, closed contacts, fuse links, plugs and
// shunts. Ohm, metre, kelvin. Worked out once per data sheet; per conductor one multiplication.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "facts/network.hpp"
#include "facts/strings.hpp"
#include "tables/standard.hpp"

namespace ferrule::facts {

// One kind of wire, as far as its resistance depends on it.
struct Wire {
    double area = graph::unknown;        // m2
    bool aluminium = false;
    bool metal_stated = false;
    enum class Strands : std::uint8_t { unstated, solid, stranded, fine, fine_tinned } strands = Strands::unstated;
    double insulation = graph::unknown;  // K: what it allows the conductor
    [[nodiscard]] bool operator==(const Wire&) const = default;
};

// The resistance tables of a standard, read once.
class WireTables {
public:
    explicit WireTables(const tables::Standard& standard);

    // The temperature a conductor is reckoned at for drop: the standard's own; lacking one what its insulation allows, with a bound.
    [[nodiscard]] double temperature(const Wire& wire) const;
    // The temperature for the largest short-circuit current.
    [[nodiscard]] double fault_temperature() const { return fault_temperature_; }
    // At the temperature for drop; unknown without a section. A size that no table lists: by its metal's resistivity.
    [[nodiscard]] double ohm_per_metre(const Wire& wire) const { return ohm_per_metre(wire, temperature(wire)); }
    [[nodiscard]] double ohm_per_metre(const Wire& wire, double kelvin) const;
    // "1.21 ohm/km at 20 degC (IEC 60228, class 5) x (1 + 0.393 %/K x 70 K) = 1.543 ohm/km"
    [[nodiscard]] std::string working(const Wire& wire, const units::Units& units) const;
    // The smallest listed size (of the kind, gauge or metric, that this one is of) with no more than so many ohms per metre at its
    // temperature; nothing if the largest has more.
    [[nodiscard]] std::optional<double> least_area(const Wire& wire, double ohm_per_metre_most) const;
    [[nodiscard]] bool gauge(double area) const;  // it is a size of the gauge table

private:
    struct Row { double area, value; };
    using Rows = std::vector<Row>;
    struct Base {  // where a figure comes from
        double ohm_per_metre = graph::unknown, kelvin = graph::unknown, per_kelvin = graph::unknown;
        const char* source = "";
    };
    [[nodiscard]] Base base(const Wire& wire) const;
    [[nodiscard]] const Rows& metric(const Wire& wire) const;
    [[nodiscard]] const Rows& gauges(const Wire& wire) const;

    Rows copper_75_, copper_solid_75_, aluminium_75_, aluminium_solid_75_;
    Rows copper_2_, copper_5_, copper_tinned_, aluminium_2_;
    double copper_per_75_, aluminium_per_75_, copper_per_20_, aluminium_per_20_, copper_1mm2_, aluminium_1mm2_;
    double own_temperature_, unstated_temperature_, most_temperature_, fault_temperature_;
};

class Resistances {
public:
    Resistances(const graph::Design& design, const std::vector<PartData>& parts, const Network& network, const tables::Standard& standard);

    std::vector<double> conductor;  // per conductor: ohm of the cable itself; unknown without section or length (links: 0)
    std::vector<double> cold;       // per conductor: the same at the temperature of the largest short-circuit current
    std::vector<double> edge;       // per edge of the network: ohm, with plugs on it; unknown the same
    std::vector<double> cold_edge;  // per edge: with the conductor cold; contacts, fuses and plugs as they are
    bool contacts_silent = false;   // a contact, fuse or plug states no resistance and counts as 0
    WireTables wires;

    // A conductor got another length, and maybe an edge of the network with it (none).
    void set_length(std::uint32_t conductor_id, std::uint32_t edge);

    [[nodiscard]] Wire wire(std::uint32_t conductor_id) const;
    [[nodiscard]] double temperature(std::uint32_t conductor_id) const { return wires.temperature(wire(conductor_id)); }
    [[nodiscard]] std::vector<std::string> working(std::uint32_t conductor_id) const;
    [[nodiscard]] std::vector<std::string> assumed(std::uint32_t conductor_id) const;
    // What is lacking for a conductor's resistance.
    [[nodiscard]] Lack lack(std::uint32_t conductor_id) const;

private:
    [[nodiscard]] Wire cable_wire(graph::PartId cable) const;
    void conductors();
    void lay(graph::ConductorId conductor, double ohm_per_metre, double cold_per_metre);
    void edges(const std::vector<PartData>& parts, const Network& network);

    const graph::Design* d_;
    std::string_view tinned_type_;
    std::vector<Wire> of_part_;  // per part; cables alone
};

}  // namespace ferrule::facts
