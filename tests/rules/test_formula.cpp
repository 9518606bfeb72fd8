// Formulas: what is read, what is refused and at which column.
#include <random>

#include <gtest/gtest.h>

#include "rules/helper_world.hpp"
#include "rules/parse.hpp"
#include "support/turns.hpp"

namespace ferrule::tests {

namespace {

// The tree with its brackets written out: ((1.25 * isc) <= max)
std::string tree(std::string_view formula) {
    const rules::ParsedFormula parsed = rules::parse(formula);
    if (!parsed.error.empty()) return fmt::format("{}: {}", parsed.error_at + 1, parsed.error);
    const auto write = [&](const auto& self, std::uint32_t at) -> std::string {
        const rules::Parsed& n = parsed.nodes[at];
        const std::string_view sign = formula.substr(n.at, n.at_end - n.at);
        if (n.kind == rules::Parsed::Kind::call) {
            std::string text = std::string(sign) + "(";
            for (const std::uint32_t c : n.children)
                text += (text.back() == '(' ? "" : ", ") + self(self, c);
            return text + ")";
        }
        if (n.kind != rules::Parsed::Kind::operation)
            return std::string(formula.substr(n.begin, n.end - n.begin));
        if (n.children.size() == 1) return fmt::format("({} {})", sign, self(self, n.children[0]));
        std::string text = "(" + self(self, n.children[0]);
        for (std::size_t i = 1; i < n.children.size(); ++i)
            text += fmt::format(" {} {}", i == 1 ? sign : ",", self(self, n.children[i]));
        return text + ")";
    };
    return write(write, static_cast<std::uint32_t>(parsed.nodes.size() - 1));
}

TEST(Formula, BindsAsAPersonExpects) {
    EXPECT_EQ(tree("1.25 * isc <= max-fuse and not fused"),
              "(((1.25 * isc) <= max-fuse) and (not fused))");
    EXPECT_EQ(tree("a or b and c"), "(a or (b and c))");
    EXPECT_EQ(tree("a - b - c"), "((a - b) - c)");
    EXPECT_EQ(tree("a + b * c / d"), "(a + ((b * c) / d))");
    EXPECT_EQ(tree("- a * b"), "((- a) * b)");
    EXPECT_EQ(tree("not a = b"), "(not (a = b))");
    EXPECT_EQ(tree("a == b"), "(a = b)");
    EXPECT_EQ(tree("x in ['p', 'q'] or y"), "((x in 'p' , 'q') or y)");
    EXPECT_EQ(tree("if a then 1 V else 2 V + 3 V"), "(a if 1 V , (2 V + 3 V))");
    EXPECT_EQ(tree("max(a, b - c) > 3"), "(max(a, (b - c)) > 3)");
}

TEST(Formula, AHyphenBelongsToTheName) {
    EXPECT_EQ(tree("a-b"), "a-b");
    EXPECT_EQ(tree("a - b"), "(a - b)");
    EXPECT_EQ(tree("nothing-and-or"), "nothing-and-or");
    EXPECT_EQ(tree("next-size('t', 3)"), "next-size('t', 3)");
}

TEST(Formula, TellsWhereItStops) {
    EXPECT_EQ(tree(""), "1: a value should stand here");
    EXPECT_EQ(tree("voc <="), "7: a value should stand here");
    EXPECT_EQ(tree("(voc"), "5: `)` is missing");
    EXPECT_EQ(tree("voc isc"), "5: the formula should end here, or go on with an operator");
    EXPECT_EQ(tree("a < b < c"), "7: the formula should end here, or go on with an operator");
    EXPECT_EQ(tree("side = 'plus"), "13: the word has no closing '");
    EXPECT_EQ(tree("side in 'plus'"), "9: a list should stand here: ['one', 'other']");
    EXPECT_EQ(tree("a."), "3: a name should stand after the dot");
    EXPECT_EQ(tree("if a then b"), "12: `else` is missing: if … then … else …");
}

TEST(Formula, DepthAndLengthAreBounded) {
    EXPECT_NE(tree(std::string(100, '(') + "a" + std::string(100, ')')).find("deeper than 64"),
              std::string::npos);
    std::string nots;
    for (int i = 0; i < 500; ++i) nots += "not ";
    EXPECT_NE(tree(nots + "a").find("deeper than 64"), std::string::npos);
    EXPECT_NE(tree(std::string(5000, '(')).find("longer than 4096"), std::string::npos);
    std::string chain = "1";
    for (int i = 0; i < 1000; ++i) chain += " +1";
    EXPECT_EQ(rules::parse(chain).error, "");
}

// Whatever stands in a rule file, the reader comes back with a tree or one place that is wrong.
TEST(Formula, AnyBytesAreRead) {
    const World world;
    std::mt19937 random(20260101);
    const std::string_view pieces[] = {"voc",
                                       "fuse.rating",
                                       "group.strings",
                                       " ",
                                       "(",
                                       ")",
                                       "'",
                                       "plus",
                                       "[",
                                       "]",
                                       "1.25",
                                       "60 V",
                                       "%",
                                       "<=",
                                       "=",
                                       "and ",
                                       "or ",
                                       "not ",
                                       "if ",
                                       "then ",
                                       "else ",
                                       "all(",
                                       "max(",
                                       "known(",
                                       ",",
                                       ".",
                                       "-",
                                       "*",
                                       "/",
                                       "standard.factor",
                                       "band('cold', ",
                                       "°",
                                       "\xff",
                                       "\n",
                                       "9",
                                       "site.coldest",
                                       "this",
                                       "{",
                                       "in"};
    for (std::uint32_t turn = 0; turn < turns(5000); ++turn) {
        std::string formula;
        const auto length = random() % 14;
        for (unsigned i = 0; i < length; ++i) {
            if (random() % 12 == 0) formula += static_cast<char>(random() % 256);
            else formula += pieces[random() % std::size(pieces)];
        }
        const rules::Compiled compiled = world.compile(formula);
        EXPECT_EQ(compiled.formula.empty(), !compiled.findings.empty()) << formula;
        for (const findings::Finding& f : compiled.findings)
            EXPECT_LE(f.span.begin, formula.size()) << formula;
    }
}

}  // namespace

}  // namespace ferrule::tests
