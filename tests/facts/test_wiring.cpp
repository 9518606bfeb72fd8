// What a conductor may carry, from whole designs: which run, which air, which company and which terminal count.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "facts/facts.hpp"
#include "facts/helper_standard.hpp"
#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

class Wired {
public:
    Wired(const std::string& id, const std::string& text, const char* told = "") : l_(load(text)), f_(facts::compute(l_.design, standard(id))) {
        EXPECT_EQ(l_.rules_and_places(), told) << l_.told();
    }
    [[nodiscard]] double number(const char* mark, const char* column) const { return table().column(column)->numbers[row(mark)]; }
    [[nodiscard]] int flag(const char* mark, const char* column) const { return table().column(column)->flags[row(mark)]; }
    [[nodiscard]] std::string word(const char* mark, const char* column) const {
        const base::Symbol s = table().column(column)->words[row(mark)];
        return s ? std::string(f_.words.text(s)) : std::string();
    }
    [[nodiscard]] std::string missing(const char* mark, const char* column) const { return table().column(column)->missing(row(mark)).what; }

private:
    [[nodiscard]] const facts::Table& table() const { return *f_.table("conductor"); }
    [[nodiscard]] std::uint32_t row(const std::string& mark) const {
        for (std::uint32_t r = 0; r < table().rows; ++r) {
            if (table().name(r).find("(" + mark + ")") != std::string::npos) return r;
        }
        ADD_FAILURE() << "no conductor " << mark;
        return 0;
    }
    Loaded l_;
    facts::Facts f_;
};

// One string, one controller; the cable part W and the lines that land it are the caller's.
std::string design(const std::string& cable, const std::string& lines, const std::string& more = "") {
    return fmt::format(R"(edition 1
site "test" {{ coldest -10 degC "invented"; hottest 43 degC }}
place FIELD {{ outdoors exposed }}
place LOFT {{ indoors dry; ambient 5 degC .. 52 degC }}
place HALL {{ indoors dry }}
part PM is module {{ voc 40 V, -0.3 %/K; isc 10 A; vmp 33 V; imp 9.4 A }}
part W is cable {{ {} }}
part CC is controller {{ port pv is array {{ max-voltage 400 V }}; takes 1 x 4 mm2 .. 16 mm2 copper; takes 2 x 1.5 mm2 .. 6 mm2 copper }}
string A is 2 x PM on FIELD
device C is CC in HALL
{}{})",
                       cable, more, lines);
}

const std::string xlpe = "section 10 AWG copper; insulation xlpe 90 degC";
const std::string metric_wire = "section 6 mm2 copper; insulation xlpe 90 degC";

TEST(Wiring, TakesTheRunWhereItCarriesLeast) {
    const Wired w("nec-2023", design(xlpe, R"(run COOL { length 3 m; conduit 25 mm; ambient 30 degC }
run HOT { length 3 m; ambient 60 degC }
run R { length 4 m; ambient 20 degC; via COOL, HOT
    A.+ -> C.pv+ W red as W1
    A.- -> C.pv- W black as W2
}
)"));
    EXPECT_EQ(w.word("W1", "method"), "free-air");
    EXPECT_DOUBLE_EQ(w.number("W1", "ampacity"), 55 * 0.71);  // in HOT; in COOL 40 A
    EXPECT_EQ(w.number("W1", "table-ampacity"), 40);          // of the raceway, the least of all
    EXPECT_EQ(w.number("W1", "loaded"), 2);
}

TEST(Wiring, TakesTheHottestAirOnItsWay) {
    const std::string lines = R"(run OUT { length 3 m; through FIELD, HALL
    A.+ -> C.pv+ W red as W1
}
run UP { length 3 m; through LOFT, FIELD
    A.- -> C.pv- W black as W2
}
)";
    const Wired w("nec-2023", design(xlpe, lines));
    EXPECT_DOUBLE_EQ(w.number("W1", "ambient"), 43 + 273.15);  // outdoors, and the site says how hot that is
    EXPECT_DOUBLE_EQ(w.number("W2", "ambient"), 52 + 273.15);
    const Wired ends("nec-2023", design(xlpe, "A.+ -> C.pv+ W red 3 m as W1\nA.- -> C.pv- W black 3 m as W2\n"));
    EXPECT_DOUBLE_EQ(ends.number("W1", "ambient"), 43 + 273.15);  // of the place of its string
}

