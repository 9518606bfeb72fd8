// ferrule.toml and the file of acceptances, through the real program.
#include <nlohmann/json.hpp>

#include "helper_hut.hpp"

namespace {

using namespace ferrule::tests;

class Settings : public Hut {
protected:
    // The mistake must be told at its place, and nothing be followed by halves.
    void mistake(const std::string& text, const std::string& place, const std::string& word) const {
        write("ferrule.toml", text);
        const Ran ran = run({"check", "hut.fer"});
        EXPECT_EQ(ran.status, 2) << text << ran.all();
        EXPECT_TRUE(has(ran.err, place)) << text << ran.err;
        EXPECT_TRUE(has(ran.err, word)) << text << ran.err;
        EXPECT_EQ(ran.out, "") << "said once, and no count of nothing";
    }
};

TEST_F(Settings, TheNearestUpwardsHolds) {
    write("sites/far/hut.fer", hut);
    write("ferrule.toml", "[severity]\n\"voltage.cold-input\" = \"warning\"\n");
    EXPECT_TRUE(has(run({"check", "sites/far/hut.fer"}).all(), "warning: ") || has(run({"check", "sites/far/hut.fer"}).all(), "life and limb"));
    write("sites/ferrule.toml", "");
    const Ran nearer = run({"check", "sites"});
    EXPECT_EQ(nearer.status, 1) << nearer.all();
    const Ran shown = run({"check", "--show-settings", "sites/far/hut.fer"});
    EXPECT_EQ(shown.status, 0);
    EXPECT_TRUE(has(shown.out, "sites/ferrule.toml")) << shown.out;
}

TEST_F(Settings, EachOfThemHolds) {
    write("house/short.toml", house_rule);
    write("ferrule.toml", "standard = \"iec-62548\"\nrules = [\"house\"]\nacceptances = \"accepted.toml\"\n"
                          "[severity]\n\"house.short-strings\" = \"error\"\n[units]\nlength = \"ft\"\n");
    write("accepted.toml", "# none yet\n");
    edit("hut.fer", "standard nec-2023; ", "");
    const Ran ran = run({"check", "hut.fer"});
    EXPECT_TRUE(has(ran.out, "error: SOUTH has 3 modules")) << ran.all();
    EXPECT_TRUE(has(ran.out, "62548")) << ran.out;
    EXPECT_TRUE(has(run({"values", "hut.fer"}).out, " ft")) << run({"values", "hut.fer"}).out;
    const Ran shown = run({"check", "--show-settings", "hut.fer", "--rules", "house"});
    for (const char* part : {"iec-62548", "house", "accepted.toml", "house.short-strings error", "length in ft", "--rules"}) EXPECT_TRUE(has(shown.out, part)) << shown.out;
}

TEST_F(Settings, AFolderInTheirPlaceIsToldAsSuch) {
    write("ferrule.toml/x", "");
    const Ran ran = run({"check", "hut.fer"});
    EXPECT_EQ(ran.status, 2) << ran.all();
    EXPECT_TRUE(has(ran.err, "ferrule.toml is a folder")) << ran.err;
}

TEST_F(Settings, MistakesAreFindingsAtTheirPlace) {
    mistake("standrad = \"nec-2023\"\n", "ferrule.toml:1:1: error:", "standard");
    mistake("\n[severity]\n\"voltage.cold-input\" = \"none\"\n", "ferrule.toml:3:", "warning");
    mistake("\n[severity]\n\"voltage.cold-inputt\" = \"note\"\n", "ferrule.toml:3:1:", "voltage.cold-input");
    mistake("# first\nstandard = \"nec-1823\"\n", "ferrule.toml:2:12:", "nec-2023");
    mistake("[units]\nlength = \"parsec\"\n", "ferrule.toml:2:10:", "parsec");
    mistake("[units]\nlenght = \"m\"\n", "ferrule.toml:2:", "lenght");
    mistake("[units]\nlength = 3\n", "ferrule.toml:2:", "quotes");
    mistake("[units]\nwarmth = \"m\"\n", "ferrule.toml:2:", "length");
    mistake("rules = [\"nowhere\"]\n", "ferrule.toml:1:10:", "no folder");
    mistake("acceptances = \"nowhere.toml\"\n", "ferrule.toml:1:", "nowhere.toml");
    mistake("standard = [\n", "ferrule.toml:", "error");
    mistake("standard = 3\n", "ferrule.toml:1:", "text");
}

TEST_F(Settings, AReportSaysThatNothingWasChecked) {
    write("ferrule.toml", "standrad = \"nec-2023\"\n");
    const Ran sarif = run({"check", "--format", "sarif", "hut.fer"});
    EXPECT_EQ(sarif.status, 2);
    const auto invocation = nlohmann::json::parse(sarif.out)["runs"][0]["invocations"][0];
    EXPECT_EQ(invocation["executionSuccessful"], false);
    EXPECT_EQ(invocation["toolConfigurationNotifications"].size(), 1u);
    EXPECT_TRUE(has(run({"check", "--format", "junit", "hut.fer"}).out, "<failure"));
    EXPECT_TRUE(has(run({"check", "--format", "github", "hut.fer"}).out, "::error file=ferrule.toml,line=1"));
}

TEST_F(Settings, AreExplained) {
    for (const char* word : {"settings", "ferrule.toml", "settings.project", "settings.toml", "settings.rule-files"}) {
        const Ran ran = run({"explain", word});
        EXPECT_EQ(ran.status, 0) << word;
        EXPECT_TRUE(has(ran.out, "acceptances") && has(ran.out, "[[accept]]")) << ran.out;
    }
}

TEST_F(Settings, ALifeSafetyRuleStaysAnError) {
    const std::string rule = life_safety_rule();
    ASSERT_NE(rule, "");
    mistake("[severity]\n\"" + rule + "\" = \"note\"\n", "ferrule.toml:2:1:", "stays an error");
}

class Accepted : public Hut {
protected:
    Ran with(const std::string& text) const {
        write("accepted.toml", text);
        return run({"check", "--acceptances", "accepted.toml", "hut.fer"});
    }
    static std::string entry(const std::string& rule, const std::string& rest) { return "[[accept]]\nrule = \"" + rule + "\"\n" + rest; }
};

constexpr const char* whole_entry = "because = \"the data sheet is wrong\"\nby = \"N. Nobody\"\nuntil = \"2099-06-30\"\n";

TEST_F(Accepted, WithAReasonItIsCountedAndFailsNothing) {
    const Ran ran = with(entry("voltage.cold-input", whole_entry));
    EXPECT_EQ(ran.status, 0) << ran.all();
    EXPECT_TRUE(has(ran.out, "1 accepted")) << ran.out;
    EXPECT_TRUE(has(ran.out, "the data sheet is wrong")) << ran.out;
    EXPECT_EQ(with(entry("voltage.cold-input", "on = \"MPPT\"\n" + std::string(whole_entry))).status + with(entry("voltage.cold-input", "on = \"NOWHERE\"\n" + std::string(whole_entry))).status, 1);
}

TEST_F(Accepted, WithoutOneItIsAFinding) {
    const Ran ran = with(entry("voltage.cold-input", "by = \"N. Nobody\"\n"));
    EXPECT_EQ(ran.status, 1);
    EXPECT_TRUE(has(ran.out, "[design.accept-reason]") && has(ran.out, "accepted.toml:2:")) << ran.all();
}

TEST_F(Accepted, LifeAndLimbTakesNameAndDate) {
    const std::string rule = life_safety_rule();
    EXPECT_TRUE(has(with(entry(rule, "because = \"so\"\n")).out, "[design.accept-reason]"));
    EXPECT_TRUE(has(with(entry(rule, "because = \"so\"\nby = \"N. Nobody\"\n")).out, "[design.accept-reason]"));
    EXPECT_FALSE(has(with(entry(rule, whole_entry)).out, "[design.accept-reason]"));
}

TEST_F(Accepted, UnknownExpiredAndUnusedOnesAreFindings) {
    EXPECT_TRUE(has(with(entry("voltage.cold-inputt", whole_entry)).out, "[design.accept-unknown]"));
    const Ran old = with(entry("voltage.cold-input", "because = \"so\"\nby = \"N. Nobody\"\nuntil = \"2020-06-30\"\n"));
    EXPECT_EQ(old.status, 1);
    EXPECT_TRUE(has(old.out, "[design.accept-expired]") && has(old.out, "[voltage.cold-input]")) << old.all();
    EXPECT_TRUE(has(with(entry("polarity.string-reversed", whole_entry)).out, "[design.accept-unused]"));
}

TEST_F(Accepted, AFileThatIsNoneIsSaid) {
    for (const char* text : {"[[acept]]\nrule = \"voltage.cold-input\"\n", "accept = 3\n", "[[accept]]\nbecause = \"so\"\n", "[[accept]]\nrule = 3\n", "[[accept\n"}) {
        const Ran ran = with(text);
        EXPECT_EQ(ran.status, 2) << text;
        EXPECT_TRUE(has(ran.err, "accepted.toml:")) << text << ran.err;
    }
    EXPECT_EQ(with("").status, 1);
    EXPECT_EQ(run({"check", "--acceptances", "nowhere.toml", "hut.fer"}).status, 2);
}

}  // namespace
