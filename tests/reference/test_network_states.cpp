// The network in its states, each worked out by hand: unlike strings side by side, batteries that share a load, a short behind cables, a
// first fault to earth.
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::Plant;

// By hand: up to 90 V the power of both rises; from 90 V on B falls by half an ampere a volt, 90 x 20.1 = 1809 W, 100 x 15 = 1500 W.
// So both stand at 90 V, B gives its imp and A 11 - 1 x 90 / 100 = 10.1 A.
TEST(NetworkStates, UnlikeStringsShareTheVoltageOfMostPower) {
    const Plant plant(R"(edition 1
site "unlike strings" { standard iec-62548; coldest 0 degC "by hand"; hottest 35 degC; array ground-mount }
place FIELD { outdoors exposed }
part PA is module { voc 120 V, -0.27 %/K; isc 11 A; vmp 100 V; imp 10 A; frame none }
part PB is module { voc 110 V, -0.27 %/K; isc 11 A; vmp 90 V; imp 10 A; frame none }
part INV is inverter { isolated yes; ground-fault detects; torque 2 N.m; port pv is array { max-voltage 600 V } }
part CU is cable { section 10 mm2 copper; strands class-5; insulation xlpe 90 degC; rated 1000 V }
part BAR is busbar { ways 3; rated 1000 V 63 A; torque 2 N.m }
string A is 1 x PA on FIELD
string B is 1 x PB on FIELD
device P, N is BAR on FIELD
device LOAD is INV on FIELD
A.+ -> P.1 CU red 10 m
B.+ -> P.2 CU red 10 m
A.- -> N.1 CU black 10 m
B.- -> N.2 CU black 10 m
P.3 -> LOAD.pv+ CU red 10 m
N.3 -> LOAD.pv- CU black 10 m
)");
    ASSERT_EQ(plant.troubles(), "");
    EXPECT_NEAR(plant.number("conductor", "A.+ -> P.1", "flow"), 10.1, 1e-6);
    EXPECT_NEAR(plant.number("conductor", "B.+ -> P.2", "flow"), 10, 1e-6);
    EXPECT_NEAR(plant.number("conductor", "P.3 -> LOAD.pv+", "flow"), 20.1, 1e-6);
    // 1.91 ohm/km at 20 degC, x (1 + 0.00393 x 70) at 90 degC, 10 m.
    const double ohm = 1.91e-2 * (1 + 0.00393 * 70);
    EXPECT_NEAR(plant.number("conductor", "A.+ -> P.1", "resistance"), ohm, 1e-9);
    EXPECT_NEAR(plant.number("string", "A", "drop"), 2 * ohm * (10.1 + 20.1), 1e-6);
    EXPECT_NEAR(plant.number("string", "A", "drop-share"), 2 * ohm * (10.1 + 20.1) / 100, 1e-8);
    EXPECT_NEAR(plant.number("string", "B", "path-resistance"), 4 * ohm, 1e-9);
    EXPECT_NEAR(plant.number("input", "LOAD.pv", "power"), 20.1 * (90 - 2 * ohm * (10.1 + 20.1)), 1e-4);
    EXPECT_NEAR(plant.number("site", "", "loss"), 2 * ohm * (10.1 * 10.1 + 100 + 20.1 * 20.1), 1e-6);
    EXPECT_EQ(plant.number("dc-system", "", "first-fault-current"), 0);
    EXPECT_NEAR(plant.number("dc-system", "", "first-fault-voltage"), plant.number("dc-system", "", "voltage"), 1e-9);
    EXPECT_NEAR(plant.number("dc-system", "", "second-fault-current"), 1.25 * 22, 1e-9);
}

constexpr const char* two_batteries = R"(edition 1
site "two batteries" { standard iec-62548; coldest 0 degC "by hand"; hottest 35 degC }
place ROOM { indoors dry }
part BAT is battery { nominal 24 V; max-voltage 29 V; min-voltage 22 V; internal 12 mohm; short-circuit 2 kA; torque 2 N.m }
part PUMP is load { current 40 A; voltage 20 V .. 30 V; torque 2 N.m }
part CU is cable { section 10 mm2 copper; strands class-5; insulation xlpe 90 degC; rated 600 V }
part BAR is busbar { ways 3; rated 100 V 250 A; torque 2 N.m }
part FH is fuse-holder { pole 1-2; rated 80 V 125 A; torque 2 N.m }
part FU is fuse { rated 80 V 100 A; class T; breaking 20 kA }
device B[1..2] is BAT in ROOM
device P, N is BAR in ROOM
device F is FH with FU in ROOM
device LOAD is PUMP in ROOM
B[1].+ -> P.1 CU red 1 m
B[1].- -> N.1 CU black 1 m
B[2].+ -> P.2 CU red 3 m
B[2].- -> N.2 CU black 3 m
P.3 -> F.1 CU red 1 m
F.2 -> LOAD.+ CU red 2 m
N.3 -> LOAD.- CU black 2 m
)";

