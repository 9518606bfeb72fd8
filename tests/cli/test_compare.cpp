// A check beside version control and beside what is known: the real program in scratch repositories.
#include <nlohmann/json.hpp>

#include "helper_hut.hpp"

namespace {

using namespace ferrule::tests;

class Changed : public Hut {
protected:
    void SetUp() override {
        Hut::SetUp();
        write("parts.fer", hut_parts);
        write("hut.fer", hut_with_include);
        git({"init", "-q", "-b", "main", "."});
        commit();
    }
    int git(std::vector<std::string> arguments) const {
        arguments.insert(arguments.begin(), {"git", "-C", path(""), "-c", "user.name=nobody", "-c", "user.email=nobody@ferrule.example"});
        return command(arguments).status;
    }
    void commit() const {
        git({"add", "hut.fer", "parts.fer"});
        ASSERT_EQ(git({"commit", "-q", "-m", "state"}), 0);
    }
};

TEST_F(Changed, NothingChangedIsNothingTold) {
    EXPECT_EQ(run({"check", "hut.fer"}).status, 1);
    const Ran ran = run({"check", "--changed", "HEAD", "hut.fer"});
    EXPECT_EQ(ran.status, 0) << ran.all();
    EXPECT_TRUE(has(ran.out, "found     0 errors")) << ran.out;
}

TEST_F(Changed, APartsFileTellsWhatItCausesInTheDesign) {
    edit("parts.fer", "lockable off", "lockable off; breaks-load no");
    const auto told = rules_of({"check", "--changed", "HEAD", "hut.fer"});
    EXPECT_FALSE(told.empty());
    EXPECT_EQ(told.count("voltage.cold-input"), 0u) << "found before, and not of this edit";
    commit();
    EXPECT_TRUE(rules_of({"check", "--changed", "HEAD", "hut.fer"}).empty());
    EXPECT_EQ(rules_of({"check", "--changed", "HEAD~1", "hut.fer"}), told);
}

TEST_F(Changed, AFindingThatSaysSomethingElseIsNew) {
    edit("parts.fer", "voc 25 V", "voc 26 V");
    EXPECT_EQ(rules_of({"check", "--changed", "HEAD", "hut.fer"}).count("voltage.cold-input"), 1u);
}

TEST_F(Changed, LinesThatMoveOrGoAreNotChanged) {
    edit("hut.fer", "place YARD", "# a line more\n\nplace YARD");
    EXPECT_TRUE(rules_of({"check", "--changed", "HEAD", "hut.fer"}).empty());
    commit();
    edit("hut.fer", "# a line more\n\n", "");
    EXPECT_TRUE(rules_of({"check", "--changed", "HEAD", "hut.fer"}).empty());
}

TEST_F(Changed, WhatStandsOnAChangedLineIsTold) {
    edit("hut.fer", "device MPPT is CC in HUT", "device MPPT is CC in HUT  # looked at again");
    const auto told = rules_of({"check", "--changed", "HEAD", "hut.fer"});
    EXPECT_EQ(told.count("voltage.cold-input"), 1u) << "one of its places";
}

TEST_F(Changed, NewDeletedAndRenamedFiles) {
    write("more.fer", hut);  // neither added nor ignored
    EXPECT_EQ(rules_of({"check", "--changed", "HEAD", "more.fer"}), rules_of({"check", "more.fer"}));
    std::filesystem::remove(path("more.fer"));

    std::filesystem::rename(path("parts.fer"), path("kept.fer"));
    EXPECT_EQ(run({"check", "--changed", "HEAD", "hut.fer"}).status, 1) << "what it includes is gone";
    edit("hut.fer", "parts.fer", "kept.fer");
    git({"add", "-A", "."});
    EXPECT_TRUE(rules_of({"check", "--changed", "HEAD", "hut.fer"}).empty()) << run({"check", "--changed", "HEAD", "hut.fer"}).all();
    git({"mv", "hut.fer", "lodge.fer"});
    EXPECT_TRUE(rules_of({"check", "--changed", "HEAD", "lodge.fer"}).empty()) << run({"check", "--changed", "HEAD", "lodge.fer"}).all();
}

TEST_F(Changed, SettingsThatChangeAreAChange) {
    write("ferrule.toml", "[severity]\n\"voltage.cold-input\" = \"error\"\n");
    EXPECT_TRUE(rules_of({"check", "--changed", "HEAD", "hut.fer"}).empty());
    write("house/short.toml", house_rule);
    write("ferrule.toml", "rules = [\"house\"]\n");
    EXPECT_EQ(rules_of({"check", "--changed", "HEAD", "hut.fer"}), std::multiset<std::string>{"house.short-strings"});
    git({"add", "-A", "."});
    ASSERT_EQ(git({"commit", "-q", "-m", "rules"}), 0);
    EXPECT_EQ(run({"check", "--changed", "HEAD", "hut.fer"}).status, 0);
    write("ferrule.toml", "rules = [\"house\"]\n[severity]\n\"house.short-strings\" = \"error\"\n");
    EXPECT_EQ(run({"check", "--changed", "HEAD", "hut.fer"}).status, 1) << "a warning that was made an error";
    write("ferrule.toml", "rules = [\"house\"]\n");
    edit("house/short.toml", "warning", "error");
    EXPECT_EQ(run({"check", "--changed", "HEAD", "hut.fer"}).status, 1);
}

TEST_F(Changed, WhatCannotBeComparedIsSaid) {
    for (const char* ref : {"nowhere", "--output=x", "", "HEAD:hut.fer"}) {
        const Ran ran = run({"check", std::string("--changed=") + ref, "hut.fer"});
        EXPECT_EQ(ran.status, 2) << ref << ran.all();
    }
    EXPECT_TRUE(has(run({"check", "--changed", "nowhere", "hut.fer"}).err, "nowhere"));
    EXPECT_EQ(run({"check", "--changed", "HEAD", "-"}, hut).status, 2);
    const Ran none = run_with({{"PATH", "/nonexistent"}}, {"check", "--changed", "HEAD", "hut.fer"});
    EXPECT_EQ(none.status, 2);
    EXPECT_TRUE(has(none.err, "git cannot be run")) << none.err;
    std::filesystem::remove_all(path(".git"));
    const Ran outside = run({"check", "--changed", "HEAD", "hut.fer"});
    EXPECT_EQ(outside.status, 2);
    EXPECT_TRUE(has(outside.err, "no repository")) << outside.err;
}

TEST_F(Changed, TheSurroundingsOfAHookDoNotLeadAstray) {
    const Ran ran = run_with({{"GIT_DIR", "/nonexistent"}, {"GIT_WORK_TREE", "/"}}, {"check", "--changed", "HEAD", "hut.fer"});
    EXPECT_EQ(ran.status, 0) << ran.all();
}

TEST_F(Changed, TwoRepositoriesAreNotMixed) {
    write("other/hut.fer", hut);
    command({"git", "init", "-q", path("other")});
    EXPECT_EQ(run({"check", "--changed", "HEAD", "hut.fer", "other/hut.fer"}).status, 2);
}

TEST_F(Changed, StagedIsWhatTheNextCommitHolds) {
    const auto whole = rules_of({"check", "hut.fer"});
    EXPECT_EQ(rules_of({"check", "--staged", "."}), whole);
    write("scratch.fer", "edition 1\nplace { nonsense\n");  // not added
    write("ferrule.toml", "nonsense = 1\n");
    edit("parts.fer", "lockable off", "lockable off; breaks-load no");  // not added
    EXPECT_EQ(rules_of({"check", "--staged", "."}), whole) << run({"check", "--staged", "."}).all();
    git({"add", "parts.fer"});
    EXPECT_NE(rules_of({"check", "--staged", "."}), whole);
    git({"add", "ferrule.toml"});
    EXPECT_EQ(run({"check", "--staged", "."}).status, 2);
    git({"rm", "-q", "--cached", "ferrule.toml", "parts.fer"});
    EXPECT_TRUE(has(run({"check", "--staged", "."}).out, "parts.fer")) << "an include that the commit would lack";
    EXPECT_EQ(run({"check", "--staged", "--changed", "HEAD", "."}).status, 2);
}

class Known : public Hut {};

TEST_F(Known, OnlyWhatIsNewFails) {
    EXPECT_EQ(run({"check", "hut.fer"}).status, 1);
    EXPECT_EQ(run({"check", "--write-known", "known.toml", "hut.fer"}).status, 0);
    const Ran same = run({"check", "--known", "known.toml", "hut.fer"});
    EXPECT_EQ(same.status, 0) << same.all();
    EXPECT_TRUE(has(same.out, "0 errors") && has(same.out, "1 known before")) << same.out;
    EXPECT_EQ(same.err, "");

    edit("hut.fer", "edition 1\n", "edition 1\n\n# moved\n\n");
    EXPECT_EQ(run({"check", "--known", "known.toml", "hut.fer"}).status, 0);
    edit("hut.fer", "-> Q1.3 PV-4 black", "-> Q1.3 PV-4 red");
    EXPECT_EQ(run({"check", "--known", "known.toml", "--strict", "hut.fer"}).status, 1);
}

TEST_F(Known, MoreOfTheSameIsNew) {
    run({"check", "--write-known", "known.toml", "hut.fer"});
    std::string twice = read(path("known.toml"));
    EXPECT_TRUE(has(twice, "file  = \"hut.fer\"")) << twice;
    // The same finding in a second file is another one.
    write("more.fer", hut);
    EXPECT_EQ(run({"check", "--known", "known.toml", "hut.fer", "more.fer"}).status, 1);
    EXPECT_EQ(run({"check", "--write-known", "known.toml", "hut.fer", "more.fer"}).status, 0);
    EXPECT_EQ(run({"check", "--known", "known.toml", "hut.fer", "more.fer"}).status, 0);
    // From elsewhere the list means the same files.
    write("sub/known.toml", "version = 1\n");
    EXPECT_EQ(run({"check", "--write-known", "sub/known.toml", "hut.fer"}).status, 0);
    EXPECT_EQ(run({"check", "--known", path("sub/known.toml"), path("hut.fer")}).status, 0);
}

TEST_F(Known, WhatIsGoneIsTold) {
    run({"check", "--write-known", "known.toml", "hut.fer"});
    edit("hut.fer", "3 x PM", "2 x PM");
    const Ran ran = run({"check", "--known", "known.toml", "hut.fer"});
    EXPECT_EQ(ran.status, 0) << ran.all();
    EXPECT_TRUE(has(ran.err, "found no more")) << ran.err;
    EXPECT_EQ(run({"check", "--known", "known.toml", "--only", "polarity.string-reversed", "hut.fer"}).err, "");
}

TEST_F(Known, OfFilesThatWereNotReadNothingIsTold) {
    write("more.fer", hut);
    run({"check", "--write-known", "known.toml", "hut.fer", "more.fer"});
    EXPECT_EQ(run({"check", "--known", "known.toml", "hut.fer"}).err, "");
    edit("hut.fer", "3 x PM", "2 x PM");
    const Ran part = run({"check", "--known", "known.toml", "hut.fer"});
    EXPECT_TRUE(has(part.err, "1 of known.toml is found no more") && has(part.err, "not these alone")) << part.err;
    std::filesystem::remove(path("more.fer"));
    EXPECT_TRUE(has(run({"check", "--known", "known.toml", "hut.fer"}).err, "2 of known.toml are found no more"));
}

TEST_F(Known, AListThatCannotBeUsedIsNoLightMatter) {
    const Ran missing = run({"check", "--known", "nowhere.toml", "hut.fer"});
    EXPECT_EQ(missing.status, 2);
    EXPECT_TRUE(has(missing.err, "nowhere.toml")) << missing.err;
    for (const char* text : {"", "version = 2\n", "version = 1\nknown = 3\n", "version = 1\n[[known]]\nrul = \"x\"\n", "version = 1\n[[known]]\nrule = 3\n",
                             "version = 1\n[[known]]\nrule = \"x\"\ncount = \"y\"\n", "version = [\n", "\xff\xfe"}) {
        write("known.toml", text);
        EXPECT_EQ(run({"check", "--known", "known.toml", "hut.fer"}).status, 2) << text;
    }
}

TEST_F(Known, AListIsWrittenOnlyOfAWholeCheck) {
    write("known.toml", "version = 1\n");
    EXPECT_EQ(run({"check", "--write-known", "known.toml", "--only", "voltage.cold-input", "hut.fer"}).status, 2);
    EXPECT_EQ(run({"check", "--write-known", "known.toml", "hut.fer", "nowhere.fer"}).status, 2);
    EXPECT_EQ(read(path("known.toml")), "version = 1\n");
    EXPECT_EQ(run({"check", "--write-known", "nowhere/known.toml", "hut.fer"}).status, 2);
}

}  // namespace
