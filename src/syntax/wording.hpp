// How a mistake in the text is put into words: what was expected, what stands there, what to write
// instead.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "findings/finding.hpp"
#include "syntax/builder.hpp"

namespace ferrule::syntax {

// What stands at a place: a word, a sign, or the end of the line or of the file. Blanks before it
// are passed over.
struct Stands {
    enum class Kind : std::uint8_t { word, quote, sign, line_end, file_end, broken_byte };
    Kind kind = Kind::sign;
    std::uint32_t begin = 0, end = 0;
    std::string text;  // "`is`", "the end of the line"
};
[[nodiscard]] Stands what_stands(std::string_view bytes, std::uint32_t at);

// Where the next quotation mark on the line begins, plain or not, and its bytes; 0 bytes: there is none.
[[nodiscard]] std::pair<std::uint32_t, std::uint32_t> next_quote(std::string_view bytes, std::uint32_t at);

struct Wording {
    std::string_view rule;
    std::string message;
    std::uint32_t begin = 0, end = 0;
    std::string remedy;
    std::vector<findings::Edit> edits;
    bool broken_byte = false;  // what stands there is no UTF-8
};
struct Where {
    std::string_view bytes;
    text::FileId file;
    std::uint32_t statement;  // where the statement begins
};
[[nodiscard]] Wording word_missing(const Where& where, const Expectation& expected,
                                   std::uint32_t at);

}  // namespace ferrule::syntax
