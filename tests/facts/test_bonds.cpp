// Protective conductors: what each serves, and how thick it must be for that. Clauses: NEC 250.122, 690.45, 250.120(C), 250.166; IEC
// figures from memory.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "facts/facts.hpp"
#include "facts/helper_standard.hpp"
#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

class Bonded {
public:
    Bonded(const std::string& id, const std::string& text) : l_(load(text)), f_(facts::compute(l_.design, standard(id))) {
        EXPECT_EQ(l_.rules_and_places(), "") << l_.told();
        ask_everything();
    }
    [[nodiscard]] double number(const char* mark, const char* column) const { return table().column(column)->numbers[row(mark)]; }
    [[nodiscard]] bool flag(const char* mark, const char* column) const { return table().column(column)->flags[row(mark)] == 1; }
    [[nodiscard]] std::string needed(const char* mark) const {
        const base::Symbol s = table().column("needed")->words[row(mark)];
        return s ? std::string(f_.words.text(s)) : std::string();
    }

private:
    [[nodiscard]] const facts::Table& table() const { return *f_.table("bond"); }
    [[nodiscard]] std::uint32_t row(const std::string& mark) const {
        for (std::uint32_t r = 0; r < table().rows; ++r) {
            if (table().name(r).find("(" + mark + ")") != std::string::npos) return r;
        }
        ADD_FAILURE() << "no bond " << mark;
        return 0;
    }
    // Whatever a value is, its working and what it lacks can be asked for.
    void ask_everything() const {
        for (const facts::Column& c : table().columns) {
            for (std::uint32_t r = 0; r < table().rows; ++r) {
                if (c.working) (void)c.working(r);
                if (!c.missing) continue;
                EXPECT_FALSE(c.missing(r).what.empty()) << c.name;
            }
        }
    }
    Loaded l_;
    facts::Facts f_;
};

// Three strings on clamped rails, each with a fuse (or none), an inverter, two bars, a rod.
std::string array(std::string_view fuses, std::string_view bonds, std::string_view site = "") {
    return fmt::format(R"(edition 1
site "bonds" {{ standard nec-2023; coldest -10 degC "invented"; hottest 35 degC; array roof; building dwelling; {} }}
place ROOF {{ outdoors exposed; metal aluminium }}
place ROOM {{ indoors dry }}
part PM is module {{ voc 40 V, -0.3 %/K; isc 10 A; vmp 33 V; imp 9.5 A; max-system 1000 V; max-fuse 30 A; frame metal }}
part CC is inverter {{ isolated yes; ground-fault detects; torque 2 N.m; protective PE; port pv is array {{ max-voltage 600 V }} }}
part FH is fuse-holder {{ pole 1-2; rated 1000 V 60 A; torque 2 N.m }}
part LINK is fuse {{ class gPV; rated 1000 V {} A; breaking 10 kA }}
part BAR is busbar {{ ways 8; rated 1000 V 100 A; torque 2 N.m }}
part EB is earth-bar {{ ways 8; torque 2 N.m }}
part ROD is electrode {{ type rod }}
string S[1..3] is 5 x PM on ROOF {{ frames clamped }}
device P, N is BAR in ROOM
device C is CC in ROOM
device E1, E2 is EB in ROOM
device R is ROD in ROOM
S[1..3].- -> N.[1..3] 6 AWG copper black 5 m
P.8 -> C.pv+ 6 AWG copper red 1 m
N.8 -> C.pv- 6 AWG copper black 1 m
{}
{}
)", site, fuses.empty() ? "1" : fuses,
                       fuses.empty() ? "S[1..3].+ -> P.[1..3] 6 AWG copper red 5 m"
                                     : "device F[1..3] is FH with LINK in ROOM\nS[1..3].+ -> F[1..3].1 6 AWG copper red 5 m\nF[1..3].2 -> P.[1..3] 6 AWG copper red 1 m",
                       bonds);
}

constexpr std::string_view plain = "earth E1.8 -> R 6 AWG copper 2 m as G\nbond ROOF -> E1.1 10 AWG copper 5 m as A\nbond C.PE -> E2.1 10 AWG copper 5 m as B\nbond E2.2 -> E1.2 10 AWG copper 1 m as L\n";

TEST(Bonds, WithoutADeviceOneIsAssumed) {
    const Bonded b("nec-2023", array("", plain));
    EXPECT_TRUE(b.flag("A", "assumed"));
    EXPECT_DOUBLE_EQ(b.number("A", "device"), 20);  // 10 A x 1.5625 = 15.6 A
    EXPECT_TRUE(b.flag("A", "exposed"));
    EXPECT_EQ(b.needed("A"), "6 AWG");              // not for the device, but as it lies outdoors
    EXPECT_FALSE(b.flag("B", "exposed"));
    EXPECT_DOUBLE_EQ(b.number("B", "device"), 50);  // three strings: 46.9 A
    EXPECT_EQ(b.needed("B"), "10 AWG");
}

