// Published worked examples through the whole program: a small design text, its facts by name. Figures and sources: worked.toml,
// which also says which other tests hold an example and why some are left out.
#include <cmath>
#include <set>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::circular_mil;
using reference::figures;
using reference::inch;
using reference::Plant;
using reference::published;
using reference::speaks;
using ferrule::tables::Value;

constexpr double foot = 0.3048;

class Example {
public:
    explicit Example(std::string_view id) : file_(figures("worked.toml")) {
        for (const Value& e : file_.find("example")->items) {
            if (e.string("id") == id) example_ = &e;
        }
        EXPECT_NE(example_, nullptr) << id;
    }
    [[nodiscard]] double given(std::string_view key) const { return in("given", key).number; }
    [[nodiscard]] double expected(std::string_view key) const { return in("expected", key).number; }
    [[nodiscard]] double exact(std::string_view key) const { return in("exact", key).number; }
    [[nodiscard]] std::string words(std::string_view key) const { return in("expected", key).text; }
    [[nodiscard]] double tolerance() const { return example_->find("tolerance")->number; }

private:
    [[nodiscard]] const Value& in(std::string_view table, std::string_view key) const {
        const Value* found = example_->find(table)->find(key);
        if (found == nullptr) ADD_FAILURE() << table << " has no " << key;
        static const Value nothing;
        return found == nullptr ? nothing : *found;
    }
    Value file_;
    const Value* example_ = nullptr;
};

// "10 AWG" -> m² (ASTM B258), "300 kcmil" -> m²
double gauge_area(const std::string& size) {
    const double number = std::stod(size);
    constexpr double quarter_pi = 0.78539816339744831;
    if (size.ends_with("kcmil")) return quarter_pi * number * 1e-3 * inch * inch;
    const double gauge = size.find("/0") != std::string::npos ? 1 - number : number;
    return quarter_pi * std::pow(0.005 * inch * std::pow(92, (36 - gauge) / 39), 2);
}

// ---- arrays ----------------------------------------------------------------------------------------------

// `strings` strings of one module on two bars, each with a fuse of so many amperes (0: none), and a controller behind.
Plant combined(std::string_view standard, int strings, double isc, double fuse, std::string_view string_cable, std::string_view trunk, std::string_view trunk_fuse = "") {
    std::string text = fmt::format(R"(edition 1
site "strings in parallel" {{ standard {}; coldest 0 degC "published example"; hottest 30 degC; array ground-mount; building none }}
place FIELD {{ outdoors exposed }}
place ROOM {{ indoors dry }}
part PM is module {{ voc 40 V, -0.3 %/K; isc {} A; vmp 33 V; imp {} A; max-system 600 V; max-fuse 30 A; frame none }}
part STRING-CABLE is cable {{ {}; rated 1000 V }}
part TRUNK is cable {{ {}; rated 1000 V }}
part BAR is busbar {{ ways 40; rated 1000 V 200 A; terminal-temperature 75 degC; takes 1 x 1.5 mm2 .. 150 mm2 copper; torque 2 N.m }}
part FH is fuse-holder {{ pole 1-2; rated 1000 V 100 A; terminal-temperature 75 degC; takes 1 x 1.5 mm2 .. 150 mm2 copper; torque 2 N.m }}
part LINK is fuse {{ class gPV; rated 1000 V {} A; breaking 10 kA }}
part TRUNK-LINK is fuse {{ class gPV; rated 1000 V {} A; breaking 10 kA }}
part CC is controller {{ isolated yes; ground-fault detects; terminal-temperature 75 degC; takes 1 x 1.5 mm2 .. 150 mm2 copper; torque 2 N.m; protective PE
    port pv is array {{ max-voltage 600 V; max-isc 200 A }} }}
part EB is earth-bar {{ ways 4; torque 2 N.m }}
string S[1..{}] is 1 x PM on FIELD
device P, N is BAR in ROOM
device C is CC in ROOM
device E is EB in ROOM
bond C.PE -> E.1 8 AWG copper green 2 m
N.40 -> C.pv- TRUNK black 1 m
S[1..{}].- -> N.[1..{}] STRING-CABLE black 10 m
)", standard, isc, std::round(isc * 950) / 1000, string_cable, trunk, fuse > 0 ? fuse : 1, trunk_fuse.empty() ? "1" : trunk_fuse, strings, strings, strings);
    if (fuse > 0) {
        text += fmt::format("device F[1..{0}] is FH with LINK in ROOM\nS[1..{0}].+ -> F[1..{0}].1 STRING-CABLE red 10 m\nF[1..{0}].2 -> P.[1..{0}] STRING-CABLE red 1 m\n", strings);
    } else {
        text += fmt::format("S[1..{0}].+ -> P.[1..{0}] STRING-CABLE red 10 m\n", strings);
    }
    text += trunk_fuse.empty() ? "P.40 -> C.pv+ TRUNK red 1 m\n" : "device FT is FH with TRUNK-LINK in ROOM\nP.40 -> FT.1 TRUNK red 1 m\nFT.2 -> C.pv+ TRUNK red 1 m\n";
    return Plant(std::move(text));
}