TEST(NetworkStates, BatteriesShareByTheirResistance) {
    const Plant plant(two_batteries);
    ASSERT_EQ(plant.troubles(), "");
    const double metre = 1.91e-3 * (1 + 0.00393 * 70), r1 = 12e-3 + 2 * metre, r2 = 12e-3 + 6 * metre;
    EXPECT_NEAR(plant.number("battery", "B[1]", "shares-current"), 40 * r2 / (r1 + r2), 1e-6);
    EXPECT_NEAR(plant.number("battery", "B[2]", "shares-current"), 40 * r1 / (r1 + r2), 1e-6);
    EXPECT_NEAR(plant.number("conductor", "F.2 -> LOAD.+", "flow"), 40, 1e-6);
}

// The largest current flows while the cables are cold: 1.91 ohm/km at 20 degC.
TEST(NetworkStates, ShortBehindCables) {
    const Plant plant(two_batteries);
    const double metre = 1.91e-3, r1 = 12e-3 + 2 * metre, r2 = 12e-3 + 6 * metre;
    // Between the two poles of the load: both batteries behind their leads side by side, then 1 + 2 + 2 m.
    const double at_load = 24 / (r1 * r2 / (r1 + r2) + 5 * metre);
    EXPECT_NEAR(plant.number("point", "LOAD.+", "short-circuit-current"), at_load, 1e-6 * at_load);
    EXPECT_NEAR(plant.number("device", "LOAD", "prospective"), at_load, 1e-6 * at_load);
    // A battery itself: 2 kA of its own beside the other through all leads.
    const double at_battery = 24 / 12e-3 + 24 / (r2 + 2 * metre);
    EXPECT_NEAR(plant.number("point", "B[1].+", "short-circuit-current"), at_battery, 1e-6 * at_battery);
    EXPECT_NEAR(plant.number("fuse", "", "prospective"), plant.number("device", "F", "prospective"), 1);
}

// Three like packs with a fuse each: by hand, 24 V behind 24 V / 2 kA = 12 mohm, cables of 1.91 ohm/km at 20 degC. Through a fuse flows what
// its own pack gives into a short just behind it, back to that pack's own minus; or what the two others give into a short just before it,
// back to the minus bar. The same for all three, whichever is named first.
TEST(NetworkStates, LikePacksHaveLikeShorts) {
    const auto packs = [](const char* to_bar) {
        return std::string(R"(edition 1
site "three packs" { standard iec-62548; coldest 0 degC "by hand"; hottest 35 degC }
place ROOM { indoors dry }
part BAT is battery { nominal 24 V; max-voltage 29 V; min-voltage 22 V; short-circuit 2 kA; torque 2 N.m }
part PUMP is load { current 40 A; voltage 20 V .. 30 V; torque 2 N.m }
part CU is cable { section 10 mm2 copper; strands class-5; insulation xlpe 90 degC; rated 600 V }
part BAR is busbar { ways 4; rated 100 V 250 A; torque 2 N.m }
part FH is fuse-holder { pole 1-2; rated 80 V 125 A; torque 2 N.m }
part FU is fuse { rated 80 V 100 A; class T; breaking 20 kA }
device B[1..3] is BAT in ROOM
device F[1..3] is FH with FU in ROOM
device P, N is BAR in ROOM
device LOAD is PUMP in ROOM
B[1..3].+ -> F[1..3].1 CU red 1 m
B[1..3].- -> N.[1..3] CU black 1 m
P.4 -> LOAD.+ CU red 1 m
N.4 -> LOAD.- CU black 1 m
F[1..3].2 -> P.[1..3] CU red )") + to_bar + "\n";
    };
    const double metre = 1.91e-3;
    const double others = 24 / ((12e-3 + (1 + 2 + 1) * metre) / 2 + 2 * metre), own = 24 / (12e-3 + 1 * metre);
    ASSERT_GT(others, own);
    const Plant near(packs("2 m"));
    ASSERT_EQ(near.troubles(), "");
    const double others_far = 24 / ((12e-3 + (1 + 9 + 1) * metre) / 2 + 9 * metre);
    ASSERT_LT(others_far, own);
    const Plant far(packs("9 m"));
    for (const char* fuse : {"F[1]", "F[2]", "F[3]"}) {
        EXPECT_NEAR(near.number("fuse", fuse, "prospective"), others, 1e-6 * others) << fuse;
        EXPECT_NEAR(far.number("fuse", fuse, "prospective"), own, 1e-6 * own) << fuse;
    }
}

}  // namespace
