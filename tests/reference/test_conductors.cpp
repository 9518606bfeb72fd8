// What conductors may carry, against published worked examples; figures and sources: conductors.toml.
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "facts/ampacity.hpp"
#include "helper_plant.hpp"

namespace {

using ferrule::facts::AmpacityTables;
using ferrule::facts::Method;
using ferrule::tables::Value;
using reference::figures;
using reference::Plant;
using reference::published;
using reference::real;

// One string on one controller; W is the conductor that is looked at.
std::string design(std::string_view section, std::string_view insulation, std::string_view run, std::string_view more = "", std::string_view terminals = "") {
    return fmt::format(R"(edition 1
site "one conductor" {{ standard nec-2023; coldest -10 degC "published example"; hottest 30 degC; array ground-mount; building none }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc 40 V, -0.27 %/K; isc 8 A; vmp 33 V; imp 7.6 A; frame none }}
part W is cable {{ section {} copper; insulation other {} degC; rated 1000 V }}
part BAR is busbar {{ ways 40; rated 1000 V 100 A; {}takes 1 x 1.5 mm2 .. 50 mm2 copper; torque 2 N.m }}
part CC is controller {{
    isolated yes; ground-fault detects; torque 2 N.m; {}takes 1 x 1.5 mm2 .. 50 mm2 copper
    port pv is array {{ max-voltage 600 V }}
}}
string A is 5 x PM on FIELD
device PLUS is BAR on FIELD
device MINUS is BAR on FIELD
device C is CC on FIELD
A.+ -> PLUS.1 W red 1 m
A.- -> MINUS.1 W black 1 m
PLUS.3 -> C.pv+ W red 1 m
run R {{ length 20 m; {}
    MINUS.3 -> C.pv- W black as W9
{}}}
)",
                       section, insulation, terminals, terminals, run, more);
}

const std::string looked_at = "MINUS.3 -> C.pv- (W9)";

double amps(const Plant& p, std::string_view column = "ampacity") { return p.number("conductor", looked_at, column); }

std::string text(const Value& e, std::string_view key) { return e.find(key)->text; }

// m²: a section as the program reads it.
double area_read(const std::string& size) { return amps(Plant(design(size, "90", "conduit 25 mm")), "area"); }

// m²: the smallest listed size that carries at least so much when multiplied by a factor.
double smallest(Method method, double celsius, double needed, double factor) {
    const AmpacityTables tables(reference::standard("nec-2023"));
    for (const auto& row : reference::standard("nec-2023").table("ampacity-raceway")->rows) {
        const double size = row[0].number;
        if (tables.amps(method, tables.class_of(celsius + 273.15), false, size).low * factor >= needed) return size;
    }
    return 0;
}

TEST(Conductors, InARaceway) {
    const Value file = figures("conductors.toml");
    const Value& e = *file.find("raceway");
    const Plant p(design(text(e, "size"), "90", fmt::format("conduit 25 mm; ambient {} degC", real(e, "ambient"))));
    ASSERT_EQ(p.troubles(), "");
    published("10 AWG in a raceway, table", amps(p, "table-ampacity"), real(e, "table"), 0);
    published("10 AWG in a raceway, factor at 45 degC", amps(p, "ambient-factor"), real(e, "factor"), 0);
    published("10 AWG in a raceway, ampacity", amps(p), real(e, "ampacity"), real(e, "tolerance"));
}

TEST(Conductors, AtTerminals) {
    const Value file = figures("conductors.toml");
    const Value& e = *file.find("terminals");
    published("smallest size at 75 degC", smallest(Method::raceway, real(e, "terminal-temperature"), real(e, "needed"), 1), area_read(text(e, "size")), 1e-9);
    const Plant p(design(text(e, "size"), "90", "conduit 25 mm", "", fmt::format("terminal-temperature {} degC; ", real(e, "terminal-temperature"))));
    published("14 AWG at terminals for 75 degC", amps(p, "terminal-ampacity"), real(e, "ampacity"), 0);
}

