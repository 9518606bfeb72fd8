// Currents and what limits them, against brute force: small random battery circuits, every conductor cut in turn and both sides
// walked in the plainest way there is. Source: none; it is the definition itself. And ways side by side, against conductance.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "facts/facts.hpp"
#include "support/design_text.hpp"

namespace ferrule::tests {
namespace {

constexpr double endless = std::numeric_limits<double>::infinity();

// A tree of bars in the positive pole; things hang on bars; any link may hold a fuse. The negative is one bar.
struct Link {
    int a = 0, b = 0;             // nodes: bars first, then things
    double fuse = endless;
    std::vector<std::string> conductors;
};

struct Thing {
    bool battery = false;
    double takes = 0, gives = 0, capacity = 0;
};

struct BarSystem {
    int bars = 0;
    std::vector<Thing> things;
    std::vector<Link> links;
    std::string text;
};

BarSystem random_bars(std::mt19937& random) {
    const auto pick = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
    BarSystem s;
    s.bars = 1 + pick(4);
    s.text = "edition 1\nsite \"random\" { standard iec-62548 }\nplace HUT { indoors dry }\npart BAR is busbar { ways 40 }\n"
             "part FH is fuse-holder { pole 1-2; rated 80 V 400 A }\n";
    for (const int f : {10, 30, 60, 100, 200}) s.text += fmt::format("part FU-{0} is fuse {{ rated 80 V {0} A }}\n", f);
    s.text += "device N is BAR in HUT\n";
    for (int b = 0; b < s.bars; ++b) s.text += fmt::format("device B{} is BAR in HUT\n", b);
    std::vector<int> ways(static_cast<std::size_t>(s.bars), 0);
    int fuses = 0, negative = 0;
    const auto bar = [&](int b) { return fmt::format("B{}.{}", b, ++ways[static_cast<std::size_t>(b)]); };
    const auto join = [&](int a, int b, const std::string& from, const std::string& to) {
        Link l;
        l.a = a;
        l.b = b;
        const auto wire = [&](const std::string& x, const std::string& y) {
            s.text += fmt::format("{} -> {} 50 mm2 copper 5 m\n", x, y);
            l.conductors.push_back(fmt::format("{} -> {}", x, y));
        };
        if (pick(2) == 0) {
            wire(from, to);
        } else {
            constexpr int sizes[] = {10, 30, 60, 100, 200};
            const int size = sizes[pick(5)];
            l.fuse = size;
            const int f = ++fuses;
            s.text += fmt::format("device F{} is FH with FU-{} in HUT\n", f, size);
            wire(from, fmt::format("F{}.1", f));
            wire(fmt::format("F{}.2", f), to);
        }
        s.links.push_back(l);
    };
    for (int b = 1; b < s.bars; ++b) {
        const int to = pick(b);
        join(b, to, bar(b), bar(to));
    }
    const int count = 2 + pick(5);
    for (int i = 0; i < count; ++i) {
        Thing t;
        const int node = s.bars + i, at = pick(s.bars);
        switch (i == 0 ? 0 : pick(3)) {
            case 0:
                t.battery = true;
                t.capacity = 50 * (1 + pick(4));
                s.text += fmt::format("part P{0} is battery {{ nominal 24 V; max-voltage 29 V; capacity {1} Ah }}\ndevice T{0} is P{0} in HUT\n", i, t.capacity);
                join(node, at, fmt::format("T{}.+", i), bar(at));
                s.text += fmt::format("T{}.- -> N.{} 50 mm2 copper 5 m\n", i, ++negative);
                break;
            case 1:
                t.takes = 5 * (1 + pick(20));
                s.text += fmt::format("part P{0} is load {{ current {1} A }}\ndevice T{0} is P{0} in HUT\n", i, t.takes);
                join(node, at, fmt::format("T{}.+", i), bar(at));
                s.text += fmt::format("T{}.- -> N.{} 50 mm2 copper 5 m\n", i, ++negative);
                break;
            default:
                t.gives = 5 * (1 + pick(20));
                s.text += fmt::format("part P{0} is controller {{ type mppt; port pv is array {{ max-voltage 100 V }}; port bat is battery {{ charge {1} A }} }}\ndevice T{0} is P{0} in HUT\n", i, t.gives);
                join(node, at, fmt::format("T{}.bat+", i), bar(at));
                s.text += fmt::format("T{}.bat- -> N.{} 50 mm2 copper 5 m\n", i, ++negative);
        }
        s.things.push_back(t);
    }
    return s;
}

// What comes from `node` when the link `but` is gone, and what stands there.
struct Side {
    double push = 0, takes = 0, gives = 0, capacity = 0;
    int batteries = 0;
};

Side side(const BarSystem& s, int node, const Link* but) {
    Side r;
    if (node >= s.bars) {
        const Thing& t = s.things[static_cast<std::size_t>(node - s.bars)];
        r = {t.battery ? endless : t.gives, t.takes, t.gives, t.capacity, t.battery ? 1 : 0};
    }
    for (const Link& l : s.links) {
        if (&l == but || (l.a != node && l.b != node)) continue;
        const Side there = side(s, l.a == node ? l.b : l.a, &l);
        r.push += std::min(there.push, l.fuse);
        r.takes += there.takes;
        r.gives += there.gives;
        r.capacity += there.capacity;
        r.batteries += there.batteries;
    }
    return r;
}

double one_way(const Side& from, const Side& to) {
    const double all = from.capacity + to.capacity;
    double most = std::min(from.gives, to.takes);
    if (from.batteries != 0) most = std::max(most, to.takes * from.capacity / all);
    if (to.batteries != 0) most = std::max(most, from.gives * to.capacity / all);
    return most;
}

TEST(Currents, AsCutByCut) {
    std::mt19937 random(20261125);
    const tables::Standard none;
    int compared = 0;
    for (int round = 0; round < 300; ++round) {
        const BarSystem s = random_bars(random);
        const Loaded l = load(s.text);
        ASSERT_TRUE(l.findings.empty()) << l.told() << s.text;
        const facts::Facts f = facts::compute(l.design, none);
        const facts::Table& t = *f.table("conductor");
        std::map<std::string, std::uint32_t> row;
        for (std::uint32_t r = 0; r < t.rows; ++r) row[t.name(r)] = r;
        for (const Link& link : s.links) {
            const Side a = side(s, link.a, &link), b = side(s, link.b, &link);
            const double service = std::max(one_way(a, b), one_way(b, a));
            for (std::size_t k = 0; k < link.conductors.size(); ++k) {
                ASSERT_TRUE(row.contains(link.conductors[k])) << link.conductors[k];
                const std::uint32_t r = row[link.conductors[k]];
                // With a fuse in line the first conductor meets b's side through it, the second a's.
                const double from_a = k == 1 ? std::min(a.push, link.fuse) : a.push;
                const double from_b = k == 0 && link.conductors.size() == 2 ? std::min(b.push, link.fuse) : b.push;
                const double fault = std::max(from_a, from_b);
                EXPECT_NEAR(t.column("current")->numbers[r], service, 1e-6) << link.conductors[k] << "\n" << s.text;
                EXPECT_EQ(t.column("unprotected")->flags[r] != 0, std::isinf(fault)) << link.conductors[k] << "\n" << s.text;
                if (std::isinf(fault)) EXPECT_TRUE(std::isnan(t.column("fault-current")->numbers[r])) << s.text;
                else EXPECT_NEAR(t.column("fault-current")->numbers[r], fault, 1e-6) << link.conductors[k] << "\n" << s.text;
                ++compared;
            }
        }
        if (HasFailure()) return;
    }
    EXPECT_GT(compared, 1000);
}

// Conductance is section over length: 50 mm2 5 m and 25 mm2 5 m share as 2 to 1; each with a fuse in line, the fuses cap them.
TEST(Currents, WaysSideBySide) {
    const auto ways = [](const char* wires) {
        return load(fmt::format(R"(edition 1
site "two cables" {{ standard iec-62548 }}
place HUT {{ indoors dry }}
part BAR is busbar {{ ways 8 }}
part LB is battery {{ nominal 24 V; max-voltage 29 V; capacity 100 Ah }}
part HEATER is load {{ current 90 A }}
part FH is fuse-holder {{ pole 1-2; rated 80 V 400 A }}
part FU is fuse {{ rated 80 V 60 A }}
device B, C, N is BAR in HUT
device BAT is LB in HUT
device HOT is HEATER in HUT
device F[1..2] is FH with FU in HUT
BAT.+ -> B.1 50 mm2 copper 1 m
{}C.1 -> HOT.+ 50 mm2 copper 1 m
BAT.- -> N.1 50 mm2 copper 1 m
N.2 -> HOT.- 50 mm2 copper 1 m
)", wires));
    };
    const tables::Standard none;
    const auto number = [](const facts::Facts& f, const char* name, const char* column) {
        const facts::Table& t = *f.table("conductor");
        for (std::uint32_t r = 0; r < t.rows; ++r) {
            if (t.name(r) == name) return t.column(column)->numbers[r];
        }
        ADD_FAILURE() << name;
        return 0.0;
    };
    const Loaded bare = ways("B.2 -> C.2 50 mm2 copper 5 m\nB.3 -> C.3 25 mm2 copper 5 m\n");
    const facts::Facts f = facts::compute(bare.design, none);
    EXPECT_NEAR(number(f, "B.2 -> C.2", "current"), 60, 1e-4);
    EXPECT_NEAR(number(f, "B.3 -> C.3", "current"), 30, 1e-4);
    EXPECT_NEAR(number(f, "C.1 -> HOT.+", "current"), 90, 1e-4);

    const Loaded fused = ways("B.2 -> F[1].1 50 mm2 copper 1 m\nF[1].2 -> C.2 50 mm2 copper 1 m\nB.3 -> F[2].1 50 mm2 copper 1 m\nF[2].2 -> C.3 50 mm2 copper 1 m\n");
    const facts::Facts g = facts::compute(fused.design, none);
    EXPECT_NEAR(number(g, "F[1].2 -> C.2", "current"), 45, 1e-4);
    EXPECT_NEAR(number(g, "F[1].2 -> C.2", "fault-current"), 60, 1e-4);
    EXPECT_NEAR(number(g, "C.1 -> HOT.+", "fault-current"), 120, 1e-4);
}

// A fuse in one pole guards the other; on a negative shared by array and battery the array's conductor is none of the battery's.
TEST(Currents, OtherPoleAndSharedNegative) {
    const Loaded l = load(R"(edition 1
site "shared negative" { standard iec-62548; coldest 0 degC; irradiance-factor 1.25 }
place HUT { indoors dry }
part PM is module { voc 40 V, -0.3 %/K; isc 10 A; vmp 33 V; imp 9.4 A }
part BAR is busbar { ways 8 }
part LB is battery { nominal 24 V; max-voltage 29 V; capacity 100 Ah }
part LAMP is load { current 5 A }
part CC is controller { type mppt; port pv is array { max-voltage 100 V }; port bat is battery { charge 30 A }; join pv- bat- }
part FH is fuse-holder { pole 1-2; rated 80 V 400 A }
part FU-100 is fuse { rated 80 V 100 A }
part FU-10 is fuse { rated 80 V 10 A }
string SUN is 1 x PM on HUT
device P, N is BAR in HUT
device BAT is LB in HUT
device LIGHT is LAMP in HUT
device C is CC in HUT
device FM is FH with FU-100 in HUT
device FL is FH with FU-10 in HUT
SUN.+ -> C.pv+ 6 mm2 copper 5 m
SUN.- -> C.pv- 6 mm2 copper 5 m
BAT.+ -> FM.1 50 mm2 copper 0.1 m
FM.2 -> P.1 50 mm2 copper 1 m
BAT.- -> N.1 50 mm2 copper 1 m
P.2 -> C.bat+ 50 mm2 copper 1 m
N.2 -> C.bat- 50 mm2 copper 1 m
P.3 -> FL.1 6 mm2 copper 0.2 m
FL.2 -> LIGHT.+ 6 mm2 copper 3 m
N.3 -> LIGHT.- 6 mm2 copper 3 m
)");
    ASSERT_TRUE(l.findings.empty()) << l.told();
    const tables::Standard none;
    const facts::Facts f = facts::compute(l.design, none);
    const facts::Table& t = *f.table("conductor");
    const auto fault = [&](const char* name) {
        for (std::uint32_t r = 0; r < t.rows; ++r) {
            if (t.name(r) == name) return t.column("fault-current")->numbers[r];
        }
        ADD_FAILURE() << name;
        return 0.0;
    };
    EXPECT_NEAR(fault("N.3 -> LIGHT.-"), 10, 1e-6);        // by the fuse in the other pole
    EXPECT_NEAR(fault("N.2 -> C.bat-"), 100, 1e-6);        // by the battery's
    EXPECT_TRUE(std::isnan(fault("BAT.+ -> FM.1")));       // a battery alone
    EXPECT_LT(fault("SUN.- -> C.pv-"), 20);                // the string's own current, none of the battery's
}

// Two strings a fuse, in + alone: into one of them comes what the fuse passes and what its neighbour adds, through either pole.
TEST(Currents, StringsThatShareAFuse) {
    const Loaded l = load(R"(edition 1
site "two strings a fuse" { standard iec-62548; coldest 0 degC; irradiance-factor 1.25 }
place HUT { indoors dry }
part PM is module { voc 40 V, -0.3 %/K; isc 12 A; vmp 33 V; imp 11.4 A; max-fuse 59 A }
part BAR is busbar { ways 10 }
part FH is fuse-holder { pole 1-2; rated 200 V 100 A }
part FU is fuse { rated 200 V 40 A }
part INV is inverter { port pv is array { max-voltage 200 V; backfeed 0 A } }
string S[1..6] is 2 x PM on HUT
device A, B, C, P, N is BAR in HUT
device F[1..3] is FH with FU in HUT
device I is INV in HUT
S[1..2].+ -> A.[1..2] 6 mm2 copper 5 m
S[3..4].+ -> B.[3..4] 6 mm2 copper 5 m
S[5..6].+ -> C.[5..6] 6 mm2 copper 5 m
S[1..6].- -> N.[1..6] 6 mm2 copper 5 m
A.9 -> F[1].1 10 mm2 copper 1 m
B.9 -> F[2].1 10 mm2 copper 1 m
C.9 -> F[3].1 10 mm2 copper 1 m
F[1..3].2 -> P.[1..3] 10 mm2 copper 1 m
P.10 -> I.pv+ 50 mm2 copper 1 m
N.10 -> I.pv- 50 mm2 copper 1 m
)");
    ASSERT_TRUE(l.findings.empty()) << l.told();
    const tables::Standard none;
    const facts::Facts f = facts::compute(l.design, none);
    const auto number = [&f](const char* table, const char* name, const char* column) {
        const facts::Table& t = *f.table(table);
        for (std::uint32_t r = 0; r < t.rows; ++r) {
            if (t.name(r) == name) return t.column(column)->numbers[r];
        }
        ADD_FAILURE() << name;
        return 0.0;
    };
    EXPECT_NEAR(number("conductor", "S[1].+ -> A.1", "fault-current"), 40 + 15, 1e-6);
    EXPECT_NEAR(number("conductor", "S[1].- -> N.1", "fault-current"), 40 + 15, 1e-6);
    EXPECT_NEAR(number("conductor", "S[1].- -> N.1", "let-through"), 40, 1e-6);
    EXPECT_NEAR(number("conductor", "A.9 -> F[1].1", "fault-current"), 40, 1e-6);
    EXPECT_NEAR(number("conductor", "N.10 -> I.pv-", "fault-current"), 90, 1e-6);
    EXPECT_NEAR(number("string", "S[1]", "reverse-guarded"), 40 + number("string", "S[2]", "isc-max"), 1e-6);
    EXPECT_NEAR(number("fuse", "F[1]", "modules-most"), 59 - 15, 1e-6);  // no standard: the site's own factor
}

}  // namespace
}  // namespace ferrule::tests
