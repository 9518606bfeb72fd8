// Reports for other programs: whole on zero findings, each field escaped as its format asks, the same marks when lines move.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <set>

#include "render/machine.hpp"

namespace {

using namespace ferrule;
using findings::Finding;
using findings::Severity;
using nlohmann::json;

// What nobody honest writes, and what each format must not let through.
constexpr std::string_view hostile = "a%0A::error::b\n::error::c ]]> <script>\"'&\x1b[31m \xff \xc3\xa9 \xed\xa0\x80,:\r\x01";

class Machine : public testing::Test {
protected:
    Machine() {
        site = sources.add("hut.fer", "edition 1\nstring EAST is 6 x PM-445 on FIELD\n\tdevice Q1 is SW-2P # é\n");
        odd = sources.add("./a b/\x1b%0A::,<x>\xff.fer", "part SW-2P is isolator { rated 1 in series 180 V 32 A }\n");
        checked.files = {"hut.fer"};
        about.version = "0.1.0";
        about.rule_pages = "/usr/share/doc/ferrule/rules";
        about.rules = {{"dc-rating.breaking-voltage", "A switch breaks what it is rated for", "an arc stands", Severity::error, true, {{"NFPA 70-2023", "690.13", "from memory"}}}};
    }
    text::Span span(text::FileId file, std::string_view what) const {
        const auto at = static_cast<std::uint32_t>(sources[file].bytes().find(what));
        return {file, at, at + static_cast<std::uint32_t>(what.size())};
    }
    Finding finding(std::string_view text = "Q1 would break 224.6 V") const {
        Finding f;
        f.rule = "dc-rating.breaking-voltage";
        f.message = text;
        f.span = span(site, "SW-2P");
        f.subject = "Q1";
        f.working = {"6 × 37.4 V = 224.6 V", std::string(text)};
        f.related = {{span(odd, "180 V"), std::string(text)}};
        f.sources = {{"NFPA 70-2023", "690.13", "from memory"}};
        f.remedy = "put two contacts in series";
        f.edits = {{span(site, "SW-2P"), "SW-4P", true}};
        return f;
    }
    findings::Report report(std::vector<Finding> all) const {
        findings::Report r;
        r.findings = std::move(all);
        findings::settle(r, sources);
        return r;
    }
    json sarif(const findings::Report& r) const { return json::parse(render::as_sarif(r, sources, checked, about))["runs"][0]; }

