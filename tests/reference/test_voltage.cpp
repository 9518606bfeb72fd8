// Cold open-circuit voltage against the published table and worked examples; the figures and their sources: voltage.toml.
#include <cmath>
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

// So many modules in series, no coefficient unless one is given.
Plant one_string(std::string_view standard, double coldest, double voc, std::string_view coefficient, int modules) {
    return Plant(fmt::format(R"(edition 1
site "one string" {{ standard {}; coldest {} degC "published example"; hottest 35 degC; array ground-mount }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc {} V{}; isc 10 A }}
string A is {} x PM on FIELD
)", standard, coldest, voc, coefficient, modules));
}

// Both ends of every band and its middle, under each standard that has the table.
void every_row(std::string_view standard) {
    const Value file = figures("voltage.toml");
    for (const Value& row : file.find("table-690-7-a")->find("rows")->items) {
        const double from = row.items[0].number, to = row.items[1].number, factor = row.items[2].number;
        for (const double coldest : {from, (from + to) / 2, to}) {
            const Plant plant = one_string(standard, coldest, 100, "", 1);
            ASSERT_EQ(plant.troubles(), "");
            published(fmt::format("{} table at {} degC", standard, coldest), plant.number("string", "A", "voc-coldest"), 100 * factor, 1e-9);
        }
    }
}

TEST(Voltage, EveryRowOfTheTable) { every_row("nec-2023"); }

TEST(Voltage, EveryRowOfTheTableUnderIec) { every_row("iec-62548"); }  // that IEC 62548 has the same figures: from memory

TEST(Voltage, ColdStringByCoefficient) {
    const Value file = figures("voltage.toml");
    const Value& e = *file.find("cold-string-by-coefficient");
    const std::string coefficient = fmt::format(", {} %/K", real(e, "coefficient"));
    const auto cold = [&](int modules) {
        const Plant plant = one_string("nec-2023", real(e, "coldest"), real(e, "voc"), coefficient, modules);
        EXPECT_EQ(plant.troubles(), "");
        return plant.number("string", "A", "voc-coldest");
    };
    const int most = static_cast<int>(real(e, "modules-most"));
    published("example by coefficient, one module", cold(1), real(e, "module-cold"), real(e, "tolerance"));
    published("example by coefficient, string", cold(most), real(e, "string-cold"), real(e, "tolerance"));
    published("example by coefficient, most modules fit", cold(most) <= real(e, "limit"), true);
    published("example by coefficient, one more does not", cold(most + 1) <= real(e, "limit"), false);
}

TEST(Voltage, ColdStringByTable) {
    const Value file = figures("voltage.toml");
    const Value& e = *file.find("cold-string-by-table");
    const auto cold = [&](int modules) {
        return one_string("nec-2023", real(e, "coldest"), real(e, "voc"), "", modules).number("string", "A", "voc-coldest");
    };
    const int most = static_cast<int>(real(e, "modules-most"));
    published("example by table, one module", cold(1), real(e, "module-cold"), real(e, "tolerance"));
    published("example by table, factor", cold(1) / real(e, "voc"), real(e, "factor"), real(e, "tolerance"));
    published("example by table, most modules fit", cold(most) <= real(e, "limit"), true);
    published("example by table, one more does not", cold(most + 1) <= real(e, "limit"), false);
}

TEST(Voltage, ColdStringAgainstController) {
    const Value file = figures("voltage.toml");
    const Value& e = *file.find("cold-string-controller");
    const Plant plant = one_string("nec-2023", real(e, "coldest"), real(e, "voc"), "", static_cast<int>(real(e, "series")));
    const double cold = plant.number("string", "A", "voc-coldest");
    published("controller example, cold string", cold, real(e, "string-cold"), real(e, "tolerance"));
    published("controller example, factor", cold / (real(e, "voc") * real(e, "series")), real(e, "factor"), real(e, "tolerance"));
    published("controller example, within limit", cold <= real(e, "limit"), true);
}

// A table for silicon says nothing about other cells, nor about colder places than it lists.
TEST(Voltage, NothingIsReadBeyondTheTable) {
    const Plant plant = one_string("nec-2023", -41, 100, "", 1);
    EXPECT_TRUE(std::isnan(plant.number("string", "A", "voc-coldest")));
}

}  // namespace