TEST(Worked, We03WrongRow) {
    const Example e("WE-03");
    const Plant plant(fmt::format(R"(edition 1
site "controller" {{ standard nec-2023; coldest {} degC "published example"; hottest 35 degC; array ground-mount }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc {} V; isc 9 A; vmp 32 V; imp 8.5 A; frame none }}
part CC is controller {{ port pv is array {{ max-voltage {} V }} }}
string A is {} x PM on FIELD
device C is CC on FIELD
A.+ -> C.pv+ 6 mm2 copper 5 m
A.- -> C.pv- 6 mm2 copper 5 m
)", e.given("t-min-c"), e.given("voc-v"), e.given("controller-voc-limit-v"), e.given("series")));
    const double cold = plant.number("input", "C.pv", "voltage");
    published("WE-03 cold voltage at the controller", cold, e.expected("voc-cold-v"), e.tolerance());
    EXPECT_GT(std::abs(cold - e.exact("voc-with-wrong-factor-v")), 10) << "the row for 20 to 24 degC";
    published("WE-03 within the limit", !speaks(plant, "voltage.cold-input"), true);
}

TEST(Worked, We04StringConductorAndFuse) {
    const Example e("WE-04");
    const auto plant = [&](double fuse) {
        return combined("nec-2023", 4, e.given("isc-a"), fuse, "section 10 AWG copper; insulation xlpe 90 degC", "section 2 AWG copper; insulation xlpe 90 degC");
    };
    const Plant right = plant(e.expected("fuse-a"));
    ASSERT_EQ(right.troubles(), "");
    published("WE-04 largest current", right.number("conductor", "S[1].+ -> F[1].1", "current"), e.expected("i-max-a"), e.tolerance());
    published("WE-04 least rating", right.number("fuse", "F[1]", "least"), e.expected("i-min-device-a"), e.tolerance());
    published("WE-04 next standard fuse", right.number("fuse", "F[1]", "least-size"), e.expected("fuse-a"), 0);
    published("WE-04 the fuse is right", !speaks(right, "protection.array-fuse-small") && !speaks(right, "protection.string-fuse-size") && !speaks(right, "protection.conductor"), true);
    published("WE-04 a fuse of 15 A is too small", speaks(plant(15), "protection.array-fuse-small"), true);
    published("WE-04 the conductor is right", !speaks(right, "conductor.ampacity") && !speaks(right, "conductor.ampacity-corrected"), true);
}

// The note: a string fuse of 20 A needs 12 AWG under 240.4(D); 14 AWG allows 15 A.
TEST(Worked, We05SmallConductorUnderATwentyAmpereFuse) {
    const Example e("WE-05");
    const Plant thin = combined("nec-2023", 3, e.given("isc-a"), 20, "section 14 AWG copper; insulation xlpe 90 degC", "section 2 AWG copper; insulation xlpe 90 degC");
    ASSERT_EQ(thin.troubles(), "");
    published("WE-05 largest current", thin.number("conductor", "S[1].- -> N.1", "current"), e.expected("i-max-a"), e.tolerance());
    published("WE-05 least ampacity", thin.number("conductor", "S[1].- -> N.1", "continuous-current"), e.expected("i-min-ampacity-a"), e.tolerance());
    published("WE-05 14 AWG carries it", thin.number("conductor", "S[1].- -> N.1", "terminal-ampacity") >= e.expected("i-min-ampacity-a"), true);
    published("WE-05 14 AWG allows 15 A", thin.number("conductor", "S[1].- -> N.1", "device-most"), 15, 0);
}

