// Margins are probed: the design is set exactly at every distance found, and one step beyond it, and the real check is run on both.
#include <cmath>
#include <filesystem>
#include <fstream>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "project/margins.hpp"
#include "support/bench.hpp"
#include "support/house_rule.hpp"

namespace {

using namespace ferrule;
using render::Distance;
using tests::Bench;

// An invented site with one string on one controller; what the margins change stands open.
struct Site {
    std::string standard = "iec-62548", coefficient = ", -0.28 %/K";
    double coldest = -10, hottest = 35, length = 12;
    int modules = 3;
    double most = 150, floor = 60;  // V: of the input

    [[nodiscard]] std::string text() const {
        return fmt::format(R"(edition 1
site "Test field" {{ standard {}; coldest {} degC "invented"; hottest {} degC; building none; array ground-mount }}
place FIELD {{ outdoors exposed }}
place HUT {{ indoors dry }}
part PM is module {{
    pmax 310 W, -0.35 %/K; voc 40 V{}; isc 10 A; vmp 33 V; imp 9.4 A
    max-system 1000 V; max-fuse 20 A; frame none
}}
part PV-6 is cable {{ section 6 mm2 copper; rated 1000 V }}
part SW is isolator {{
    category DC-PV2; pole 1-2; pole 3-4; polarised no
    rated 1 in series 1000 V 25 A
    takes 1 x 4 mm2 .. 10 mm2 copper; torque 1.5 N.m
}}
part CC is controller {{
    isolated yes; ground-fault detects; torque 1.5 N.m
    port pv is array {{ max-voltage {} V; tracking {} V .. 900 V; max-isc 25 A }}
}}
string EAST is {} x PM on FIELD
device Q1 is SW in HUT
device MPPT is CC in HUT
run ROOF {{
    length {} m
    EAST.+ -> Q1.1    PV-6 red
    EAST.- -> Q1.3    PV-6 black
}}
Q1.2 -> MPPT.pv+  PV-6 red   3 m
Q1.4 -> MPPT.pv-  PV-6 black 3 m
)", standard, coldest, hottest, coefficient, most, floor, modules, length);
    }
    [[nodiscard]] Site after(const Distance& d, double steps) const {
        Site s = *this;
        const double by = d.amount + steps * (d.unit == "modules" ? 1 : 0.01);
        const auto round = [](double x) { return std::round(x * 1e6) / 1e6; };
        if (d.change == "colder") s.coldest = round(coldest - by);
        if (d.change == "warmer") s.coldest = round(coldest + by);
        if (d.change == "hotter") s.hottest = round(hottest + by);
        if (d.change == "longer") s.length = round(length + by);
        if (d.change == "shorter") s.length = round(length - by);
        if (d.change == "more") s.modules += static_cast<int>(std::lround(by));
        if (d.change == "fewer") s.modules -= static_cast<int>(std::lround(by));
        return s;
    }
};

class Margins : public testing::Test {
protected:
    static Bench& bench() {
        static Bench one;
        return one;
    }

    static render::Margins of(const Bench& on, const std::string& design, const std::vector<std::string>& names = {}) {
        text::Sources sources;
        return of(sources, on, design, names);
    }
    static std::string shown(const Bench& on, const std::string& design) {
        text::Sources sources;
        const render::Margins all = of(sources, on, design, {});
        return render::margins_as_text(all, sources, false);
    }
    static render::Margins of(text::Sources& sources, const Bench& on, const std::string& design, const std::vector<std::string>& names) {
        project::Loader loader(sources, base::disk());
        const text::FileId file = loader.add("margins.fer", design);
        const auto study = project::study(sources, loader, file, on.knowledge(), {});
        for (const findings::Finding& f : study->findings) EXPECT_NE(f.severity, findings::Severity::error) << f.message;
        return project::margins(*study, on.knowledge(), names).margins;
    }
    static const render::Margin* find(const render::Margins& all, std::string_view rule, std::string_view what = {}) {
        for (const render::Margin& m : all.rows) {
            if (m.rule == rule && (what.empty() || m.is == what)) return &m;
        }
        ADD_FAILURE() << "no margin of " << rule;
        return nullptr;
    }
    static const Distance* find(const render::Margin& m, std::string_view change, std::string_view of = {}) {
        for (const Distance& d : m.distances) {
            if (d.change == change && (of.empty() || d.of == of)) return &d;
        }
        return nullptr;
    }
    static bool speaks(Bench& on, const Site& site, const std::string& rule) {
        rules::Options only;
        only.only = rule;
        return !on.check_text(site.text(), only).report.findings.empty();
    }

