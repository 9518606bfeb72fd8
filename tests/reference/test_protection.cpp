// String fuses against a published worked example; figures and source: protection.toml.
#include <cmath>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "helper_plant.hpp"

namespace {

using reference::figures;
using reference::Plant;
using reference::published;
using reference::real;
using reference::speaks;
using ferrule::tables::Value;

// The example's strings on one busbar, each with a fuse of `fuse` A, or none when it is 0.
Plant combiner(const Value& e, int strings, double fuse, double fuse_voltage) {
    std::string text = fmt::format(R"(edition 1
site "strings in parallel" {{ standard iec-62548; coldest 25 degC "the example uses 25 degC"; hottest 35 degC; array ground-mount }}
place FIELD {{ outdoors exposed }}
part PM is module {{ voc {} V, -0.27 %/K; isc {} A; max-system 1500 V; max-fuse {} A; frame none }}
part FH is fuse-holder {{ pole 1-2; rated 1500 V 40 A; torque 2 N.m }}
part LINK is fuse {{ class gPV; rated {} V {} A }}
part BAR is busbar {{ ways 8; rated 1500 V 200 A; torque 4 N.m }}
part PV-6 is cable {{ section 6 mm2 copper; rated 1500 V }}
part INV is inverter {{ isolated yes; ground-fault detects; torque 2 N.m; port pv is array {{ max-voltage 1500 V }} }}
device P, N is BAR on FIELD
device LOAD is INV on FIELD
P.8 -> LOAD.pv+ PV-6 red 1 m
N.8 -> LOAD.pv- PV-6 black 1 m
string S[1..{}] is {} x PM on FIELD
)", real(e, "voc"), real(e, "isc"), real(e, "max-fuse"), fuse_voltage, fuse == 0 ? 20 : fuse, strings,
        static_cast<int>(real(e, "modules")));
    if (fuse == 0) {
        text += fmt::format("S[1..{0}].+ -> P.[1..{0}] PV-6 red 10 m\n", strings);
    } else {
        text += fmt::format("device F[1..{0}] is FH with LINK on FIELD\nS[1..{0}].+ -> F[1..{0}].1 PV-6 red 10 m\n"
                            "F[1..{0}].2 -> P.[1..{0}] PV-6 red 1 m\n", strings);
    }
    text += fmt::format("S[1..{0}].- -> N.[1..{0}] PV-6 black 10 m\n", strings);
    return Plant(text);
}

TEST(Protection, FourStringsNeedFuses) {
    const Value file = figures("protection.toml");
    const Value& e = *file.find("four-strings");
    const double tolerance = real(e, "tolerance");
    const int strings = static_cast<int>(real(e, "strings"));

    const Plant bare = combiner(e, strings, 0, 1000);
    ASSERT_EQ(bare.troubles(), "");
    published("four strings, back-feed", bare.number("string", "S[1]", "reverse-current"), real(e, "backfeed"), tolerance);
    published("four strings, fuses needed", speaks(bare, "protection.string-fuse"), true);
    published("four strings, voc at 25 degC", bare.number("string", "S[1]", "voc-stc"), real(e, "string-stc"), tolerance);
    published("two strings need none", speaks(combiner(e, 2, 0, 1000), "protection.string-fuse"), false);

    const Plant fused = combiner(e, strings, real(e, "fuse"), real(e, "fuse-voltage"));
    published("four strings, fused", speaks(fused, "protection.string-fuse"), false);
    published("four strings, the fuse is not too large", speaks(fused, "protection.string-fuse-size"), false);
    published("four strings, the fuse stands the voltage", speaks(fused, "protection.fuse-voltage"), false);
    published("four strings, the next larger fuse is too large", speaks(combiner(e, strings, 25, 1000), "protection.string-fuse-size"), true);
    published("four strings, a 600 V fuse does not stand it", speaks(combiner(e, strings, 20, 600), "protection.fuse-voltage"), true);

    published("four strings, least rating of the fuse", fused.number("fuse", "F[1]", "least"), real(e, "least"), tolerance);
    published("four strings, largest rating of the fuse", fused.number("fuse", "F[1]", "window-most"), real(e, "most"), tolerance);
    published("four strings, the size that passes", fused.number("fuse", "F[1]", "size-that-passes"), real(e, "fuse"), 0);
    published("four strings, a fuse of 16 A is too small", speaks(combiner(e, strings, 16, 1000), "protection.array-fuse-small"), true);
    published("four strings, the fuse is not too small", speaks(fused, "protection.array-fuse-small"), false);

    // The window: the program knows its two factors as figures of the standard.
    const ferrule::tables::Standard& iec = reference::standard("iec-62548");
    const double isc = bare.number("string", "S[1]", "isc");
    published("fuse window, least", iec.number("string-fuse-least-factor") * isc, real(e, "least"), tolerance);
    published("fuse window, most", iec.number("string-fuse-most-factor") * isc, real(e, "most"), tolerance);
}

}  // namespace