TEST(Conductors, InFreeAir) {
    const Value file = figures("conductors.toml");
    const Value& e = *file.find("free-air");
    for (std::size_t i = 0; i < e.find("sizes")->items.size(); ++i) {
        const std::string size = e.find("sizes")->items[i].text;
        const Plant p(design(size, "90", fmt::format("ambient {} degC", real(e, "ambient"))));
        published(size + " in free air at 68 degC", amps(p), e.find("ampacities")->items[i].number, real(e, "tolerance"));
        published(size + " in free air, factor", amps(p, "ambient-factor"), real(e, "factor"), 0);
    }
    const Plant p(design(text(e, "chosen"), "90", fmt::format("ambient {} degC", real(e, "ambient")), "", "terminal-temperature 75 degC; "));
    published("10 AWG at terminals for 75 degC", amps(p, "terminal-ampacity"), real(e, "terminal-75"), 0);
}

TEST(Conductors, OfAnArrayCable) {
    const Value file = figures("conductors.toml");
    const Value& e = *file.find("array-cable");
    const Plant p(design(text(e, "size"), "60", fmt::format("buried 600 mm; ambient {} degC", real(e, "ambient"))));
    published("4 AWG for 60 degC at 40 degC", amps(p), real(e, "ampacity"), real(e, "tolerance"));
    published("device above it", amps(p, "device-most"), real(e, "device"), 0);
}

TEST(Conductors, InAFullConduit) {
    const Value file = figures("conductors.toml");
    const Value& e = *file.find("conduit-fill");
    const std::string run = fmt::format("conduit 50 mm; ambient {} degC", real(e, "ambient"));
    for (std::size_t i = 0; i < e.find("sizes")->items.size(); ++i) {
        const std::string size = e.find("sizes")->items[i].text;
        published(size + " in conduit at 68 degC", amps(Plant(design(size, "90", run))), e.find("ampacities")->items[i].number, real(e, "tolerance"));
    }
    for (std::size_t i = 0; i < e.find("conductors")->items.size(); ++i) {
        const double count = e.find("conductors")->items[i].number;
        std::string more;
        for (int k = 1; k < count; ++k) more += fmt::format("    PLUS.{} -> MINUS.{} W red\n", 9 + k, 9 + k);
        // Conductors between two bars would short the string: they go to bars of their own.
        std::string d = design("10 AWG", "90", run, more);
        for (int k = 1; k < count; ++k) {
            const std::string from = fmt::format("PLUS.{} -> MINUS.{} W", 9 + k, 9 + k);
            d.replace(d.find(from), from.size(), fmt::format("PLUS.{} -> D.{} W", 9 + k, k));
        }
        d.insert(d.find("device C is"), "device D is BAR on FIELD\n");
        d.insert(d.find("run R"), "D.39 -> C.pv+ W red 1 m\n");
        const Plant p(d);
        published(fmt::format("10 AWG among {} conductors", count), amps(p), e.find("filled")->items[i].number, real(e, "tolerance"));
    }
    published("12 conductors are too many as the article reads the code", 11.6 >= real(e, "needed"), false);
}

TEST(Conductors, OfASmallSize) {
    const Value file = figures("conductors.toml");
    const Value& e = *file.find("small-conductor");
    published("largest device of 10 AWG", amps(Plant(design(text(e, "size"), "90", "conduit 25 mm", "", "terminal-temperature 75 degC; ")), "device-most"), real(e, "device-most"), 0);
}

TEST(Conductors, OfAnInverter) {
    const Value file = figures("conductors.toml");
    const Value& e = *file.find("inverter-cable");
    const AmpacityTables tables(reference::standard("nec-2023"));
    const auto cool = tables.class_of(60 + 273.15);
    published("factor of 60 degC insulation at 45 degC", tables.ambient_factor(Method::raceway, cool, 45 + 273.15), real(e, "factor"), 0);
    published("300 kcmil is the smallest", smallest(Method::raceway, 60, real(e, "least"), real(e, "factor")), area_read(text(e, "size")), 1e-9);
}

}  // namespace