TEST(Worked, We06Subarrays) {
    const Example e("WE-06");
    const int strings = static_cast<int>(e.given("modules-per-subarray"));
    const Plant plant = combined("nec-2023", strings, e.given("isc-a"), 0, "section 10 AWG copper; insulation xlpe 90 degC", "section 10 AWG copper; insulation xlpe 90 degC", "30");
    ASSERT_EQ(plant.troubles(), "");
    published("WE-06 one module", plant.number("string", "S[1]", "isc-max"), e.expected("i-cont-module-a"), e.tolerance());
    published("WE-06 one module, without end", plant.number("conductor", "S[1].+ -> P.1", "continuous-current"), e.expected("i-80-module-a"), e.tolerance());
    published("WE-06 one module, unrounded", plant.number("string", "S[1]", "isc-max"), e.exact("i-cont-module-a"), 1e-9);
    published("WE-06 sub-array", plant.number("conductor", "P.40 -> FT.1", "current"), e.expected("i-subarray-a"), e.tolerance());
    published("WE-06 sub-array, unrounded", plant.number("conductor", "P.40 -> FT.1", "current"), e.exact("i-subarray-a"), 1e-9);
    published("WE-06 fuse of a sub-array", plant.number("fuse", "FT", "least-size"), e.expected("array-fuse-per-subarray-a"), 0);
    published("WE-06 terminals at 75 degC", plant.number("conductor", "P.40 -> FT.1", "terminal-ampacity"), e.expected("terminal-ampacity-75c"), 0);
}

