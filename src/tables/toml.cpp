#include "tables/toml.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <optional>
#include <toml++/toml.h>

#include "base/limits.hpp"

namespace ferrule::tables {

namespace {

constexpr std::string_view rule_name = "settings.toml";

findings::Finding complaint(text::Span where, std::string message) {
    findings::Finding f;
    f.rule = rule_name;
    f.message = std::move(message);
    f.span = where;
    return f;
}

// ---- the guard ------------------------------------------------------------------------------------------------

// Past the string that starts at `i`; to the end of the text if it is never closed.
std::size_t skip_string(std::string_view s, std::size_t i) {
    const char quote = s[i];
    const std::string three(3, quote);
    const bool is_long = s.substr(i, 3) == three;
    std::size_t at = i + (is_long ? 3 : 1);
    while (at < s.size()) {
        if (s[at] == '\\' && quote == '"') {
            at += 2;
        } else if (is_long ? s.substr(at, 3) == three : s[at] == quote) {
            at += is_long ? 3 : 1;
            while (is_long && at < s.size() && s[at] == quote) ++at;  // up to two more quotes belong to the text
            return at;
        } else if (!is_long && s[at] == '\n') {
            return at;
        } else {
            ++at;
        }
    }
    return s.size();
}

// Where a dotted key gets its first part too many. The library recurses once a part and runs out of stack at some
// tens of thousands of them, so they are counted before it sees the text.
std::optional<std::size_t> too_many_key_parts(std::string_view s) {
    std::size_t dots = 0;
    for (std::size_t i = 0; i < s.size();) {
        const char c = s[i];
        if (c == '#') {
            i = std::min(s.find('\n', i), s.size());
            continue;
        }
        if (c == '"' || c == '\'') {
            i = skip_string(s, i);
            continue;
        }
        if (c == '.') {
            if (++dots >= base::limits::toml_key_parts) return i;
        } else if (c == '\n' || c == '=' || c == ',' || c == '{' || c == '}' || c == '[' || c == ']') {
            dots = 0;
        }
        ++i;
    }
    return std::nullopt;
}

// ---- places -----------------------------------------------------------------------------------------------------

// The library counts lines and, within a line, code points from 1; the program counts bytes of the file.
class Places {
public:
    Places(std::string_view bytes, text::FileId file) : bytes_(bytes), file_(file) {
        const bool marked = bytes.substr(0, 3) == "\xEF\xBB\xBF";  // the library does not count the byte order mark
        line_begins_.push_back(marked ? 3 : 0);
        for (std::size_t i = 0; i < bytes.size(); ++i) {
            if (bytes[i] == '\n') line_begins_.push_back(static_cast<std::uint32_t>(i + 1));
        }
    }
    [[nodiscard]] text::Span span(const toml::source_region& region) const {
        const std::uint32_t begin = offset(region.begin);
        return {file_, begin, std::max(begin, offset(region.end))};
    }

private:
    [[nodiscard]] std::uint32_t offset(toml::source_position at) const {
        const std::size_t size = bytes_.size();
        if (at.line < 1 || at.column < 1) return 0;
        if (at.line > line_begins_.size()) return static_cast<std::uint32_t>(size);
        std::size_t i = line_begins_[at.line - 1];
        for (toml::source_index column = 1; column < at.column && i < size && bytes_[i] != '\n'; ++column) {
            ++i;
            while (i < size && (static_cast<unsigned char>(bytes_[i]) & 0xC0U) == 0x80U) ++i;
        }
        return static_cast<std::uint32_t>(i);
    }

    std::string_view bytes_;
    text::FileId file_;
    std::vector<std::uint32_t> line_begins_;
};

// ---- values -----------------------------------------------------------------------------------------------------

class Reader {
public:
    Reader(std::string_view bytes, text::FileId file) : bytes_(bytes), places_(bytes, file) {}

    [[nodiscard]] const Places& places() const { return places_; }

