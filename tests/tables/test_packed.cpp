// What is packed comes back: kinds, words, numbers, order, places.
#include <gtest/gtest.h>

#include "tables/packed.hpp"

namespace {

using ferrule::tables::Value;

void expect_same(const Value& a, const Value& b) {
    ASSERT_EQ(a.kind, b.kind);
    EXPECT_EQ(a.text, b.text);
    EXPECT_EQ(a.number, b.number);
    EXPECT_EQ(a.whole, b.whole);
    EXPECT_EQ(a.flag, b.flag);
    EXPECT_EQ(a.span, b.span);
    EXPECT_EQ(a.key_span, b.key_span);
    ASSERT_EQ(a.items.size(), b.items.size());
    for (std::size_t i = 0; i < a.items.size(); ++i) expect_same(a.items[i], b.items[i]);
    ASSERT_EQ(a.entries.size(), b.entries.size());
    for (std::size_t i = 0; i < a.entries.size(); ++i) {
        EXPECT_EQ(a.entries[i].key, b.entries[i].key);
        expect_same(a.entries[i].value, b.entries[i].value);
    }
}

TEST(Packed, ComesBackAsItWas) {
    ferrule::text::Sources sources;
    const auto file = sources.add("x.toml", R"(id = "a.b" # a comment
yes = true
no = false
whole = -3
real = 1.25e-3
"odd key" = "Ω ≤ \"x\" \\ \u0001"
empty = ""
date = 2026-11-24
list = [1, "two", [3, []], {}]
why = """
two
lines"""
[table.inner]
x = { y = 1, z = "w" }
[[many]]
a = 1
[[many]]
a = 2
)");
    const auto read = ferrule::tables::read_toml(sources, file);
    ASSERT_TRUE(read.findings.empty());
    const std::string bytes = ferrule::tables::pack(read.root);
    expect_same(ferrule::tables::unpack(bytes, file), read.root);
    const auto empty = ferrule::tables::read_toml(sources, sources.add("empty.toml", ""));
    expect_same(ferrule::tables::unpack(ferrule::tables::pack(empty.root), empty.root.span.file), empty.root);
}

}  // namespace
