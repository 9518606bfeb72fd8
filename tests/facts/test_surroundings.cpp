// Heat in boxes, altitude, surges, light, and what lies together in runs: by hand, beside the figures of the common table.
#include <cmath>
#include <fstream>
#include <iterator>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "facts/facts.hpp"
#include "support/design_text.hpp"
#include "tables/standard.hpp"

namespace ferrule::tests {
namespace {

constexpr double zero_celsius = 273.15;  // K

// The common figures, with what the tests need of a standard's own.
const tables::Standard& figures() {
    static const tables::Standard all = [] {
        static text::Sources sources;
        const auto read = [&](const char* name) {
            std::ifstream in(std::string(FERRULE_SOURCE_DIR) + "/rules/standards/" + name, std::ios::binary);
            std::string bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
            return tables::read_standard(tables::read_toml(sources, sources.add(name, std::move(bytes))), language().units).standard;
        };
        tables::Standard s = read("iec-62548.toml");
        const tables::Standard common = read("common.toml");
        s.figures.insert(s.figures.end(), common.figures.begin(), common.figures.end());
        s.tables.insert(s.tables.end(), common.tables.begin(), common.tables.end());
        return s;
    }();
    return all;
}

class World {
public:
    explicit World(const std::string& text) : loaded_(load(text)), facts_(facts::compute(loaded_.design, figures())) {}

    [[nodiscard]] double number(std::string_view table, std::string_view row, std::string_view column) const {
        const facts::Table* t = facts_.table(table);
        const facts::Column* c = t == nullptr ? nullptr : t->column(column);
        if (c == nullptr) throw std::logic_error(fmt::format("no column {} of {}", column, table));
        return c->numbers[find(*t, row)];
    }
    [[nodiscard]] int flag(std::string_view table, std::string_view row, std::string_view column) const {
        const facts::Table* t = facts_.table(table);
        const facts::Column* c = t == nullptr ? nullptr : t->column(column);
        if (c == nullptr) throw std::logic_error(fmt::format("no column {} of {}", column, table));
        return c->flags[find(*t, row)];
    }
    [[nodiscard]] std::string word(std::string_view table, std::string_view row, std::string_view column) const {
        const facts::Table* t = facts_.table(table);
        const base::Symbol s = t->column(column)->words[find(*t, row)];
        return s ? std::string(facts_.words.text(s)) : std::string();
    }
    [[nodiscard]] std::size_t rows(std::string_view table) const { return facts_.table(table)->rows; }
    [[nodiscard]] std::string troubles() const { return loaded_.told(); }

private:
    static std::uint32_t find(const facts::Table& t, std::string_view row) {
        for (std::uint32_t r = 0; r < t.rows; ++r) {
            if (t.name(r) == row) return r;
        }
        throw std::logic_error(fmt::format("no row {}", row));
    }