TEST(Wiring, AddsARoofInTheSun) {
    const auto ambient = [](const std::string& run, const std::string& cable) {
        return Wired("nec-2023", design(cable, fmt::format("run R {{ length 3 m; conduit 25 mm; ambient 35 degC; {}\n A.+ -> C.pv+ W red as W1\n A.- -> C.pv- W black as W2\n}}\n", run)))
                   .number("W1", "ambient") - 273.15;
    };
    EXPECT_NEAR(ambient("above-roof 22 mm", xlpe), 68, 1e-9);
    EXPECT_NEAR(ambient("above-roof 23 mm", xlpe), 35, 1e-9);
    EXPECT_NEAR(ambient("above-roof 10 mm; sun no", xlpe), 35, 1e-9);
    EXPECT_NEAR(ambient("above-roof 10 mm", xlpe + "; type XHHW-2"), 35, 1e-9);
}

TEST(Wiring, CountsWhoSharesTheRun) {
    const std::string four = R"(part CORE is cable { section 10 AWG copper; insulation xlpe 90 degC; cores 4 }
)";
    const Wired w("nec-2023", design(xlpe, R"(cable K is CORE
run R { length 3 m; conduit 25 mm; ambient 30 degC
    A.+ -> C.pv+ K core 1 red as W1
    A.+ -> C.pv+ K core 2 red as W2
    A.- -> C.pv- K core 3 black as W3
    A.- -> C.pv- K core 4 black as W4
}
)", four));
    EXPECT_EQ(w.number("W1", "loaded"), 4);
    EXPECT_EQ(w.number("W1", "grouping-factor"), 0.8);
    EXPECT_EQ(w.number("W1", "parallel"), 2);
    EXPECT_EQ(w.flag("W1", "parallel-unlike"), 0);
    const Wired apart("nec-2023", design(xlpe, "run R { length 24 inch; ambient 30 degC\n A.+ -> C.pv+ W red as W1\n A.+ -> C.pv+ W red as W2\n A.- -> C.pv- W black as W3\n A.- -> C.pv- W black as W4\n}\n"));
    EXPECT_EQ(apart.number("W1", "loaded"), 4);
    EXPECT_EQ(apart.number("W1", "grouping-factor"), 1);
}

TEST(Wiring, FindsTheMethodOfTheOtherStandard) {
    const auto method = [](const std::string& cable, const std::string& run) {
        const Wired w("iec-62548", design(cable, fmt::format("run R {{ length 3 m; ambient 30 degC; {}\n A.+ -> C.pv+ W red as W1\n A.- -> C.pv- W black as W2\n}}\n", run)));
        return fmt::format("{} {}", w.word("W1", "method"), w.number("W1", "ampacity"));
    };
    const std::string pv = "section 6 mm2 copper; type H1Z2Z2-K";
    EXPECT_EQ(method(metric_wire, "conduit 25 mm"), "b1 54");
    EXPECT_EQ(method(metric_wire, "tray 100 mm"), "c 58");
    EXPECT_EQ(method(metric_wire, "spaced 20 mm"), "c 58");  // no column for single cores of that size in free air
    EXPECT_EQ(method("section 35 mm2 copper; insulation xlpe 90 degC", "spaced 20 mm"), "f 200");
    EXPECT_EQ(method("section 35 mm2 copper; insulation pvc 70 degC", "spaced 20 mm"), "f 162");
    EXPECT_EQ(method(pv, "conduit 25 mm"), "b1 54");
    EXPECT_EQ(method(pv, "tray 100 mm"), "side-by-side 57");
    EXPECT_EQ(method(pv, "spaced 20 mm"), "free-air 70");
}

