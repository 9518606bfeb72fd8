// Equal texts get equal symbols, and a text once kept never moves.
#include <gtest/gtest.h>

#include <string>

#include "base/interner.hpp"

namespace ferrule::base {
namespace {

TEST(Interner, GivesEqualTextsOneSymbol) {
    Interner names;
    const Symbol a = names.intern("EAST");
    EXPECT_EQ(names.intern(std::string("EA") + "ST"), a);
    EXPECT_NE(names.intern("EAST "), a);
    EXPECT_EQ(names.find("EAST"), a);
    EXPECT_FALSE(names.find("WEST"));
    EXPECT_EQ(names.text(names.intern("")), "");
    EXPECT_EQ(names.size(), 3U);
}

TEST(Interner, KeepsTextsWhereTheyAre) {
    Interner names;
    const std::string_view first = names.text(names.intern("first"));
    const std::string large(1U << 18U, 'x');
    names.intern(large);
    for (int i = 0; i < 100'000; ++i)
        EXPECT_EQ(names.intern("S" + std::to_string(i)).value, static_cast<std::uint32_t>(i) + 2);
    EXPECT_EQ(first, "first");
    EXPECT_EQ(names.text(names.find("S99999")), "S99999");
    EXPECT_EQ(names.text(Symbol(1)), large);
}

}  // namespace
}  // namespace ferrule::base
