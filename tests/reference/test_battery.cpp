// Banks, chargers and controllers against published figures, taken through whole designs; figures and sources: battery.toml.
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using ferrule::tables::Value;
using reference::figures;
using reference::Plant;
using reference::published;
using reference::real;
using reference::speaks;

// Batteries side by side (`rows`) of so many in series, an inverter on them.
Plant bank(std::string_view battery, int side_by_side, int in_series, std::string_view inverter, std::string_view port) {
    std::string text = fmt::format(R"(edition 1
site "a bank" {{ standard iec-62548; coldest 0 degC "invented"; hottest 35 degC; building none; array ground-mount }}
place ROOM {{ indoors dry; ambient 5 degC .. 30 degC }}
part BAT is battery {{ {}; torque 5 N.m }}
part IV is inverter {{ isolated yes; torque 5 N.m; {}; port dc is battery {{ {} }}; port ac is ac-out {{ lines L; neutral N; voltage 230 V }} }}
part BB is busbar {{ ways 8; rated 100 V 400 A; torque 5 N.m }}
device B[1..{}] is BAT in ROOM
device P, N is BB in ROOM
device INV is IV in ROOM
P.8 -> INV.dc+ 70 mm2 copper red 1 m
N.8 -> INV.dc- 70 mm2 copper black 1 m
)", battery, inverter, port, side_by_side * in_series);
    for (int s = 0; s < side_by_side; ++s) {
        const int first = s * in_series + 1;
        text += fmt::format("B[{}].+ -> P.{} 70 mm2 copper red 1 m\n", first, s + 1);
        for (int k = 1; k < in_series; ++k) text += fmt::format("B[{}].- -> B[{}].+ 70 mm2 copper black 0.2 m\n", first + k - 1, first + k);
        text += fmt::format("B[{}].- -> N.{} 70 mm2 copper black 1 m\n", first + in_series - 1, s + 1);
    }
    return Plant(text);
}

TEST(Battery, UsualChargingVoltages) {
    const Value file = figures("battery.toml");
    for (const Value& row : file.find("usual-voltages")->find("rows")->items) {
        const std::string chemistry = row.items[0].text;
        const double cells = row.items[1].number, nominal = row.items[2].number;
        const Plant plant = bank(fmt::format("chemistry {}; nominal {} V; cells {}", chemistry, nominal, cells), 1, 1, "power 1 kW", fmt::format("nominal {} V", nominal));
        ASSERT_EQ(plant.troubles(), "");
        published(fmt::format("{} of {} V: absorption", chemistry, nominal), plant.number("battery-port", "INV.dc", "usual-absorb"), row.items[3].number, 1e-9);
        published(fmt::format("{} of {} V: float", chemistry, nominal), plant.number("battery-port", "INV.dc", "usual-float"), row.items[4].number, 1e-9);
    }
    // The same from blocks of 12 V in series, whose cells nobody counted.
    const Plant blocks = bank("chemistry lead-agm; nominal 12 V", 2, 4, "power 1 kW", "nominal 48 V");
    EXPECT_NEAR(blocks.number("battery-port", "INV.dc", "usual-absorb"), 57.2, 1e-9);
}

TEST(Battery, HighestVoltageByCells) {
    const Value file = figures("battery.toml");
    const Value& e = *file.find("lfp-48-most");
    const Plant plant = bank(fmt::format("chemistry lfp; nominal {} V; cells {}", real(e, "nominal"), real(e, "cells")), 1, 1, "power 1 kW", "nominal 48 V");
    ASSERT_EQ(plant.troubles(), "");
    published("16 cells of lithium iron phosphate at their highest", plant.number("bank", "", "voltage-limit"), real(e, "most"), 1e-9);
}

TEST(Battery, ShortCircuitCurrentOfABank) {
    for (const int rows : {1, 2, 3}) {
        for (const int in_series : {1, 2, 4}) {
            const Plant plant = bank("chemistry lead-agm; nominal 12 V; max-voltage 14.7 V; short-circuit 2 kA", rows, in_series, "power 1 kW", "nominal 48 V");
            ASSERT_EQ(plant.troubles(), "");
            published(fmt::format("short circuit of {} in parallel, {} in series", rows, in_series), plant.number("bank", "", "short-circuit-current"), rows * 2000.0, 1e-9);
            EXPECT_NEAR(plant.number("bank", "", "nominal"), 12.0 * in_series, 1e-9);
            EXPECT_NEAR(plant.number("bank", "", "voltage-most"), 14.7 * in_series, 1e-9);
            EXPECT_EQ(plant.number("bank", "", "parallel"), rows);
            EXPECT_EQ(plant.number("bank", "", "in-series"), in_series);
        }
    }
}