// The same system further on: from memory, as worked.toml says.
TEST(Worked, We07ArrayBreakerInverterAndBonds) {
    const Example e("WE-07");
    const Example first("WE-06");
    const Plant half = combined("nec-2023", 5, first.given("isc-a"), 0, "section 10 AWG copper; insulation xlpe 90 degC", "section 10 AWG copper; insulation xlpe 90 degC", "30");
    published("WE-07 fuse of a sub-array, least", half.number("fuse", "FT", "least"), e.expected("fuse-min-a"), e.tolerance());
    const Plant plant = combined("nec-2023", static_cast<int>(e.given("modules")), first.given("isc-a"), 0, "section 10 AWG copper; insulation xlpe 90 degC",
                                 "section 4 AWG copper; insulation pvc 60 degC", "60");
    ASSERT_EQ(plant.troubles(), "");
    published("WE-07 array", plant.number("conductor", "P.40 -> FT.1", "current"), e.expected("i-array-a"), e.tolerance());
    published("WE-07 device of the array, least", plant.number("fuse", "FT", "least"), e.exact("breaker-min-a"), e.tolerance());
    published("WE-07 device of the array", plant.number("fuse", "FT", "least-size"), e.expected("breaker-a"), 0);
    published("WE-07 bond behind 60 A", plant.word("bond", "C.PE -> E.1", "needed") == e.words("egc-60a"), true);
    // The battery's side: an inverter at its lowest voltage and a load, behind one fuse.
    const Plant battery(fmt::format(R"(edition 1
site "small stand-alone system" {{ standard nec-2023; coldest 0 degC "published example"; hottest 30 degC; building none }}
place ROOM {{ indoors dry }}
part BAT is battery {{ chemistry lead-vented; nominal 12 V; capacity 200 Ah; max-voltage 15 V; min-voltage {} V; short-circuit 2000 A; takes 2 x 6 mm2 .. 70 mm2 copper; torque 8 N.m }}
part EB is earth-bar {{ ways 4; torque 2 N.m }}
part INV is inverter {{ type battery; isolated yes; protective PE; power {} W; efficiency {} %; torque 3 N.m; takes 1 x 6 mm2 .. 70 mm2 copper
    port dc is battery {{ nominal 12 V; max-voltage 16 V; cut-off {} V }} }}
part LAMPS is load {{ current {} A; voltage 10 V .. 16 V }}
part BAR is busbar {{ ways 8; rated 60 V 200 A; takes 1 x 6 mm2 .. 70 mm2 copper; torque 3 N.m }}
part FH is fuse-holder {{ pole 1-2; rated 125 V 200 A; takes 1 x 6 mm2 .. 70 mm2 copper; torque 3 N.m }}
part LINK is fuse {{ class T; rated 125 V {} A; breaking 20 kA }}
part W is cable {{ section 4 AWG copper; insulation thermoset 90 degC; rated 600 V }}
device B is BAT in ROOM
device I is INV in ROOM
device L is LAMPS in ROOM
device P, N is BAR in ROOM
device F is FH with LINK in ROOM
device E is EB in ROOM
bond I.PE -> E.1 8 AWG copper green 2 m
B.+ -> F.1 W red 1 m
F.2 -> P.1 W red 1 m
B.- -> N.1 W black 1 m
P.2 -> I.dc+ W red 1 m
N.2 -> I.dc- W black 1 m
P.3 -> L.+ W red 1 m
N.3 -> L.- W black 1 m
)", e.given("low-battery-v"), e.given("inverter-w"), e.given("efficiency") * 100, e.given("low-battery-v"), e.given("dc-load-a"), e.expected("battery-fuse-a")));
    ASSERT_EQ(battery.troubles(), "");
    published("WE-07 inverter", battery.number("conductor", "P.2 -> I.dc+", "continuous-current"), e.exact("i-inverter-a"), 0.001);
    published("WE-07 load", battery.number("conductor", "P.3 -> L.+", "continuous-current"), e.expected("i-dc-load-a"), 0.001);
    published("WE-07 battery", battery.number("conductor", "B.+ -> F.1", "continuous-current"), e.exact("i-battery-a"), 0.001);
    published("WE-07 bond behind 80 A", battery.word("bond", "I.PE -> E.1", "needed") == e.words("egc-80a"), true);
    published("WE-07 battery fuse", battery.number("fuse", "F", "least-size"), e.expected("battery-fuse-a"), 0);
}

// The article multiplies the factor for duty without end and the corrections; today each is compared for itself: 10.585 A with the
// corrected ampacity, and 11.6 A of it pass even among 10 to 20 conductors.
TEST(Worked, We08TodaysReading) {
    const Example e("WE-08");
    const auto conduit = [&](int strings) {
        return Plant(fmt::format(R"(edition 1
site "full conduit" {{ standard nec-2023; coldest 0 degC "published example"; hottest 30 degC; array ground-mount; building none }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc 40 V, -0.3 %/K; isc {} A; vmp 33 V; imp 8 A; max-system 600 V; max-fuse 20 A; frame none }}
part W is cable {{ section 10 AWG copper; insulation thermoset 90 degC; rated 1000 V }}
part CC is controller {{ isolated yes; ground-fault detects; terminal-temperature 75 degC; torque 2 N.m; takes 1 x 1.5 mm2 .. 16 mm2 copper; port pv is array {{ max-voltage 600 V }} }}
string S[1..{}] is 1 x PM on FIELD
device C[1..{}] is CC on FIELD
run R {{ length 10 m; conduit 50 mm; ambient 68 degC
    S[1..{}].+ -> C[1..{}].pv+ W red
    S[1..{}].- -> C[1..{}].pv- W black
}}
)", e.given("i-circuit-max-a") / 1.25, strings, strings, strings, strings, strings, strings));
    };
    for (const auto& [strings, key] : {std::pair{6, "fill-10-20"}, {4, "fill-7-9"}, {2, "fill-4-6"}}) {
        const Plant plant = conduit(strings);
        ASSERT_EQ(plant.troubles(), "");
        published(fmt::format("WE-08 {}", key), plant.number("conductor", "S[1].+ -> C[1].pv+", "ampacity"), e.expected(key), e.tolerance());
        EXPECT_NEAR(plant.number("conductor", "S[1].+ -> C[1].pv+", "current"), e.given("i-circuit-max-a"), 1e-9);
        EXPECT_FALSE(speaks(plant, "conductor.ampacity-corrected")) << key << ": by today's reading it passes";
        published(fmt::format("WE-08 {}, needed by the older reading", key), plant.number("conductor", "S[1].+ -> C[1].pv+", "continuous-current"), e.expected("i-needed-a"), e.tolerance());
    }
    published("WE-08 among 10 to 20 by the older reading", e.expected("fill-10-20") >= e.expected("i-needed-a"), e.expected("ok-10-20") != 0);
}

TEST(Worked, We13DropAtTwentyFourVolts) {
    const Example e("WE-13");
    const Plant plant(fmt::format(R"(edition 1
site "24 V" {{ standard nec-2023; coldest 0 degC "published example"; hottest 30 degC; building none }}
place ROOM {{ indoors dry }}
part BAT is battery {{ chemistry lead-vented; nominal {} V; capacity 100 Ah; max-voltage 30 V; short-circuit 1000 A }}
part LAMPS is load {{ current {} A; voltage 10 V .. 30 V }}
part W is cable {{ section 16 AWG copper; strands class-2; insulation thermoplastic 75 degC; rated 300 V }}
device B is BAT in ROOM
device L is LAMPS in ROOM
B.+ -> L.+ W red {} m
B.- -> L.- W black {} m
)", e.given("system-v"), e.given("current-a"), e.given("length-one-way-ft") * foot, e.given("length-one-way-ft") * foot));
    ASSERT_EQ(plant.troubles(), "");
    const double drop = plant.number("conductor", "B.+ -> L.+", "drop") + plant.number("conductor", "B.- -> L.-", "drop");
    published("WE-13 drop, as printed", drop, e.expected("drop-v"), e.tolerance());
    published("WE-13 drop, unrounded", drop, e.exact("drop-v"), 1e-9);
    published("WE-13 share", 100 * drop / e.given("system-v"), e.exact("drop-percent"), 1e-5);
}

TEST(Worked, We14DropOfASourceCircuit) {
    const Example e("WE-14");
    const Plant plant(fmt::format(R"(edition 1
site "source circuit" {{ standard nec-2023; coldest 0 degC "published example"; hottest 30 degC; array ground-mount; building none }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc 37 V, -0.3 %/K; isc 8.8 A; vmp 30 V; imp {} A; max-system 600 V; frame none }}
part W is cable {{ section 14 AWG copper; strands class-2; insulation thermoplastic 75 degC; rated 600 V }}
part CC is controller {{ isolated yes; ground-fault detects; port pv is array {{ max-voltage 600 V }} }}
string A is {} x PM on FIELD
device C is CC on FIELD
A.+ -> C.pv+ W red {} m
A.- -> C.pv- W black {} m
)", e.given("current-a"), e.given("modules"), e.given("length-one-way-ft") * foot, e.given("length-one-way-ft") * foot));
    ASSERT_EQ(plant.troubles(), "");
    published("WE-14 drop, as printed", plant.number("string", "A", "drop"), e.expected("drop-v"), e.tolerance());
    published("WE-14 drop, unrounded", plant.number("string", "A", "drop"), e.exact("drop-v"), 1e-4);
    // The operating voltage of the example is lost; with 12 modules of 30 V the share is 2.15 %.
    published("WE-14 within 2 %", plant.number("string", "A", "drop-share") <= 0.02, e.expected("within-2-percent") != 0);
}

// ---- batteries -------------------------------------------------------------------------------------------

// A battery, a fuse or breaker, two conductors, an inverter or load.
Plant behind_a_device(std::string_view nominal, std::string_view consumer, std::string_view device, std::string_view cable, std::string_view run, std::string_view more = "") {
    const std::string_view port = consumer.find("is inverter") != std::string_view::npos ? "dc" : "";
    return Plant(fmt::format(R"(edition 1
site "battery circuit" {{ standard nec-2023; coldest 0 degC "published example"; hottest 30 degC; building none }}
place ROOM {{ indoors dry }}
part BAT is battery {{ chemistry lead-vented; nominal {0} V; capacity 400 Ah; max-voltage 31 V; min-voltage 22 V; short-circuit 4000 A }}
{1}
part FH is fuse-holder {{ pole 1-2; rated 125 V 400 A; terminal-temperature 75 degC; takes 1 x 1.5 mm2 .. 240 mm2 copper; torque 3 N.m }}
part LINK is fuse {{ class T; rated 125 V {2}; breaking 20 kA }}
part W is cable {{ {3}; rated 600 V }}
device B is BAT in ROOM
device U is USER in ROOM
device F is FH with LINK in ROOM
B.+ -> F.1 W red 0.3 m
run R {{ length 3 m; {4}
    F.2 -> U.{5}+ W red
    B.- -> U.{5}- W black
}}
{6}
)", nominal, consumer, device, cable, run, port, more));
}

// By the older reading 167 A are divided by the correction: 235 A, 300 kcmil. Today 134 A are compared with the corrected ampacity
// and 167 A with the uncorrected one: 4/0 AWG (195 A x 0.71 = 138 A) does.
TEST(Worked, We19InverterCable) {
    const Example e("WE-19");
    const auto inverter = [&](std::string_view size) {
        return behind_a_device("24", fmt::format(R"(part USER is inverter {{ type battery; isolated yes; power {} W; efficiency {} %; torque 5 N.m; terminal-temperature 75 degC; takes 1 x 10 mm2 .. 240 mm2 copper
    port dc is battery {{ nominal 24 V; max-voltage 33 V; cut-off {} V }} }})", e.given("inverter-w"), e.given("efficiency") * 100, e.given("low-battery-v")),
                               "175 A", fmt::format("section {} copper; insulation thermoplastic 60 degC", size), fmt::format("conduit 63 mm; ambient {} degC", e.given("ambient-c")));
    };
    const Plant plant = inverter(e.words("size"));
    ASSERT_EQ(plant.troubles(), "");
    const std::string conductor = "F.2 -> U.dc+";
    published("WE-19 current", plant.number("conductor", conductor, "current"), e.exact("i-dc-a"), e.tolerance());
    published("WE-19 current, as printed", plant.number("conductor", conductor, "current"), e.expected("i-dc-a"), e.tolerance());
    published("WE-19 least", plant.number("conductor", conductor, "continuous-current"), e.exact("i-min-a"), e.tolerance());
    published("WE-19 least, as printed", plant.number("conductor", conductor, "continuous-current"), e.expected("i-min-a"), e.tolerance());
    published("WE-19 correction", plant.number("conductor", conductor, "ambient-factor"), e.expected("correction"), 0);
    published("WE-19 ampacity needed by the older reading", plant.number("conductor", conductor, "continuous-current") / plant.number("conductor", conductor, "ambient-factor"),
              e.expected("ampacity-needed-a"), e.tolerance());
    EXPECT_FALSE(speaks(plant, "conductor.ampacity"));
    EXPECT_FALSE(speaks(plant, "conductor.ampacity-corrected"));
    const Plant today = inverter("4/0 AWG");
    EXPECT_FALSE(speaks(today, "conductor.ampacity-corrected")) << "195 A x 0.71 = 138.45 A >= 133.7 A";
    const Plant thin = inverter("3/0 AWG");
    EXPECT_TRUE(speaks(thin, "conductor.ampacity-corrected") || speaks(thin, "conductor.ampacity")) << "165 A x 0.71 = 117.2 A";
}

// 32 A of an inverter with the factor for duty without end are 40 A; 10 AWG copper may have 30 A ahead of it.
TEST(Worked, We10SmallConductorBehindALargeDevice) {
    const Example e("WE-10");
    const auto load = [&](double device) {
        return behind_a_device("24", fmt::format("part USER is load {{ current {} A; voltage 20 V .. 32 V }}", e.given("i-inverter-out-a")), fmt::format("{} A", device),
                               "section 10 AWG copper; insulation thermoset 90 degC", "conduit 25 mm");
    };
    const Plant plant = load(e.given("device-a"));
    ASSERT_EQ(plant.troubles(), "");
    published("WE-10 least device", plant.number("fuse", "F", "least"), e.expected("device-min-a"), 0);
    published("WE-10 largest device of the conductor", plant.number("conductor", "F.2 -> U.+", "device-most"), e.expected("device-limit-a"), 0);
    published("WE-10 refused", !speaks(plant, "protection.conductor") && !speaks(plant, "protection.branch"), e.expected("ok") != 0);
}

TEST(Worked, We21ControllerCurrent) {
    const Example e("WE-21");
    const auto controller = [&](double rated) {
        return Plant(fmt::format(R"(edition 1
site "plain controller" {{ standard nec-2023; coldest 0 degC "published example"; hottest 30 degC; array ground-mount; building none }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc 22 V, -0.3 %/K; isc {} A; vmp 18 V; imp 5.2 A; max-system 600 V; max-fuse 20 A; frame none }}
part BAR is busbar {{ ways 4; rated 100 V 100 A; torque 2 N.m }}
part CC is controller {{ type pwm; isolated no; ground-fault detects; torque 2 N.m; port pv is array {{ max-voltage 50 V; max-isc 60 A }}
    port bat is battery {{ nominal 12 V; max-voltage 16 V; charge {} A }} }}
part BAT is battery {{ chemistry lead-vented; nominal 12 V; capacity 200 Ah; max-voltage 15 V; short-circuit 2000 A }}
string S[1..{}] is 1 x PM on FIELD
device P, N is BAR on FIELD
device C is CC on FIELD
device B is BAT on FIELD
S[1..{}].+ -> P.[1..{}] 6 mm2 copper red 5 m
S[1..{}].- -> N.[1..{}] 6 mm2 copper black 5 m
P.4 -> C.pv+ 10 mm2 copper red 5 m
N.4 -> C.pv- 10 mm2 copper black 5 m
C.bat+ -> B.+ 10 mm2 copper red 1 m
C.bat- -> B.- 10 mm2 copper black 1 m
)", e.given("i-module-a"), rated, e.given("modules-parallel"), e.given("modules-parallel"), e.given("modules-parallel"), e.given("modules-parallel"),
                                 e.given("modules-parallel")));
    };
    const Plant plant = controller(20);
    ASSERT_EQ(plant.troubles(), "");
    published("WE-21 array", plant.number("input", "C.pv", "isc-stc"), e.expected("i-array-a"), 1e-9);
    published("WE-21 with the factor", plant.number("input", "C.pv", "isc-max"), e.expected("i-min-a"), 1e-9);
    published("WE-21 a controller of 20 A is too small", speaks(plant, "controller.pwm-current"), true);
    published("WE-21 one of 25 A is not", speaks(controller(25), "controller.pwm-current"), false);
}

