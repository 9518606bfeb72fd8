// Lines, columns, UTF-8 and what may be shown.
#include <gtest/gtest.h>

#include "text/source.hpp"

namespace ferrule::text {
namespace {

LineColumn at(const std::string& bytes, std::uint32_t offset) {
    return Source("f", bytes).at(offset);
}

void expect_at(const std::string& bytes, std::uint32_t offset, std::uint32_t line,
               std::uint32_t column) {
    const LineColumn place = at(bytes, offset);
    EXPECT_EQ(place.line, line) << offset;
    EXPECT_EQ(place.column, column) << offset;
}

TEST(Source, CountsLinesAndColumnsFromOne) {
    expect_at("ab\ncd\n", 0, 1, 1);
    expect_at("ab\ncd\n", 2, 1, 3);
    expect_at("ab\ncd\n", 3, 2, 1);
    expect_at("ab\ncd\n", 6, 3, 1);
    expect_at("ab\ncd\n", 99, 3, 1);
    expect_at("", 0, 1, 1);
    expect_at("\xEF\xBB\xBF" "ab", 3, 1, 1);  // a byte-order mark is no column
    expect_at("\xEF\xBB\xBF" "ab", 0, 1, 1);
}

TEST(Source, CountsCodePoints) {
    const std::string bytes = "\u00B5\u03A9 \xF0\x9F\x94\x8C x";  // two, two, one and four bytes
    expect_at(bytes, 2, 1, 2);
    expect_at(bytes, 4, 1, 3);
    expect_at(bytes, 9, 1, 5);
    expect_at(bytes, 10, 1, 6);
    expect_at(
        "\xFF\xFE"
        "a",
        2, 1, 3);
}

TEST(Source, KnowsEveryLineEnd) {
    const Source s("f", "a\r\nb\rc\n\nd");
    EXPECT_EQ(s.line_count(), 5U);
    EXPECT_EQ(s.line(1), "a");
    EXPECT_EQ(s.line(2), "b");
    EXPECT_EQ(s.line(3), "c");
    EXPECT_EQ(s.line(4), "");
    EXPECT_EQ(s.line(5), "d");
    EXPECT_EQ(s.line(6), "");
    EXPECT_EQ(s.line_begin(3), 5U);
    expect_at("a\r\nb", 3, 2, 1);
    expect_at("a\rb", 2, 2, 1);
}

TEST(Sources, KeepViewsValid) {
    Sources all;
    const FileId first = all.add("a", "text of the first");
    const std::string_view view = all[first].bytes();
    for (int i = 0; i < 100; ++i) all.add("b", std::string(100, 'b'));
    EXPECT_EQ(view, "text of the first");
    EXPECT_EQ(all.text({first, 8, 11}), "the");
    EXPECT_EQ(all.size(), 101U);
}

TEST(Utf8, FindsTheFirstBadByte) {
    const auto good = std::string_view::npos;
    EXPECT_EQ(first_bad_utf8(""), good);
    EXPECT_EQ(first_bad_utf8("plain text, long enough for a word at a time"), good);
    EXPECT_EQ(first_bad_utf8("\u00B5\u03A9\u2126\U0001F50C\xEF\xBF\xBD\xF4\x8F\xBF\xBF"), good);
    EXPECT_EQ(first_bad_utf8("0123456\x80"), 7U);
    EXPECT_EQ(first_bad_utf8(std::string_view("01234567\0", 9)), 8U);
    EXPECT_EQ(first_bad_utf8("a\xC0\xAF"), 1U);  // overlong
    EXPECT_EQ(first_bad_utf8("a\xE0\x80\xAF"), 1U);
    EXPECT_EQ(first_bad_utf8("a\xF0\x80\x80\xAF"), 1U);
    EXPECT_EQ(first_bad_utf8("a\xED\xA0\x80"), 1U);      // a surrogate
    EXPECT_EQ(first_bad_utf8("a\xF4\x90\x80\x80"), 1U);  // beyond U+10FFFF
    EXPECT_EQ(first_bad_utf8("ab\xE2\x82"), 2U);         // cut off
    EXPECT_EQ(first_bad_utf8("a\xC3z"), 1U);
}

TEST(Printable, ShowsWhatATerminalWouldObey) {
    EXPECT_EQ(printable("a \u00B5 \u03A9"), "a \u00B5 \u03A9");
    EXPECT_EQ(printable("a\tb"), "a b");
    EXPECT_EQ(printable("\x1B]52;c\x07"), "U+001B]52;cU+0007");
    EXPECT_EQ(printable("\u202Ex\u200B\u2066\uFEFF"), "U+202ExU+200BU+2066U+FEFF");
    EXPECT_EQ(printable("a\xFF\xC3"), "a\\xFF\\xC3");
    EXPECT_EQ(printable(std::string_view("\0\n\r\x7F", 4)), "U+0000U+000AU+000DU+007F");
    EXPECT_EQ(printable("\u0085"), "U+0085");
    EXPECT_EQ(printable("\U000E0041"), "U+0E0041");
}

}  // namespace
}  // namespace ferrule::text