    Loaded loaded_;
    facts::Facts facts_;
};

// Two strings through a fuse each and a switch in a box; what a test is about goes in by name.
struct Site {
    std::string site, wall = "outdoors exposed; sun yes; ambient -10 degC .. 35 degC", sw = "loss 8 W", fuse = "loss 3 W", box, more;
    [[nodiscard]] std::string text() const {
        return fmt::format(R"(edition 1
site "tests" {{ standard iec-62548; coldest -10 degC; hottest 33 degC; array ground-mount; {} }}
place FIELD {{ outdoors exposed }}
place WALL {{ {} }}
place HUT {{ indoors dry; ambient 2 degC .. 30 degC }}
part PM is module {{ voc 40 V, -0.28 %/K; isc 8 A; vmp 33 V; imp 7.6 A; pmax 250 W, -0.35 %/K; max-fuse 20 A }}
part PV-6 is cable {{ section 6 mm2 copper; diameter 6 mm; outdoor sunlight }}
part SW is isolator {{ pole 1-2; pole 3-4; rated 2 in series 600 V 40 A; {} }}
part FH is fuse-holder {{ pole 1-2; rated 1000 V 32 A }}
part FU is fuse {{ class gPV; rated 1000 V 20 A; {} }}
part CC is controller {{ isolated yes; port pv is array {{ max-voltage 450 V }} }}
string A, B is 8 x PM on FIELD
enclosure BOX on WALL {{ material polycarbonate; {} }}
device F1, F2 is FH with FU in BOX
device Q1 is SW in BOX
device CC1 is CC in HUT
run ROWS {{ length 10 m; through FIELD, WALL; conduit 20 mm
    A.+ -> F1.1 PV-6 red
    B.+ -> F2.1 PV-6 red
    A.- -> Q1.3 PV-6 black
    B.- -> Q1.3 PV-6 black
}}
F1.2 -> Q1.1 PV-6 red 0.3 m
F2.2 -> Q1.1 PV-6 red 0.3 m
run DROP {{ length 5 m; through WALL, HUT
    Q1.2 -> CC1.pv+ PV-6 red
    Q1.4 -> CC1.pv- PV-6 black
}}
{})",
                           site, wall, sw, fuse, box, more);
    }
};

TEST(Boxes, SunAndHeatWarmTheAirInside) {
    Site s;
    s.box = "size 400 mm x 500 mm x 200 mm";
    const World w(s.text());
    ASSERT_EQ(w.troubles(), "");
    // Faces: 2 x (0.4 x 0.5 + 0.4 x 0.2 + 0.5 x 0.2) = 0.76 m2. Currents with 1.25: 10 A a string, 20 A at the switch.
    // Heat: 2 x 3 W x (10/20)^2 + 8 W x (20/40)^2 = 1.5 + 2 = 3.5 W; 3.5 / (5.5 x 0.76) = 0.8373 K.
    EXPECT_NEAR(w.number("enclosure", "BOX", "surface"), 0.76, 1e-12);
    EXPECT_NEAR(w.number("enclosure", "BOX", "heat"), 3.5, 1e-9);
    EXPECT_NEAR(w.number("enclosure", "BOX", "sun-rise"), 20, 1e-12);
    EXPECT_NEAR(w.number("enclosure", "BOX", "air-inside"), zero_celsius + 35 + 20 + 3.5 / (5.5 * 0.76), 1e-9);
    EXPECT_NEAR(w.number("device", "Q1", "air"), zero_celsius + 35 + 20 + 3.5 / (5.5 * 0.76), 1e-9);
    EXPECT_NEAR(w.number("device", "Q1", "air-outside"), zero_celsius + 35, 1e-9);
    EXPECT_NEAR(w.number("device", "CC1", "air"), zero_celsius + 30, 1e-9);
    EXPECT_NEAR(w.number("device", "CC1", "air-coldest"), zero_celsius + 2, 1e-9);
}

TEST(Boxes, ShadeAndDeclarationsAndWhatIsNotKnown) {
    Site s;
    s.box = "size 400 mm x 500 mm x 200 mm; shroud yes";
    EXPECT_NEAR(World(s.text()).number("enclosure", "BOX", "air-inside"), zero_celsius + 35 + 3.5 / (5.5 * 0.76), 1e-9);
    s.box = "inside 47 degC";
    EXPECT_NEAR(World(s.text()).number("enclosure", "BOX", "air-inside"), zero_celsius + 47, 1e-9);
    EXPECT_NEAR(World(s.text()).number("device", "Q1", "air-outside"), zero_celsius + 47, 1e-9);
    s.box = "";  // no size: the heat warms it, nobody knows by how much
    EXPECT_TRUE(std::isnan(World(s.text()).number("enclosure", "BOX", "air-inside")));
    EXPECT_NEAR(World(s.text()).number("enclosure", "BOX", "air-inside-least"), zero_celsius + 55, 1e-9);
    s.box = "size 400 mm x 500 mm x 200 mm";
    s.fuse = "";  // the heat of a fuse is not known
    EXPECT_TRUE(std::isnan(World(s.text()).number("enclosure", "BOX", "air-inside")));
    EXPECT_NEAR(World(s.text()).number("enclosure", "BOX", "air-inside-least"), zero_celsius + 55 + 2 / (5.5 * 0.76), 1e-9);
    s.fuse = "loss 3 W";
    s.wall = "outdoors exposed; sun no";  // the site's hottest air
    EXPECT_NEAR(World(s.text()).number("enclosure", "BOX", "air-inside"), zero_celsius + 33 + 3.5 / (5.5 * 0.76), 1e-9);
    s.wall = "outdoors exposed";
    EXPECT_TRUE(std::isnan(World(s.text()).number("enclosure", "BOX", "air-inside")));
    EXPECT_EQ(World(s.text()).flag("enclosure", "BOX", "in-sun"), 2);
}

TEST(Boxes, ABoxInABoxIsInTheAirOfTheOuter) {
    Site s;
    s.box = "size 1 m x 1 m x 1 m";
    s.more = "part HEATER is diode { loss 33 W }\nenclosure INNER in BOX { size 500 mm x 500 mm x 500 mm }\ndevice D is HEATER in INNER\n";
    const World w(s.text());
    // 36.5 W over 6 m2; then 33 W more over 1.5 m2: 4 K.
    const double outer = zero_celsius + 55 + 36.5 / (5.5 * 6);
    EXPECT_NEAR(w.number("enclosure", "BOX", "air-inside"), outer, 1e-9);
    EXPECT_NEAR(w.number("enclosure", "INNER", "air-inside"), outer + 33 / (5.5 * 1.5), 1e-9);
}

TEST(Switches, ARatingHoldsUpToItsTemperature) {
    struct Case {
        const char* rows;
        double current;  // in air of 55 degC; NaN: not known
    };
    const Case cases[] = {
        {"loss 0 W", std::nan("")},
        {"loss 0 W; ambient -25 degC .. 55 degC", 40},
        {"loss 0 W; ambient -25 degC .. 54 degC", std::nan("")},
        {"loss 0 W; derate 50 degC 90 %; derate 55 degC 85 %; derate 70 degC 60 %", 34},
        {"loss 0 W; derate 50 degC 90 %; derate 70 degC 60 %", 24},
        {"loss 0 W; derate 50 degC 90 %", std::nan("")},
        {"loss 0 W; rated 2 in series 600 V 30 A at 60 degC", 30},
        {"loss 0 W; rated 2 in series 600 V 30 A at 54 degC", std::nan("")},
    };
    for (const Case& c : cases) {
        Site s;
        s.box = "size 400 mm x 500 mm x 200 mm";
        s.fuse = "loss 0 W";
        s.sw = c.rows;
        const World w(s.text());
        const double current = w.number("broken-circuit", "Q1: the circuit of A and 1 more", "air-current");
        if (std::isnan(c.current)) EXPECT_TRUE(std::isnan(current)) << c.rows << ": " << current;
        else EXPECT_NEAR(current, c.current, 1e-9) << c.rows;
    }
}

TEST(Altitude, TheRowAboveTheSiteCounts) {
    struct Case {
        const char* site;
        const char* rows;
        double voltage;
        int known;
    };
    const Case cases[] = {
        {"altitude 2000 m", "", 1, 1},
        {"altitude 2001 m", "", std::nan(""), 0},
        {"", "", std::nan(""), 2},
        {"altitude 2640 m", "altitude 2640 m", 1, 1},
        {"altitude 2640 m", "altitude 2500 m", std::nan(""), 0},
        {"altitude 2640 m", "altitude 4000 m 78 % 90 %; altitude 3000 m 88 % 95 %", 0.88, 1},
        {"altitude 3001 m", "altitude 4000 m 78 % 90 %; altitude 3000 m 88 % 95 %", 0.78, 1},
        {"altitude 1500 m", "altitude 4000 m 78 % 90 %; altitude 3000 m 88 % 95 %", 1, 1},
        {"altitude 1500 m", "altitude 1000 m", std::nan(""), 0},
    };
    for (const Case& c : cases) {
        Site s;
        s.site = c.site;
        s.sw = c.rows;
        const World w(s.text());
        ASSERT_EQ(w.troubles(), "") << c.rows;
        EXPECT_EQ(w.flag("device", "Q1", "altitude-known"), c.known) << c.site << "; " << c.rows;
        const double f = w.number("device", "Q1", "altitude-voltage-factor");
        if (std::isnan(c.voltage)) EXPECT_TRUE(std::isnan(f)) << c.site << "; " << c.rows;
        else EXPECT_NEAR(f, c.voltage, 1e-12) << c.site << "; " << c.rows;
    }
}

TEST(Surges, EveryWayItIsConnected) {
    const std::string parts = "part SP is surge-protector { terminal + -; protective PE; continuous 500 V; continuous-to-earth 400 V }\n"
                              "part EB is earth-bar { ways 4 }\ndevice S is SP in BOX\ndevice PE is EB in HUT\nQ1.2 -> S.+ PV-6 1 m\nQ1.4 -> S.- PV-6 1 m\n"
                              "bond S.PE -> PE.1 16 mm2 copper 1 m\n";
    const double voc = 8 * 40 * (1 + 0.0028 * 35);
    Site s;
    s.more = parts;
    const World w(s.text());
    ASSERT_EQ(w.troubles(), "");
    ASSERT_EQ(w.rows("surge-mode"), 3U);
    EXPECT_NEAR(w.number("surge-mode", "S + to -", "voltage"), voc, 1e-9);
    EXPECT_NEAR(w.number("surge-mode", "S + to earth", "voltage"), voc, 1e-9);
    EXPECT_NEAR(w.number("surge-mode", "S - to earth", "voltage"), voc, 1e-9);
    EXPECT_NEAR(w.number("surge-mode", "S + to -", "continuous"), 500, 1e-9);
    EXPECT_NEAR(w.number("surge-mode", "S - to earth", "continuous"), 400, 1e-9);
    s.more = parts + "part ROD is electrode { type rod }\ndevice E is ROD on FIELD\nearth PE.2 -> E 16 mm2 copper 3 m\nearth CC1.pv- -> PE.3 16 mm2 copper 1 m\n";
    const World earthed(s.text());
    EXPECT_NEAR(earthed.number("surge-mode", "S - to earth", "voltage"), 0, 1e-9);
    EXPECT_NEAR(earthed.number("surge-mode", "S + to earth", "voltage"), voc, 1e-9);
}

TEST(Runs, FillOfAConduit) {
    Site s;
    const World w(s.text());
    // NEC Chapter 9 Table 1 (from memory): 40 % for three and more. 4 x 36 mm2 / 400 mm2 = 36 %; 144 / 0.4 = 360 mm2: 18.97 mm.
    EXPECT_NEAR(w.number("run", "ROWS", "cables"), 4, 0);
    EXPECT_NEAR(w.number("run", "ROWS", "fill"), 0.36, 1e-12);
    EXPECT_NEAR(w.number("run", "ROWS", "fill-most"), 0.4, 1e-12);
    EXPECT_NEAR(w.number("run", "ROWS", "bore-least"), std::sqrt(360) * 1e-3, 1e-9);
    EXPECT_EQ(w.word("run", "ROWS", "conduit-that-does"), "32 mm (24.3 mm inside)");
    // A cable of several cores is one cable, and lies in every run its conductors go through.
    s.more = "part AC is cable { section 4 mm2 copper; cores 3; diameter 12 mm }\npart LAMP is load { power 60 W }\ndevice L1, L2 is LAMP in HUT\n"
             "cable W is AC\nrun SIDE { length 3 m; via ROWS\n    L1.+ -> L2.+ W core 1\n    L1.- -> L2.- W core 2\n}\n";
    const World more(s.text());
    ASSERT_EQ(more.troubles(), "");
    EXPECT_NEAR(more.number("run", "SIDE", "cables"), 1, 0);
    EXPECT_NEAR(more.number("run", "ROWS", "cables"), 5, 0);
    EXPECT_NEAR(more.number("run", "ROWS", "fill"), (4 * 36 + 144) / 400.0, 1e-12);
}

TEST(Runs, PolesOfACircuitTogether) {
    Site s;
    EXPECT_EQ(World(s.text()).flag("conductor", "A.+ -> F1.1", "poles-apart"), 0);
    std::string apart = s.text();
    const std::string minus = "    A.- -> Q1.3 PV-6 black\n";
    apart.erase(apart.find(minus), minus.size());
    apart += "run RIDGE { length 12 m\n" + minus + "}\n";
    const World w(apart);
    ASSERT_EQ(w.troubles(), "");
    EXPECT_EQ(w.flag("conductor", "A.+ -> F1.1", "poles-apart"), 1);
    EXPECT_EQ(w.flag("conductor", "B.+ -> F2.1", "poles-apart"), 0);
}

TEST(Light, ScreeningFactor) {
    Site s;
    std::string text = s.text();
    text.replace(text.find("max-fuse 20 A"), 13, "bifacial 70 %");
    text.replace(text.find("place FIELD {"), 13, "place FIELD { albedo 60 %;");
    const World w(text);
    ASSERT_EQ(w.troubles(), "");
    EXPECT_NEAR(w.number("string", "A", "screening-factor"), 1.25 + 0.5 * 0.7 * 0.6, 1e-12);
    EXPECT_EQ(w.flag("string", "A", "flush"), 0);
}

}  // namespace
}  // namespace ferrule::tests
