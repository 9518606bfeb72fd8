#include "syntax/first_look.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>

#include "base/limits.hpp"

namespace ferrule::syntax {

using findings::Finding;
using findings::Severity;

namespace {

struct Magic {
    std::string_view bytes, what;
};
// First bytes: RFC 1952 (gzip); the rest from the formats' own descriptions, from memory.
constexpr Magic magics[] = {
    {"\x1F\x8B", "a gzip archive"},
    {"PK\x03\x04", "a zip archive or an office document"},
    {"PK\x05\x06", "a zip archive"},
    {"%PDF-", "a PDF document"},
    {"BZh", "a bzip2 archive"},
    {"\xFD"
     "7zXZ",
     "an xz archive"},
    {"7z\xBC\xAF\x27\x1C", "a 7z archive"},
    {"\x28\xB5\x2F\xFD", "a zstd archive"},
    {"\x89PNG", "a picture (PNG)"},
    {"\xFF\xD8\xFF", "a picture (JPEG)"},
    {"\x7F"
     "ELF",
     "a program"},
    {"\xD0\xCF\x11\xE0", "an office document"},
};

constexpr std::size_t looked_at = 4096;

Finding encoding(text::FileId file, std::size_t begin, std::size_t end, std::string message,
                 std::string remedy) {
    Finding f;
    f.rule = "syntax.encoding";
    f.message = std::move(message);
    f.span = {file, static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(end)};
    f.remedy = std::move(remedy);
    return f;
}

bool is_control(char c) {
    const auto b = static_cast<unsigned char>(c);
    return (b < 0x20U && b != '\t' && b != '\n' && b != '\r' && b != '\f' && b != '\v' &&
            b != 0x1BU) ||
           b == 0x7FU;
}

bool is_ascii(std::string_view bytes) {
    unsigned char seen = 0;  // no early way out: so the loop takes many bytes at a time
    for (const char c : bytes) seen |= static_cast<unsigned char>(c);
    return seen < 0x80U;
}

// UTF-16 without a mark: every other byte of its start is NUL.
bool looks_utf16(std::string_view head) {
    if (head.size() < 4) return false;
    std::size_t zeros[2] = {0, 0};
    for (std::size_t i = 0; i < head.size(); ++i)
        if (head[i] == 0) ++zeros[i % 2];
    const std::size_t most = std::max(zeros[0], zeros[1]);
    const std::size_t least = std::min(zeros[0], zeros[1]);
    return most * 3 >= head.size() && least * 20 <= head.size();
}

// Something that is no text; what it is, or "".
std::string_view no_text(std::string_view bytes) {
    for (const Magic& m : magics)
        if (bytes.starts_with(m.bytes)) return m.what;
    const std::string_view head = bytes.substr(0, looked_at);
    const auto controls =
        static_cast<std::size_t>(std::count_if(head.begin(), head.end(), is_control));
    return controls >= 4 && controls * 16 >= head.size() ? "a file of bytes" : "";
}

// Characters with no shape of their own, or that turn the text around: Unicode's bidirectional
// controls and zero-width marks.
std::size_t hidden_size(std::string_view rest) {
    const auto at = [rest](std::size_t i) {
        return i < rest.size() ? static_cast<unsigned char>(rest[i]) : 0U;
    };
    if (at(0) == 0xE2U && at(1) == 0x80U &&
        ((at(2) >= 0x8BU && at(2) <= 0x8FU) || (at(2) >= 0xA8U && at(2) <= 0xAEU)))
        return 3;
    if (at(0) == 0xE2U && at(1) == 0x81U && at(2) >= 0xA0U && at(2) <= 0xAFU) return 3;
    if (at(0) == 0xEFU && at(1) == 0xBBU && at(2) == 0xBFU) return 3;
    if ((at(0) == 0xD8U && at(1) == 0x9CU) ||
        (at(0) == 0xC2U && (at(1) == 0xADU || at(1) == 0x85U)))
        return 2;
    return 0;
}

void look_for_hidden(std::string_view bytes, text::FileId file, FirstLook& look) {
    std::size_t count = 0;
    Finding f;
    for (std::size_t i = bytes.starts_with("\xEF\xBB\xBF") ? 3 : 0; i < bytes.size();) {
        const std::size_t size =
            static_cast<unsigned char>(bytes[i]) < 0x80U ? 0 : hidden_size(bytes.substr(i));
        if (size == 0) {
            ++i;
            continue;
        }
        if (count++ == 0) {
            f = encoding(file, i, i + size, text::printable(bytes.substr(i, size)),
                         "take it away: what is read and what is seen must be the same");
        }
        i += size;
    }
    if (count == 0) return;
    f.rule = "syntax.hidden";
    f.severity = Severity::warning;
    f.message = count == 1
                    ? fmt::format("{} stands here: a character that cannot be seen", f.message)
                    : fmt::format("{} stands here, and {} more characters that cannot be seen",
                                  f.message, count - 1);
    look.findings.push_back(std::move(f));
}

void look_for_long_lines(std::string_view bytes, text::FileId file, FirstLook& look) {
    constexpr std::size_t most = base::limits::line_bytes;
    std::size_t line = 0;
    while (bytes.size() - line > most) {
        // The last line end within reach of this line: if there is one, no line up to it is too
        // long.
        const std::size_t last = bytes.substr(line, most + 1).find_last_of("\n\r");
        if (last != std::string_view::npos) {
            line += last + 1;
            continue;
        }
        const std::size_t end = std::min(bytes.find_first_of("\n\r", line), bytes.size());
        Finding f =
            encoding(file, line, end,
                     fmt::format("this line has {} bytes; a line of more than {} is not read",
                                 end - line, most),
                     "break it after commas, or into several statements");
        f.rule = "syntax.limit";
        look.long_lines.push_back(f.span);
        look.findings.push_back(std::move(f));
        line = end;
    }
}

}  // namespace

FirstLook first_look(std::string_view bytes, text::FileId file) {
    FirstLook look;
    const bool utf16 = bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF") ||
                       looks_utf16(bytes.substr(0, looked_at));
    const std::string_view other = utf16 ? "" : no_text(bytes);
    if (utf16 || !other.empty()) {
        look.readable = false;
        look.findings.push_back(
            utf16 ? encoding(file, 0, std::min<std::size_t>(2, bytes.size()),
                             "this file is written in UTF-16; a design is written in UTF-8",
                             "save it as UTF-8 (in an editor: save with encoding, UTF-8)")
                  : encoding(file, 0, 1, fmt::format("this is {}, not the text of a design", other),
                             "give the design file itself"));
        return look;
    }
    if (const std::size_t bad = text::first_bad_utf8(bytes); bad != std::string_view::npos) {
        look.bad_encoding = true;
        look.findings.push_back(
            encoding(file, bad, bad + 1,
                     bytes[bad] == 0 ? "a NUL byte stands here; it belongs to no text"
                                     : fmt::format("the byte {} belongs to no character of UTF-8",
                                                   text::printable(bytes.substr(bad, 1))),
                     "save the file as UTF-8"));
    }
    if (!is_ascii(bytes)) look_for_hidden(bytes, file, look);
    look_for_long_lines(bytes, file, look);
    return look;
}

}  // namespace ferrule::syntax
