// The one place where bytes become the lines and characters of the protocol, and back. Characters are UTF-16 units unless the
// client agreed to UTF-8 or UTF-32. What lies outside the text is brought to its nearest place, as the protocol asks.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

namespace ferrule::lsp {

enum class Encoding : std::uint8_t { utf8, utf16, utf32 };

struct Position {
    std::uint32_t line = 0, character = 0;  // from 0
    friend bool operator==(const Position&, const Position&) = default;
};

// The lines of one text. Keeps a view: the text must outlive it.
class Lines {
public:
    Lines(std::string_view text, Encoding encoding);
    [[nodiscard]] Position position(std::uint32_t offset) const;
    [[nodiscard]] std::uint32_t offset(Position p) const;
    [[nodiscard]] std::uint32_t begin(std::uint32_t line) const { return line < begins_.size() ? begins_[line] : static_cast<std::uint32_t>(text_.size()); }
    [[nodiscard]] std::uint32_t count() const { return static_cast<std::uint32_t>(begins_.size()); }

private:
    std::string_view text_;
    Encoding encoding_;
    std::vector<std::uint32_t> begins_;
};

// How many units a piece of text has.
[[nodiscard]] std::uint32_t units(std::string_view text, Encoding encoding);

}  // namespace ferrule::lsp
