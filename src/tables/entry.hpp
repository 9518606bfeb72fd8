// One entry of a table file, key by key: a key of the wrong type, one that is missing and one that nobody asked for
// are findings (rule "settings.tables") at their place, so that a slip in a table cannot be lost.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "findings/finding.hpp"
#include "tables/toml.hpp"

namespace ferrule::tables {

[[nodiscard]] findings::Finding table_finding(text::Span where, std::string message);

class Entry {
public:
    // Both must outlive the entry. `name` is what findings call it: "part isolator".
    Entry(const Value& value, std::string name, std::vector<findings::Finding>& findings);

    [[nodiscard]] const Value* value(std::string_view key);  // any type; null if absent
    [[nodiscard]] std::string text(std::string_view key);    // "" if absent
    [[nodiscard]] std::string needed_text(std::string_view key);
    [[nodiscard]] std::optional<double> number(std::string_view key);
    [[nodiscard]] int whole(std::string_view key);           // 0 if absent
    [[nodiscard]] bool flag(std::string_view key);           // false if absent
    [[nodiscard]] std::vector<std::string> words(std::string_view key);
    [[nodiscard]] const Value* table(std::string_view key);  // null if absent or no table

    void complain(std::string_view key, std::string message);  // at the key's value, else at the entry
    void finish();                                             // complains about keys that were never asked for
    [[nodiscard]] const std::string& name() const { return name_; }

private:
    [[nodiscard]] const Value* of_kind(std::string_view key, Value::Kind kind, std::string_view what);

    const Value& value_;
    std::string name_;
    std::vector<findings::Finding>& findings_;
    std::set<std::string, std::less<>> asked_;
};

}  // namespace ferrule::tables