TEST(Wiring, JudgesOnlyWhatIsKnown) {
    const std::string lines = "run R { length 3 m; conduit 25 mm; ambient 30 degC\n A.+ -> C.pv+ W red as W1\n A.- -> C.pv- W black as W2\n}\n";
    const Wired enough("nec-2023", design("section 10 AWG copper", lines));
    EXPECT_EQ(enough.number("W1", "ampacity"), 30);  // 12.5 A: the lowest insulation is enough
    const Wired between("nec-2023", design("section 14 AWG copper", lines));
    EXPECT_TRUE(std::isnan(between.number("W1", "table-ampacity")));  // 15.6 A: between 15 A and 25 A
    EXPECT_EQ(between.missing("W1", "table-ampacity"), "`insulation` of W");
    const Wired buried("iec-62548", design(metric_wire, "run R { length 3 m; buried 600 mm\n A.+ -> C.pv+ W red as W1\n A.- -> C.pv- W black as W2\n}\n"));
    EXPECT_TRUE(std::isnan(buried.number("W1", "ampacity")));
    const Wired aluminium("iec-62548", design("section 25 mm2 aluminium; insulation xlpe 90 degC", lines));
    EXPECT_NE(aluminium.missing("W1", "ampacity").find("aluminium"), std::string::npos);
    const Wired metric_there("nec-2023", design(metric_wire, lines));
    EXPECT_EQ(metric_there.number("W1", "ampacity"), 40);  // as 10 AWG
}

TEST(Wiring, KnowsWhatTerminalsTake) {
    const auto fits = [](const std::string& section, bool doubled) {
        const Wired w("iec-62548", design(fmt::format("section {} copper", section),
                                          fmt::format("A.+ -> C.pv+ W red 3 m as W1\n{}A.- -> C.pv- W black 3 m as W2\n", doubled ? "A.+ -> C.pv+ W red 3 m as W3\n" : "")));
        return w.flag("W1", "fits-size");
    };
    EXPECT_EQ(fits("16 mm2", false), 1);
    EXPECT_EQ(fits("25 mm2", false), 0);
    EXPECT_EQ(fits("1.5 mm2", false), 1);  // by the row for two
    EXPECT_EQ(fits("10 mm2", true), 0);    // two of them: 6 mm2 at most
    EXPECT_EQ(fits("6 mm2", true), 1);
}

TEST(Wiring, AsksForTheSmallestSizeThatWouldDo) {
    const Wired w("nec-2023", design("section 14 AWG copper; insulation xlpe 90 degC", R"(run R { length 3 m; conduit 25 mm; ambient 70 degC
    A.+ -> C.pv+ W red as W1
    A.- -> C.pv- W black as W2
}
)"));
    EXPECT_DOUBLE_EQ(w.number("W1", "ampacity"), 25 * 0.58);  // 14.5 A for 12.5 A
    EXPECT_EQ(w.number("W1", "terminal-ampacity"), 15);       // for 15.6 A: the size is not enough
    EXPECT_DOUBLE_EQ(w.number("W1", "needed-area"), language().units.to_si(12, language().units.find("AWG")));
    EXPECT_NE(w.word("W1", "needed").find("12 AWG carries 17.4 A"), std::string::npos) << w.word("W1", "needed");
}

// 240.4(C): beyond 800 A a device may not be larger than what all conductors of the set carry together, here 4 x 230 A = 920 A at the
// 75 degC of their terminals; not four times the 250 A that one of them alone might have. 240.4(B) up to 800 A: 3 x 230 A = 690 A, 700 A.
TEST(Wiring, OneDeviceProtectsTheSetInParallel) {
    const auto most = [](int count) {
        std::string text = R"(edition 1
site "T" { hottest 30 degC }
place ROOM { indoors dry; ambient 5 degC .. 30 degC }
part BAT is battery { nominal 48 V; max-voltage 57 V; short-circuit 9 kA; takes 4 x 6 mm2 .. 400 mm2 copper; terminal-temperature 75 degC }
part HEATER is load { current 500 A; voltage 40 V .. 60 V; takes 4 x 6 mm2 .. 400 mm2 copper; terminal-temperature 75 degC }
part K is cable { section 4/0 AWG copper; insulation xlpe 90 degC; rated 600 V }
device B is BAT in ROOM
device H is HEATER in ROOM
)";
        for (int i = 0; i < count; ++i) text += fmt::format("B.+ -> H.+ K red 3 m as P{}\nB.- -> H.- K black 3 m as N{}\n", i, i);
        const Wired w("nec-2023", text);
        EXPECT_EQ(w.number("P0", "parallel"), count);
        return count * w.number("P0", "device-most");
    };
    EXPECT_EQ(most(1), 250);
    EXPECT_EQ(most(3), 700);
    EXPECT_EQ(most(4), 920);
}

