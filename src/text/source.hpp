// The text of the files read, and places in it. A place is two byte offsets and a file; line and column are
// worked out only when somebody looks (keeping them while parsing costs several times the parse).
#pragma once

#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/ids.hpp"

namespace ferrule::text {

using FileId = base::Id<struct FileTag>;

struct Span {
    FileId file;
    std::uint32_t begin = 0;
    std::uint32_t end = 0;
    friend bool operator==(const Span&, const Span&) = default;
    friend auto operator<=>(const Span&, const Span&) = default;
    explicit operator bool() const { return static_cast<bool>(file); }
};

// Both count from 1; columns are Unicode code points. Bytes that are no UTF-8 count one column each.
struct LineColumn {
    std::uint32_t line = 1;
    std::uint32_t column = 1;
};

class Source {
public:
    Source(std::string path, std::string bytes) : path_(std::move(path)), bytes_(std::move(bytes)) {}
    [[nodiscard]] const std::string& path() const { return path_; }   // as the user named it
    [[nodiscard]] std::string_view bytes() const { return bytes_; }
    [[nodiscard]] LineColumn at(std::uint32_t offset) const;          // O(log lines + line length)
    [[nodiscard]] std::string_view line(std::uint32_t number) const;  // without its line ending
    [[nodiscard]] std::uint32_t line_begin(std::uint32_t number) const;
    [[nodiscard]] std::uint32_t line_count() const;
    std::string replace(std::string bytes);  // what it was before

private:
    void index() const;
    std::string path_;
    std::string bytes_;
    mutable std::vector<std::uint32_t> line_starts_;  // filled at the first question
};

// All files of one run. Sources never move, so views into their bytes stay valid.
class Sources {
public:
    FileId add(std::string path, std::string bytes);
    // The file has another text from here on; its text so far. No view into that may be in use but that which is given back.
    [[nodiscard]] std::string replace(FileId id, std::string bytes) { return files_[id.value].replace(std::move(bytes)); }
    [[nodiscard]] const Source& operator[](FileId id) const { return files_[id.value]; }
    [[nodiscard]] std::size_t size() const { return files_.size(); }
    [[nodiscard]] std::string_view text(Span s) const { return files_[s.file.value].bytes().substr(s.begin, s.end - s.begin); }

private:
    std::deque<Source> files_;
};

// Where each line begins; a line ends at LF, CR LF or a CR alone.
[[nodiscard]] std::vector<std::uint32_t> line_starts(std::string_view text);

// Where the first byte sequence that is not UTF-8 begins, or npos. Overlong forms, surrogates and NUL count as errors.
[[nodiscard]] std::size_t first_bad_utf8(std::string_view bytes);

// The text with everything a terminal could obey made visible: control characters, bidirectional and
// zero-width characters as U+XXXX, bytes that are no UTF-8 as \xNN. Tabs become a blank.
[[nodiscard]] std::string printable(std::string_view bytes);

}  // namespace ferrule::text
