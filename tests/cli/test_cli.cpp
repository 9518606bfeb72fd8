// The commands as a person types them, through the real program.
#include <nlohmann/json.hpp>

#include "support/program.hpp"

namespace {

using ferrule::tests::Program;
using ferrule::tests::Ran;

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

// Invented. The string's cold voltage is above the controller's limit; else it is right.
constexpr std::string_view hut = R"(edition 1
site "Hut" { standard nec-2023; coldest -20 degC "invented"; hottest 30 degC; array ground-mount; building none }
place YARD { outdoors exposed }
place HUT { indoors dry }
part PM is module { pmax 100 W, -0.35 %/K; voc 25 V, -0.28 %/K; isc 5.9 A; vmp 20 V; imp 5 A; max-system 600 V; max-fuse 15 A; frame none }
part SW is isolator {
    category DC-PV2; pole 1-2; pole 3-4; rated 1 in series 150 V 16 A; rated 2 in series 300 V 16 A; polarised no
    takes 1 x 2.5 mm2 .. 10 mm2 copper; torque 1.2 N.m; lockable off
}
part CC is controller {
    type mppt; isolated no; ground-fault interrupts
    port pv is array { max-voltage 80 V; tracking 20 V .. 75 V; max-isc 20 A; switch none }
    port bat is battery { nominal 12 V }
    takes 1 x 2.5 mm2 .. 10 mm2 copper; torque 1.2 N.m
}
part PV-4 is cable { section 4 mm2 copper; rated 1000 V; diameter 5.4 mm }
string SOUTH is 3 x PM on YARD
device Q1 is SW in HUT
device MPPT is CC in HUT
run ROPE { length 12 m; through YARD, HUT
    SOUTH.+ -> Q1.1 PV-4 red
    SOUTH.- -> Q1.3 PV-4 black
    Q1.2 -> MPPT.pv+ PV-4 red
    Q1.4 -> MPPT.pv- PV-4 black
}
)";

class Cli : public Program {
protected:
    void SetUp() override {
        Program::SetUp();
        write("hut.fer", hut);
    }
};

TEST_F(Cli, CheckSaysWhereAndWhy) {
    const Ran ran = run({"check", "hut.fer"});
    EXPECT_EQ(ran.status, 1);
    EXPECT_TRUE(has(ran.out, ": error: ") && has(ran.out, "[voltage.cold-input]")) << ran.out;
    EXPECT_TRUE(has(ran.out, "    seen ") && has(ran.out, "    reckoned ") && has(ran.out, "    do ")) << ran.out;
    EXPECT_TRUE(has(ran.out, "\nfound     1 error, 0 warnings")) << ran.out;
    EXPECT_EQ(ran.err, "");
}

TEST_F(Cli, CheckReadsStandardInput) {
    const Ran named = run({"check", "-", "--stdin-name", "sub/hut.fer"}, hut);
    EXPECT_EQ(named.status, 1);
    EXPECT_TRUE(has(named.out, "sub/hut.fer:")) << named.out;
    EXPECT_TRUE(has(run({"check", "-"}, hut).out, "standard input:"));
}

TEST_F(Cli, CheckAsJson) {
    const Ran ran = run({"check", "--format", "json", "hut.fer"});
    EXPECT_EQ(ran.status, 1);
    const auto json = nlohmann::json::parse(ran.out);
    EXPECT_EQ(json["findings"][0]["rule"], "voltage.cold-input");
    EXPECT_EQ(json["summary"]["devices"], 2);
    EXPECT_EQ(json["summary"]["conductors"], 4);
}

TEST_F(Cli, AReportInAFileBesideTheText) {
    const Ran ran = run({"check", "hut.fer", "--format", "json", "--output", "report.json"});
    EXPECT_EQ(ran.status, 1);
    EXPECT_TRUE(has(ran.out, "hut.fer:"));
    EXPECT_EQ(nlohmann::json::parse(read(path("report.json")))["version"], 1);
}

TEST_F(Cli, OnlyOneRule) {
    EXPECT_EQ(run({"check", "hut.fer", "--only", "polarity.string-reversed"}).status, 0);
    const Ran wrong = run({"check", "hut.fer", "--only", "voltage.cold-inputt"});
    EXPECT_EQ(wrong.status, 2);
    EXPECT_TRUE(has(wrong.err, "voltage.cold-input")) << wrong.err;
}

TEST_F(Cli, StrictFailsOnWarnings) {
    std::string text(hut);
    text.replace(text.find("3 x PM"), 6, "2 x PM");
    text.replace(text.find("-> Q1.3 PV-4 black"), 18, "-> Q1.3 PV-4 red  ");
    write("warn.fer", text);
    const Ran plain = run({"check", "warn.fer"});
    EXPECT_EQ(plain.status, 0) << plain.out;
    EXPECT_FALSE(has(plain.out, " 0 warnings")) << plain.out;
    EXPECT_EQ(run({"check", "--strict", "warn.fer"}).status, 1);
}

TEST_F(Cli, AFolderIsEveryDesignThatNoOtherIncludes) {
    write("sites/parts.fer", "edition 1\nplace P { outdors exposed }\n");
    write("sites/a.fer", "edition 1\ninclude \"parts.fer\"\n");
    write("sites/b.fer", "edition 1\ninclude \"parts.fer\"\n");
    const Ran ran = run({"check", "sites"});
    EXPECT_TRUE(has(ran.out, "3 files") && has(ran.out, "found     1 error")) << ran.out;
    std::filesystem::create_directories(path("empty"));
    EXPECT_EQ(run({"check", "empty"}).status, 2);
}