// ---- bonds -----------------------------------------------------------------------------------------------

// An array of strings with fuses of so many amperes on bonded metal.
TEST(Worked, We23BondOnThirtyAmperes) {
    const Example e("WE-23");
    const Plant plant(fmt::format(R"(edition 1
site "bond" {{ standard nec-2023; coldest 0 degC "published example"; hottest 30 degC; array roof; building dwelling }}
place ROOF {{ outdoors sheltered; metal aluminium }}
place ROOM {{ indoors dry }}
part PM is module {{ voc 40 V, -0.3 %/K; isc 14 A; vmp 33 V; imp 13 A; max-system 600 V; max-fuse 30 A; frame metal }}
part FH is fuse-holder {{ pole 1-2; rated 1000 V 40 A; torque 2 N.m }}
part LINK is fuse {{ class gPV; rated 1000 V {} A; breaking 10 kA }}
part CC is controller {{ isolated yes; ground-fault detects; torque 2 N.m; port pv is array {{ max-voltage 600 V; max-isc 60 A }} }}
part EB is earth-bar {{ ways 4; torque 2 N.m }}
string A is 5 x PM on ROOF {{ frames clamped }}
device F is FH with LINK in ROOM
device C is CC in ROOM
device E is EB in ROOM
A.+ -> F.1 8 AWG copper red 5 m
F.2 -> C.pv+ 8 AWG copper red 5 m
A.- -> C.pv- 8 AWG copper black 5 m
bond ROOF -> E.1 10 AWG copper bare 8 m
)", e.given("device-a")));
    ASSERT_EQ(plant.troubles(), "");
    const std::string bond = "ROOF -> E.1";
    published("WE-23 device", plant.number("bond", bond, "device"), e.given("device-a"), 0);
    published("WE-23 bond", plant.number("bond", bond, "least"), gauge_area(e.words("egc")), 1e-9);
    published("WE-23 bond, in words", plant.word("bond", bond, "needed") == e.words("egc"), true);
    published("WE-23 it is enough", !speaks(plant, "grounding.bond-size"), true);
}

// A machine behind 40 A for which 8 AWG would do, with thicker conductors; W is its bond.
Plant enlarged(std::string_view size) {
    return behind_a_device("24", R"(part USER is inverter { type battery; isolated yes; power 600 W; efficiency 90 %; protective PE; torque 5 N.m; terminal-temperature 75 degC; takes 1 x 1.5 mm2 .. 240 mm2 copper
    port dc is battery { nominal 24 V; max-voltage 33 V; cut-off 22 V } })",
                           "40 A", fmt::format("section {} copper; insulation thermoplastic 60 degC", size), "conduit 32 mm",
                           "part EB is earth-bar { ways 4; torque 2 N.m }\ndevice E is EB in ROOM\nbond U.PE -> E.1 8 AWG copper green 3 m\n");
}

