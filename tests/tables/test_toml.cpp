#include <gtest/gtest.h>

#include <string>

#include "tables/toml.hpp"
#include "text/source.hpp"

namespace ferrule::tables {
namespace {

struct Read {
    text::Sources sources;
    TomlFile file;
    explicit Read(std::string bytes) {
        const text::FileId id = sources.add("a.toml", std::move(bytes));
        file = read_toml(sources, id);
    }
    [[nodiscard]] std::string text(const Value* v) const { return std::string(sources.text(v->span)); }
};

TEST(Toml, ValuesKeepTheirPlaceAndOrder) {
    const Read r("zeta = 'µµ'  # two bytes each\nalpha = [1, 2.5, \"x\"]\n[part.b]\nsame = true\n[part.a]\nday = 2026-11-24\n");
    ASSERT_TRUE(r.file.findings.empty());
    const Value& root = r.file.root;
    ASSERT_EQ(root.entries.size(), 3U);
    EXPECT_EQ(root.entries[0].key, "zeta");
    EXPECT_EQ(root.entries[2].key, "part");
    EXPECT_EQ(r.text(root.find("zeta")), "'µµ'");
    EXPECT_EQ(root.string("zeta"), "µµ");
    const Value* list = root.find("alpha");
    ASSERT_EQ(list->items.size(), 3U);
    EXPECT_TRUE(list->items[0].whole);
    EXPECT_FALSE(list->items[1].whole);
    EXPECT_EQ(list->items[1].number, 2.5);
    EXPECT_EQ(r.text(&list->items[2]), "\"x\"");
    EXPECT_EQ(r.text(list), "[1, 2.5, \"x\"]");
    EXPECT_EQ(r.sources.text(list->key_span), "alpha");
    const Value* parts = root.find("part");
    EXPECT_EQ(parts->entries[0].key, "b");
    EXPECT_TRUE(parts->find("b")->is("same"));
    EXPECT_EQ(parts->find("a")->string("day"), "2026-11-24");
    EXPECT_EQ(root.find("beta"), nullptr);
    EXPECT_EQ(root.string("alpha"), "");
}

TEST(Toml, ByteOrderMarkAndCarriageReturnsAreCounted) {
    const Read r("\xEF\xBB\xBF" "a = 'x'\r\nb = 'y'\r\n");
    ASSERT_TRUE(r.file.findings.empty());
    EXPECT_EQ(r.text(r.file.root.find("a")), "'x'");
    EXPECT_EQ(r.text(r.file.root.find("b")), "'y'");
}

TEST(Toml, ContentBeginsPastTheQuotes) {
    const Read r("a = \"one\"\nb = '''\ntwo\n'''\nc = \"\"\"three\"\"\"\nd = '''\r\nfour'''\n");
    ASSERT_TRUE(r.file.findings.empty());
    const auto content = [&r](const char* key) {
        const Value* v = r.file.root.find(key);
        return r.sources[v->span.file].bytes().substr(v->content_begin(r.sources), 3);
    };
    EXPECT_EQ(content("a"), "one");
    EXPECT_EQ(content("b"), "two");
    EXPECT_EQ(content("c"), "thr");
    EXPECT_EQ(content("d"), "fou");
}

TEST(Toml, AMistakeIsAFindingAtItsPlace) {
    const Read r("good = 1\nbad = = 2\n");
    ASSERT_EQ(r.file.findings.size(), 1U);
    EXPECT_EQ(r.file.findings[0].rule, "settings.toml");
    EXPECT_EQ(r.sources[r.file.findings[0].span.file].at(r.file.findings[0].span.begin).line, 2U);
    EXPECT_EQ(r.file.root.kind, Value::Kind::table);
    const Read twice("a = 1\na = 2\n");
    EXPECT_EQ(twice.file.findings.size(), 1U);
    const Read wide(std::string("\xFF\xFE" "a\0=\0", 6));
    EXPECT_EQ(wide.file.findings.size(), 1U);
    const Read binary(std::string("\0\1\2\3", 4));
    EXPECT_EQ(binary.file.findings.size(), 1U);
    EXPECT_TRUE(Read("").file.findings.empty());
}

TEST(Toml, EndlessKeysAndListsAreFindings) {
    std::string key = "a";
    for (int i = 0; i < 100'000; ++i) key += ".a";
    EXPECT_EQ(Read(key + " = 1\n").file.findings.size(), 1U);
    EXPECT_EQ(Read("[" + key + "]\n").file.findings.size(), 1U);
    EXPECT_EQ(Read("x = { " + key + " = 1 }\n").file.findings.size(), 1U);
    EXPECT_EQ(Read("x = " + std::string(100'000, '[') + "\n").file.findings.size(), 1U);
    // Dots in texts and comments are no key parts.
    std::string dots(1000, '.');
    EXPECT_TRUE(Read("# " + dots + "\na = '" + dots + "'\nb = '''\n'" + dots + "\n'''\nc = \"\\\"" + dots + "\"\n").file.findings.empty());
}

}  // namespace
}  // namespace ferrule::tables