TEST_F(Cli, HouseRules) {
    write("house/short.toml",
          "id = \"house.short-strings\"\ntitle = \"Strings have two modules at most\"\nseverity = \"warning\"\nabout = \"string\"\n"
          "require = \"modules <= 2\"\nmessage = \"{string} has {modules} modules\"\nremedy = \"take one away\"\nwhy = \"house rule\"\n"
          "[[source]]\nstatus = \"common practice, no source\"\n");
    const Ran ran = run({"check", "hut.fer", "--rules", "house"});
    EXPECT_TRUE(has(ran.out, "warning: SOUTH has 3 modules [house.short-strings]")) << ran.all();
}

TEST_F(Cli, ValuesOfNamedThings) {
    const Ran ran = run({"values", "hut.fer", "SOUTH"});
    EXPECT_EQ(ran.status, 0) << ran.err;
    EXPECT_TRUE(has(ran.out, "SOUTH  string  hut.fer:") && has(ran.out, "voc-coldest")) << ran.out;
    const auto json = nlohmann::json::parse(run({"values", "--format", "json", "hut.fer", "SOUTH"}).out);
    bool seen = false;
    for (const auto& v : json["values"]) {
        if (v["fact"] != "voc-coldest") continue;
        seen = true;
        EXPECT_NEAR(v["value"].get<double>(), 3 * 25 * (1 + 0.0028 * 45), 1e-9);
        EXPECT_EQ(v["unit"], "V");
    }
    EXPECT_TRUE(seen);
    const Ran unknown = run({"values", "hut.fer", "SUOTH"});
    EXPECT_EQ(unknown.status, 2);
    EXPECT_TRUE(has(unknown.err, "SOUTH")) << unknown.err;
}

TEST_F(Cli, TidyWritesOrOnlyTells) {
    write("loose.fer", "edition 1\nplace   A {outdoors   exposed}\n");
    EXPECT_EQ(run({"tidy", "--check", "loose.fer"}).status, 1);
    EXPECT_TRUE(has(read(path("loose.fer")), "place   A"));
    EXPECT_TRUE(has(run({"tidy", "-"}, read(path("loose.fer"))).out, "place A { outdoors exposed }"));
    EXPECT_EQ(run({"tidy", "loose.fer"}).status, 0);
    EXPECT_EQ(read(path("loose.fer")), "edition 1\nplace A { outdoors exposed }\n");
    EXPECT_EQ(run({"tidy", "--check", "loose.fer"}).status, 0);
    write("bad.fer", "edition 1\nplace   {\n");
    EXPECT_EQ(run({"tidy", "bad.fer"}).status, 1);
    EXPECT_EQ(read(path("bad.fer")), "edition 1\nplace   {\n");
}

TEST_F(Cli, ExplainKnowsItsWords) {
    for (const char* word : {"run", "isolator", "site", "rated", "mm2", "area", "hottest-cell", "red", "nec-2023", "string", "voc-coldest",
                             "voltage", "polarity", "voltage.cold-input", "in", "array", "conductor"}) {
        const Ran ran = run({"explain", word});
        EXPECT_EQ(ran.status, 0) << word << ran.err;
        EXPECT_TRUE(has(ran.out, word)) << word;
    }
    EXPECT_TRUE(has(run({"explain", "isolator", "rated"}).out, "series"));
    EXPECT_TRUE(has(run({"explain", "string.voc-coldest"}).out, "voc-coldest"));
    const Ran near = run({"explain", "isolater"});
    EXPECT_EQ(near.status, 2);
    EXPECT_TRUE(has(near.err, "isolator")) << near.err;
    EXPECT_EQ(run({"explain"}).status, 0);
}

TEST_F(Cli, EveryRuleIsListedAndExplained) {
    const Ran list = run({"rules"});
    EXPECT_EQ(list.status, 0);
    EXPECT_TRUE(has(list.out, "voltage.cold-input"));
    EXPECT_TRUE(has(run({"explain", "voltage.cold-input"}).out, "a design in which it speaks"));
}

TEST_F(Cli, StepsShowTheInside) {
    EXPECT_TRUE(has(run({"steps", "tree", "hut.fer"}).out, "conductor"));
    EXPECT_TRUE(has(run({"steps", "graph", "hut.fer"}).out, "power SOUTH.+ -> Q1.1"));
    EXPECT_TRUE(has(run({"steps", "facts", "hut.fer"}).out, "string SOUTH"));
    const Ran xml = run({"check", "--format", "xml", "hut.fer"});
    EXPECT_EQ(xml.status, 2);
    EXPECT_TRUE(has(xml.err, "there is no format `xml`; there are text, json, sarif, junit, github, gitlab")) << xml.err;
    EXPECT_EQ(run({"steps", "leaves", "hut.fer"}).status, 2);
}

TEST_F(Cli, HelpShowsAnExampleOfEachCommand) {
    EXPECT_EQ(run({"--help"}).status, 0);
    EXPECT_TRUE(has(run({"--version"}).out, "ferrule "));
    for (const char* command : {"check", "values", "tidy", "explain", "rules", "steps"}) {
        const Ran ran = run({command, "--help"});
        EXPECT_EQ(ran.status, 0);
        EXPECT_TRUE(has(ran.out, std::string("ferrule ") + command)) << ran.out;
    }
}

TEST_F(Cli, ColourOnlyWhenAskedFor) {
    EXPECT_FALSE(has(run({"check", "hut.fer"}).out, "\x1b"));
    EXPECT_TRUE(has(run({"check", "--color", "always", "hut.fer"}).out, "\x1b"));
    EXPECT_FALSE(has(run({"check", "--color", "never", "hut.fer"}).out, "\x1b"));
}

}  // namespace