TEST(Worked, We26TwoCircularMilsShort) {
    const Example e("WE-26");
    const Plant plant = enlarged("4 AWG");
    ASSERT_EQ(plant.troubles(), "");
    published("WE-26 circular mils needed", plant.number("bond", "U.PE -> E.1", "grown") / circular_mil, e.expected("cmil-needed"), e.tolerance());
    published("WE-26 bond", plant.word("bond", "U.PE -> E.1", "needed") == e.words("egc"), true);
    published("WE-26 8 AWG is too thin", speaks(plant, "grounding.bond-size"), true);
}

TEST(Worked, We27UnroundedRatio) {
    const Example e("WE-27");
    const Plant plant = enlarged("6 AWG");
    ASSERT_EQ(plant.troubles(), "");
    published("WE-27 circular mils needed", plant.number("bond", "U.PE -> E.1", "grown") / circular_mil, e.exact("cmil-needed"), e.tolerance());
    published("WE-27 ratio", plant.number("bond", "U.PE -> E.1", "grown") / circular_mil / 10380, e.exact("ratio"), e.tolerance());
    published("WE-27 bond", plant.word("bond", "U.PE -> E.1", "needed") == "8 AWG", true);
    published("WE-27 8 AWG is enough", !speaks(plant, "grounding.bond-size"), true);
    EXPECT_NE(plant.word("bond", "U.PE -> E.1", "needed"), e.words("egc-rounded-ratio")) << "the ratio rounded to 1.6";
}