TEST(Battery, CurrentOfAnInverterAtTheLowestVoltage) {
    const Value file = figures("battery.toml");
    const Value& e = *file.find("inverter-dc-current");
    const auto takes = [](double power, double efficiency, double cut_off, double nominal) {
        const Plant plant = bank(fmt::format("chemistry lead-agm; nominal {} V", nominal), 1, 1, fmt::format("power {} W; efficiency {} %", power, efficiency * 100),
                                 fmt::format("nominal {} V; cut-off {} V", nominal, cut_off));
        EXPECT_EQ(plant.troubles(), "");
        EXPECT_NEAR(plant.number("bank", "", "takes"), plant.number("battery-port", "INV.dc", "takes"), 1e-9);
        return plant.number("bank", "", "takes");
    };
    published("2500 W from 22 V", takes(real(e, "power"), real(e, "efficiency"), real(e, "lowest"), 24), real(e, "current"), real(e, "tolerance"));
    // The example sites, worked out by hand.
    EXPECT_NEAR(takes(1200, 0.88, 11.5, 12), 118.6, 0.05);
    EXPECT_NEAR(takes(3000, 0.90, 22, 24), 151.5, 0.05);
    EXPECT_NEAR(takes(5000, 0.93, 46, 48), 116.9, 0.05);
    EXPECT_NEAR(takes(10000, 0.94, 48, 48), 221.6, 0.05);
}

TEST(Battery, ControllerWithoutTracking) {
    const Value file = figures("battery.toml");
    const Value& e = *file.find("pwm-controller");
    const auto plant = [&](double controller) {
        return Plant(fmt::format(R"(edition 1
site "published example" {{ standard iec-62548; coldest 0 degC "invented"; hottest 35 degC; building none; array ground-mount }}
place FIELD {{ outdoors exposed; ambient 0 degC .. 35 degC }}
part PM is module {{ pmax 100 W; voc 22 V, -0.3 %/K; isc {} A; vmp 18 V; imp 5.2 A; max-system 600 V; max-fuse 15 A; frame none }}
part CC is controller {{ type pwm; isolated yes; ground-fault detects; torque 2 N.m; port pv is array {{ max-voltage 50 V }}; port bat is battery {{ nominal 12 V; max-voltage 16 V; charge {} A }} }}
part BAT is battery {{ chemistry lead-agm; nominal 12 V; max-voltage 14.7 V; torque 5 N.m }}
part BB is busbar {{ ways 6; rated 100 V 60 A; torque 2 N.m }}
string S[1..{}] is 1 x PM on FIELD
device P, N is BB on FIELD
device CTRL is CC on FIELD
device B is BAT on FIELD
S[1..3].+ -> P.[1..3] 6 mm2 copper red 5 m
S[1..3].- -> N.[1..3] 6 mm2 copper black 5 m
P.6 -> CTRL.pv+ 10 mm2 copper red 1 m
N.6 -> CTRL.pv- 10 mm2 copper black 1 m
CTRL.bat+ -> B.+ 10 mm2 copper red 1 m
CTRL.bat- -> B.- 10 mm2 copper black 1 m
)", real(e, "isc"), controller, static_cast<int>(real(e, "modules"))));
    };
    const Plant small = plant(20);
    ASSERT_EQ(small.troubles(), "");
    published("three modules on a controller without tracking: array", small.number("input", "CTRL.pv", "isc-stc"), real(e, "array"), 1e-9);
    published("three modules on a controller without tracking: least", small.number("input", "CTRL.pv", "isc-max"), real(e, "least"), 1e-9);
    published("20 A is just too small", speaks(small, "controller.pwm-current"), true);
    EXPECT_FALSE(speaks(plant(20.625), "controller.pwm-current"));
    EXPECT_TRUE(speaks(plant(20.624), "controller.pwm-current"));
}

}  // namespace
