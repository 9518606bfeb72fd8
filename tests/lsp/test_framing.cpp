// Messages out of a stream that comes in pieces, or is broken.
#include <gtest/gtest.h>

#include "lsp/framing.hpp"

namespace {

using ferrule::lsp::framed;
using ferrule::lsp::Framing;

TEST(Framing, GivesWhatWasFramedHoweverItIsCut) {
    const std::string bytes = framed("{\"a\":1}") + framed("") + framed("Ω");
    for (std::size_t cut = 1; cut < bytes.size(); ++cut) {
        Framing f;
        std::vector<std::string> got;
        for (std::size_t at = 0; at < bytes.size(); at += cut) {
            f.feed(std::string_view(bytes).substr(at, cut));
            while (auto m = f.take()) got.push_back(m->trouble.empty() ? m->body : "trouble");
        }
        EXPECT_EQ(got, (std::vector<std::string>{"{\"a\":1}", "", "Ω"}));
    }
}

TEST(Framing, TakesOtherHeadersAndAnyCase) {
    Framing f;
    f.feed("Content-Type: application/vscode-jsonrpc; charset=utf-8\r\ncontent-length: 2\r\n\r\n{}");
    EXPECT_EQ(f.take()->body, "{}");
}

TEST(Framing, GoesOnAfterAHeaderThatIsNone) {
    Framing f;
    f.feed("Content-Length: many\r\n\r\nContent-Length: -3\r\n\r\nnothing here\r\n\r\n" + framed("{}"));
    for (int i = 0; i < 3; ++i) EXPECT_FALSE(f.take()->trouble.empty());
    EXPECT_EQ(f.take()->body, "{}");
    EXPECT_FALSE(f.take());
}

TEST(Framing, EndsALineThatNeverEnds) {
    Framing f;
    f.feed(std::string(100000, 'x'));
    EXPECT_FALSE(f.take()->trouble.empty());
    f.feed("\n\n" + framed("{}"));
    std::string last;
    while (auto m = f.take()) last = m->body;
    EXPECT_EQ(last, "{}");
}

TEST(Framing, SkipsWhatIsTooLong) {
    Framing f;
    f.feed("Content-Length: 99999999999\r\n\r\n");
    EXPECT_FALSE(f.take()->trouble.empty());
    f.feed(std::string(1000, 'x'));
    EXPECT_FALSE(f.take());
}

}  // namespace