// By hand: 126 A at 44 degC asks for 70 mm2 (192 A x 0.79 = 151.7 A), the 175 A fuse for 95 mm2 (232 A x 0.79 = 183.3 A). The conductor
// before the fuse is told of together with the one of the other pole, which that fuse protects.
TEST(Wiring, AdvisesASizeThatSuitsTheDevice) {
    const Wired w("iec-62548", R"(edition 1
site "T" { hottest 44 degC }
place ROOM { indoors dry; ambient 5 degC .. 44 degC }
part BAT is battery { nominal 48 V; max-voltage 57 V; short-circuit 9 kA }
part FH is fuse-holder { pole 1-2; rated 125 V 400 A }
part FU is fuse { class T; rated 125 V 175 A; breaking 20 kA }
part HEATER is load { current 126 A; voltage 40 V .. 60 V }
part K is cable { section 50 mm2 copper; insulation pvc 70 degC; rated 600 V }
device B is BAT in ROOM
device F is FH with FU in ROOM
device H is HEATER in ROOM
run R { length 2 m; through ROOM; conduit 40 mm
    B.+ -> F.1 K red as W1
    B.- -> H.- K black as W2
}
F.2 -> H.+ K red 1 m as W3
)");
    EXPECT_NEAR(w.number("W1", "ampacity"), 151 * 0.79, 1e-9);
    EXPECT_DOUBLE_EQ(w.number("W2", "needed-area"), 95e-6);
    EXPECT_DOUBLE_EQ(w.number("W1", "needed-area"), 95e-6);
}

// 5 A behind 40 A: a short piece counts as guarded by the device at its end, 20 m do not, and where no length is stated nothing is known.
TEST(Wiring, ShortTapsNeedALength) {
    const auto tap = [](const char* length) {
        return fmt::format(R"(edition 1
site "taps" {{ coldest 0 degC; hottest 30 degC }}
place HUT {{ indoors dry }}
part BAT is battery {{ nominal 12 V; max-voltage 14 V; min-voltage 11 V; short-circuit 2 kA }}
part FH is fuse-holder {{ pole 1-2; rated 60 V 60 A }}
part F40 is fuse {{ rated 60 V 40 A }}
part F5 is fuse {{ rated 60 V 5 A }}
part LAMP is load {{ current 3 A }}
part W is cable {{ section 2.5 mm2 copper; insulation xlpe 90 degC; rated 600 V }}
device B is BAT in HUT
device FM is FH with F40 in HUT
device FB is FH with F5 in HUT
device L is LAMP in HUT
B.+ -> FM.1 W 0.2 m
FM.2 -> FB.1 W {} as TAP
FB.2 -> L.+ W 3 m
B.- -> L.- W 3 m
)",
                           length);
    };
    const Wired near("nec-2023", tap("0.5 m")), far("nec-2023", tap("20 m"));
    EXPECT_EQ(near.flag("TAP", "short-tap"), 1);
    EXPECT_DOUBLE_EQ(near.number("TAP", "let-through"), 5);
    EXPECT_EQ(far.flag("TAP", "short-tap"), 0);
    EXPECT_DOUBLE_EQ(far.number("TAP", "let-through"), 40);
    const Wired unsaid("nec-2023", tap(""), "design.length-missing @ FM.2 -> FB.1 W  as TAP\n");
    EXPECT_EQ(unsaid.flag("TAP", "short-tap"), 2);
    EXPECT_DOUBLE_EQ(unsaid.number("TAP", "let-through"), 40);
    EXPECT_EQ(unsaid.missing("TAP", "short-tap"), "the length of FM.2 -> FB.1 (TAP), which may be a short tap");
    // NEC 240.21(B)(1): 10 ft; IEC 60364-4-43, 433.2: 3 m. Both from memory.
    EXPECT_EQ(Wired("nec-2023", tap("3.04 m")).flag("TAP", "short-tap"), 1);
    EXPECT_EQ(Wired("nec-2023", tap("3.06 m")).flag("TAP", "short-tap"), 0);
    EXPECT_EQ(Wired("iec-62548", tap("3 m")).flag("TAP", "short-tap"), 1);
    EXPECT_EQ(Wired("iec-62548", tap("3.02 m")).flag("TAP", "short-tap"), 0);
}

}  // namespace
}  // namespace ferrule::tests
