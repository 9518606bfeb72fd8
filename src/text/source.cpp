#include "text/source.hpp"

#include <algorithm>
#include <cstring>
#include <utility>

namespace ferrule::text {

namespace {

bool is_continuation(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

// The bytes of the UTF-8 sequence that begins here; 0 if none does. NUL counts as none.
std::size_t sequence(std::string_view bytes, std::size_t at) {
    const auto lead = static_cast<unsigned char>(bytes[at]);
    if (lead < 0x80U) return lead == 0 ? 0 : 1;
    const std::size_t size = lead < 0xC2U   ? 0U
                             : lead < 0xE0U ? 2U
                             : lead < 0xF0U ? 3U
                             : lead < 0xF5U ? 4U
                                            : 0U;
    if (size == 0 || at + size > bytes.size()) return 0;
    for (std::size_t i = 1; i < size; ++i)
        if (!is_continuation(bytes[at + i])) return 0;
    const auto second = static_cast<unsigned char>(bytes[at + 1]);
    const bool overlong = (lead == 0xE0U && second < 0xA0U) || (lead == 0xF0U && second < 0x90U);
    const bool surrogate = lead == 0xEDU && second >= 0xA0U;
    const bool beyond = lead == 0xF4U && second >= 0x90U;
    return overlong || surrogate || beyond ? 0 : size;
}

std::uint32_t code_point(std::string_view bytes, std::size_t at, std::size_t size) {
    const auto lead = static_cast<unsigned char>(bytes[at]);
    std::uint32_t c = size == 1 ? lead : lead & (0xFFU >> (size + 1U));
    for (std::size_t i = 1; i < size; ++i)
        c = c << 6U | (static_cast<unsigned char>(bytes[at + i]) & 0x3FU);
    return c;
}

// What a terminal or a reader could be misled by: it has no shape of its own, or it turns the text
// around.
bool hidden(std::uint32_t c) {
    return c < 0x20U || (c >= 0x7FU && c < 0xA0U) || c == 0xADU || c == 0x61CU || c == 0x180EU ||
           (c >= 0x200BU && c <= 0x200FU) || (c >= 0x2028U && c <= 0x202EU) ||
           (c >= 0x2060U && c <= 0x206FU) || c == 0xFEFFU || (c >= 0xFFF9U && c <= 0xFFFBU) ||
           (c >= 0xE0000U && c <= 0xE007FU);
}

void append_hex(std::string& out, std::uint32_t value, int digits) {
    for (int shift = (digits - 1) * 4; shift >= 0; shift -= 4)
        out += "0123456789ABCDEF"[value >> static_cast<unsigned>(shift) & 0xFU];
}

}  // namespace

std::vector<std::uint32_t> line_starts(std::string_view text) {
    std::vector<std::uint32_t> starts{0};
    const char* const base = text.data();
    const char* const end = base + text.size();
    if (text.empty()) return starts;
    const bool returns = std::memchr(base, '\r', text.size()) != nullptr;
    if (!returns) {
        const char* at = base;
        while (at != end) {
            at = static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(end - at)));
            if (at == nullptr) break;
            starts.push_back(static_cast<std::uint32_t>(++at - base));
        }
        return starts;
    }
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool lone = text[i] == '\r' && (i + 1 == text.size() || text[i + 1] != '\n');
        if (text[i] == '\n' || lone) starts.push_back(static_cast<std::uint32_t>(i + 1));
    }
    return starts;
}

void Source::index() const { line_starts_ = text::line_starts(bytes_); }

std::uint32_t Source::line_count() const {
    if (line_starts_.empty()) index();
    return static_cast<std::uint32_t>(line_starts_.size());
}

std::uint32_t Source::line_begin(std::uint32_t number) const {
    const std::uint32_t count = line_count();
    return line_starts_[std::clamp<std::uint32_t>(number, 1, count) - 1];
}

std::string_view Source::line(std::uint32_t number) const {
    if (number == 0 || number > line_count()) return {};
    const std::uint32_t begin = line_starts_[number - 1];
    const std::size_t end = number < line_starts_.size() ? line_starts_[number] : bytes_.size();
    std::string_view line = std::string_view(bytes_).substr(begin, end - begin);
    if (!line.empty() && line.back() == '\n') line.remove_suffix(1);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    return line;
}

std::string Source::replace(std::string bytes) {
    line_starts_.clear();
    return std::exchange(bytes_, std::move(bytes));
}

LineColumn Source::at(std::uint32_t offset) const {
    if (line_starts_.empty()) index();
    const auto place = std::min<std::size_t>(offset, bytes_.size());
    const auto next = std::upper_bound(line_starts_.begin(), line_starts_.end(),
                                       static_cast<std::uint32_t>(place));
    LineColumn result{static_cast<std::uint32_t>(next - line_starts_.begin()), 1};
    std::size_t i = *(next - 1);
    if (i == 0 && bytes_.starts_with("\xEF\xBB\xBF")) i = 3;  // a byte-order mark stands before the text
    while (i < place) {
        const std::size_t size = sequence(bytes_, i);
        i += size == 0 ? 1 : size;
        if (i <= place) ++result.column;
    }
    return result;
}

FileId Sources::add(std::string path, std::string bytes) {
    files_.emplace_back(std::move(path), std::move(bytes));
    return FileId(files_.size() - 1);
}

std::size_t first_bad_utf8(std::string_view bytes) {
    std::size_t at = 0;
    while (at < bytes.size()) {
        // Eight bytes of plain ASCII without a NUL at a time.
        while (at + 8 <= bytes.size()) {
            std::uint64_t word = 0;
            std::memcpy(&word, bytes.data() + at, 8);
            const std::uint64_t high = word & 0x8080808080808080ULL;
            const std::uint64_t zero =
                (word - 0x0101010101010101ULL) & ~word & 0x8080808080808080ULL;
            if ((high | zero) != 0) break;
            at += 8;
        }
        if (at == bytes.size()) break;
        const std::size_t size = sequence(bytes, at);
        if (size == 0) return at;
        at += size;
    }
    return std::string_view::npos;
}

std::string printable(std::string_view bytes) {
    std::string out;
    out.reserve(bytes.size());
    for (std::size_t at = 0; at < bytes.size();) {
        if (bytes[at] == '\t') {
            out += ' ';
            ++at;
            continue;
        }
        const std::size_t size = bytes[at] == 0 ? 1 : sequence(bytes, at);
        if (size == 0) {
            out += "\\x";
            append_hex(out, static_cast<unsigned char>(bytes[at]), 2);
            ++at;
            continue;
        }
        const std::uint32_t c = code_point(bytes, at, size);
        if (hidden(c)) {
            out += "U+";
            append_hex(out, c, c > 0xFFFFU ? 6 : 4);
        } else {
            out.append(bytes.substr(at, size));
        }
        at += size;
    }
    return out;
}

}  // namespace ferrule::text