// ---- none is missing -------------------------------------------------------------------------------------

TEST(Worked, EveryExampleIsHeldOrLeftOutForAReason) {
    std::set<std::string> tests;
    const auto* all = testing::UnitTest::GetInstance();
    for (int i = 0; i < all->total_test_suite_count(); ++i) {
        const auto* suite = all->GetTestSuite(i);
        for (int k = 0; k < suite->total_test_count(); ++k) tests.insert(fmt::format("{}.{}", suite->name(), suite->GetTestInfo(k)->name()));
    }
    std::set<std::string> ids;
    const Value file = figures("worked.toml");
    for (const Value& e : file.find("example")->items) {
        const std::string id(e.string("id"));
        EXPECT_TRUE(ids.insert(id).second) << id << " twice";
        for (const char* key : {"topic", "source", "status"}) EXPECT_FALSE(e.string(key).empty()) << id << ' ' << key;
        const Value* checked = e.find("checked-in");
        EXPECT_NE(checked == nullptr, e.string("out-of-scope").empty()) << id << " is either held or left out";
        if (checked == nullptr) continue;
        EXPECT_FALSE(checked->items.empty()) << id;
        for (const Value& test : checked->items) EXPECT_TRUE(tests.contains(test.text)) << id << " names " << test.text;
    }
    for (const char* id : {"WE-01", "WE-02", "WE-03", "WE-04", "WE-05", "WE-06", "WE-07", "WE-08", "WE-10", "WE-12", "WE-13", "WE-14", "WE-17", "WE-18", "WE-19",
                           "WE-21", "WE-23", "WE-26", "WE-27", "WE-29"}) {
        EXPECT_TRUE(ids.contains(id)) << id;
    }
}

}  // namespace
