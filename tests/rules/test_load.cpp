// Rule files: every mistake is a finding at its line and column, and the rest is read.
#include <gtest/gtest.h>

#include "rules/helper_world.hpp"

namespace ferrule::tests {

namespace {

// A right rule, with one line put in place of another.
std::string right_rule(std::string_view id = "voltage.high", std::string_view instead_of = "",
                 std::string_view line = "") {
    std::string text = fmt::format(
        "id = \"{}\"\n"
        "title = \"Not too high\"\n"
        "severity = \"error\"\n"
        "about = \"string\"\n"
        "when = \"fused\"\n"
        "require = \"voc <= 600 V\"\n"
        "message = \"{{string}} gives {{voc}}\"\n"
        "remedy = \"fewer modules\"\n"
        "why = \"because\"\n",
        id);
    if (!instead_of.empty()) {
        const std::size_t at = text.find(std::string(instead_of) + " = ");
        text.replace(at, text.find('\n', at) - at, line);
    }
    return text;
}

class Load : public testing::Test {
protected:
    World world;
    std::string says(std::string_view instead_of, std::string_view line) {
        return world.complaints(world.load({right_rule("voltage.high", instead_of, line)}));
    }
};

TEST_F(Load, ARightRuleIsRead) {
    const std::string more =
        "[[source]]\nstandard = \"one-2020\"\nclause = \"5.3\"\n[[source]]\nstatus = \"common "
        "practice, no source\"\n"
        "[[example]]\nverdict = \"fails\"\nmarks = [\"EAST\"]\ndesign = \"\"\"\nedition 1\n\"\"\"\n"
        "[[example]]\nverdict = \"passes\"\ndesign = \"edition 1\"\n";
    const rules::RuleSet set = world.load({right_rule() + more});
    EXPECT_EQ(world.complaints(set), "");
    ASSERT_EQ(set.rules.size(), 1U);
    const rules::Rule& r = set.rules[0];
    EXPECT_EQ(r.id, "voltage.high");
    EXPECT_EQ(r.family(), "voltage");
    EXPECT_EQ(set.find("voltage.high"), &r);
    EXPECT_EQ(set.find("voltage.low"), nullptr);
    EXPECT_EQ(set.nearest("voltage.hihg"), "voltage.high");
    ASSERT_EQ(r.sources.size(), 2U);
    EXPECT_EQ(r.sources[0].citation.standard, "One 1:2020");
    EXPECT_EQ(r.sources[0].only_under, "one-2020");
    EXPECT_EQ(r.sources[1].only_under, "");
    ASSERT_EQ(r.examples.size(), 2U);
    EXPECT_TRUE(r.examples[0].fails);
    EXPECT_EQ(r.examples[0].marks, std::vector<std::string>{"EAST"});
    EXPECT_EQ(world.sources[r.examples[0].place.file].at(r.examples[0].place.begin).line, 19U);
}

TEST_F(Load, MistakesInFormulasStandAtTheirPlace) {
    EXPECT_EQ(
        says("require", "require = \"voc <= 30 A\""),
        "6:16: `voc` is a voltage and `30 A` is a current: they cannot be compared [rule.unit]");
    EXPECT_EQ(
        says("require", "require = '''\nfused and\n  voc <= 30 A'''"),
        "8:7: `voc` is a voltage and `30 A` is a current: they cannot be compared [rule.unit]");
    EXPECT_EQ(
        says("require", "require = \"\"\"fused and \\\n   voc <= 30 A\"\"\""),
        "7:8: `voc` is a voltage and `30 A` is a current: they cannot be compared [rule.unit]");
    EXPECT_EQ(
        says("when", "when = \"vox > 3 V\""),
        "5:9: `vox` is no fact about a string and no property (did you mean `voc`?) [rule.name]");
    EXPECT_EQ(
        says("message", "message = \"{string} gives {vox}\""),
        "7:28: `vox` is no fact about a string and no property (did you mean `voc`?) [rule.name]");
    EXPECT_EQ(says("message", "message = \"{string gives\""),
              "7:12: `}` is missing [rule.formula]");
    EXPECT_EQ(says("message", "message = \"a {{brace}}\""), "");
    EXPECT_EQ(says("when", "at = \"voc\""),
              "5:7: a subject should stand here, and `voc` is a voltage [rule.unit]");
    EXPECT_EQ(
        says("require", "require = \"voc\""),
        "6:12: a demand needs something that is true or false, and `voc` is a voltage [rule.unit]");
}

TEST_F(Load, MistakesInKeys) {
    EXPECT_EQ(says("when", "wen = \"fused\""),
              "5:1: a rule has no `wen` (did you mean `when`?) [rule.key]");
    EXPECT_EQ(says("remedy", ""), "1:6: `remedy` is missing [rule.key]");
    EXPECT_EQ(says("require", ""), "1:6: `require` is missing [rule.key]");
    EXPECT_EQ(says("severity", "severity = \"bad\""),
              "3:12: `severity` is error, warning or note, not `bad` [rule.value]");
    EXPECT_EQ(says("title", "title = 3"), "2:9: `title` must be a text [rule.value]");
    EXPECT_EQ(says("about", "about = \"strig\""),
              "4:9: there are no facts about `strig` (did you mean `string`?) [rule.name]");
    EXPECT_EQ(says("when", "standards = [\"one-2002\"]"),
              "5:14: there is no standard `one-2002` (did you mean `one-2020`?) [rule.name]");
    EXPECT_EQ(says("when", "after = \"x\""), "5:9: `after` must be a list of texts [rule.value]");
    EXPECT_EQ(says("when", "life-safety = 1"),
              "5:15: `life-safety` must be true or false [rule.value]");
    EXPECT_EQ(
        says("id", "id = \"Voltage\""),
        "1:6: `Voltage` is no id: family.name, in small letters, digits and hyphens [rule.value]");
    EXPECT_EQ(world.complaints(
                  world.load({right_rule() +
                              "[[example]]\nverdict = \"maybe\"\ndesign = \"x\"\n"})),
              "11:11: `verdict` is fails or passes, not `maybe` [rule.value]");
    EXPECT_EQ(world.complaints(world.load({right_rule() + "[[source]]\nclause = \"3\"\n"})),
              "10:1: a source names its `standard`, or says `status = \"common practice, no "
              "source\"` [rule.key]");
    EXPECT_NE(world.complaints(world.load({"x = ["})), "");
    EXPECT_NE(world.complaints(world.load({""})), "");
}

TEST_F(Load, RulesOfTheReaderNeedNoFormula) {
    const rules::RuleSet set =
        world.load({"id = \"text.unit\"\ntitle = \"Known units\"\nseverity = \"error\"\nfound-by = "
                    "\"reading\"\nwhy = \"so\"\n"});
    EXPECT_EQ(world.complaints(set), "");
    ASSERT_EQ(set.rules.size(), 1U);
}

TEST_F(Load, OrderFollowsAfter) {
    const rules::RuleSet set =
        world.load({right_rule("a.first", "when", "after = [\"b.second\"]"),
                    right_rule("b.second", "when", "after = [\"c.third\"]"),
                    right_rule("c.third")});
    EXPECT_EQ(world.complaints(set), "");
    ASSERT_EQ(set.rules.size(), 3U);
    EXPECT_EQ(set.rules[0].id, "c.third");
    EXPECT_EQ(set.rules[1].id, "b.second");
    EXPECT_EQ(set.rules[2].id, "a.first");
}

TEST_F(Load, DuplicatesRingsAndUnknownRules) {
    EXPECT_EQ(world.complaints(world.load({right_rule(), right_rule()})),
              "1:6: there is another rule `voltage.high` [rule.id]");
    EXPECT_EQ(
        world.complaints(
            world.load({right_rule(), right_rule("a.b", "when", "after = [\"voltage.hgh\"]")})),
        "5:10: `after` names `voltage.hgh`, which is no rule (did you mean `voltage.high`?) "
        "[rule.name]");
    const rules::RuleSet ring = world.load({right_rule("a.b", "when", "after = [\"c.d\"]"),
                                            right_rule("c.d", "when", "after = [\"a.b\"]"),
                                            right_rule()});
    EXPECT_EQ(world.complaints(ring),
              "1:6: `a.b` waits, through `after`, for itself [rule.after]\n"
              "1:6: `c.d` waits, through `after`, for itself [rule.after]");
    EXPECT_EQ(ring.rules.size(), 1U);
}

}  // namespace

}  // namespace ferrule::tests
