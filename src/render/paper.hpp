// Lines for a person: labelled, wrapped, safe to print. Everything that came from a file goes through
// text::printable, so nothing in a design can steer a terminal. Plain text that also reads well aloud.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace ferrule::render {

enum class Ink : std::uint8_t { plain, strong, faint, red, yellow, blue, green };

class Paper {
public:
    static constexpr std::size_t label_width = 10;  // "undecided "
    static constexpr std::size_t width = 100;       // code points a line

    explicit Paper(bool colour) : colour_(colour) {}

    // The text in that ink; unchanged without colour. It must be printable already.
    [[nodiscard]] std::string inked(Ink ink, std::string_view text) const;

    // "    label     body", the body wrapped at blanks and hung under itself. An empty label continues the one above.
    void labelled(std::string_view label, std::string_view body, std::size_t indent = 4);
    // The same, the body as it stands: already printable, perhaps inked, never wrapped.
    void labelled_raw(std::string_view label, std::string_view body, std::size_t indent = 4);
    void line(std::string_view raw = {});
    // A paragraph of prose, wrapped; its blank lines stay.
    void prose(std::string_view text, std::size_t indent = 0);
    // Lines kept as they are (an example of the language), indented.
    void verbatim(std::string_view text, std::size_t indent = 4);

    [[nodiscard]] const std::string& text() const { return out_; }
    [[nodiscard]] std::string take() { return std::move(out_); }

private:
    void wrapped(std::string_view text, std::size_t first_used, std::size_t indent);
    bool colour_;
    std::string out_;
};

// Code points of a text that is UTF-8.
[[nodiscard]] std::size_t length(std::string_view utf8);
// "1 error", "2 errors"; for words whose plural is an s.
[[nodiscard]] std::string counted(std::size_t n, std::string_view noun);

}  // namespace ferrule::render
