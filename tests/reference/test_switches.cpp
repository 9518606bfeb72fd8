// Isolators: utilisation categories, what a handle joins, what wrong links do. Figures and sources: switches.toml.
#include <array>
#include <cmath>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::figures;
using reference::Plant;
using reference::published;
using reference::speaks;
using ferrule::tables::Value;

constexpr std::string_view array_and_parts = R"(edition 1
site "one isolator" { standard iec-62548; coldest -10 degC "invented"; hottest 35 degC; array ground-mount }
place FIELD { outdoors exposed }
place ROOM { indoors dry }
part PM is module { pmax 100 W, -0.35 %/K; voc 26 V, -0.28 %/K; isc 5.9 A; vmp 19.4 V; imp 5.16 A; max-system 600 V; max-fuse 15 A; frame none }
part CC is controller {
    type mppt; isolated no; ground-fault detects; torque 2 N.m
    port pv is array { max-voltage 150 V; tracking 20 V .. 140 V }
}
part PV-6 is cable { section 6 mm2 copper; rated 1000 V }
device LOAD is CC in ROOM
)";

// Three small modules, an isolator, a controller: array + on land[0], load + on land[1], array - on land[2], load - on land[3].
Plant isolated(std::string_view isolator, std::string_view links, const std::array<int, 4>& land) {
    return Plant(fmt::format(R"({}
{}
string A is 3 x PM on FIELD
device Q1 is SW in ROOM
jumper Q1 {}
A.+ -> Q1.{} PV-6 red 5 m
Q1.{} -> LOAD.pv+ PV-6 red 5 m
A.- -> Q1.{} PV-6 black 5 m
Q1.{} -> LOAD.pv- PV-6 black 5 m
)", array_and_parts, isolator, links, land[0], land[1], land[2], land[3]));
}

constexpr std::string_view four_poles = R"(part SW is isolator {
    category DC-PV2; pole 1-2; pole 3-4; pole 5-6; pole 7-8; polarised no; jumpers none; lockable off
    rated 1 in series 300 V 32 A; rated 2 in series 600 V 32 A; rated 4 in series 1000 V 25 A
    takes 3 x 4 mm2 .. 16 mm2 copper; torque 2 N.m
})";

constexpr std::string_view two_poles = R"(part SW is isolator {
    category DC-PV2; pole 1-2; pole 3-4; polarised no; lockable off
    rated 1 in series 300 V 32 A; rated 2 in series 600 V 32 A
    takes 1 x 4 mm2 .. 16 mm2 copper; torque 2 N.m
})";

// Contacts one after the other in a conductor of the only circuit that Q1 breaks; 0 where it leads nowhere.
int contacts(const Plant& plant, std::string_view column) {
    if (plant.rows("broken-circuit") == 0) return 0;
    const double n = plant.number("broken-circuit", "", column);
    return std::isnan(n) ? 0 : static_cast<int>(n);
}

// Common practice, no source: every pair of a plain body with four poles, off and on.
TEST(Switches, PlainFourPolesOffAndOn) {
    const Plant plant = isolated(four_poles, "none", {1, 2, 3, 4});
    ASSERT_EQ(plant.troubles(), "");
    for (int a = 1; a <= 8; ++a) {
        for (int b = a + 1; b <= 8; ++b) {
            const bool pole = a % 2 == 1 && b == a + 1;
            const std::string from = fmt::format("Q1.{}", a), to = fmt::format("Q1.{}", b);
            published(fmt::format("pair {}-{} off", a, b), plant.joined_off(from, to), false);
            published(fmt::format("pair {}-{} on", a, b), plant.joined_on(from, to), pole);
        }
    }
    // + enters 1 and leaves at 2, - enters 3 and leaves at 4
    published("+ passes 1 and 2", plant.joined_on("A.+", "LOAD.pv+") && plant.joined_off("A.+", "Q1.1") && plant.joined_off("Q1.2", "LOAD.pv+"), true);
    published("- passes 3 and 4", plant.joined_on("A.-", "LOAD.pv-") && plant.joined_off("A.-", "Q1.3") && plant.joined_off("Q1.4", "LOAD.pv-"), true);
    published("+ and - stay apart", plant.joined_on("A.+", "A.-"), false);
}

