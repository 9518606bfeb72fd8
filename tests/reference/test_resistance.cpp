// The resistance of conductors, wire gauges and voltage drop against published figures; figures and sources: resistance.toml.
#include <cmath>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "facts/resist.hpp"
#include "helper_plant.hpp"
#include "units/units.hpp"

namespace {

using namespace ferrule;
using facts::Wire;
using facts::WireTables;
using reference::circular_mil;
using reference::figures;
using reference::Plant;
using reference::published;
using reference::real;
using tables::Value;

constexpr double zero_celsius = 273.15;

const project::Knowledge& knowledge() {
    static text::Sources sources;
    static const project::Knowledge known = project::learn(sources, base::disk(), {});
    return known;
}

// "2/0 AWG", "250 kcmil" in m2.
double listed_area(const std::string& size) {
    const std::size_t blank = size.find(' ');
    const std::string number = size.substr(0, blank);
    const auto slash = number.find('/');
    const double n = slash == std::string::npos ? std::stod(number) : 1 - std::stod(number.substr(0, slash));
    return knowledge().units.to_si(n, knowledge().units.find(size.substr(blank + 1)));
}

Wire copper(double m2, Wire::Strands strands) {
    Wire w;
    w.area = m2;
    w.metal_stated = true;
    w.strands = strands;
    return w;
}

template <class F>
void each(std::string_view name, F f) {
    const Value file = figures("resistance.toml");
    const Value* t = file.find(name);
    ASSERT_NE(t, nullptr) << name;
    for (const Value& row : t->find("rows")->items) f(row.items[0], row.items[1].number, real(*t, "tolerance"));
}

TEST(Resistance, GaugesInMetricUnits) {
    const WireTables wires(reference::standard("nec-2023"));
    each("kft", [&](const Value& size, double ohm_per_km, double tolerance) {
        published(fmt::format("{} at 75 degC, ohm/km", size.text), wires.ohm_per_metre(copper(listed_area(size.text), Wire::Strands::stranded)) * 1e3, ohm_per_km, tolerance);
    });
    each("solid", [&](const Value& size, double ohm_per_km, double tolerance) {
        published(fmt::format("{} solid at 75 degC, ohm/km", size.text), wires.ohm_per_metre(copper(listed_area(size.text), Wire::Strands::solid)) * 1e3, ohm_per_km, tolerance);
    });
}

TEST(Resistance, GaugeGeometry) {
    each("area", [&](const Value& size, double mm2, double tolerance) { published(fmt::format("{} in mm2", size.text), listed_area(size.text) * 1e6, mm2, tolerance); });
    each("gauge", [&](const Value& size, double cmil, double tolerance) {
        published(fmt::format("{} in circular mils", size.text), listed_area(size.text) / circular_mil, cmil, tolerance);
    });
    const Value file = figures("resistance.toml");
    const Value& p = *file.find("proportion");
    published("4 AWG for 8 AWG, 10 AWG enlarged, circular mils", listed_area("4 AWG") / listed_area("8 AWG") * listed_area("10 AWG") / circular_mil, real(p, "four-for-eight"), real(p, "tolerance"));
    published("6 AWG for 8 AWG, 10 AWG enlarged, circular mils", listed_area("6 AWG") / listed_area("8 AWG") * listed_area("10 AWG") / circular_mil, real(p, "six-for-eight"), real(p, "tolerance"));
}

TEST(Resistance, WithTemperature) {
    const WireTables wires(reference::standard("iec-62548"));
    const Wire w = copper(6e-6, Wire::Strands::stranded);
    each("temperature", [&](const Value& celsius, double factor, double tolerance) {
        published(fmt::format("copper, {} degC to 20 degC", celsius.number),
                  wires.ohm_per_metre(w, zero_celsius + 20) / wires.ohm_per_metre(w, zero_celsius + celsius.number), factor, tolerance);
    });
}

TEST(Resistance, DropOfCableForArrays) {
    const WireTables wires(reference::standard("iec-62548"));
    each("pv-cable", [&](const Value& mm2, double drop, double tolerance) {
        published(fmt::format("H1Z2Z2-K {} mm2 at 120 degC, V per A and km", mm2.number),
                  2 * wires.ohm_per_metre(copper(mm2.number * 1e-6, Wire::Strands::fine_tinned), zero_celsius + 120) * 1e3, drop, tolerance);
    });
}

TEST(Resistance, TemperatureOfConductors) {
    const WireTables nec(reference::standard("nec-2023")), iec(reference::standard("iec-62548"));
    Wire w = copper(6e-6, Wire::Strands::fine);
    EXPECT_DOUBLE_EQ(nec.temperature(w), zero_celsius + 75);
    EXPECT_DOUBLE_EQ(iec.temperature(w), zero_celsius + 70);
    w.insulation = zero_celsius + 120;
    EXPECT_DOUBLE_EQ(nec.temperature(w), zero_celsius + 75);
    EXPECT_DOUBLE_EQ(iec.temperature(w), zero_celsius + 90);
}

TEST(Resistance, SmallestSizeThatDoes) {
    const WireTables nec(reference::standard("nec-2023")), iec(reference::standard("iec-62548"));
    const double six = iec.ohm_per_metre(copper(6e-6, Wire::Strands::fine));
    EXPECT_NEAR(iec.least_area(copper(2.5e-6, Wire::Strands::fine), six).value_or(0), 6e-6, 1e-9);
    EXPECT_NEAR(iec.least_area(copper(2.5e-6, Wire::Strands::fine), six * 0.999).value_or(0), 10e-6, 1e-9);
    EXPECT_FALSE(iec.least_area(copper(2.5e-6, Wire::Strands::fine), 1e-6).has_value());
    const double eight = nec.ohm_per_metre(copper(listed_area("8 AWG"), Wire::Strands::stranded));
    EXPECT_NEAR(nec.least_area(copper(listed_area("14 AWG"), Wire::Strands::stranded), eight).value_or(0), listed_area("8 AWG"), 1e-9);
}

// A battery, a load and two conductors of so many feet.
TEST(Resistance, DropOfOneCircuit) {
    const Value file = figures("resistance.toml");
    const Value& e = *file.find("one-circuit");
    const Plant plant(R"(edition 1
site "one circuit" { standard nec-2023; coldest -10 degC "published example"; hottest 35 degC }
place ROOM { indoors dry }
part BAT is battery { nominal 24 V; max-voltage 29 V; min-voltage 22 V; short-circuit 1 kA; torque 2 N.m }
part PUMP is load { current 4 A; voltage 20 V .. 30 V; torque 2 N.m }
part CU-16 is cable { section 16 AWG copper; strands stranded; rated 600 V }
device B is BAT in ROOM
device P is PUMP in ROOM
B.+ -> P.+ CU-16 red 30.48 m
B.- -> P.- CU-16 black 30.48 m
)");
    ASSERT_EQ(plant.troubles(), "");
    const double drop = plant.number("conductor", "B.+ -> P.+", "drop") + plant.number("conductor", "B.- -> P.-", "drop");
    published("16 AWG, 100 ft, 4 A: drop in V", drop, real(e, "drop"), real(e, "tolerance"));
    published("16 AWG, 100 ft, 4 A: share of 24 V", drop / 24, real(e, "share"), real(e, "tolerance"));
}

TEST(Resistance, DropOfAStringsCircuit) {
    const Value file = figures("resistance.toml");
    const Value& e = *file.find("source-circuit");
    const Plant plant(R"(edition 1
site "source circuit" { standard nec-2023; coldest -10 degC "published example"; hottest 35 degC; array ground-mount }
place FIELD { outdoors exposed }
part PM is module { voc 40 V, -0.27 %/K; isc 8.8 A; vmp 32 V; imp 8.23 A; frame none }
part INV is inverter { isolated yes; ground-fault detects; torque 2 N.m; port pv is array { max-voltage 600 V } }
part CU-14 is cable { section 14 AWG copper; strands stranded; rated 600 V }
string S is 12 x PM on FIELD
device LOAD is INV on FIELD
S.+ -> LOAD.pv+ CU-14 red 45.72 m
S.- -> LOAD.pv- CU-14 black 45.72 m
)");
    ASSERT_EQ(plant.troubles(), "");
    published("14 AWG, 150 ft, 8.23 A: drop in V", plant.number("string", "S", "drop"), real(e, "drop"), real(e, "tolerance"));
    EXPECT_NEAR(plant.number("input", "LOAD.pv", "operating-voltage"), 12 * 32 - 7.7527, 1e-3);
}

}  // namespace