    [[nodiscard]] Value value(const toml::node& node) const {
        Value v;
        v.span = places_.span(node.source());
        if (const toml::table* t = node.as_table()) {
            v.kind = Value::Kind::table;
            for (const auto& [key, child] : *t) {
                Value one = value(child);
                one.key_span = places_.span(key.source());
                v.entries.push_back({std::string(key.str()), std::move(one)});
            }
            // The library sorts by name; people order by meaning.
            std::stable_sort(v.entries.begin(), v.entries.end(),
                             [](const Member& a, const Member& b) { return a.value.key_span.begin < b.value.key_span.begin; });
        } else if (const toml::array* a = node.as_array()) {
            v.kind = Value::Kind::list;
            for (const toml::node& child : *a) v.items.push_back(value(child));
        } else if (const auto* text = node.as_string()) {
            v.kind = Value::Kind::text;
            v.text = text->get();
        } else if (const auto* whole = node.as_integer()) {
            v.kind = Value::Kind::number;
            v.number = static_cast<double>(whole->get());
            v.whole = true;
        } else if (const auto* real = node.as_floating_point()) {
            v.kind = Value::Kind::number;
            v.number = real->get();
        } else if (const auto* flag = node.as_boolean()) {
            v.kind = Value::Kind::flag;
            v.flag = flag->get();
        } else {  // dates and times: as written
            v.kind = Value::Kind::text;
            v.text = bytes_.substr(v.span.begin, v.span.end - v.span.begin);
        }
        return v;
    }

private:
    std::string_view bytes_;
    Places places_;
};

// The library's sentence in the program's voice: lower case, no full stop.
std::string in_our_voice(std::string_view description) {
    std::string s(description);
    while (!s.empty() && s.back() == '.') s.pop_back();
    if (!s.empty()) s.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(s.front())));
    return s;
}

}  // namespace

TomlFile read_toml(const text::Sources& sources, text::FileId file) {
    const std::string_view bytes = sources[file].bytes();
    TomlFile result;
    result.root.kind = Value::Kind::table;
    result.root.span = {file, 0, 0};
    if (const auto at = too_many_key_parts(bytes)) {
        const auto begin = static_cast<std::uint32_t>(*at);
        result.findings.push_back(complaint({file, begin, begin + 1},
                                            fmt::format("a key of more than {} parts", base::limits::toml_key_parts)));
        return result;
    }
    const Reader reader(bytes, file);
    try {
        const toml::table table = toml::parse(bytes);
        result.root = reader.value(table);
    } catch (const toml::parse_error& error) {
        result.findings.push_back(complaint(reader.places().span(error.source()), in_our_voice(error.description())));
    } catch (const std::exception& error) {
        result.findings.push_back(complaint({file, 0, 0}, in_our_voice(error.what())));
    }
    return result;
}

const Value* Value::find(std::string_view key) const {
    for (const Member& m : entries) {
        if (m.key == key) return &m.value;
    }
    return nullptr;
}

std::string_view Value::string(std::string_view key) const {
    const Value* v = find(key);
    return v != nullptr && v->kind == Kind::text ? std::string_view(v->text) : std::string_view();
}

bool Value::is(std::string_view key) const {
    const Value* v = find(key);
    return v != nullptr && v->kind == Kind::flag && v->flag;
}

std::uint32_t Value::content_begin(const text::Sources& sources) const {
    if (!span) return span.begin;
    const std::string_view bytes = sources[span.file].bytes();
    std::uint32_t at = span.begin;
    if (kind != Kind::text || at >= bytes.size() || (bytes[at] != '"' && bytes[at] != '\'')) return at;
    const std::string three(3, bytes[at]);
    if (bytes.substr(at, 3) != three) return at + 1;
    at += 3;
    if (bytes.substr(at, 2) == "\r\n") return at + 2;
    return at < bytes.size() && bytes[at] == '\n' ? at + 1 : at;
}

}  // namespace ferrule::tables
