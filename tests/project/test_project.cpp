// Files, roots, standards: what stands between a command and the steps.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>

#include <gtest/gtest.h>

#include "project/embedded.hpp"
#include "project/explain.hpp"
#include "project/roots.hpp"
#include "project/tidy.hpp"
#include "project/values.hpp"
#include "support/bench.hpp"

namespace {

using namespace ferrule;
using tests::Bench;

// Files in memory: path -> bytes.
class Memory final : public base::FileSystem {
public:
    std::map<std::string, std::string> files;
    mutable int reads = 0;

    base::ReadResult read(const std::string& path, std::size_t limit) const override {
        ++reads;
        const auto found = files.find(path);
        if (found == files.end()) return {};
        if (found->second.size() > limit) return {base::ReadResult::Status::too_large, {}, path};
        return {base::ReadResult::Status::ok, found->second, path};
    }
    bool is_directory(const std::string& path) const override {
        const auto next = files.lower_bound(path + "/");
        return next != files.end() && next->first.rfind(path + "/", 0) == 0;
    }
    std::vector<std::string> list(const std::string& directory, std::string_view suffix) const override {
        std::vector<std::string> all;
        for (const auto& [path, bytes] : files) {
            if (path.rfind(directory + "/", 0) == 0 && std::string_view(path).ends_with(suffix)) all.push_back(path);
        }
        return all;
    }
    std::optional<std::string> real_path(const std::string& path) const override {
        const std::string plain = std::filesystem::path(path).lexically_normal().string();
        if (files.count(plain) != 0 || is_directory(plain)) return plain;
        return std::nullopt;
    }
    std::optional<std::string> write_whole(const std::string&, std::string_view) const override { return "not here"; }
};

TEST(Embedded, HoldsTheTablesAndTheRules) {
    EXPECT_NE(project::embedded_file("grammar/kinds.toml").text.find("[part.module]"), std::string_view::npos);
    for (const project::EmbeddedFile& f : project::embedded_files()) {
        EXPECT_EQ(f.text.find("[[example]]"), std::string_view::npos) << f.name;
    }
}

TEST(Roots, AreTheFilesThatNoOtherIncludes) {
    Memory files;
    files.files = {{"/p/a.fer", "edition 1\ninclude \"b.fer\"\n"}, {"/p/b.fer", "edition 1\n"}, {"/p/c.fer", "edition 1\n"},
                   {"/p/x.fer", "edition 1\ninclude \"y.fer\"\n"}, {"/p/y.fer", "edition 1\ninclude \"x.fer\"\n"}};
    text::Sources sources;
    project::Loader loader(sources, files);
    const project::Roots named = project::named_files({{"/p"}, {}, {}}, loader, files);
    EXPECT_EQ(named.files.size(), 5U);
    std::vector<std::string> tops;
    for (const text::FileId f : project::not_included(named.files, loader)) tops.push_back(sources[f].path());
    EXPECT_EQ(tops, (std::vector<std::string>{"/p/a.fer", "/p/c.fer", "/p/x.fer"}));
    EXPECT_EQ(files.reads, 5);
}

TEST(Loader, ShowsAnIncludeWithoutItsDots) {
    Memory files;
    files.files = {{"/p/.git", ""}, {"/p/a/x.fer", "edition 1\ninclude \"../b/y.fer\"\n"}, {"/p/b/y.fer", "edition 1\n"}};
    text::Sources sources;
    project::Loader loader(sources, files);
    const auto root = loader.open("/p/a/x.fer");
    loader.enter(std::get<text::FileId>(root));
    const std::string outside = "../../q/y.fer";
    const std::string trouble = std::get<std::string>(loader.include(std::get<text::FileId>(root), outside));
    EXPECT_NE(trouble.find("outside the project, whose root is /p: it holds `.git`"), std::string::npos) << trouble;
    EXPECT_NE(trouble.find("\nmove the file"), std::string::npos) << trouble;
    const auto included = loader.include(std::get<text::FileId>(root), "../b/y.fer");
    ASSERT_TRUE(std::holds_alternative<text::FileId>(included)) << std::get<std::string>(included);
    EXPECT_EQ(sources[std::get<text::FileId>(included)].path(), "/p/b/y.fer");
}

TEST(Tidy, RefusesAFileThatChangedMeanwhile) {
    Memory files;
    files.files = {{"/p/a.fer", "edition 1\n"}};
    text::Sources sources;
    const text::FileId file = sources.add("/p/a.fer", "edition 1\n# older\n");
    const auto trouble = project::replace(files, sources[file], "edition 1\n");
    ASSERT_TRUE(trouble.has_value());
    EXPECT_NE(trouble->find("has changed"), std::string::npos);
}

Bench& bench() {
    static Bench one;
    return one;
}

std::vector<std::string> rules_of(const project::CheckResult& result) {
    std::vector<std::string> rules;
    for (const findings::Finding& f : result.report.findings) rules.push_back(f.rule);
    return rules;
}

TEST(Check, WantsAStandardOnlyForASystem) {
    const std::string part = "part P is busbar { ways 2; torque 2 N.m }\n", device = "place ROOM { indoors dry }\ndevice D is P in ROOM\n";
    const auto says = [&](const std::string& text) {
        const auto rules = rules_of(bench().check_text("edition 1\n" + text));
        return std::count(rules.begin(), rules.end(), "design.standard");
    };
    EXPECT_EQ(says(part), 0);
    EXPECT_EQ(says(part + device), 1);
    EXPECT_EQ(says(part + device + "site \"A\" { coldest -1 degC }\n"), 1);
    EXPECT_EQ(says(part + device + "site \"A\" { standard nec-2032 }\n"), 1);
    EXPECT_EQ(says(part + device + "site \"A\" { standard nec-2023 }\n"), 0);
}

TEST(Check, WhatCouldNotBeReadIsNotMissedAgain) {
    const auto rules = [](const std::string& part, const std::string& more = "") {
        return rules_of(bench().check_text(
            "edition 1\nsite \"Hut\" { standard iec-62548 }\nplace ROOM { indoors dry }\n"
            "part BAR is busbar { ways 4; rated 60 V 100 A; takes 1 x 1 mm2 .. 10 mm2; " + part + " }\ndevice A, B is BAR in ROOM\n" + more +
            "A.1 -> B.1 6 mm2 copper red 1 m\n"));
    };
    EXPECT_EQ(rules(""), (std::vector<std::string>{"conductor.torque"}));
    EXPECT_EQ(rules("torque 1,5 N.m"), (std::vector<std::string>{"syntax.number"}));
    EXPECT_EQ(rules("torqe 1.5 N.m"), (std::vector<std::string>{"design.unknown-property"}));
    EXPECT_EQ(rules("torque 1.5 N.m", "include \"nowhere.fer\"\n"), (std::vector<std::string>{"design.include"}));
}

TEST(Check, OffersTheStandardThatWasMeant) {
    const auto result = bench().check_text("edition 1\nsite \"A\" { standard nec-2032 }\npart P is busbar { ways 2 }\nplace ROOM { indoors dry }\ndevice D is P in ROOM\n");
    for (const findings::Finding& f : result.report.findings) {
        if (f.rule != "design.standard") continue;
        ASSERT_EQ(f.edits.size(), 1U);
        EXPECT_EQ(f.edits[0].text, "nec-2023");
        EXPECT_EQ(bench().sources().text(f.edits[0].span), "nec-2032");
    }
}

TEST(Overview, ItsDesignIsRight) {
    const project::CheckResult result = bench().check_text(std::string(project::overview_design()));
    for (const findings::Finding& f : result.report.findings) ADD_FAILURE() << bench().line_of(f.span) << ": " << f.message << " [" << f.rule << "]";
    EXPECT_TRUE(result.report.undecided.empty());
    EXPECT_EQ(result.report.summary.devices, 2U);
}

// What the README shows is what the program says today; only the count of rules in its last lines may have grown.
TEST(Readme, ShowsTheRealOutput) {
    std::ifstream in(std::string(FERRULE_SOURCE_DIR) + "/README.md");
    const std::string readme((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
    std::filesystem::current_path(FERRULE_SOURCE_DIR);
    const auto result = bench().check_file("examples/first.fer");
    EXPECT_NE(readme.find("```\n" + render::findings_as_text(result.report.findings, bench().sources(), {})), std::string::npos)
        << "the README shows another output than `ferrule check examples/first.fer` gives";
    EXPECT_EQ(result.report.summary.errors, 3U);
}

TEST(Values, SiUnits) {
    const units::Units& u = bench().knowledge().units;
    EXPECT_EQ(project::si_unit({}, u), "");
    EXPECT_EQ(project::si_unit(u.dimension("voltage")->dimension, u), "V");
    EXPECT_EQ(project::si_unit(u.dimension("area")->dimension, u), "m2");
    EXPECT_EQ(project::si_unit(u.dimension("temperature")->dimension, u), "K");
}

TEST(Explain, CoversEveryWordOfTheTables) {
    const project::Knowledge& k = bench().knowledge();
    render::Paper paper(false);
    for (const graph::Kind& kind : k.kinds.all()) {
        EXPECT_TRUE(project::explain(k, {kind.name}, paper).empty()) << kind.name;
        for (const graph::Property& p : kind.properties) EXPECT_TRUE(project::explain(k, {kind.name, p.name}, paper).empty()) << p.name;
    }
    for (const units::Unit& u : k.units.all()) EXPECT_TRUE(project::explain(k, {u.symbol}, paper).empty()) << u.symbol;
    for (const graph::StatementText& s : k.kinds.statements) EXPECT_TRUE(project::explain(k, {s.name}, paper).empty()) << s.name;
    for (const rules::Rule& r : k.rules.rules) EXPECT_TRUE(project::explain(k, {r.id}, paper).empty()) << r.id;
    for (const facts::Table& t : k.schema.tables) EXPECT_TRUE(project::explain(k, {t.subject}, paper).empty()) << t.subject;
}

}  // namespace
