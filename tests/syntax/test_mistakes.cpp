// One mistake, one finding, at its place; and what stands after it is read.
#include <gtest/gtest.h>

#include "syntax/helper_tree.hpp"

namespace ferrule::syntax {
namespace {

using Places = std::vector<std::string>;

TEST(Mistakes, TenOnTenLinesAreTenFindings) {
    const Read read(R"(edition 1
site Saltmarsh { coldest -9 degC }
part P is module {
    voc 41,2 V, -0.25 %/K
    isc = 13.8 A
}
string site is 6 x P on FIELD
string EAST is 6 P on FIELD
device Q1 SW-4P in FIELD
run ROOF {
    EAST.--> Q1.1 PV-6
    EAST.+ -> Q1. PV-6
}
bond FIELD EARTHS 6 mm2
device Q3 is SW-4P,
device Q4 is SW-4P
)");
    EXPECT_EQ(read.places(),
              (Places{"2:6 syntax.expected", "4:9 syntax.number", "5:9 syntax.expected",
                      "7:8 syntax.name", "8:18 syntax.expected", "9:11 syntax.expected",
                      "11:11 syntax.expected", "12:19 syntax.expected", "14:12 syntax.expected",
                      "15:19 syntax.expected"}));
    for (const findings::Finding& f : read.tree.findings) {
        EXPECT_EQ(f.severity, findings::Severity::error);
        EXPECT_FALSE(f.remedy.empty()) << f.message;
    }
}

struct Typo {
    std::string_view text;
    Places places;
};
void PrintTo(const Typo& c, std::ostream* out) {
    *out << c.text;
}

class Mistake : public testing::TestWithParam<Typo> {};

TEST_P(Mistake, IsOneFinding) {
    EXPECT_EQ(Read(std::string(GetParam().text)).places(), GetParam().places);
}

INSTANTIATE_TEST_SUITE_P(
    Braces, Mistake,
    testing::Values(
        Typo{"part P is module {\n    voc 9 V\ndevice Q is SW\ndevice R is SW\n",
             {"1:18 syntax.brace"}},
        Typo{"part P is inverter {\n    port a is array {\n        plus a\nsite \"s\" { }\n",
             {"1:20 syntax.brace", "2:21 syntax.brace"}},
        Typo{"run R {\n    A.1 -> B.1\n    bond A -> B\npart P is cable { }\n",
             {"1:7 syntax.brace"}},
        Typo{"place A {\n    indoors", {"1:9 syntax.brace"}},
        Typo{"}\ndevice Q is SW", {"1:1 syntax.brace"}},
        Typo{"device Q is SW {\nA.1 -> Q.1\nA.2 -> Q.2\n", {"1:16 syntax.brace"}},
        Typo{"part P is isolator {\n    face {\n        upper 1\nA.1 -> Q.1\n",
             {"1:20 syntax.brace", "2:10 syntax.brace"}},
        Typo{"part P is cable\n    section 6 mm2\n}\ndevice Q is SW", {"1:16 syntax.brace"}},
        Typo{"part P is cable\n{\n    section 6 mm2\n}", {"2:1 syntax.brace"}},
        Typo{"device Q is SW\n\n{ set a 1 V }", {"3:1 syntax.brace"}},
        Typo{"part P is cable section 6 mm2 }\ndevice Q is SW", {"1:17 syntax.brace"}},
        Typo{"gang Q, R {\n    a 1\n}\ndevice Q is SW", {"1:11 syntax.brace"}},
        Typo{"{\n    a 1\n}\ndevice Q is SW", {"1:1 syntax.brace"}}));

INSTANTIATE_TEST_SUITE_P(
    Lines, Mistake,
    testing::Values(
        Typo{"device Q is SW string", {"1:16 syntax.expected"}},
        Typo{"place A {\n    indoors dry\n    cable 6 mm2\n    pests mice\n}\n",
             {"3:5 syntax.expected"}},
        Typo{"A.1 -> B.1 -> C.1", {"1:12 syntax.expected"}},
        Typo{"A.1 ->B.1", {"1:5 syntax.expected"}}, Typo{"A[1..2 -> B.1", {"1:8 syntax.expected"}},
        Typo{"A[ -> B.1", {"1:4 syntax.expected"}},
        Typo{"device Q is SW in B with F", {"1:21 syntax.expected"}},
        Typo{"a 41.2 V = 3", {"1:10 syntax.expected"}}, Typo{"a: 41.2 V", {"1:2 syntax.expected"}},
        Typo{"label \"PV on Q1 { voltage 9 V }\ndevice Q is SW", {"1:7 syntax.text"}},
        Typo{"site \"Shed {\n    coldest 1 degC\n}\n", {"1:6 syntax.text"}},
        Typo{"a \"C:\\data\" 3", {"1:6 syntax.text"}},
        Typo{"port out is Q.1", {"1:1 syntax.expected"}},
        Typo{"accept on Q1 because \"r\"", {"1:8 syntax.expected"}},
        Typo{"edition one", {"1:9 syntax.expected"}}, Typo{"device 2Q is SW", {"1:8 syntax.name"}},
        Typo{"device core is SW", {"1:8 syntax.name"}},
        Typo{"device Q- is SW", {"1:8 syntax.name"}},
        Typo{"device \"Q\" is SW", {"1:8 syntax.name"}}, Typo{"a 1e999 V", {"1:3 syntax.number"}},
        Typo{"a 1_000 V", {"1:3 syntax.number"}}, Typo{"a .5 V", {"1:3 syntax.number"}},
        Typo{"a \u22129 V", {"1:3 syntax.expected"}}, Typo{"a ? V", {"1:3 syntax.expected"}},
        Typo{"a \u201Cb\u201D", {"1:3 syntax.expected"}}));

TEST(Mistakes, HaveEditsThatCureThem) {
    const Read read(
        "a 2,5 V\nEAST.--> X\nEAST.-> X\nA.1->X\n"
        "A.1 --> B.1\nA.1 => B.1\nA.1 \u2192B.1\nstring site is 6 x P\ndevice Q- is SW\ndevice R "
        "is SW,\ndevice S is SW\n"
        "a = 3\nb .5 V\nc \u22125 V\npart P is cable\n{\n}\na \"\\d\"\npart R is cable\n    b "
        "1\n}\n");
    EXPECT_EQ(
        read.edited(),
        "a 2.5 V\nEAST.- -> X\nEAST.- -> X\nA.1 -> X\n"
        "A.1 -> B.1\nA.1 -> B.1\nA.1 -> B.1\nstring SITE is 6 x P\ndevice Q is SW\ndevice "
        "R is SW\ndevice S is SW\n"
        "a 3\nb 0.5 V\nc -5 V\npart P is cable {\n}\na \"\\\\d\"\npart R is cable {\n    b 1\n}\n");
    EXPECT_TRUE(Read(read.edited()).tree.findings.empty());
}

TEST(Mistakes, SignsThatLookRightAreCuredByWhatTheyMean) {
    const Read read(
        "a 5 degC \u2013 30 degC\nb -5 degC \u2014 \u22122 degC\nA.1 \u2014 B.1\nsite \u201CHut\u201D { }\n"
        "site \"Hut\u201D { }\nvoc 26 V, \u22120.28 %/K\n");
    Read once(read.edited());
    EXPECT_EQ(once.tree.findings.size(), 1U);  // the second dash of its line
    EXPECT_EQ(once.edited(),
              "a 5 degC .. 30 degC\nb -5 degC .. -2 degC\nA.1 -> B.1\nsite \"Hut\" { }\n"
              "site \"Hut\" { }\nvoc 26 V, -0.28 %/K\n");
}

TEST(Mistakes, ADecimalCommaIsOnlyCuredWhereItIsOne) {
    EXPECT_TRUE(Read("a 1,000 V").tree.findings.at(0).edits.empty());
    EXPECT_TRUE(Read("a 1,2,3").tree.findings.at(0).edits.empty());
    EXPECT_TRUE(Read("a 1, 2, 3").tree.findings.empty());
}

TEST(Mistakes, LeaveTheMeaningOfTheLineWhereItIsClear) {
    EXPECT_EQ(Read("EAST.--> X.1 PV-6").first(),
              "(conductor! (ref (name EAST) (mark -)) (ref (name X) (mark 1)) (ref (name PV-6)))");
    EXPECT_EQ(Read("EAST.-> X.1").first(),
              "(conductor! (ref (name EAST) (mark -)) (ref (name X) (mark 1)))");
}

TEST(Mistakes, MakeTheRestOfTheLineOneJunkNode) {
    EXPECT_EQ(Read("device Q SW in B { set a 1 V }").first(),
              "(device! (declared (name Q)) (junk SW in B) (block (property (label set) (ref (name "
              "a)) (quantity (number 1) (unit V)))))");
    EXPECT_EQ(Read("a 2,5 V, 3").first(), "(property! (label a) (junk 2,5 V) (number 3))");
}

TEST(Mistakes, NeverHideTheStatementsAfterThem) {
    const Read read("device = {{ ] \"\ndevice Q is SW\n}\n}\ndevice R is SW\n");
    EXPECT_NE(read.show().find("(declared (name Q))"), std::string::npos);
    EXPECT_NE(read.show().find("(declared (name R))"), std::string::npos);
}

TEST(Mistakes, AreSaidInTheWordsOfTheText) {
    const auto message = [](std::string text) {
        return Read(std::move(text)).tree.findings.at(0).message;
    };
    EXPECT_EQ(message("device Q1 SW"), "expected `is` and the name of a part, and here is `SW`");
    EXPECT_EQ(message("device"), "expected a name, and here is the end of the file");
    EXPECT_EQ(message("place A {\n    indoors\ndevice Q is SW"),
              "`}` is missing: this block is not closed before `device`");
    EXPECT_EQ(message("string site is 6 x P"),
              "`site` is a word of the language and can be no name");
}

}  // namespace
}  // namespace ferrule::syntax
