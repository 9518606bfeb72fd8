#include "lsp/position.hpp"

#include <algorithm>

#include "text/source.hpp"

namespace ferrule::lsp {

namespace {

// Bytes of the character that begins with this one; a stray byte counts as a character.
std::uint32_t width(std::string_view text, std::size_t at) {
    const auto lead = static_cast<unsigned char>(text[at]);
    std::uint32_t n = lead < 0x80U ? 1 : lead >= 0xF0U ? 4 : lead >= 0xE0U ? 3 : lead >= 0xC0U ? 2 : 1;
    for (std::uint32_t i = 1; i < n; ++i) {
        if (at + i >= text.size() || (static_cast<unsigned char>(text[at + i]) & 0xC0U) != 0x80U) return 1;
    }
    return n;
}

std::uint32_t units_of(std::uint32_t bytes, Encoding encoding) {
    switch (encoding) {
        case Encoding::utf8: return bytes;
        case Encoding::utf16: return bytes == 4 ? 2 : 1;
        case Encoding::utf32: break;
    }
    return 1;
}

}  // namespace

Lines::Lines(std::string_view text, Encoding encoding) : text_(text), encoding_(encoding), begins_(text::line_starts(text)) {}

Position Lines::position(std::uint32_t offset) const {
    offset = std::min<std::uint32_t>(offset, static_cast<std::uint32_t>(text_.size()));
    const auto line = static_cast<std::uint32_t>(std::upper_bound(begins_.begin(), begins_.end(), offset) - begins_.begin() - 1);
    return {line, units(text_.substr(begins_[line], offset - begins_[line]), encoding_)};
}

std::uint32_t Lines::offset(Position p) const {
    if (p.line >= begins_.size()) return static_cast<std::uint32_t>(text_.size());
    std::size_t at = begins_[p.line];
    std::size_t end = begin(p.line + 1);
    while (end > at && (text_[end - 1] == '\n' || text_[end - 1] == '\r')) --end;
    std::uint32_t left = p.character;
    while (at < end && left > 0) {
        const std::uint32_t bytes = width(text_, at), n = units_of(bytes, encoding_);
        if (encoding_ == Encoding::utf8 && left < bytes) break;  // inside a character: its beginning
        if (n > left) break;
        left -= n;
        at += bytes;
    }
    return static_cast<std::uint32_t>(at);
}

std::uint32_t units(std::string_view text, Encoding encoding) {
    if (encoding == Encoding::utf8) return static_cast<std::uint32_t>(text.size());
    std::uint32_t n = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::uint32_t bytes = width(text, at);
        n += units_of(bytes, encoding);
        at += bytes;
    }
    return n;
}

}  // namespace ferrule::lsp
