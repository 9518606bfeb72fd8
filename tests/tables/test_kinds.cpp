#include <gtest/gtest.h>

#include <functional>
#include <map>
#include <set>
#include <string>

#include "helper_language.hpp"

namespace ferrule::tables {
namespace {

using graph::Kind;
using graph::Property;
using graph::Shape;
using tests::Language;

void each_field(const Shape& s, const std::function<void(const Shape&)>& visit) {
    if (s.op == Shape::Op::field) visit(s);
    for (const Shape& child : s.children) each_field(child, visit);
}

void each_property(const std::vector<Property>& list, const std::function<void(const Property&)>& visit) {
    for (const Property& p : list) {
        visit(p);
        each_property(p.block, visit);
    }
}

TEST(KindsTable, IsReadWithoutAFinding) { EXPECT_EQ(Language::get().complaints(), ""); }

TEST(KindsTable, KnowsTheKindsOfTheLanguage) {
    const graph::Kinds& kinds = Language::get().kinds;
    for (const char* name :
         {"module", "module-converter", "isolator", "breaker", "rcd", "fuse", "fuse-holder", "links", "connector", "lead", "cable",
          "controller", "battery", "inverter", "load", "supply", "busbar", "earth-bar", "electrode", "surge-protector",
          "insulation-monitor", "shunt", "sensor", "diode", "metalwork", "box", "gland", "plug", "breather", "instrument"}) {
        EXPECT_TRUE(kinds.find("part", name)) << name;
    }
    for (const char* name : {"array", "battery", "load", "ac-out", "ac-in", "sensor"}) EXPECT_TRUE(kinds.find("role", name)) << name;
    for (const char* name : {"site", "place", "string", "enclosure", "device", "run", "label", "steps", "accept", "reading"}) {
        EXPECT_TRUE(kinds.find("block", name)) << name;
    }
    EXPECT_FALSE(kinds.find("part", "combiner"));
    EXPECT_FALSE(kinds.find("block", "isolator"));
}

TEST(KindsTable, EveryKindAndPropertyIsExplained) {
    for (const Kind& k : Language::get().kinds.all()) {
        EXPECT_GT(k.about.size(), 20U) << k.name;
        EXPECT_NE(k.example.find(k.group == "role" ? "is " + k.name : k.name), std::string::npos) << k.name;
        each_property(k.properties, [&k](const Property& p) {
            EXPECT_GT(p.about.size(), 10U) << k.name << "." << p.name;
            EXPECT_EQ(p.example.substr(0, p.example.find(' ')), p.name) << k.name << "." << p.name;
            EXPECT_EQ(p.example.find('\n'), std::string::npos) << k.name << "." << p.name;
        });
    }
}

// A rule says `rated.voltage` of any device: it must be able to rely on what that is.
TEST(KindsTable, OneNameHasOneDimension) {
    std::map<std::string, std::pair<std::string, std::string>> seen;
    for (const Kind& k : Language::get().kinds.all()) {
        each_property(k.properties, [&](const Property& p) {
            each_field(p.shape, [&](const Shape& f) {
                const std::string what = f.accepts == graph::Accepts::quantity ? f.dimension_name : "no quantity";
                const auto [at, added] = seen.try_emplace(p.name + "." + f.text, what, k.name);
                EXPECT_EQ(at->second.first, what) << p.name << "." << f.text << " of " << k.name << " and " << at->second.second;
            });
        });
    }
}

// A type of value that is misspelled would read as a word that must be written: all shapes of one such word are listed.
TEST(KindsTable, SingleWordsAreMeant) {
    std::set<std::string> single;
    for (const Kind& k : Language::get().kinds.all()) {
        each_property(k.properties, [&](const Property& p) {
            each_field(p.shape, [&](const Shape& f) {
                if (f.words.size() == 1) single.insert(p.name + "." + f.text + ":" + f.words[0]);
            });
        });
    }
    EXPECT_EQ(single, (std::set<std::string>{"rated.arrangement:conductor"}));
}

TEST(KindsTable, PropertiesAreFoundByName) {
    const graph::Kinds& kinds = Language::get().kinds;
    const Kind& isolator = kinds[kinds.find("part", "isolator")];
    EXPECT_TRUE(isolator.breaks_load);
    EXPECT_EQ(isolator.conducts, "contact");
    ASSERT_NE(isolator.property("pole"), nullptr);
    EXPECT_TRUE(isolator.property("pole")->many);
    EXPECT_TRUE(isolator.property("pole")->needed);
    EXPECT_EQ(isolator.property("pole")->declares, "pole");
    ASSERT_EQ(isolator.property("face")->block.size(), 6U);
    EXPECT_EQ(isolator.property("nonsense"), nullptr);
    const Kind& module = kinds[kinds.find("part", "module")];
    EXPECT_EQ(module.terminals, (std::vector<std::string>{"+", "-", "frame"}));
    EXPECT_EQ(module.protective, (std::vector<std::string>{"frame"}));
    const Kind& bar = kinds[kinds.find("part", "busbar")];
    EXPECT_EQ(bar.counted_terminals, "ways");
    EXPECT_TRUE(bar.one_metal);
}

TEST(KindsTable, DefaultsHaveTheirUnits) {
    const Language& l = Language::get();
    const auto* rise = l.kinds.find_default("hottest-cell");
    ASSERT_NE(rise, nullptr);
    EXPECT_EQ(rise->value, 30);
    EXPECT_EQ(l.units[rise->unit].symbol, "K");
    EXPECT_EQ(l.kinds.find_default("irradiance-factor")->value, 1.25);
    EXPECT_DOUBLE_EQ(l.kinds.find_default("run-ambient")->value, 303.15);
    EXPECT_EQ(l.kinds.find_default("technology")->word, "silicon");
    EXPECT_EQ(l.kinds.find_default("nonsense"), nullptr);
}

TEST(KindsTable, EveryStatementIsExplained) {
    std::set<std::string> names;
    for (const graph::StatementText& s : Language::get().kinds.statements) {
        names.insert(s.name);
        EXPECT_FALSE(s.shape.empty()) << s.name;
        EXPECT_GT(s.about.size(), 20U) << s.name;
        EXPECT_FALSE(s.example.empty()) << s.name;
    }
    for (const char* name : {"edition", "site",   "include", "place", "part", "string", "enclosure", "device", "run",    "cable",  "conductor", "jumper",
                             "bond",    "earth",  "gang",    "label", "steps", "assembly", "port",   "repeat", "except", "accept", "reading"}) {
        EXPECT_TRUE(names.contains(name)) << name;
    }
}

TEST(KindsTable, SlipsInItAreFindings) {
    text::Sources sources;
    const auto read = [&sources](const char* text) {
        const TomlFile kinds = read_toml(sources, sources.add("kinds.toml", text));
        const TomlFile none = read_toml(sources, sources.add("statements.toml", ""));
        return read_kinds(kinds, none, Language::get().units).findings;
    };
    EXPECT_TRUE(read("[part.a]\nabout = 'x'\nexample = 'x'\n").empty());
    EXPECT_EQ(read("[part.a]\nabout = 'x'\n").size(), 1U);
    EXPECT_EQ(read("[part.a]\nabout = 'x'\nexample = 'x'\nabuot = 'y'\n").size(), 1U);
    EXPECT_EQ(read("[part.a]\nabout = 1\nexample = 'x'\n").size(), 1U);
    EXPECT_EQ(read("[part.a]\nabout = 'x'\nexample = 'x'\ncommon = ['b']\n").size(), 1U);
    EXPECT_EQ(read("[part.a]\nabout = 'x'\nexample = 'x'\nconducts = 'sometimes'\n").size(), 1U);
    EXPECT_EQ(read("[part.a]\nabout = 'x'\nexample = 'x'\n[part.a.property.p]\nshape = '<voltag>'\nabout = 'x'\nexample = 'p 1 V'\n").size(), 1U);
    EXPECT_EQ(read("[default.a]\nvalue = '3 parsec'\nabout = 'x'\n").size(), 1U);
}

}  // namespace
}  // namespace ferrule::tables
