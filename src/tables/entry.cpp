#include "tables/entry.hpp"

#include <fmt/format.h>

namespace ferrule::tables {

findings::Finding table_finding(text::Span where, std::string message) {
    findings::Finding f;
    f.rule = "settings.tables";
    f.message = std::move(message);
    f.span = where;
    return f;
}

Entry::Entry(const Value& value, std::string name, std::vector<findings::Finding>& findings)
    : value_(value), name_(std::move(name)), findings_(findings) {
    if (value.kind != Value::Kind::table) findings_.push_back(table_finding(value.span, fmt::format("{} is no table", name_)));
}

const Value* Entry::value(std::string_view key) {
    asked_.emplace(key);
    return value_.find(key);
}

const Value* Entry::of_kind(std::string_view key, Value::Kind kind, std::string_view what) {
    const Value* v = value(key);
    if (v == nullptr || v->kind == kind) return v;
    complain(key, fmt::format("`{}` of {} must be {}", key, name_, what));
    return nullptr;
}

std::string Entry::text(std::string_view key) {
    const Value* v = of_kind(key, Value::Kind::text, "a text");
    return v == nullptr ? std::string() : v->text;
}

std::string Entry::needed_text(std::string_view key) {
    const Value* v = of_kind(key, Value::Kind::text, "a text");
    if (v != nullptr && !v->text.empty()) return v->text;
    if (v != nullptr || value_.find(key) == nullptr) complain(key, fmt::format("{} has no `{}`", name_, key));
    return {};
}

std::optional<double> Entry::number(std::string_view key) {
    const Value* v = of_kind(key, Value::Kind::number, "a number");
    return v == nullptr ? std::nullopt : std::optional(v->number);
}

int Entry::whole(std::string_view key) {
    const Value* v = of_kind(key, Value::Kind::number, "a whole number");
    if (v == nullptr) return 0;
    if (!v->whole || v->number < -100 || v->number > 100) {
        complain(key, fmt::format("`{}` of {} must be a small whole number", key, name_));
        return 0;
    }
    return static_cast<int>(v->number);
}

bool Entry::flag(std::string_view key) {
    const Value* v = of_kind(key, Value::Kind::flag, "true or false");
    return v != nullptr && v->flag;
}

std::vector<std::string> Entry::words(std::string_view key) {
    std::vector<std::string> result;
    const Value* v = of_kind(key, Value::Kind::list, "a list of texts");
    if (v == nullptr) return result;
    for (const Value& item : v->items) {
        if (item.kind == Value::Kind::text) {
            result.push_back(item.text);
        } else {
            findings_.push_back(table_finding(item.span, fmt::format("`{}` of {} must be a list of texts", key, name_)));
        }
    }
    return result;
}

const Value* Entry::table(std::string_view key) { return of_kind(key, Value::Kind::table, "a table"); }

void Entry::complain(std::string_view key, std::string message) {
    const Value* v = value_.find(key);
    findings_.push_back(table_finding(v != nullptr ? v->span : value_.span, std::move(message)));
}

void Entry::finish() {
    for (const auto& [key, v] : value_.entries) {
        if (!asked_.contains(key)) {
            findings_.push_back(table_finding(v.key_span, fmt::format("`{}` is no key of {}", key, name_)));
        }
    }
}

}  // namespace ferrule::tables
