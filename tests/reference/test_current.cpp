// Array currents with the factors of NEC 690.8 against published worked examples; figures and sources: current.toml.
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::figures;
using reference::Plant;
using reference::published;
using ferrule::tables::Value;

void holds(const Value& e, std::string_view name) {
    const Plant plant(fmt::format(R"(edition 1
site "one string" {{ standard nec-2023; coldest -10 degC "published example"; hottest 35 degC; array ground-mount }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc 40 V, -0.27 %/K; isc {} A; frame none }}
part SW is isolator {{
    category DC-PV2; pole 1-2; pole 3-4; polarised no; torque 2 N.m
    rated 1 in series 300 V 32 A; rated 2 in series 600 V 32 A
}}
part INV is inverter {{ isolated yes; ground-fault detects; torque 2 N.m; port pv is array {{ max-voltage 600 V }} }}
part PV-6 is cable {{ section 6 mm2 copper; rated 1000 V }}
string A is 5 x PM on FIELD
device Q1 is SW on FIELD
device LOAD is INV on FIELD
A.+ -> Q1.1 PV-6 red 5 m
A.- -> Q1.3 PV-6 black 5 m
Q1.2 -> LOAD.pv+ PV-6 red 5 m
Q1.4 -> LOAD.pv- PV-6 black 5 m
)", e.find("isc")->number));
    ASSERT_EQ(plant.troubles(), "");
    const double tolerance = e.find("tolerance")->number;
    published(fmt::format("{}, largest current", name), plant.number("string", "A", "isc-max"), e.find("most")->number, tolerance);
    published(fmt::format("{}, at the switch", name), plant.number("broken-circuit", "", "current"), e.find("most")->number, tolerance);
    published(fmt::format("{}, continuous", name), plant.number("broken-circuit", "", "continuous-current"), e.find("continuous")->number, tolerance);
}

TEST(Current, OneString) {
    const Value file = figures("current.toml");
    holds(*file.find("one-string"), "one string");
}

TEST(Current, StringConductor) {
    const Value file = figures("current.toml");
    holds(*file.find("string-conductor"), "string conductor");
}

}  // namespace
