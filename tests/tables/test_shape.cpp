#include <gtest/gtest.h>

#include "helper_language.hpp"

namespace ferrule::tables {
namespace {

using graph::Accepts;
using graph::Shape;
using Op = Shape::Op;

ShapeResult read(std::string_view text) { return read_shape(text, tests::Language::get().units); }

TEST(Shapes, AreTrees) {
    const ShapeResult r = read("<contacts: count> in <arrangement: series | parallel> <voltage> [<category: label>+]");
    ASSERT_EQ(r.error, "");
    ASSERT_EQ(r.shape.op, Op::sequence);
    ASSERT_EQ(r.shape.children.size(), 5U);
    EXPECT_EQ(r.shape.children[0].text, "contacts");
    EXPECT_EQ(r.shape.children[0].accepts, Accepts::count);
    EXPECT_EQ(r.shape.children[1].op, Op::literal);
    EXPECT_EQ(r.shape.children[1].text, "in");
    EXPECT_EQ(r.shape.children[2].words, (std::vector<std::string>{"series", "parallel"}));
    EXPECT_EQ(r.shape.children[3].dimension_name, "voltage");
    EXPECT_EQ(r.shape.children[3].text, "voltage");
    EXPECT_EQ(r.shape.children[4].op, Op::optional);
    EXPECT_EQ(r.shape.children[4].children[0].children[0].op, Op::repeat);
}

TEST(Shapes, ChoicesRangesAndParts) {
    const ShapeResult r = read("( open | <fitting: part:gland> ) <size: area..> [<a: voltage> .. <b: voltage>]");
    ASSERT_EQ(r.error, "");
    EXPECT_EQ(r.shape.children[0].op, Op::choice);
    ASSERT_EQ(r.shape.children[0].children.size(), 2U);
    EXPECT_EQ(r.shape.children[0].children[1].children[0].kind, "gland");
    EXPECT_TRUE(r.shape.children[1].range);
    EXPECT_EQ(r.shape.children[2].children[0].children[1].text, "..");
    EXPECT_TRUE(read("").shape.children.empty());
}

TEST(Shapes, MistakesAreTold) {
    for (const char* bad : {"<voltage", "( a | b", "[ a", "a ]", "a )", "a | b", "<voltag>", "<x: >", "<x: a | >", "<: voltage>", "<x y: voltage>",
                            "+", "<text..>", "<x: part:>"}) {
        EXPECT_NE(read(bad).error, "") << bad;
    }
    EXPECT_NE(read(std::string(1000, '[')).error, "");
}

}  // namespace
}  // namespace ferrule::tables
