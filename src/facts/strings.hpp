// Volts and amperes of every string of PV modules, and the climate they follow from. Numbers here; the sentences that show how
// they came about are made on demand.
#pragma once

#include <string>
#include <vector>

#include "facts/network.hpp"
#include "tables/standard.hpp"

namespace ferrule::facts {

struct Climate {
    double coldest = graph::unknown;       // K
    double hottest = graph::unknown;       // K
    double hottest_cell = graph::unknown;  // K
    bool hottest_cell_assumed = false;     // hottest + 30 K
    double irradiance = graph::unknown;    // K_I
    bool irradiance_stated = false;
    double continuous = 1;                 // factor for continuous duty; 1 where the standard has none
    double reverse = 1;                    // factor on isc for the string protection test
};

[[nodiscard]] Climate read_climate(const graph::Design& design, const tables::Standard& standard);

// V and A of one string; unknown where a module does not state what it takes.
struct StringData {
    std::uint32_t modules = 0;
    double voc_stc = graph::unknown, voc_coldest = graph::unknown, voc_hottest = graph::unknown;
    double vmp_coldest = graph::unknown, vmp_hottest = graph::unknown;
    double isc = graph::unknown, imp_least = graph::unknown, imp_most = graph::unknown;
    double max_fuse = graph::unknown, max_system = graph::unknown;
    graph::PartId electronics;
};

// One row a string, in the order of Network::sources.
[[nodiscard]] std::vector<StringData> string_data(const graph::Design& design, const std::vector<PartData>& parts,
                                                  const Network& network, const Climate& climate,
                                                  const tables::Standard& standard);

// Of some strings (at least one) the first with the largest or the least of a figure. One whose figure is unknown comes before all:
// what depends on it is then unknown.
[[nodiscard]] std::uint32_t with_most(const std::vector<StringData>& strings, const std::vector<std::uint32_t>& of, double StringData::*figure);
[[nodiscard]] std::uint32_t with_least(const std::vector<StringData>& strings, const std::vector<std::uint32_t>& of, double StringData::*figure);

// Voc of one module at a temperature; NaN if it cannot be known. Coefficient first, then the standard's table (coldest only).
[[nodiscard]] double module_voc(const ModuleData& m, double temperature, const tables::Standard* standard_table);
[[nodiscard]] double module_vmp(const ModuleData& m, double temperature);

enum class Voltage : std::uint8_t { voc_stc, voc_coldest, voc_hottest, vmp_coldest, vmp_hottest };
[[nodiscard]] double StringData::* figure(Voltage which);

[[nodiscard]] std::vector<std::string> voltage_working(const graph::Design& design, const std::vector<PartData>& parts,
                                                       const PowerSource& source, const StringData& data,
                                                       const Climate& climate, const tables::Standard& standard, Voltage which);
// What is lacking, when a value is unknown: a phrase for "cannot be judged without …", and the place to put it right.
struct Lack {
    std::string what;
    text::Span where;
};
[[nodiscard]] Lack voltage_lack(const graph::Design& design, const std::vector<PartData>& parts, const PowerSource& source,
                                const Climate& climate, Voltage which);

}  // namespace ferrule::facts