// Common practice, no source: three modules of 100 W are 75 to 78 V and less than 6 A, far inside a 32 A isolator of two poles.
TEST(Switches, ThreeSmallModulesAreFarInsideAThirtyTwoAmpereIsolator) {
    const Value file = figures("voltage.toml");
    const Value& e = *file.find("three-small-modules");
    const Plant plant(fmt::format(R"({}
{}
string A is 3 x PM on FIELD
device Q1 is SW in ROOM
A.+ -> Q1.1 PV-6 red 5 m
Q1.2 -> LOAD.pv+ PV-6 red 5 m
A.- -> Q1.3 PV-6 black 5 m
Q1.4 -> LOAD.pv- PV-6 black 5 m
)", array_and_parts, two_poles));
    ASSERT_EQ(plant.troubles(), "");
    const double volts = plant.number("string", "A", "voc-stc");
    published("three modules, at least", volts >= e.find("string-least")->number, true);
    published("three modules, at most", volts <= e.find("string-most")->number, true);
    published("three modules, current", plant.number("string", "A", "isc") < e.find("current-most")->number, true);
    published("contacts in +", contacts(plant, "poles-plus"), 1, 0);
    published("contacts in -", contacts(plant, "poles-minus"), 1, 0);
    published("far inside the voltage", plant.number("broken-circuit", "", "voltage") < plant.number("broken-circuit", "", "rated-voltage-least") / 2, true);
    published("far inside the current", plant.number("broken-circuit", "", "current") < plant.number("broken-circuit", "", "rated-current") / 2, true);
    EXPECT_EQ(plant.spoken(), std::vector<std::string>{});
}

// Common practice, no source: amperes for alternating current say nothing about direct current.
TEST(Switches, AnAcSwitchIsRefusedWhateverItsAmperes) {
    for (const int amperes : {16, 32, 63, 125, 1000}) {
        const Plant plant = isolated(fmt::format("part SW is isolator {{ pole 1-2; pole 3-4; rated-ac 690 V {} A; torque 2 N.m }}", amperes), "none", {1, 2, 3, 4});
        ASSERT_EQ(plant.troubles(), "");
        published(fmt::format("AC switch of {} A refused", amperes), speaks(plant, "dc-rating.ac-only"), true);
    }
    published("DC switch accepted", speaks(isolated(two_poles, "none", {1, 2, 3, 4}), "dc-rating.ac-only"), false);
}

// The jumper table: what each test can and cannot see.
TEST(Switches, WrongLinks) {
    const Value file = figures("switches.toml");
    const auto& rows = file.find("links")->find("rows")->items;
    ASSERT_EQ(rows.size(), 12U);
    for (const Value& row : rows) {
        const std::string fault(row.string("fault"));
        std::array<int, 4> land{};
        for (std::size_t i = 0; i < 4; ++i) land[i] = static_cast<int>(row.find("land")->items[i].number);
        const Plant plant = isolated(four_poles, row.string("links"), land);
        ASSERT_EQ(plant.troubles(), "") << fault;
        const auto truth = [&](std::string_view key, std::size_t i) { return row.find(key)->items[i].flag; };
        published(fault + ": + end to end on", plant.joined_on("A.+", "LOAD.pv+"), truth("on", 0));
        published(fault + ": - end to end on", plant.joined_on("A.-", "LOAD.pv-"), truth("on", 1));
        published(fault + ": + end to end off", plant.joined_off("A.+", "LOAD.pv+"), truth("off", 0));
        published(fault + ": - end to end off", plant.joined_off("A.-", "LOAD.pv-"), truth("off", 1));
        published(fault + ": + to - on, array side", plant.joined_on("A.+", "A.-"), truth("cross", 0));
        published(fault + ": + to - on, load side", plant.joined_on("LOAD.pv+", "LOAD.pv-"), truth("cross", 1));
        const auto& counted = row.find("contacts")->items;
        if (counted.empty()) continue;
        published(fault + ": contacts in +", contacts(plant, "poles-plus"), counted[0].number, 0);
        published(fault + ": contacts in -", contacts(plant, "poles-minus"), counted[1].number, 0);
    }
}

TEST(Switches, UtilisationCategories) {
    const Value file = figures("switches.toml");
    for (const Value& row : file.find("categories")->find("rows")->items) {
        const std::string category(row.string("category"));
        for (const std::string_view suffix : {"", "A", "B"}) {
            if (!suffix.empty() && category.find("PV") != std::string::npos) continue;  // frequent and infrequent: DC-2x only
            std::string body(two_poles);
            body.replace(body.find("DC-PV2"), 6, category + std::string(suffix));
            const Plant plant = isolated(body, "none", {1, 2, 3, 4});
            ASSERT_EQ(plant.troubles(), "") << category;
            const std::string name = fmt::format("{}{}", category, suffix);
            published(name + " breaks load", plant.flag("broken-circuit", "", "category-breaks-load"), row.is("load"));
            published(name + " for one string alone", plant.flag("broken-circuit", "", "category-single-string"), row.is("single"));
            if (row.is("load")) {
                published(name + " no PV category", plant.flag("broken-circuit", "", "category-not-pv"), !row.is("pv"));
            }
        }
    }
}

}  // namespace
