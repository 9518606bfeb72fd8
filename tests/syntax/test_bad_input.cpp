// Files that are no designs, and designs beyond every measure: one finding, and no hang.
#include <gtest/gtest.h>

#include "base/limits.hpp"
#include "support/hang.hpp"
#include "syntax/helper_tree.hpp"

namespace ferrule::syntax {
namespace {

using Places = std::vector<std::string>;

std::string repeated(std::string_view what, std::size_t times) {
    std::string out;
    out.reserve(what.size() * times);
    for (std::size_t i = 0; i < times; ++i) out += what;
    return out;
}

void is_refused_without_a_hang(const std::string& text) {
    EXPECT_LT(tests::cpu_seconds([&] { EXPECT_FALSE(Read(text).tree.findings.empty()); }), tests::hang_seconds);
}

TEST(Empty, IsNoMistake) {
    for (const std::string text : {"", "# only\n# comments", " \t\n\n  ", "\xEF\xBB\xBF", "\r\n"}) {
        const Read read(text);
        EXPECT_TRUE(read.tree.findings.empty()) << text;
        EXPECT_EQ(read.tree.nodes.size(), 1U);
    }
}

TEST(Depth, AMillionBracesAreRead) {
    for (const std::string_view what : {"{\n", "{ ", "a {\n", "part P is module {\n", "[", "[\n",
                                        "a[", "\"{\n", "device Q is SW {"}) {
        SCOPED_TRACE(what);
        is_refused_without_a_hang(repeated(what, 1'000'000));
    }
}

TEST(Depth, IsReportedOnceAtTheFirstBlockTooDeep) {
    const std::string open = repeated("a {\n", base::limits::block_depth);
    const std::string close = repeated("}\n", base::limits::block_depth);
    EXPECT_TRUE(Read(open + close).tree.findings.empty());
    EXPECT_EQ(Read(open + "a {\nb \"}\" # }\n}\n" + close).places(), (Places{"65:3 syntax.limit"}));
    EXPECT_EQ(Read(repeated("a {\n", 1000)).places(), (Places{"65:3 syntax.limit"}));
}

TEST(Limits, EachIsAFinding) {
    const std::string name(base::limits::name_bytes + 1, 'n');
    EXPECT_EQ(Read("device " + name + " is SW").places(), (Places{"1:8 syntax.limit"}));
    EXPECT_TRUE(Read("device " + name.substr(1) + " is SW").tree.findings.empty());
    EXPECT_EQ(Read("a \"" + std::string(base::limits::text_bytes, 't') + "\"").places(),
              (Places{"1:3 syntax.limit"}));
    EXPECT_EQ(Read("a 1234567890123456 V").places(), (Places{"1:3 syntax.limit"}));
    EXPECT_TRUE(Read("a 12345678.9012345 V").tree.findings.empty());
    EXPECT_EQ(Read("a " + std::string(10'000, '9') + " V").places(), (Places{"1:3 syntax.limit"}));
    const std::string line = "a " + std::string(base::limits::line_bytes, ' ') + "1\n";
    EXPECT_EQ(Read("b 1\n" + line + "c 1\n" + line).places(),
              (Places{"2:1 syntax.limit", "4:1 syntax.limit"}));
}

TEST(Limits, AHugeLineIsPassedOver) {
    is_refused_without_a_hang(std::string(50'000'000, 'x'));
}

TEST(Limits, AMillionMistakesAreCounted) {
    const Read read(repeated("a =\n", 1'000'000));
    ASSERT_EQ(read.tree.findings.size(), base::limits::findings_shown_per_rule + 1);
    EXPECT_EQ(read.tree.findings.back().message,
              "999000 more mistakes from here on are not listed");
}

TEST(Encoding, UTF16HasItsOwnMessage) {
    for (const std::string& text :
         {std::string("\xFF\xFE"), std::string("\xFE\xFF\0e", 4),
          std::string("\xFF\xFE"
                      "e\0d\0i\0",
                      8),
          std::string("e\0d\0i\0t\0i\0o\0n\0 \0", 16), std::string("\0e\0d\0i\0t\0i\0o\0n", 14)}) {
        const Read read(text);
        ASSERT_EQ(read.tree.findings.size(), 1U);
        EXPECT_EQ(read.tree.findings[0].rule, "syntax.encoding");
        EXPECT_NE(read.tree.findings[0].message.find("UTF-16"), std::string::npos);
    }
}

TEST(Encoding, AnotherSortOfFileIsNamed) {
    const auto message = [](std::string bytes) {
        const Read read(std::move(bytes));
        EXPECT_EQ(read.tree.findings.size(), 1U);
        return read.tree.findings.at(0).message;
    };
    EXPECT_EQ(message("\x1F\x8B\x08 and so on"),
              "this is a gzip archive, not the text of a design");
    EXPECT_EQ(message("PK\x03\x04 and so on"),
              "this is a zip archive or an office document, not the text of a design");
    EXPECT_EQ(message("%PDF-1.7 and so on"), "this is a PDF document, not the text of a design");
    std::string bytes;
    for (int i = 0; i < 4000; ++i) bytes += static_cast<char>(i * 31 % 256);
    EXPECT_EQ(message(bytes), "this is a file of bytes, not the text of a design");
}

TEST(Encoding, ABadByteIsOneFindingAndTheRestIsRead) {
    const std::string after = "\ndevice Q is SW\n";
    for (const std::string& bad :
         {std::string("\xFF"), std::string("\xC0\xAF"), std::string("\xED\xA0\x80"),
          std::string("\xC3"), std::string(1, '\0')}) {
        for (const std::string& line :
             {"a 1 # " + bad, "a \"" + bad + "\"", "a " + bad + " 3", "a b" + bad, bad + " a"}) {
            const Read read(line + after);
            ASSERT_EQ(read.tree.findings.size(), 1U) << line;
            EXPECT_EQ(read.tree.findings[0].rule, "syntax.encoding");
            EXPECT_EQ(read.tree.findings[0].span.begin, line.find(bad));
            EXPECT_NE(read.show().find("(declared (name Q))"), std::string::npos);
        }
    }
    EXPECT_EQ(Read("a 1\nb \xE2\x82").places(),
              (Places{"2:3 syntax.encoding"}));  // the last character cut
}

TEST(Hidden, CharactersAreOneWarningAFile) {
    const Read read("a \"x\u202Ey\u200B\" # \u2066\nb\u200B 1\n");
    ASSERT_GE(read.tree.findings.size(), 1U);
    EXPECT_EQ(read.tree.findings[0].rule, "syntax.hidden");
    EXPECT_EQ(read.tree.findings[0].severity, findings::Severity::warning);
    EXPECT_EQ(read.tree.findings[0].message,
              "U+202E stands here, and 3 more characters that cannot be seen");
    EXPECT_EQ(Read("# \u202A").places(), (Places{"1:3 syntax.hidden"}));
}

TEST(Blanks, OddOnesAreOneWarningAFileAndReadAsBlanks) {
    const Read read("a\u00A01\u00A0V\n\fb\u202F2\n");
    EXPECT_EQ(read.places(), (Places{"1:2 syntax.blank"}));
    EXPECT_EQ(read.show(),
              "(file (property (label a) (quantity (number 1) (unit V))) (property (label b) "
              "(number 2)))");
    EXPECT_EQ(read.edited(), "a 1 V\n b 2\n");
    EXPECT_TRUE(Read("a\t1\tV").tree.findings.empty());
}

TEST(LineEnds, AreAllRead) {
    const std::string tree =
        "(file (property (label a) (number 1)) (property (label b) (number 2)) (property (label c) "
        "(number 3)))";
    EXPECT_EQ(Read("a 1\nb 2\nc 3").show(), tree);
    EXPECT_EQ(Read("a 1\r\nb 2\r\nc 3\r\n").show(), tree);
    const Read returns("a 1\rb 2\rc 3\r");
    EXPECT_EQ(returns.show(), tree);
    EXPECT_EQ(returns.places(), (Places{"1:4 syntax.blank"}));
    EXPECT_EQ(Read("a 1\r\nb 2 ]\rc =").places(),
              (Places{"2:5 syntax.expected", "2:6 syntax.blank", "3:3 syntax.expected"}));
}

TEST(Names, FromAnywhereAreShownSafely) {
    const Read read("a \x1B]52;c;x\x07\n");
    ASSERT_FALSE(read.tree.findings.empty());
    for (const findings::Finding& f : read.tree.findings)
        EXPECT_EQ(f.message.find('\x1B'), std::string::npos);
}

}  // namespace
}  // namespace ferrule::syntax
