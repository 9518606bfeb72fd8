// Layout is the subject here: what a person sees, and what a program reads.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "render/paper.hpp"
#include "render/report.hpp"
#include "render/values.hpp"

namespace {

using namespace ferrule;
using findings::Finding;

class Render : public testing::Test {
protected:
    Render() {
        site = sources.add("hut.fer", "edition 1\nstring EAST is 6 x PM-445 on FIELD\n\tdevice Q1 is SW-2P # é\n");
        part = sources.add("parts/a.fer", "part SW-2P is isolator { rated 1 in series 180 V 32 A }\n");
    }
    text::Span span(text::FileId file, std::string_view what) const {
        const auto at = static_cast<std::uint32_t>(sources[file].bytes().find(what));
        return {file, at, at + static_cast<std::uint32_t>(what.size())};
    }
    Finding finding() const {
        Finding f;
        f.rule = "dc-rating.breaking-voltage";
        f.message = "Q1 would break 224.6 V; one contact is rated 180 V";
        f.span = span(site, "Q1");
        f.subject = "Q1";
        f.working = {"41.2 V × 0.91 = 37.4 V", "6 × 37.4 V = 224.6 V"};
        f.assumed = {"hottest cell 30 K above the hottest air"};
        f.sources = {{"NFPA 70-2023", "690.13", "from memory"}, {"", "", "common practice, no source"}};
        f.related = {{span(part, "180 V"), "rated here"}};
        f.remedy = "put two contacts in series";
        f.edits = {{span(site, "SW-2P"), "SW-4P"}};
        return f;
    }
    findings::Report report(Finding f) const {
        findings::Report r;
        r.findings = {std::move(f)};
        r.summary.rules = 3;
        r.summary.devices = 1;
        findings::settle(r, sources);
        return r;
    }
    text::Sources sources;
    text::FileId site, part;
};

TEST_F(Render, AFindingAsText) {
    EXPECT_EQ(render::as_text(report(finding()), sources, {{"hut.fer"}, {"NFPA 70-2023"}}, {}),
              "hut.fer:3:9: error: Q1 would break 224.6 V; one contact is rated 180 V [dc-rating.breaking-voltage]\n"
              "    seen      device «Q1» is SW-2P # é\n"
              "    reckoned  41.2 V × 0.91 = 37.4 V\n"
              "              6 × 37.4 V = 224.6 V\n"
              "    assumed   hottest cell 30 K above the hottest air\n"
              "    by        NFPA 70-2023, 690.13 (from memory)\n"
              "              common practice, no source\n"
              "    see       parts/a.fer:1:44  rated here\n"
              "    do        put two contacts in series\n"
              "    edit      hut.fer:3:15  «SW-2P» becomes «SW-4P»\n"
              "\n"
              "checked   1 file: 1 device, 0 conductors, against 3 rules with the figures of NFPA 70-2023\n"
              "found     1 error, 0 warnings, 0 notes; 0 accepted; 0 undecided\n");
}

TEST_F(Render, WorkingOfWarningsOnlyWhenAsked) {
    Finding f = finding();
    f.severity = findings::Severity::warning;
    EXPECT_EQ(render::as_text(report(f), sources, {}, {}).find("reckoned"), std::string::npos);
    EXPECT_NE(render::as_text(report(f), sources, {}, {false, true}).find("reckoned"), std::string::npos);
}

TEST_F(Render, ColourChangesNoWord) {
    std::string coloured = render::as_text(report(finding()), sources, {}, {true, false});
    for (std::size_t at; (at = coloured.find('\x1b')) != std::string::npos;) coloured.erase(at, coloured.find('m', at) + 1 - at);
    EXPECT_EQ(coloured, render::as_text(report(finding()), sources, {}, {}));
}

TEST_F(Render, ALongLineIsCutToAWindow) {
    const text::FileId file = sources.add("long.fer", std::string(5000, 'a') + "é here é" + std::string(5000, 'b'));
    Finding f;
    f.message = "long";
    f.span = span(file, "here");
    const std::string text = render::as_text(report(f), sources, {}, {});
    EXPECT_NE(text.find("«here» éb"), std::string::npos) << text;
    EXPECT_NE(text.find("… aaa"), std::string::npos) << text;
    EXPECT_LT(text.size(), 600U);
}

TEST_F(Render, TextFromAFileSteersNothing) {
    Finding f = finding();
    f.message = "named \x1b[31m here";
    f.remedy = f.subject = f.rule = f.assumed[0] = f.working[0] = f.related[0].message = f.edits[0].text = f.message;
    f.accepted = findings::Acceptance{f.message, f.message, f.message, {}};
    findings::Report r = report(f);
    r.undecided = {{f.rule, f.message, f.message, f.span, 1}};
    EXPECT_EQ(render::as_text(r, sources, {}, {false, true}).find('\x1b'), std::string::npos);
    EXPECT_EQ(render::as_json(r, sources, {}).find('\x1b'), std::string::npos);
}

TEST_F(Render, WhatIsUndecidedIsGatheredByWhatIsLacking) {
    findings::Report r;
    const text::Span at = span(part, "SW-2P");
    r.undecided = {{"a.b", "Q1", "the poles of SW-2P", at, 1}, {"a.c", "Q1", "the poles of SW-2P", at, 1}};
    findings::settle(r, sources);
    const std::string text = render::as_text(r, sources, {}, {});
    EXPECT_NE(text.find("undecided parts/a.fer:1:6  the poles of SW-2P is missing; a.b, a.c cannot judge Q1\n"), std::string::npos) << text;
}

TEST_F(Render, AFindingAsJson) {
    const auto written = nlohmann::json::parse(render::as_json(report(finding()), sources, {{"hut.fer"}, {}}));
    EXPECT_EQ(written["version"], 1);
    EXPECT_EQ(written["files"], nlohmann::json({"hut.fer"}));
    const auto& f = written["findings"][0];
    EXPECT_EQ(f["rule"], "dc-rating.breaking-voltage");
    EXPECT_EQ(f["severity"], "error");
    EXPECT_EQ(f["file"], "hut.fer");
    EXPECT_EQ(f["line"], 3);
    EXPECT_EQ(f["column"], 9);
    EXPECT_EQ(f["endLine"], 3);
    EXPECT_EQ(f["endColumn"], 11);
    EXPECT_EQ(f["sources"][0]["clause"], "690.13");
    EXPECT_EQ(f["related"][0]["file"], "parts/a.fer");
    EXPECT_EQ(f["edits"][0]["text"], "SW-4P");
    EXPECT_TRUE(f["accepted"].is_null());
    EXPECT_EQ(written["summary"]["errors"], 1);
    EXPECT_EQ(written["summary"]["rules"], 3);
}

TEST_F(Render, JsonStandsWhateverTheBytes) {
    Finding f = finding();
    f.message = "\xff\xfe \xC0\xAF";
    EXPECT_TRUE(nlohmann::json::accept(render::as_json(report(f), sources, {{"\xff.fer"}, {}})));
    EXPECT_TRUE(nlohmann::json::accept(render::as_json({}, sources, {})));
}

TEST_F(Render, Values) {
    render::ValueSubject s{"EAST", "string", "", span(site, "EAST"), {}};
    render::Value v;
    v.fact = "voc-coldest";
    v.type = render::Value::Type::number;
    v.number = 224.6125;
    v.unit = "V";
    v.shown = "224.6 V";
    v.working = {"6 × 37.4 V = 224.6 V"};
    v.sources = {{"NFPA 70-2023", "690.7(A)", ""}};
    s.values.push_back(v);
    render::Value lacking;
    lacking.fact = "isc-max";
    lacking.unknown = "the short-circuit current of PM-445";
    s.values.push_back(lacking);
    EXPECT_EQ(render::values_as_text({s}, sources, false),
              "EAST  string  hut.fer:2:8\n"
              "    voc-coldest  224.6 V\n"
              "        reckoned  6 × 37.4 V = 224.6 V\n"
              "        by        NFPA 70-2023, 690.7(A)\n"
              "    isc-max      not known: lacks the short-circuit current of PM-445\n"
              "\n");
    const auto written = nlohmann::json::parse(render::values_as_json({s}));
    EXPECT_EQ(written["values"][0]["value"], 224.6125);
    EXPECT_EQ(written["values"][0]["unit"], "V");
    EXPECT_TRUE(written["values"][1]["value"].is_null());
    EXPECT_EQ(written["values"][1]["unknown"], "the short-circuit current of PM-445");
}

TEST(Paper, WrapsAtBlanksAndHangs) {
    render::Paper paper(false);
    paper.labelled("do", std::string(60, 'a') + " " + std::string(60, 'b'));
    EXPECT_EQ(paper.text(), "    do        " + std::string(60, 'a') + "\n              " + std::string(60, 'b') + "\n");
}

}  // namespace
