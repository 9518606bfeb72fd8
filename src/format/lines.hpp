// The lines of the tidy text before they are aligned: which tokens share a line, how far in it
// stands, what may be aligned in it, and the comment behind it.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "syntax/tree.hpp"
#include "text/source.hpp"

namespace ferrule::format {

// The form of a line: lines of one form that stand together are aligned piece by piece.
enum class Form : std::uint8_t { other, property, conductor, statement };

struct Line {
    Form form = Form::other;
    bool verbatim = false;            // the text as it stands in the file, with its own line ends
    std::uint32_t indent = 0;         // in blanks
    std::vector<std::string> pieces;  // joined by blanks; the first is the head
    std::string keys;                 // one letter a piece after the first: what it opens with
    std::string comment;              // with its `#`; alone on the line if there are no pieces

    [[nodiscard]] bool empty() const { return pieces.empty() && comment.empty(); }
};

[[nodiscard]] std::vector<Line> lines(const text::Sources& sources, const syntax::Tree& tree);

// The plain spelling of a unit or an `x`; anything else as it is.
[[nodiscard]] std::string plain(syntax::TokenKind kind, std::string_view text);

}  // namespace ferrule::format
