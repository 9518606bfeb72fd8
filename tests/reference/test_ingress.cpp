// The two digits of an IP code; figures and source: ingress.toml.
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::figures;
using reference::Plant;
using reference::published;
using ferrule::tables::Value;

TEST(Ingress, DigitsOfTheCode) {
    const Value file = figures("ingress.toml");
    std::string text = R"(edition 1
site "boxes" { standard iec-62548; coldest -10 degC "invented"; hottest 35 degC }
place ROOM { indoors dry }
)";
    const auto& firsts = file.find("first-digit")->find("digits")->items;
    const auto& seconds = file.find("second-digit")->find("digits")->items;
    for (const Value& first : firsts) {
        for (const Value& second : seconds) {
            text += fmt::format("enclosure B{0}{1} in ROOM {{ ingress IP{0}{1}; material polycarbonate }}\n", first.number, second.number);
        }
    }
    const Plant plant(std::move(text));
    ASSERT_EQ(plant.troubles(), "");
    for (const Value& first : firsts) {
        for (const Value& second : seconds) {
            const std::string box = fmt::format("B{}{}", first.number, second.number);
            published(fmt::format("IP{}{} solids", first.number, second.number), plant.number("enclosure", box, "ingress-solids"), first.number, 0);
            published(fmt::format("IP{}{} water", first.number, second.number), plant.number("enclosure", box, "ingress-water"), second.number, 0);
        }
    }
}

}  // namespace
