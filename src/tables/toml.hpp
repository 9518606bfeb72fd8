// TOML files as plain values with the place each came from. The only room that sees toml++.
// Guarded: a key of more than limits::toml_key_parts parts is a finding before the library sees it.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::tables {

struct Member;  // one key of a table and its value

struct Value {
    enum class Kind : std::uint8_t { none, text, number, flag, list, table };
    Kind kind = Kind::none;
    std::string text;
    double number = 0;
    bool whole = false;  // written as an integer
    bool flag = false;
    std::vector<Value> items;                              // list
    std::vector<Member> entries;                           // table, in the order of the file
    text::Span span;       // the value as written (quotes included)
    text::Span key_span;   // its key

    [[nodiscard]] const Value* find(std::string_view key) const;  // null if it is no table or has no such key
    [[nodiscard]] std::string_view string(std::string_view key) const;  // "" if absent or no text
    [[nodiscard]] bool is(std::string_view key) const;                  // true if a flag that is true
    // Where the first character of a text's content stands in the file (past the quotes and a first newline).
    [[nodiscard]] std::uint32_t content_begin(const text::Sources& sources) const;
};

struct Member {
    std::string key;
    Value value;
};

struct TomlFile {
    Value root;
    std::vector<findings::Finding> findings;  // rule "settings.toml"; the root is then what could be read, or empty
};

[[nodiscard]] TomlFile read_toml(const text::Sources& sources, text::FileId file);

}  // namespace ferrule::tables
