// Findings in the order of the text, one for each cause, counted.
#include <gtest/gtest.h>

#include "findings/finding.hpp"

namespace ferrule::findings {
namespace {

Finding finding(std::string rule, std::uint32_t begin, std::string subject = "",
                Severity severity = Severity::error) {
    Finding f;
    f.rule = std::move(rule);
    f.severity = severity;
    f.span = {text::FileId(0), begin, begin + 1};
    f.subject = std::move(subject);
    return f;
}

// Two files; a line break at byte 5 of each.
const text::Sources& files() {
    static const text::Sources sources = [] {
        text::Sources s;
        s.add("one.fer", "abcde\nfghijklm");
        s.add("two.fer", "abcde\nfghijklm");
        return s;
    }();
    return sources;
}

TEST(Settle, SortsByPlaceSeverityAndRule) {
    Report r;
    r.findings = {finding("b", 9), finding("z", 3, "", Severity::warning), finding("b", 3),
                  finding("a", 3)};
    r.findings.push_back(finding("other-file", 0));
    r.findings.back().span.file = text::FileId(1);
    settle(r, files());
    std::string order;
    for (const Finding& f : r.findings) order += f.rule + " ";
    EXPECT_EQ(order, "a b z b other-file ");
}

TEST(Settle, JoinsFindingsOfOneRuleAtOnePlace) {
    Report r;
    for (int i = 0; i < 160; ++i)
        r.findings.push_back(finding("a", 3, "CB[" + std::to_string(i) + "]"));
    r.findings.push_back(finding("b", 3, "CB[0]"));
    settle(r, files());
    ASSERT_EQ(r.findings.size(), 2U);
    EXPECT_EQ(r.findings[0].count, 160U);
    EXPECT_EQ(r.findings[0].subject, "CB[0]");
    EXPECT_EQ(r.findings[0].more.size(), 8U);
    EXPECT_EQ(r.findings[0].more.front(), "CB[1]");
}

TEST(Settle, JoinsFindingsOfOneRuleOnOneLineAndNotAcrossLines) {
    Report r;
    r.findings = {finding("a", 1, "EAST"), finding("b", 2, "EAST"), finding("a", 4, "WEST"),
                  finding("a", 7, "NORTH")};
    settle(r, files());
    ASSERT_EQ(r.findings.size(), 3U);
    EXPECT_EQ(r.findings[0].count, 2U);
    EXPECT_EQ(r.findings[0].more, std::vector<std::string>{"WEST"});
    EXPECT_EQ(r.findings[2].subject, "NORTH");
}

TEST(Settle, DoesNotTakeDifferentWordsForOneMistake) {
    Report r;
    r.findings = {finding("a", 1), finding("a", 2), finding("a", 4)};
    r.findings[0].message = "`coper` means nothing";
    r.findings[1].message = "`redd` means nothing";
    r.findings[2].message = "`redd` means nothing";
    settle(r, files());
    ASSERT_EQ(r.findings.size(), 2U);
    EXPECT_EQ(r.findings[1].count, 2U);
}

TEST(Settle, CountsWhatIsAcceptedApart) {
    Report r;
    r.findings = {finding("a", 1), finding("b", 2, "", Severity::warning),
                  finding("c", 3, "", Severity::note), finding("d", 4)};
    r.findings[3].accepted = Acceptance{"for a reason", "", "", {}};
    r.undecided.emplace_back();
    settle(r, files());
    EXPECT_EQ(r.summary.errors, 1U);
    EXPECT_EQ(r.summary.warnings, 1U);
    EXPECT_EQ(r.summary.notes, 1U);
    EXPECT_EQ(r.summary.accepted, 1U);
    EXPECT_EQ(r.summary.undecided, 1U);
}

TEST(Severity, HasAWord) {
    EXPECT_EQ(word(Severity::error), "error");
    EXPECT_EQ(word(Severity::warning), "warning");
    EXPECT_EQ(word(Severity::note), "note");
}

}  // namespace
}  // namespace ferrule::findings
