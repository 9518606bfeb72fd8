// Lines and characters of the protocol against bytes, with everything a design may hold: µ, °, Ω, CJK, an emoji; CR LF.
#include <gtest/gtest.h>

#include "lsp/position.hpp"
#include "lsp/uri.hpp"

namespace {

using ferrule::lsp::Encoding;
using ferrule::lsp::Lines;
using ferrule::lsp::Position;

const std::string mixed = "# 5 µF 🌞 Ω 温\r\nnext\n\nlast °C";

TEST(Positions, CountTheUnitsOfTheEncoding) {
    const auto omega = static_cast<std::uint32_t>(mixed.find("Ω"));
    EXPECT_EQ(Lines(mixed, Encoding::utf16).position(omega), (Position{0, 10}));  // the emoji counts two
    EXPECT_EQ(Lines(mixed, Encoding::utf32).position(omega), (Position{0, 9}));
    EXPECT_EQ(Lines(mixed, Encoding::utf8).position(omega), (Position{0, omega}));
    const auto last = static_cast<std::uint32_t>(mixed.find("°C"));
    EXPECT_EQ(Lines(mixed, Encoding::utf16).position(last), (Position{3, 5}));
}

TEST(Positions, ComeBack) {
    for (const Encoding e : {Encoding::utf8, Encoding::utf16, Encoding::utf32}) {
        const Lines lines(mixed, e);
        for (std::uint32_t i = 0; i <= mixed.size(); ++i) {
            if (i < mixed.size() && (static_cast<unsigned char>(mixed[i]) & 0xC0U) == 0x80U) continue;
            if (i < mixed.size() && mixed[i] == '\n' && mixed[i - 1] == '\r') continue;  // between CR and LF no cursor stands
            EXPECT_EQ(lines.offset(lines.position(i)), i);
        }
    }
}

TEST(Positions, OutsideTheTextAreBroughtIn) {
    const Lines lines(mixed, Encoding::utf16);
    EXPECT_EQ(lines.offset({0, 9999}), mixed.find('\r'));
    EXPECT_EQ(lines.offset({99, 0}), mixed.size());
    EXPECT_EQ(lines.offset({2, 5}), mixed.find("last") - 1);
    // Inside a pair of units: the character's beginning.
    const auto sun = static_cast<std::uint32_t>(mixed.find("🌞"));
    EXPECT_EQ(lines.offset({0, lines.position(sun).character + 1}), sun);
    EXPECT_EQ(Lines("", Encoding::utf16).offset({0, 3}), 0U);
}

TEST(Addresses, GoBothWays) {
    using ferrule::lsp::path_of;
    using ferrule::lsp::uri_of;
    EXPECT_EQ(uri_of("/a b/ü#1.fer"), "file:///a%20b/%C3%BC%231.fer");
    EXPECT_EQ(path_of("file:///a%20b/%C3%BC%231.fer"), "/a b/ü#1.fer");
    EXPECT_EQ(path_of("file:///c%3A/x.fer"), "/c:/x.fer");
    EXPECT_EQ(path_of("untitled:Untitled-1"), "untitled:Untitled-1");
    EXPECT_EQ(uri_of("untitled:Untitled-1"), "untitled:Untitled-1");
    EXPECT_EQ(path_of("file:///%zz%4"), "/%zz%4");
}

}  // namespace
