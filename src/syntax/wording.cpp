#include "syntax/wording.hpp"

#include <fmt/format.h>

#include <cctype>
#include <optional>

#include "syntax/bytes.hpp"
#include "text/source.hpp"

namespace ferrule::syntax {

namespace {

using Kind = Stands::Kind;

constexpr std::size_t shown_bytes = 40;

bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool is_wide_word_byte(char c) {
    return is_letter(c) || is_digit(c) || c == '_' || c == '-' || c == '+' || c == '/' ||
           static_cast<unsigned char>(c) >= 0xC3U;
}
bool is_line_end(char c) {
    return c == '\n' || c == '\r';
}

// How many bytes the blank here has; 0 if none stands here.
std::size_t blank_size(std::string_view rest) {
    if (rest.empty()) return 0;
    if (rest[0] == ' ' || rest[0] == '\t' || rest[0] == '\f' || rest[0] == '\v') return 1;
    if (rest.starts_with("\u00A0")) return 2;
    return rest.starts_with("\u2007") || rest.starts_with("\u202F") ? 3 : 0;
}

std::uint32_t past_blanks(std::string_view bytes, std::uint32_t at) {
    while (const std::size_t size = blank_size(bytes.substr(at)))
        at += static_cast<std::uint32_t>(size);
    return at;
}

// The bytes of the character that begins here; 0 if it is no UTF-8.
std::size_t character_size(std::string_view rest) {
    const auto lead = static_cast<unsigned char>(rest[0]);
    const std::size_t size = lead < 0x80U ? 1U : lead < 0xE0U ? 2U : lead < 0xF0U ? 3U : 4U;
    return text::first_bad_utf8(rest.substr(0, size)) == std::string_view::npos &&
                   size <= rest.size()
               ? size
               : 0;
}

std::string quoted(std::string_view what) {
    std::string_view cut = what.substr(0, shown_bytes);
    while (cut.size() < what.size() && !cut.empty() &&
           (static_cast<unsigned char>(what[cut.size()]) & 0xC0U) == 0x80U)
        cut.remove_suffix(1);
    return fmt::format("`{}{}`", text::printable(cut), cut.size() < what.size() ? "…" : "");
}

std::string capitals(std::string_view what) {
    std::string out(what);
    for (char& c : out) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    return out;
}

// Signs that look right and are not: copied from a data sheet or a text processor.
struct LookAlike {
    std::string_view sign, plain, name;
};
constexpr LookAlike look_alikes[] = {
    {"\u2212", "-", "minus sign"},
    {"\u2013", "-", "dash"},
    {"\u2014", "-", "dash"},
    {"\u2010", "-", "hyphen"},
    {"\u2011", "-", "hyphen"},
    {"\u201C", "\"", "quotation mark"},
    {"\u201D", "\"", "quotation mark"},
    {"\u201E", "\"", "quotation mark"},
    {"\u00AB", "\"", "quotation mark"},
    {"\u00BB", "\"", "quotation mark"},
    {"\u2192", "->", "arrow"},
    {"\u21D2", "->", "arrow"},
    {"\u2026", "..", "sign for a range"},
};

struct Context {
    const Where& where;
    const Expectation& expected;
    Stands there;
    [[nodiscard]] std::string_view word() const {
        return where.bytes.substr(there.begin, there.end - there.begin);
    }
    [[nodiscard]] std::string_view rest() const { return where.bytes.substr(there.begin); }
    [[nodiscard]] findings::Edit edit(std::uint32_t begin, std::uint32_t end,
                                      std::string text) const {
        return {{where.file, begin, end}, std::move(text)};
    }
    [[nodiscard]] Wording say(std::string_view rule, std::string message, std::string remedy,
                              std::vector<findings::Edit> edits = {}) const {
        return {rule,      std::move(message), there.begin,
                there.end, std::move(remedy),  std::move(edits),
                false};
    }
};

// A dash between blanks stands for a range before a number, for the arrow of a conductor before a name.
std::string_view dash_means(const Context& c, const LookAlike& l) {
    const std::string_view before = c.where.bytes.substr(0, c.there.begin), after = c.rest().substr(l.sign.size());
    const bool apart = !before.empty() && (before.back() == ' ' || before.back() == '\t') && blank_size(after) != 0;
    const std::uint32_t next = past_blanks(c.where.bytes, static_cast<std::uint32_t>(c.there.begin + l.sign.size()));
    if (l.name != "dash" || !apart || next >= c.where.bytes.size()) return l.plain;
    const char first = c.where.bytes[next];
    if (is_letter(first)) return "->";
    return is_digit(first) || first == '-' || first == '+' || c.where.bytes.substr(next).starts_with("\u2212") ? ".." : l.plain;
}

// Something that is the same mistake wherever it stands.
std::optional<Wording> anywhere(const Context& c) {
    for (const LookAlike& l : look_alikes) {
        if (!c.rest().starts_with(l.sign)) continue;
        const auto end = static_cast<std::uint32_t>(c.there.begin + l.sign.size());
        const std::string_view meant = dash_means(c, l);
        Wording w = c.say(
            "syntax.expected", fmt::format("this {} is not the plain one, `{}`", l.name, l.plain),
            fmt::format("write `{}`", meant), {c.edit(c.there.begin, end, std::string(meant))});
        if (meant == "..") w.message = "a range is written with `..`, not with a dash";
        if (meant == "->") w.message = "a conductor goes from one end to the other with `->`, not with a dash";
        if (l.plain == "\"") {
            if (const auto [closing, size] = next_quote(c.where.bytes, end); size > 1) {
                w.edits.push_back(c.edit(closing, closing + size, "\""));
                w.remedy = "write `\"` on both sides of the text";
            }
        }
        w.end = end;
        return w;
    }
    if (c.rest().starts_with('?')) {
        return c.say("syntax.expected", "`?` says nothing here",
                     "leave out the line of a figure that is not known; it is asked for where it is needed");
    }
    return std::nullopt;
}

// A name was expected and a word stands there that can be none.
std::optional<Wording> bad_name(const Context& c) {
    const std::string_view word = c.word();
    if (c.there.kind == Kind::quote) {
        return c.say(
            "syntax.name",
            fmt::format("a name is expected, and {} is a text between quotes", c.there.text),
            "write the name without quotes: letters, digits, `-` and `_`");
    }
    if (c.there.kind != Kind::word) return std::nullopt;
    const bool joins = word == "is" || word == "in" || word == "on" || word == "with";
    if (!joins && (in_list(keywords(), word) || in_list(joining_words(), word))) {
        const std::string name = capitals(word);
        return c.say("syntax.name",
                     fmt::format("{} is a word of the language and can be no name", quoted(word)),
                     fmt::format("write `{}`, or take another name", name),
                     {c.edit(c.there.begin, c.there.end, name)});
    }
    if (is_digit(word[0]))
        return c.say("syntax.name",
                     fmt::format("a name begins with a letter, and {} does not", quoted(word)),
                     "put a letter first");
    if (!is_letter(word[0]) && static_cast<unsigned char>(word[0]) < 0x80U) return std::nullopt;
    const std::size_t dashes = word.size() - 1 - word.find_last_not_of('-');
    const std::string_view stem = word.substr(0, word.size() - dashes);
    if (dashes > 0 && stem.find_first_of("+/") == std::string_view::npos) {
        const auto from = static_cast<std::uint32_t>(c.there.begin + stem.size());
        return c.say("syntax.name",
                     fmt::format("a name does not end in `-`, and {} does", quoted(word)),
                     fmt::format("write {}", quoted(stem)), {c.edit(from, c.there.end, "")});
    }
    if (!joins && word.find_first_of("+/") != std::string_view::npos) {
        return c.say("syntax.name",
                     fmt::format("{} is no name: a `+` or `/` cannot stand in one", quoted(word)),
                     "write it with letters, digits, `-` and `_`");
    }
    return std::nullopt;
}

// The statement could have ended here, and does not.
std::optional<Wording> no_end(const Context& c) {
    const std::string_view rest = c.rest();
    const std::string_view word = c.word();
    const std::string_view opening = c.where.bytes.substr(c.where.statement);
    const std::uint32_t begin = c.there.begin;
    if (rest.starts_with(",")) {
        const std::uint32_t after = past_blanks(c.where.bytes, begin + 1);
        if (after == c.where.bytes.size() || is_line_end(c.where.bytes[after]) ||
            c.where.bytes[after] == '#') {
            return c.say("syntax.expected",
                         "the line ends in a comma, and nothing follows that could go on from it",
                         "take the comma away, or write what it announces",
                         {c.edit(begin, begin + 1, "")});
        }
        const Stands next = what_stands(c.where.bytes, after);
        if (auto known = anywhere({c.where, c.expected, next})) return known;
        Wording w =
            c.say("syntax.expected",
                  fmt::format("{} behind a comma is nothing this line can hold", next.text), "");
        w.begin = next.begin;
        w.end = next.end;
        return w;
    }
    if (rest.starts_with("->")) {
        return c.say("syntax.expected", "`->` stands where a line cannot have it",
                     "a conductor goes from one terminal to one other: write one line for each, "
                     "with blanks around `->`");
    }
    if (rest.starts_with("=") || rest.starts_with(":")) {
        const std::uint32_t after = past_blanks(c.where.bytes, begin + 1);
        return c.say("syntax.expected",
                     fmt::format("no {} stands between a word and its value", c.there.text),
                     "write the value directly behind the word", {c.edit(begin, after, "")});
    }
    if (rest.size() > 1 && rest[0] == '.' && is_digit(rest[1])) {
        return c.say("syntax.number", "a number begins with a digit, not with the point",
                     "write a 0 before the point", {c.edit(begin, begin, "0")});
    }
    if (rest.starts_with("{"))
        return c.say("syntax.brace", "this line takes no block", "take the block away");
    if (c.there.kind == Kind::word && in_list(keywords(), word)) {
        return c.say(
            "syntax.expected",
            fmt::format("{} opens a statement and cannot stand inside a line", c.there.text),
            "begin a new line with it, or write another word");
    }
    if (word == "with" && (opening.starts_with("device") || opening.starts_with("except")))
        return c.say("syntax.expected", "`with` stands before `in` or `on`",
                     "write `device NAME is PART with PART in WHERE`");
    return std::nullopt;
}

bool wants_name(std::string_view what) {
    return what.find("name") != std::string_view::npos ||
           what.find("terminal that") != std::string_view::npos;
}

}  // namespace

std::pair<std::uint32_t, std::uint32_t> next_quote(std::string_view bytes, std::uint32_t at) {
    for (; at < bytes.size() && !is_line_end(bytes[at]); ++at) {
        if (bytes[at] == '"') return {at, 1};
        for (const LookAlike& l : look_alikes) {
            if (l.plain == "\"" && bytes.substr(at).starts_with(l.sign)) return {at, static_cast<std::uint32_t>(l.sign.size())};
        }
    }
    return {at, 0};
}

Stands what_stands(std::string_view bytes, std::uint32_t at) {
    at = past_blanks(bytes, at);
    const auto size = static_cast<std::uint32_t>(bytes.size());
    if (at >= size) return {Kind::file_end, size, size, "the end of the file"};
    const char c = bytes[at];
    if (is_line_end(c) || c == '#') return {Kind::line_end, at, at, "the end of the line"};
    const std::size_t character = character_size(bytes.substr(at));
    if (character == 0) {
        return {Kind::broken_byte, at, at + 1,
                fmt::format("the byte {}", text::printable(bytes.substr(at, 1)))};
    }
    std::uint32_t end = at;
    if (c == '"') {
        ++end;
        while (end < size && !is_line_end(bytes[end]) && bytes[end] != '"') ++end;
        if (end < size && bytes[end] == '"') ++end;
        return {Kind::quote, at, end, quoted(bytes.substr(at, end - at))};
    }
    if (bytes.substr(at, 2) == "->") return {Kind::sign, at, at + 2, "`->`"};
    const auto in_word = [bytes](std::uint32_t i) {  // a dot holds a word together: Q1.2
        return is_wide_word_byte(bytes[i]) ||
               (bytes[i] == '.' && i + 1 < bytes.size() && is_wide_word_byte(bytes[i + 1]));
    };
    if (static_cast<unsigned char>(c) < 0xC6U && is_wide_word_byte(c) &&
        !bytes.substr(at).starts_with("\u00D7")) {
        while (end < size &&
               (in_word(end) || (static_cast<unsigned char>(bytes[end]) & 0xC0U) == 0x80U) &&
               bytes.substr(end, 2) != "->")
            ++end;
        return {Kind::word, at, end, quoted(bytes.substr(at, end - at))};
    }
    end = at + static_cast<std::uint32_t>(character);
    return {Kind::sign, at, end, quoted(bytes.substr(at, end - at))};
}

Wording word_missing(const Where& where, const Expectation& expected, std::uint32_t at) {
    const Context c{where, expected, what_stands(where.bytes, at)};
    if (c.there.kind == Kind::broken_byte) {
        Wording w =
            c.say("syntax.encoding", fmt::format("{} belongs to no character", c.there.text),
                  "save the file as UTF-8");
        w.broken_byte = true;
        return w;
    }
    std::optional<Wording> special = anywhere(c);
    if (!special && wants_name(expected.what)) special = bad_name(c);
    if (!special && expected.what == "the end of the line") special = no_end(c);
    if (special) return *std::move(special);
    return c.say(expected.rule,
                 fmt::format("expected {}, and here is {}", expected.what, c.there.text),
                 std::string(expected.remedy));
}

}  // namespace ferrule::syntax
