// How many modules a string may have, against published worked examples; the figures and their sources: voltage.toml.
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::figures;
using reference::Plant;
using reference::published;
using reference::real;
using ferrule::tables::Value;

// A string on a home, where the limit of the example (600 V) is that of NEC 690.7; nothing else bounds it.
Plant on_a_home(const Value& e, std::string_view coefficient, int modules) {
    return Plant(fmt::format(R"(edition 1
site "one string" {{ standard nec-2023; coldest {} degC "published example"; hottest 35 degC; building dwelling; array roof }}
place ROOF {{ outdoors exposed }}
part PM is module {{ voc {} V{}; isc 10 A; vmp 41 V, -0.35 %/K }}
part CC is controller {{ port pv is array {{ max-voltage 1000 V; tracking 120 V .. 800 V; start 150 V }} }}
string A is {} x PM on ROOF
device C is CC in ROOF
A.+ -> C.pv+  6 mm2 copper 10 m
A.- -> C.pv-  6 mm2 copper 10 m
)", real(e, "coldest"), real(e, "voc"), coefficient, modules));
}

void modules_most(std::string_view example, std::string_view coefficient) {
    const Value file = figures("voltage.toml");
    const Value& e = *file.find(example);
    const std::string per_kelvin = coefficient.empty() ? std::string() : fmt::format(", {} %/K", real(e, coefficient));
    for (const int modules : {8, 14}) {
        const Plant plant = on_a_home(e, per_kelvin, modules);
        ASSERT_EQ(plant.troubles(), "");
        published(fmt::format("{}, most modules, asked of a string of {}", example, modules), plant.number("string", "A", "modules-most"),
                  real(e, "modules-most"), 0);
    }
}

TEST(Answers, MostModulesByCoefficient) { modules_most("cold-string-by-coefficient", "coefficient"); }
TEST(Answers, MostModulesByTable) { modules_most("cold-string-by-table", ""); }

TEST(Answers, SayHowManyToTakeOutAndWhatIsNext) {
    const Value file = figures("voltage.toml");
    const Plant plant = on_a_home(*file.find("cold-string-by-table"), "", 12);
    const std::string out = plant.word("string", "A", "modules-out");
    EXPECT_NE(out.find("take 2 modules out"), std::string::npos) << out;
    EXPECT_NE(out.find("10 of these stay below the 600 V allowed at this place"), std::string::npos) << out;
}

}  // namespace