    // Sets the design at every distance, and a step beyond, and runs the rule. Returns how many were probed.
    static int probe(Bench& on, const Site& site) {
        int probed = 0;
        for (const render::Margin& m : of(on, site.text()).rows) {
            for (const Distance& d : m.distances) {
                if (d.found != Distance::Found::met || (d.unit == "m" && d.of != "run ROOF") || d.of.starts_with("the air")) continue;
                ++probed;
                EXPECT_FALSE(speaks(on, site.after(d, 0), m.rule)) << m.rule << " " << d.by << " " << d.change;
                EXPECT_EQ(speaks(on, site.after(d, m.holds ? 1 : -1), m.rule), d.speaks) << m.rule << " beyond " << d.by << " " << d.change;
            }
        }
        return probed;
    }
};

TEST_F(Margins, HoldExactlyByCoefficient) {
    EXPECT_GE(probe(bench(), Site{}), 6);
}

TEST_F(Margins, HoldExactlyByTable) {
    Site site;
    site.standard = "nec-2023";
    site.coefficient = "";
    site.coldest = 3;
    EXPECT_GE(probe(bench(), site), 6);
}

TEST_F(Margins, HoldExactlyWhereLimitsAreBroken) {
    Site site;
    site.modules = 4;
    EXPECT_GE(probe(bench(), site), 4);
    site.modules = 2;
    site.floor = 80;
    EXPECT_GE(probe(bench(), site), 4);
}

// 3 x 40 V x (1 - 0.0028/K x (t - 25 K)) = 150 V at t = 25 - 0.25 / 0.0028 = -64.2857 degC.
TEST_F(Margins, ColderByCoefficient) {
    const render::Margins all = of(bench(), Site{}.text());
    const render::Margin* m = find(all, "voltage.cold-input");
    ASSERT_NE(m, nullptr);
    EXPECT_TRUE(m->holds);
    EXPECT_EQ(m->is_shown, "131.8 V");
    EXPECT_EQ(m->may_shown, "150 V");
    EXPECT_NEAR(m->share, (150 - 131.76) / 150, 1e-9);
    const Distance* d = find(*m, "colder");
    ASSERT_NE(d, nullptr);
    EXPECT_NEAR(d->amount, 54.28, 1e-9);
    EXPECT_EQ(d->to, "-64.28 degC");
    const Distance* more = find(*m, "more");
    ASSERT_NE(more, nullptr);
    EXPECT_EQ(more->amount, 0);
    EXPECT_EQ(find(*m, "hotter"), nullptr);
    EXPECT_EQ(find(*m, "longer"), nullptr);
}

// NEC Table 690.7(A): 1.18 from -16 to -20 degC, 1.20 from -21 on; 3 x 40 V x 1.18 = 141.6 V, x 1.20 = 144 V.
TEST_F(Margins, ColderByTableIsTheEdgeOfTheBand) {
    Site site;
    site.standard = "nec-2023";
    site.coefficient = "";
    site.coldest = 3;
    site.most = 142;
    const render::Margins all = of(bench(), site.text());
    const render::Margin* m = find(all, "voltage.cold-input");
    ASSERT_NE(m, nullptr);
    const Distance* d = find(*m, "colder");
    ASSERT_NE(d, nullptr);
    EXPECT_EQ(d->to, "-20 degC");
    EXPECT_NEAR(d->amount, 23, 1e-9);
}

TEST_F(Margins, TellWhereTheTableEnds) {
    Site site;
    site.standard = "nec-2023";
    site.coefficient = "";
    const render::Margins all = of(bench(), site.text());
    const render::Margin* m = find(all, "rating.module-system-voltage");
    ASSERT_NE(m, nullptr);
    const Distance* d = find(*m, "colder");
    ASSERT_NE(d, nullptr);
    EXPECT_EQ(d->found, Distance::Found::unknown);
    EXPECT_EQ(d->to, "-40 degC");
}

TEST_F(Margins, BrokenOnesComeFirst) {
    Site site;
    site.modules = 4;
    const render::Margins all = of(bench(), site.text());
    ASSERT_FALSE(all.rows.empty());
    EXPECT_EQ(all.rows.front().rule, "voltage.cold-input");
    EXPECT_FALSE(all.rows.front().holds);
    EXPECT_LT(all.rows.front().margin, 0);
    const Distance* d = find(all.rows.front(), "fewer");
    ASSERT_NE(d, nullptr);
    EXPECT_EQ(d->amount, 1);
    for (std::size_t i = 1; i < all.rows.size(); ++i) {
        EXPECT_TRUE(!all.rows[i - 1].holds || all.rows[i].holds);
        EXPECT_TRUE(all.rows[i - 1].holds != all.rows[i].holds || all.rows[i - 1].share <= all.rows[i].share);
    }
}

// The air of a place that states its own is no business of the site's.
TEST_F(Margins, HotterIsTheAirOfThePlace) {
    std::string text = Site{}.text();
    const auto put = [&](const std::string& from, const std::string& to) { text.replace(text.find(from), from.size(), to); };
    put("indoors dry", "indoors dry; ambient 2 degC .. 34 degC");
    put("isolated yes;", "isolated yes; ambient -10 degC .. 50 degC;");
    const render::Margins all = of(bench(), text, {"MPPT"});
    for (const render::Margin& m : all.rows) {
        if (m.rule != "rating.temperature") continue;
        const Distance* d = find(m, m.at_most ? "hotter" : "colder");
        ASSERT_NE(d, nullptr) << m.is;
        EXPECT_EQ(d->of, "the air of HUT");
        EXPECT_NEAR(d->amount, m.at_most ? 16 : 12, 1e-9);
        EXPECT_EQ(d->to, m.at_most ? "50 degC" : "-10 degC");
    }
    ASSERT_NE(find(all, "rating.temperature"), nullptr);
}

TEST_F(Margins, AreThoseOfTheNamedThings) {
    const render::Margins all = of(bench(), Site{}.text(), {"MPPT"});
    EXPECT_NE(find(all, "voltage.cold-input"), nullptr);
    EXPECT_LT(all.rows.size(), of(bench(), Site{}.text()).rows.size());
    for (const render::Margin& m : all.rows) EXPECT_NE(m.rule, "rating.module-system-voltage");
}

TEST_F(Margins, OfEqualStringsAreOneWithACount) {
    Site site;
    std::string text = site.text();
    text += "string SPARE[1..5] is 3 x PM on FIELD { spare }\n";
    const render::Margins all = of(bench(), text);
    const render::Margin* m = find(all, "rating.module-system-voltage");
    ASSERT_NE(m, nullptr);
    EXPECT_EQ(m->count, 6U);
}

// House rules, for what only lengths move.
class HouseMargins : public Margins {
protected:
    void SetUp() override {
        char pattern[] = "/tmp/ferrule-test-XXXXXX";
        folder_ = ::mkdtemp(pattern);
    }
    void TearDown() override {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    Bench with(const std::string& require, const std::string& about = "conductor", const std::string& when = "known(length)") const {
        std::ofstream(folder_ + "/house-length.toml") << tests::house_rule("house.length", about, when, require);
        return Bench({{folder_}, false, false});
    }
    std::string folder_;
};

TEST_F(HouseMargins, LongerIsTheWholeRun) {
    Bench house = with("length <= 20.005 m");
    ASSERT_TRUE(house.knowledge().findings.empty());
    const render::Margins all = of(house, Site{}.text());
    const render::Margin* m = find(all, "house.length");
    ASSERT_NE(m, nullptr);
    EXPECT_EQ(m->count, 2U);  // both conductors of the run
    const Distance* d = find(*m, "longer", "run ROOF");
    ASSERT_NE(d, nullptr);
    EXPECT_NEAR(d->amount, 8, 1e-9);
    EXPECT_EQ(d->to, "20 m");
    EXPECT_EQ(find(*m, "colder"), nullptr);
    EXPECT_EQ(probe(house, Site{}), 1);
    Site far;
    far.length = 31.5;
    EXPECT_EQ(probe(house, far), 1);  // shorter
}

TEST_F(HouseMargins, OfAlternativesTheNearerDecides) {
    Bench house = with("length <= 5 m or not (length > 16 m)");
    const render::Margins all = of(house, Site{}.text());
    const render::Margin* m = find(all, "house.length");
    ASSERT_NE(m, nullptr);
    EXPECT_TRUE(m->holds);
    EXPECT_EQ(m->may_shown, "16 m");
    const Distance* d = find(*m, "longer", "run ROOF");
    ASSERT_NE(d, nullptr);
    EXPECT_NEAR(d->amount, 4, 1e-9);
}

// What each demand leaves, in a design where the input is isolated, is fed by one string of 3 modules and stands at 131.8 V.
TEST_F(HouseMargins, CountOnlyBranchesThatCanHold) {
    struct Case {
        std::string require;
        std::vector<std::string> limits;  // of what may be, the least room first; "!": broken
    };
    const std::vector<Case> cases = {
        {"voltage <= 140 V or (crossed and voltage <= 200 V)", {"140 V"}},
        {"(crossed and voltage <= 200 V) or voltage <= 140 V", {"140 V"}},
        {"voltage <= 140 V or (isolated and voltage <= 200 V)", {"200 V"}},
        {"voltage <= 140 V or (isolated and not crossed and voltage <= 200 V and voltage >= 130 V)", {"140 V"}},
        {"voltage <= 130 V or (isolated and voltage <= 200 V and voltage >= 130 V)", {"130 V", "200 V"}},
        {"voltage <= 140 V or (voltage <= 200 V and (crossed or reversed))", {"140 V"}},
        {"voltage <= 140 V or (voltage <= 200 V and (crossed or isolated))", {"200 V"}},
        {"voltage <= 140 V or (voltage <= 200 V and (crossed or voltage <= 160 V))", {"160 V", "200 V"}},
        {"(crossed and voltage <= 200 V) or (reversed and voltage <= 300 V)", {}},
        {"voltage <= 120 V or (crossed and voltage <= 200 V)", {"!120 V"}},
        {"not (voltage > 140 V and (not crossed or voltage > 200 V))", {"140 V"}},
        {"not (voltage > 140 V and (crossed or voltage > 200 V))", {"200 V"}},
        {"voltage <= 140 V or (if crossed then voltage <= 300 V else isolated and voltage <= 160 V)", {"160 V"}},
        {"voltage <= 140 V or (if crossed then voltage <= 300 V else reversed and voltage <= 160 V)", {"140 V"}},
        {"voltage <= 140 V or all(strings, reversed and voc-coldest <= 200 V)", {"140 V"}},
        {"voltage <= 140 V or all(strings, not reversed and voc-coldest <= 200 V)", {"200 V"}},
        {"voltage <= 140 V or any(strings, reversed and voc-coldest <= 200 V)", {"140 V"}},
        {"any(strings, not reversed and voc-coldest <= 200 V and voc-coldest >= 125 V)", {"125 V", "200 V"}},
        {"voltage <= 140 V or not all(strings, voc-coldest > 200 V or reversed)", {"200 V"}},
        {"voltage <= 140 V or (known(start) and voltage <= 200 V)", {"140 V"}},
        {"voltage <= 140 V or (start <= 1 V and voltage <= 200 V)", {"140 V"}},
        {"crossed and voltage <= 140 V", {"140 V"}},  // no `or`: the limit is one all the same
        {"voltage <= 200 V and (voltage <= 140 V or (crossed and voltage <= 300 V))", {"140 V", "200 V"}},
    };
    for (const Case& c : cases) {
        SCOPED_TRACE(c.require);
        Bench house = with(c.require, "input", "fed");
        ASSERT_TRUE(house.knowledge().findings.empty()) << house.knowledge().findings.front().message;
        std::vector<std::string> limits;
        for (const render::Margin& m : of(house, Site{}.text()).rows) limits.push_back((m.holds ? "" : "!") + m.may_shown);
        EXPECT_EQ(limits, c.limits);
    }
}

TEST_F(HouseMargins, AtAStrictLimitNothingHolds) {
    for (const auto& [require, holds] : std::vector<std::pair<std::string, bool>>{
             {"voc-stc < 120 V", false}, {"not (voc-stc >= 120 V)", false}, {"voc-stc > 120 V", false}, {"voc-stc <= 120 V", true}}) {
        SCOPED_TRACE(require);
        Bench house = with(require, "string", "modules = 3");
        const render::Margins all = of(house, Site{}.text());
        ASSERT_EQ(all.rows.size(), 1U);
        EXPECT_EQ(all.rows[0].holds, holds);
        EXPECT_EQ(all.rows[0].strict, !holds);
        EXPECT_EQ(all.rows[0].margin, 0);
        const std::string text = shown(house, Site{}.text());
        const bool most = require != "voc-stc > 120 V";
        EXPECT_NE(text.find(holds ? "nothing left" : most ? "the limit itself is too much" : "the limit itself is too little"), std::string::npos) << text;
    }
    for (const std::string require : {"voc-stc < 120 V or voc-stc <= 120 V", "voc-stc <= 120 V or voc-stc < 120 V"}) {
        Bench house = with(require, "string", "modules = 3");
        const render::Margins all = of(house, Site{}.text());
        ASSERT_EQ(all.rows.size(), 1U);
        EXPECT_TRUE(all.rows[0].holds);
    }
}

// There is no gauge for a difference of two areas: 6 mm2 less 10 AWG (5.261 mm2).
TEST_F(HouseMargins, OfGaugesAreInSquareMillimetres) {
    Bench house = with("area >= 10 AWG");
    ASSERT_EQ(of(house, Site{}.text()).rows.size(), 1U);
    EXPECT_NE(shown(house, Site{}.text()).find("0.7388 mm2 left"), std::string::npos) << shown(house, Site{}.text());
    std::string text = Site{}.text();
    const auto at = text.find("section 6 mm2");
    text.replace(at, 13, "section 12 AWG");
    const std::string thin = shown(house, text);
    EXPECT_NE(thin.find("12 AWG, at least 10 AWG; 1.952 mm2 too little"), std::string::npos) << thin;
}

TEST_F(HouseMargins, OfTemperaturesAreSharesOfAPlainSpan) {
    Bench house = with("coldest >= -20 degC", "site", "known(coldest)");
    const render::Margins all = of(house, Site{}.text());
    ASSERT_EQ(all.rows.size(), 1U);
    EXPECT_NEAR(all.rows[0].margin, 10, 1e-9);
    EXPECT_NEAR(all.rows[0].share, 0.2, 1e-9);
    EXPECT_EQ(all.rows[0].share_of, "50 K");
    EXPECT_NE(shown(house, Site{}.text()).find("10 K left (of 50 K)"), std::string::npos);
}

TEST_F(HouseMargins, OfAllElementsTheNearestDecides) {
    Bench house = with("all(strings, voc-coldest <= 140 V)", "input", "fed");
    const render::Margins all = of(house, Site{}.text());
    const render::Margin* m = find(all, "house.length");
    ASSERT_NE(m, nullptr);
    EXPECT_EQ(m->is_shown, "131.8 V");
    EXPECT_EQ(m->may_shown, "140 V");
    EXPECT_EQ(probe(house, Site{}), 2);  // colder, and no module more
}

TEST_F(HouseMargins, OfACaseTheOneTaken) {
    Bench house = with("(if isolated then voltage <= 140 V else voltage <= 100 V) and not (voltage < 60 V)", "input", "fed");
    const render::Margins all = of(house, Site{}.text());
    ASSERT_EQ(all.rows.size(), 2U);
    EXPECT_EQ(all.rows[0].may_shown, "140 V");
    EXPECT_TRUE(all.rows[0].at_most);
    EXPECT_EQ(all.rows[1].may_shown, "60 V");
    EXPECT_FALSE(all.rows[1].at_most);
    EXPECT_EQ(probe(house, Site{}), 3);  // colder, no module more, one fewer
}

TEST_F(HouseMargins, NeedANumberToDecide) {
    Bench house = with("isolated or voltage <= 100 V", "input", "fed");
    EXPECT_TRUE(of(house, Site{}.text()).rows.empty());
    Bench equal = with("modules = 3 and voc-coldest > 0 V", "string", "modules > 0");
    EXPECT_TRUE(of(equal, Site{}.text()).rows.empty());
}

TEST_F(HouseMargins, ThatComeAndGoAreNotJudged) {
    Bench house = with("(length - 20 m) * (length - 60 m) >= 1 m2");
    const render::Margins all = of(house, Site{}.text());
    const render::Margin* m = find(all, "house.length");
    ASSERT_NE(m, nullptr);
    const Distance* d = find(*m, "longer", "run ROOF");
    ASSERT_NE(d, nullptr);
    EXPECT_EQ(d->found, Distance::Found::unjudged);
}

}  // namespace
