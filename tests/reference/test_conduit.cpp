// Conduits: how full they may be, and their bores; figures and source: conduit.toml.
#include <numbers>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using ferrule::tables::FigureTable;
using ferrule::tables::Value;
using reference::figures;
using reference::inch;
using reference::Plant;
using reference::published;
using reference::standard;

TEST(Conduit, ShareByTheNumberOfCables) {
    const Value file = figures("conduit.toml");
    const auto& cables = file.find("fill")->find("cables")->items;
    const auto& share = file.find("fill")->find("share")->items;
    for (const char* id : {"nec-2023", "iec-62548"}) {
        const FigureTable* table = standard(id).table("conduit-fill");
        ASSERT_NE(table, nullptr);
        for (std::size_t i = 0; i < cables.size(); ++i) {
            const auto at = table->band(cables[i].number, "share");
            ASSERT_TRUE(at.has_value());
            published(fmt::format("{} fill of {:.0f}", id, cables[i].number), *at, share[i].number, 0);
        }
    }
}

TEST(Conduit, BoresAndTheAreasTheyLeave) {
    const Value file = figures("conduit.toml");
    const Value& emt = *file.find("thin-walled");
    const FigureTable& sizes = *standard("nec-2023").table("conduit-sizes");
    const FigureTable& fill = *standard("nec-2023").table("conduit-fill");
    constexpr std::pair<const char*, int> areas[] = {{"one-in2", 1}, {"two-in2", 2}, {"more-in2", 3}};
    for (std::size_t i = 0; i < emt.find("size")->items.size(); ++i) {
        const std::string size(emt.find("size")->items[i].text);
        const auto* bore = sizes.at("size", size, "bore");
        ASSERT_NE(bore, nullptr) << size;
        published(fmt::format("EMT {} bore", size), bore->number, emt.find("bore-inch")->items[i].number * inch, 3e-3);
        for (const auto& [name, cables] : areas) {
            const double area = *fill.band(cables, "share") * std::numbers::pi / 4 * bore->number * bore->number;
            published(fmt::format("EMT {} area for {}", size, cables), area, emt.find(name)->items[i].number * inch * inch, 7e-3);
        }
    }
    const Value& outer = *file.find("by-outer-size");
    for (std::size_t i = 0; i < outer.find("size")->items.size(); ++i) {
        const std::string size(outer.find("size")->items[i].text);
        const auto* bore = standard("iec-62548").table("conduit-sizes")->at("size", size, "bore");
        ASSERT_NE(bore, nullptr) << size;
        published(fmt::format("conduit {} bore", size), bore->number, outer.find("bore-mm")->items[i].number * 1e-3, 0);
    }
}

// Cables are round and lie in a round bore: the share is that of the squares of the diameters.
TEST(Conduit, FillOfARun) {
    const Plant plant(R"(edition 1
site "conduit" { standard nec-2023; coldest -10 degC "invented"; hottest 35 degC }
place ROOM { indoors dry }
part PM is module { voc 40 V, -0.28 %/K; isc 8 A; vmp 33 V; imp 7.6 A }
part CC is controller { port pv is array { max-voltage 450 V } }
part WIRE is cable { section 6 mm2 copper; diameter 7.0 mm }
string A is 8 x PM on ROOM
device C is CC in ROOM
run LONG { length 700 mm; conduit 15.8 mm
    A.+ -> C.pv+ WIRE red
    A.- -> C.pv- WIRE black
}
run SHORT { length 600 mm; conduit 15.8 mm
    A.+ -> C.pv+ WIRE red
    A.- -> C.pv- WIRE black
}
)");
    ASSERT_EQ(plant.troubles(), "");
    EXPECT_NEAR(plant.number("run", "LONG", "fill"), 2 * 49 / (15.8 * 15.8), 1e-12);
    published("two in a conduit", plant.number("run", "LONG", "fill-most"), 0.31, 0);
    published("in a nipple", plant.number("run", "SHORT", "fill-most"), 0.6, 0);  // Chapter 9 Table 1, note 4 (from memory)
    EXPECT_EQ(plant.word("run", "LONG", "conduit-that-does"), "3/4 (20.9 mm inside)");
}

}  // namespace
