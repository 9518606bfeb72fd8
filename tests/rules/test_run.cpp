// Rules over facts: what is said, how often, under which standard, and what could not be decided.
#include <gtest/gtest.h>

#include "rules/accept.hpp"
#include "rules/helper_world.hpp"
#include "support/hang.hpp"

namespace ferrule::tests {

namespace {

std::string rule(std::string_view id, std::string_view require, std::string_view more = "") {
    return fmt::format(
        "id = \"{}\"\ntitle = \"t\"\nseverity = \"error\"\nabout = \"string\"\nrequire = "
        "\"{}\"\nwhy = \"w\"\n{}{}{}",
        id, require,
        more.find("message = ") == std::string_view::npos ? "message = \"{string} gives {voc}\"\n"
                                                          : "",
        more.find("remedy = ") == std::string_view::npos ? "remedy = \"fewer modules\"\n" : "",
        more);
}

class Run : public testing::Test {
protected:
    World world;
    void SetUp() override { world.fill(8); }
    findings::Report run(const std::vector<std::string>& files, const rules::Options& options = {},
                         std::size_t standard = 0) {
        set = world.load(files);
        EXPECT_EQ(world.complaints(set), "");
        return world.run(set, options, standard);
    }
    rules::RuleSet set;
};

TEST_F(Run, AFailingRowIsAFinding) {
    const findings::Report r = run({rule("v.high", "voc <= 206 V")});
    ASSERT_EQ(r.findings.size(), 1U);
    const findings::Finding& f = r.findings[0];
    EXPECT_EQ(f.message, "S7 gives 207 V");
    EXPECT_EQ(f.remedy, "fewer modules");
    EXPECT_EQ(f.subject, "S7");
    EXPECT_EQ(f.span, world.at(70));
    EXPECT_EQ(f.working, std::vector<std::string>{"voc = 207 V > 206 V"});
    EXPECT_EQ(r.summary.rules, 1U);
}

TEST_F(Run, EqualWithinTheToleranceOfArithmetic) {
    world.column("string", "voc").numbers.assign(8, 0.1 * 3 * 2000);  // 600.0000000000001
    EXPECT_TRUE(run({rule("v.high", "voc <= 600 V")}).findings.empty());
    EXPECT_TRUE(run({rule("v.same", "voc = 600 V and not (voc > 600 V) and not (voc < 600 V)")})
                    .findings.empty());
}

TEST_F(Run, NegatedTheOtherRowsFail) {
    rules::Options options;
    options.negate = "v.high";
    EXPECT_EQ(run({rule("v.high", "voc <= 206 V")}, options).findings.size(), 7U);
}

TEST_F(Run, AMissingDatumIsSaidOnce) {
    facts::Column& voc = world.column("string", "voc");
    voc.numbers[2] = voc.numbers[5] = graph::unknown;
    voc.missing = [&](std::uint32_t) {
        return facts::Missing{"the voltage of PM-1", world.at(999)};
    };
    const findings::Report r = run({rule("v.high", "voc <= 300 V")});
    EXPECT_TRUE(r.findings.empty());
    ASSERT_EQ(r.undecided.size(), 1U);
    EXPECT_EQ(r.undecided[0].missing, "the voltage of PM-1");
    EXPECT_EQ(r.undecided[0].count, 2U);
    EXPECT_EQ(r.undecided[0].subject, "S2");
    EXPECT_EQ(r.undecided[0].span, world.at(999));
    // what does not hang on the missing figure is decided
    EXPECT_TRUE(run({rule("v.either", "voc <= 300 V or isc = 10 A")}).undecided.empty());
    EXPECT_EQ(run({rule("v.both", "voc <= 300 V and isc < 10 A")}).findings.size(), 8U);
    EXPECT_TRUE(run({rule("v.when", "isc = 10 A", "when = \"voc > 3 V\"\n")}).undecided.empty());
}

TEST_F(Run, ASubjectThatIsNotThereAsksForNothing) {
    // strings 0, 3 and 6 have no fuse
    EXPECT_EQ(run({rule("f.small", "fuse.rating > 100 A")}).findings.size(), 5U);
    EXPECT_TRUE(run({rule("f.small", "fuse.rating > 100 A")}).undecided.empty());
    EXPECT_EQ(
        run({rule("f.small", "isc > 100 A", "when = \"fuse.rating > 1 A\"\n")}).findings.size(),
        5U);
    EXPECT_EQ(run({rule("f.small", "isc > 100 A", "when = \"not (fuse.rating > 100 A)\"\n")})
                  .findings.size(),
              5U);
    EXPECT_EQ(run({rule("f.there", "known(fuse)")}).findings.size(), 3U);
}

TEST_F(Run, FiguresAreThoseOfTheStandard) {
    const std::string text = rule("i.high", "isc * standard.factor <= 13 A",
                                  "message = \"{isc * standard.factor}\"\n"
                                  "[[source]]\nstandard = \"one-2020\"\nclause = "
                                  "\"1\"\n[[source]]\nstandard = \"two-2021\"\nclause = \"2\"\n"
                                  "[[source]]\nstandard = \"Three\"\nstatus = \"from memory\"\n");
    EXPECT_TRUE(run({text}, {}, 0).findings.empty());
    const findings::Report r = run({text}, {}, 1);
    ASSERT_EQ(r.findings.size(), 8U);
    EXPECT_EQ(r.findings[0].message, "14 A");
    ASSERT_EQ(r.findings[0].sources.size(), 2U);
    EXPECT_EQ(r.findings[0].sources[0].standard, "Two 2-2021");
    EXPECT_EQ(r.findings[0].sources[1].standard, "Three");
    // a figure that only the other standard has
    const findings::Report lacking =
        run({rule("g.spread", "group.spread <= standard.spread-limit")}, {}, 0);
    ASSERT_EQ(lacking.undecided.size(), 1U);
    EXPECT_EQ(lacking.undecided[0].missing,
              "the figure `spread-limit`, which One 1:2020 does not give");
    EXPECT_EQ(lacking.undecided[0].count, 8U);
    // a rule of one standard
    EXPECT_TRUE(
        run({rule("v.one", "voc < 1 V", "standards = [\"two-2021\"]\n")}, {}, 0).findings.empty());
}

TEST_F(Run, TablesOfTheStandard) {
    EXPECT_EQ(run({rule("t.size", "next-size('fuse-sizes', isc * 1.56) = 20 A")}).findings.size(),
              0U);
    EXPECT_EQ(run({rule("t.band", "band('cold', site.coldest, 'factor') = 1.14")}).findings.size(),
              0U);
    EXPECT_EQ(run({rule("t.at", "fuse.rating >= at('classes', fuse.class, 'lowest')",
                        "when = \"known(fuse)\"\n")})
                  .findings.size(),
              1U);
    EXPECT_EQ(
        run({rule("t.none", "next-size('fuse-sizes', isc * 100) > 1 A")}).undecided.at(0).missing,
        "an entry for 1000 A in the table `fuse-sizes` of One 1:2020");
}

TEST_F(Run, OneCauseOneFinding) {
    for (facts::Table& t : world.facts.tables) {
        if (t.subject == "string") t.circuit = [](std::uint32_t row) { return row / 2; };
    }
    const std::string cause = rule("a.cause", "voc != 202 V"),
                      effect = rule("b.effect", "voc < 204 V", "after = [\"a.cause\"]\n");
    EXPECT_EQ(run({cause, effect}).findings.size(), 1U + 4U);
    world.column("string", "voc").numbers[5] = 202;  // circuit 2 has a cause as well
    const findings::Report r = run({cause, effect});
    EXPECT_EQ(r.findings.size(), 2U + 2U);
    // alone, it is still silent where its cause would have spoken
    rules::Options only;
    only.only = "b.effect";
    const findings::Report alone = run({cause, effect}, only);
    EXPECT_EQ(alone.findings.size(), 2U);
    EXPECT_EQ(alone.summary.rules, 1U);
}

TEST_F(Run, EqualPlacesAndGroupsAreOneFindingWithACount) {
    EXPECT_EQ(run({rule("g.all", "voc < 1 V", "group = \"group\"\n")}).findings.size(), 2U);
    for (facts::Table& t : world.facts.tables) {
        if (t.subject == "string") t.place = [this](std::uint32_t) { return world.at(1); };
    }
    const findings::Report r = run({rule("g.place", "voc < 1 V")});
    ASSERT_EQ(r.findings.size(), 1U);
    EXPECT_EQ(r.findings[0].count, 8U);
    EXPECT_EQ(r.findings[0].subject, "S0");
    EXPECT_EQ(r.findings[0].more.at(0), "S1");
}

TEST_F(Run, PlacesAndRelatedPlaces) {
    const findings::Report r = run(
        {rule("p.at", "voc <= 206 V",
              "at = \"fuse\"\n[[related]]\nat = \"group\"\nsay = \"in {group}, {fuse.rating}\"\n"
              "[[related]]\nat = \"this.fuse\"\nsay = \"the same place\"\n")});
    ASSERT_EQ(r.findings.size(), 1U);
    EXPECT_EQ(r.findings[0].span, world.at(75));
    ASSERT_EQ(r.findings[0].related.size(), 1U);  // not the finding's own place again
    EXPECT_EQ(r.findings[0].related[0].span, world.at(17));
    EXPECT_EQ(r.findings[0].related[0].message, "in G1, 17 A");
}

TEST_F(Run, RaiseMakesAWarningAnError) {
    std::string text =
        rule("r.a", "voc < 1 V", "raise = \"standard.pole-earthing = 'forbidden'\"\n");
    text.replace(text.find("\"error\""), 7, "\"warning\"");
    EXPECT_EQ(run({text}, {}, 0).findings[0].severity, findings::Severity::warning);
    EXPECT_EQ(run({text}, {}, 1).findings[0].severity, findings::Severity::error);
}

TEST_F(Run, PropertiesOfAPartInTheUnitOfItsAuthor) {
    const auto range = world.part_row("max-system", "voltage", 205, 205, "kV");
    for (facts::Table& t : world.facts.tables) {
        if (t.subject == "string")
            t.part_properties = [range](std::uint32_t row) {
                return row == 0 ? base::Range<graph::RowId>() : range;
            };
    }
    const findings::Report r =
        run({rule("m.system", "voc <= max-system", "message = \"{voc} against {max-system}\"\n")});
    ASSERT_EQ(r.findings.size(), 2U);
    EXPECT_EQ(r.findings[0].message, "0.206 kV against 0.205 kV");
    EXPECT_EQ(r.findings[0].working,
              std::vector<std::string>{"voc = 0.206 kV > max-system = 0.205 kV"});
    EXPECT_EQ(r.findings[0].related.at(0).message, "max-system is stated here");
    ASSERT_EQ(r.undecided.size(), 1U);
    EXPECT_EQ(r.undecided[0].missing, "max-system of S0");
}

TEST_F(Run, WorkingAssumptionsAndSourcesComeFromTheFacts) {
    facts::Column& voc = world.column("string", "voc");
    voc.working = [](std::uint32_t row) {
        return std::vector<std::string>{fmt::format("6 x 34.5 V in row {}", row)};
    };
    voc.assumed = [](std::uint32_t) { return std::vector<std::string>{"coldest -10 degC"}; };
    voc.rests_on = [&](std::uint32_t) {
        return std::vector<findings::Related>{{world.at(1234), "voc is stated here"}};
    };
    voc.sources = {
        {"one-2020", "690.7", ""}, {"two-2021", "7.2", ""}, {"", "", "common practice, no source"}};
    const findings::Finding f =
        run({rule("v.high", "all(group.strings, voc <= 206 V) and voc < 1 kV",
                  "message = \"{count(group.strings)}\"\ngroup = \"group\"\n")})
            .findings.at(0);
    EXPECT_EQ(f.working, (std::vector<std::string>{"6 x 34.5 V in row 7", "voc = 207 V > 206 V"}));
    EXPECT_EQ(f.assumed, std::vector<std::string>{"coldest -10 degC"});
    EXPECT_EQ(f.related.at(0).span, world.at(1234));
    ASSERT_EQ(f.sources.size(), 2U);
    EXPECT_EQ(f.sources[0].standard, "One 1:2020");
    EXPECT_EQ(f.sources[1].status, "common practice, no source");
}

TEST_F(Run, MessagesShowEveryTypeOfValue) {
    EXPECT_EQ(run({rule("m.a", "voc <= 206 V",
                        "message = \"{side} {fused} {fuse} {group.strings} {site.coldest} {isc * "
                        "voc} {{}}\"\n")})
                  .findings.at(0)
                  .message,
              "minus yes F7 S4, S5, S6 and S7 -9 degC 2070 W {}");
    EXPECT_EQ(run({rule("m.b", "voc != 200 V", "message = \"{fuse} {fuse.rating}\"\n")})
                  .findings.at(0)
                  .message,
              "none none");
    EXPECT_EQ(run({rule("m.c", "max(group.strings, voc) - min(group.strings, voc) < 1 % * voc",
                        "message = \"{max(group.strings, voc) - voc}\"\n"
                        "group = \"group\"\n")})
                  .findings.at(0)
                  .message,
              "3 V");
}

TEST_F(Run, AcceptancesWithAllTheirConditions) {
    graph::Thing thing;
    thing.name = world.name("S7");
    const graph::ThingId s7 = world.design.things.add(thing);
    for (facts::Table& t : world.facts.tables) {
        if (t.subject == "string")
            t.thing = [s7](std::uint32_t row) { return row == 7 ? s7.value : facts::no_row; };
    }
    graph::Accept accept;
    accept.rule = world.name("v.high");
    accept.on = {s7};
    accept.because = "fenced";
    accept.until = "2027-06-30";
    accept.span = world.at(3500);
    const std::string plain = rule("v.high", "voc <= 206 V"),
                      grave = rule("v.high", "voc <= 206 V", "life-safety = true\n");
    rules::Options today;
    today.today = {2027, 6, 30};

    world.design.accepts = {accept};
    findings::Report r = run({plain}, today);
    ASSERT_EQ(r.findings.size(), 1U);
    ASSERT_TRUE(r.findings[0].accepted.has_value());
    EXPECT_EQ(r.findings[0].accepted->reason, "fenced");

    today.today = {2027, 7, 1};
    r = run({plain}, today);
    ASSERT_EQ(r.findings.size(), 2U);
    EXPECT_FALSE(r.findings[0].accepted.has_value());
    EXPECT_EQ(r.findings[1].rule, "design.accept-expired");

    today.today = {2026, 1, 1};
    EXPECT_EQ(run({grave}, today).findings.at(1).rule, "design.accept-reason");
    world.design.accepts[0].by = "N. N.";
    EXPECT_EQ(run({grave}, today).findings.size(), 1U);

    world.design.accepts[0].by = " \u00A0";  // blanks are nobody
    EXPECT_EQ(run({grave}, today).findings.at(1).rule, "design.accept-reason");
    world.design.accepts[0].because = "   ";
    EXPECT_EQ(run({plain}, today).findings.at(1).rule, "design.accept-reason");
    world.design.accepts[0].because.clear();
    EXPECT_EQ(run({plain}, today).findings.at(1).rule, "design.accept-reason");

    world.design.accepts = {accept};
    EXPECT_EQ(run({rule("v.high", "voc <= 300 V")}, today).findings.at(0).rule,
              "design.accept-unused");
    EXPECT_EQ(run({rule("v.high", "voc <= 300 V")}, today).findings.at(0).severity,
              findings::Severity::warning);
    world.design.accepts[0].rule = world.name("v.hihg");
    r = run({plain}, today);
    EXPECT_EQ(r.findings.at(1).rule, "design.accept-unknown");
    EXPECT_EQ(r.findings.at(1).remedy, "did you mean v.high?");
    today.only = "v.high";
    EXPECT_EQ(run({plain}, today).findings.size(), 1U);
}

TEST_F(Run, DatesOfAcceptances) {
    EXPECT_EQ(rules::parse_date("2027-06-30"), (base::Date{2027, 6, 30}));
    EXPECT_EQ(rules::parse_date("2027-06"), (base::Date{2027, 6, 30}));
    for (const char* bad : {"", "2027", "2027-13-01", "27-06-30", "2027/06/30", "2027-06-3x",
                            "2027-02-30", "2100-02-29", "2027-06-31", "2027-06-00"})
        EXPECT_EQ(rules::parse_date(bad), base::Date{}) << bad;
}

TEST_F(Run, MoreThanAThousandAreCountedNotListed) {
    world.fill(3000);
    const findings::Report r = run({rule("v.many", "voc < 1 V")});
    ASSERT_EQ(r.findings.size(), 1001U);
    EXPECT_EQ(r.findings.back().count, 2000U);
    EXPECT_EQ(r.findings.back().message, "2000 more of this rule are counted and not listed");
}

TEST_F(Run, NinetyRulesOverAHundredThousandRows) {
    world.fill(100000);
    const auto range = world.part_row("max-system", "voltage", 1e9, 1e9, "V");
    for (facts::Table& t : world.facts.tables) {
        if (t.subject == "string") t.part_properties = [range](std::uint32_t) { return range; };
    }
    std::vector<std::string> files;
    for (int i = 0; i < 30; ++i) {
        files.push_back(rule(fmt::format("a.r{}", i), "voc * 1.25 <= max-system and isc < 1 kA"));
        files.push_back(rule(fmt::format("b.r{}", i), "fuse.rating >= isc",
                             "when = \"fused and side in ['plus', 'minus']\"\n"));
        files.push_back(rule(fmt::format("c.r{}", i),
                             "all(group.strings, voc < 1000 kV) and group.spread < 50 %"));
    }
    set = world.load(files);
    ASSERT_EQ(world.complaints(set), "");
    const double seconds = tests::cpu_seconds([&] { EXPECT_TRUE(world.run(set).findings.empty()); });
    EXPECT_LT(seconds, tests::hang_seconds);
    RecordProperty("seconds", fmt::format("{:.3f}", seconds));
    fmt::print("90 rules over 100,000 rows: {:.3f} s\n", seconds);
}

}  // namespace

}  // namespace ferrule::tests