    text::Sources sources;
    text::FileId site, odd;
    render::Checked checked;
    render::About about;
};

TEST_F(Machine, WholeOnZeroFindings) {
    EXPECT_EQ(sarif({})["results"], json::array());
    EXPECT_EQ(sarif({})["invocations"][0]["executionSuccessful"], true);
    EXPECT_EQ(render::as_gitlab({}, sources, checked), "[]\n");
    EXPECT_EQ(render::as_github({}, sources, checked), "::notice title=ferrule::0 errors, 0 warnings, 0 notes, 0 accepted, 0 known, 0 undecided\n");
    EXPECT_EQ(render::as_junit({}, sources, checked),
              "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"ferrule\" tests=\"1\" failures=\"0\" errors=\"0\" skipped=\"0\">\n"
              "  <testsuite name=\"hut.fer\" tests=\"1\" failures=\"0\" errors=\"0\" skipped=\"0\">\n"
              "    <testcase classname=\"ferrule\" name=\"nothing found\"/>\n  </testsuite>\n</testsuites>\n");
    EXPECT_NE(render::as_junit({}, sources, {}).find("<testsuites"), std::string::npos);
}

TEST_F(Machine, SarifHoldsAllThatAFindingHolds) {
    Finding accepted = finding("Q2 would break 224.6 V");
    accepted.span = span(site, "Q1");
    accepted.subject = "Q2";
    accepted.accepted = findings::Acceptance{"the plate says so", "N. Nobody", "2099-01", span(site, "EAST"), false};
    const json run = sarif(report({finding(), accepted}));
    EXPECT_EQ(run["columnKind"], "unicodeCodePoints");
    const json& first = run["results"][1];
    EXPECT_EQ(first["ruleId"], "dc-rating.breaking-voltage");
    EXPECT_EQ(first["ruleIndex"], 0);
    EXPECT_EQ(first["locations"][0]["physicalLocation"]["region"], json({{"startLine", 3}, {"startColumn", 15}, {"endLine", 3}, {"endColumn", 20}}));
    EXPECT_EQ(first["locations"][0]["logicalLocations"][0]["fullyQualifiedName"], "Q1");
    EXPECT_EQ(first["relatedLocations"].size(), 1u);
    EXPECT_EQ(first["codeFlows"][0]["threadFlows"][0]["locations"].size(), 2u);
    EXPECT_EQ(first["fixes"][0]["artifactChanges"][0]["replacements"][0]["insertedContent"]["text"], "SW-4P");
    EXPECT_EQ(first["properties"]["sources"][0], "NFPA 70-2023, 690.13 (from memory)");
    EXPECT_EQ(first["suppressions"], json::array());
    EXPECT_EQ(run["results"][0]["suppressions"][0]["justification"], "the plate says so");
    EXPECT_EQ(run["results"][0]["suppressions"][0]["kind"], "inSource");
    const json& rule = run["tool"]["driver"]["rules"][0];
    EXPECT_EQ(rule["helpUri"], "file:///usr/share/doc/ferrule/rules/dc-rating.breaking-voltage.md");
    EXPECT_NE(rule["help"]["text"].get<std::string>().find("690.13"), std::string::npos);
}

TEST_F(Machine, WhatCannotBeJudgedIsOpen) {
    findings::Report r;
    r.undecided = {{"dc-rating.breaking-voltage", "Q1", "its rated voltage", {}}};
    const json result = sarif(r)["results"][0];
    EXPECT_EQ(result["kind"], "open");
    EXPECT_EQ(result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "hut.fer");
    EXPECT_NE(render::as_junit(r, sources, checked).find("<skipped message=\"cannot judge without its rated voltage\"/>"), std::string::npos);
}

TEST_F(Machine, HostileTextStaysInItsField) {
    Finding f = finding(hostile);
    f.subject = hostile;
    f.rule = "a,b:c%0A";
    f.span = span(odd, "180 V");
    const findings::Report r = report({f});

    const std::string github = render::as_github(r, sources, checked);
    EXPECT_EQ(std::count(github.begin(), github.end(), '\n'), 2);
    for (const char* part : {"\x1b", "\r", "\xff", "\x01", "\xed\xa0\x80", "file=a b/\xEF\xBF\xBD%0A::"}) EXPECT_EQ(github.find(part), std::string::npos) << github;
    EXPECT_NE(github.find("a b/\xEF\xBF\xBD%250A%3A%3A%2C<x>\xEF\xBF\xBD.fer,line=1"), std::string::npos) << github;
    EXPECT_NE(github.find("title=a%2Cb%3Ac%250A::a%250A::error::b%0A::error::c"), std::string::npos) << github;

    const std::string junit = render::as_junit(r, sources, checked);
    for (const char* part : {"\x1b", "\xff", "\x01", "\xed\xa0\x80", "]]>", "<script>"}) EXPECT_EQ(junit.find(part), std::string::npos) << junit;

    const json result = sarif(r)["results"][0];
    EXPECT_EQ(result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "a%20b/%1B%250A%3A%3A%2C%3Cx%3E%FF.fer");
    EXPECT_NE(result["message"]["text"].get<std::string>().find("::error::c ]]> <script>"), std::string::npos);
    EXPECT_EQ(json::parse(render::as_gitlab(r, sources, checked))[0]["check_name"], "a,b:c%0A");
}

TEST_F(Machine, PathsAreWrittenFromTheWorkingFolder) {
    checked.folder = "/home/nobody/plans";
    const text::FileId in = sources.add("/home/nobody/plans/a.fer", "x"), beside = sources.add("/home/nobody/plans2/a.fer", "x");
    Finding a = finding(), b = finding();
    a.span = {in, 0, 1};
    b.span = {beside, 0, 1};
    const findings::Report r = report({a, b});
    EXPECT_EQ(sarif(r)["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "a.fer");
    EXPECT_EQ(sarif(r)["results"][1]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "file:///home/nobody/plans2/a.fer");
    EXPECT_EQ(json::parse(render::as_gitlab(r, sources, checked))[0]["location"]["path"], "a.fer");
    EXPECT_NE(render::as_github(r, sources, checked).find("file=a.fer,"), std::string::npos);
}

TEST_F(Machine, MarksAreUniqueAndStayWhenLinesMove) {
    const auto marks = [&](text::FileId file) {
        std::vector<Finding> all;
        for (const char* word : {"EAST", "PM-445", "Q1", "SW-2P"}) {
            Finding f = finding();
            f.span = span(file, word);
            f.subject = word[0] == 'E' ? "EAST" : "Q1";
            f.rule = std::string("a.") + (word[0] == 'S' ? "b" : "c");
            all.push_back(std::move(f));
        }
        findings::Report r;
        r.findings = std::move(all);
        std::vector<std::string> sarif_marks, gitlab_marks;
        const json run = sarif(r), list = json::parse(render::as_gitlab(r, sources, checked));
        for (const auto& result : run["results"]) sarif_marks.push_back(result["partialFingerprints"]["ruleAndComponent/v1"]);
        for (const auto& one : list) gitlab_marks.push_back(one["fingerprint"]);
        EXPECT_EQ(std::set<std::string>(sarif_marks.begin(), sarif_marks.end()).size(), 4u);
        EXPECT_EQ(std::set<std::string>(gitlab_marks.begin(), gitlab_marks.end()).size(), 4u);
        sarif_marks.insert(sarif_marks.end(), gitlab_marks.begin(), gitlab_marks.end());
        return sarif_marks;
    };
    const auto before = marks(site);
    const text::FileId moved = sources.add("./hut.fer", "# moved\n\n\n" + std::string(sources[site].bytes()));
    EXPECT_EQ(marks(moved), before);
    const text::FileId other = sources.add("other.fer", std::string(sources[site].bytes()));
    EXPECT_NE(marks(other), before);
}

TEST_F(Machine, KnownAndAcceptedFindingsAreTold) {
    Finding known = finding();
    known.known = true;
    findings::Report r = report({known});
    EXPECT_EQ(sarif(r)["results"][0]["baselineState"], "unchanged");
    EXPECT_NE(render::as_junit(r, sources, checked).find("<skipped message=\"known before\"/>"), std::string::npos);
    EXPECT_EQ(render::as_github(r, sources, checked), "::notice title=ferrule::0 errors, 0 warnings, 0 notes, 0 accepted, 1 known, 0 undecided\n");
}

TEST_F(Machine, NoMoreResultsThanAreTakenAndTheErrorsFirst) {
    findings::Report r;
    for (int i = 0; i < 25'100; ++i) {
        Finding f;
        f.rule = "a.b";
        f.message = "x";
        f.subject = std::to_string(i);
        f.severity = i < 25'090 ? Severity::note : Severity::error;
        f.span = span(site, "Q1");
        r.findings.push_back(std::move(f));
    }
    const json run = sarif(r);
    EXPECT_EQ(run["results"].size(), 25'000u);
    EXPECT_EQ(run["results"][0]["level"], "error");
    EXPECT_NE(run["invocations"][0]["toolExecutionNotifications"][0]["message"]["text"].get<std::string>().find("25100"), std::string::npos);
}

}  // namespace