TEST(Bonds, ThroughABarWhatHangsOnIt) {
    const Bonded b("nec-2023", array("25", plain));
    EXPECT_DOUBLE_EQ(b.number("A", "device"), 25);
    EXPECT_FALSE(b.flag("A", "assumed"));
    EXPECT_EQ(b.needed("L"), b.needed("B"));
    EXPECT_TRUE(b.flag("L", "asked"));
    EXPECT_FALSE(b.flag("G", "asked"));
    EXPECT_TRUE(b.flag("G", "to-electrode"));
    EXPECT_EQ(b.needed("G"), "8 AWG");
}

TEST(Bonds, InAConduitNothingIsExposed) {
    const Bonded b("nec-2023", array("15", "earth E1.8 -> R 6 AWG copper 2 m as G\nrun K { length 5 m; conduit 20 mm\n    bond ROOF -> E1.1 14 AWG copper as A\n}\nbond C.PE -> E1.2 10 AWG copper 5 m as B\n"));
    EXPECT_FALSE(b.flag("A", "exposed"));
    EXPECT_EQ(b.needed("A"), "14 AWG");
}

TEST(Bonds, OfAluminium) {
    const Bonded b("nec-2023", array("25", "earth E1.8 -> R 6 AWG copper 2 m as G\nbond ROOF -> E1.1 6 AWG copper 5 m as A\nbond C.PE -> E1.2 8 AWG aluminium 5 m as B\n"));
    EXPECT_TRUE(b.flag("B", "aluminium"));
    EXPECT_EQ(b.needed("B"), "8 AWG");  // above 20 A to 60 A
}

// The thicker of two ways is the one that counts; the other serves no more than it would alone.
TEST(Bonds, TheThickerWayServes) {
    const Bonded b("nec-2023", array("25", "earth E1.8 -> R 6 AWG copper 2 m as G\nbond ROOF -> E1.1 6 AWG copper 5 m as A\nbond C.PE -> E1.2 8 AWG copper 5 m as B\nbond C.PE -> E2.1 14 AWG copper 1 m as T\nbond E2.2 -> E1.3 8 AWG copper 1 m as L\n"));
    EXPECT_TRUE(b.flag("B", "asked"));
    EXPECT_FALSE(b.flag("T", "asked"));
    EXPECT_FALSE(b.flag("L", "asked"));
}

TEST(Bonds, NotThickerThanTheCircuit) {
    std::string text = array("40", "earth E1.8 -> R 6 AWG copper 2 m as G\nrun K { length 5 m; conduit 20 mm\n    bond ROOF -> E1.1 14 AWG copper as A\n}\nbond C.PE -> E1.2 10 AWG copper 5 m as B\n");
    for (std::size_t at = text.find("6 AWG copper red 5 m"); at != std::string::npos; at = text.find("6 AWG copper red 5 m")) text.replace(at, 5, "12 AWG");
    for (std::size_t at = text.find("6 AWG copper black 5 m"); at != std::string::npos; at = text.find("6 AWG copper black 5 m")) text.replace(at, 5, "12 AWG");
    EXPECT_EQ(Bonded("nec-2023", text).needed("A"), "12 AWG");  // Table 250.122: 10 AWG
}

TEST(Bonds, UnderIecByFramesAndSections) {
    const auto metric = [](std::string_view site) {
        std::string text = array("15", "earth E1.8 -> R 16 mm2 copper 2 m as G\nbond ROOF -> E1.1 4 mm2 copper 5 m as A\nbond C.PE -> E1.2 4 mm2 copper 5 m as B\n", site);
        text.replace(text.find("nec-2023"), 8, "iec-62548");
        for (std::size_t at = text.find("6 AWG"); at != std::string::npos; at = text.find("6 AWG")) text.replace(at, 5, "4 mm2");
        return Bonded("iec-62548", text);
    };
    const Bonded b = metric("lightning-protection no");
    EXPECT_EQ(b.needed("A"), "6 mm2");
    EXPECT_NEAR(b.number("A", "floor"), 4e-6, 1e-15);
    EXPECT_EQ(b.needed("B"), "4 mm2");
    EXPECT_EQ(b.needed("G"), "6 mm2");
    const Bonded l = metric("lightning-protection yes");
    EXPECT_EQ(l.needed("A"), "16 mm2");
    EXPECT_NEAR(l.number("A", "floor"), 16e-6, 1e-15);
    EXPECT_EQ(l.needed("G"), "16 mm2");
}

}  // namespace
}  // namespace ferrule::tests
