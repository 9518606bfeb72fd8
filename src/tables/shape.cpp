// The notation of shapes, as it stands at the head of grammar/kinds.toml:
//   sequence = item*     item = (literal | field | [ sequence ] | ( sequence | sequence … )) [+]
//   field    = < NAME [: TYPE] >     TYPE = dimension | kind of value | part:KIND | word | word …
#include <fmt/format.h>

#include <array>
#include <optional>
#include <utility>

#include "tables/kinds_file.hpp"

namespace ferrule::tables {

namespace {

using graph::Accepts;
using graph::Shape;

constexpr std::size_t nesting_limit = 16;

constexpr std::array<std::pair<std::string_view, Accepts>, 10> value_types = {{
    {"number", Accepts::number},
    {"count", Accepts::count},
    {"word", Accepts::word},
    {"text", Accepts::text},
    {"label", Accepts::label},
    {"pair", Accepts::pair},
    {"date", Accepts::date},
    {"part", Accepts::part},
    {"thing", Accepts::thing},
    {"terminal", Accepts::terminal},
}};

std::optional<Accepts> value_type(std::string_view name) {
    for (const auto& [word, type] : value_types) {
        if (word == name) return type;
    }
    return std::nullopt;
}

std::string_view trimmed(std::string_view s) {
    while (!s.empty() && (s.front() == ' ' || s.front() == '\n')) s.remove_prefix(1);
    while (!s.empty() && (s.back() == ' ' || s.back() == '\n')) s.remove_suffix(1);
    return s;
}

bool is_word(std::string_view s) {
    if (s.empty()) return false;
    for (const char c : s) {
        const bool fits = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
        if (!fits) return false;
    }
    return true;
}

class ShapeReader {
public:
    ShapeReader(std::string_view text, const units::Units& units) : rest_(text), units_(units) {}

    ShapeResult read() {
        Shape shape = sequence(0);
        if (error_.empty() && !rest_.empty()) fail(fmt::format("`{}` closes nothing", rest_.front()));
        return {std::move(shape), std::move(error_)};
    }

private:
    void fail(std::string message) {
        if (error_.empty()) error_ = std::move(message);
        rest_ = {};
    }
    void skip_blanks() {
        while (!rest_.empty() && (rest_.front() == ' ' || rest_.front() == '\n')) rest_.remove_prefix(1);
    }
    bool take(char c) {
        skip_blanks();
        if (rest_.empty() || rest_.front() != c) return false;
        rest_.remove_prefix(1);
        return true;
    }

    Shape sequence(std::size_t depth) {
        Shape s;
        s.op = Shape::Op::sequence;
        if (depth > nesting_limit) fail("brackets too deep");
        for (skip_blanks(); !rest_.empty() && std::string_view("])|").find(rest_.front()) == std::string_view::npos; skip_blanks()) {
            s.children.push_back(repeated(item(depth)));
        }
        return s;
    }

    Shape repeated(Shape one) {
        if (rest_.empty() || rest_.front() != '+') return one;
        rest_.remove_prefix(1);
        Shape s;
        s.op = Shape::Op::repeat;
        s.children.push_back(std::move(one));
        return s;
    }

    Shape item(std::size_t depth) {
        Shape s;
        if (take('[')) {
            s.op = Shape::Op::optional;
            s.children.push_back(sequence(depth + 1));
            if (!take(']')) fail("`]` is missing");
        } else if (take('(')) {
            s.op = Shape::Op::choice;
            do s.children.push_back(sequence(depth + 1));
            while (take('|'));
            if (!take(')')) fail("`)` is missing");
        } else if (take('<')) {
            const std::size_t end = rest_.find('>');
            if (end == std::string_view::npos) {
                fail("`>` is missing");
                return s;
            }
            const std::string_view inside = rest_.substr(0, end);
            rest_.remove_prefix(end + 1);
            s = field(inside);
        } else {
            s.op = Shape::Op::literal;
            std::size_t end = 0;
            while (end < rest_.size() && std::string_view(" \n[]()<>|+").find(rest_[end]) == std::string_view::npos) ++end;
            s.text = rest_.substr(0, end);
            if (end == 0) fail(fmt::format("`{}` has no place here", rest_.front()));
            rest_.remove_prefix(std::min(end, rest_.size()));
        }
        return s;
    }

    Shape field(std::string_view inside) {
        Shape s;
        s.op = Shape::Op::field;
        const std::size_t colon = inside.find(':');
        const bool named = colon != std::string_view::npos;
        std::string_view type = trimmed(named ? inside.substr(colon + 1) : inside);
        if (type.ends_with("..")) {
            s.range = true;
            type = trimmed(type.substr(0, type.size() - 2));
        }
        const std::string_view name = named ? trimmed(inside.substr(0, colon)) : type;
        s.text = name;
        if (!is_word(name)) fail(fmt::format("`{}` is no name of a value", name));
        if (const units::DimensionName* d = units_.dimension(type)) {
            s.accepts = Accepts::quantity;
            s.dimension = d->dimension;
            s.dimension_name = d->name;
        } else if (const auto plain = value_type(type)) {
            s.accepts = *plain;
        } else if (type.starts_with("part:")) {
            s.accepts = Accepts::part;
            s.kind = type.substr(5);
            if (!is_word(s.kind)) fail(fmt::format("`{}` is no kind of part", s.kind));
        } else if (named) {
            words(s, type);
        } else {
            fail(fmt::format("`{}` is no type of value", type));
        }
        if (s.range && s.accepts != Accepts::quantity && s.accepts != Accepts::number && s.accepts != Accepts::count) {
            fail(fmt::format("`{}` can be no range", name));
        }
        return s;
    }

    void words(Shape& s, std::string_view list) {
        s.accepts = Accepts::word;
        for (bool more = true; more;) {
            const std::size_t bar = list.find('|');
            more = bar != std::string_view::npos;
            const std::string_view one = trimmed(list.substr(0, bar));
            if (!is_word(one)) fail(fmt::format("`{}` is neither a type of value nor a word", one));
            s.words.emplace_back(one);
            if (more) list.remove_prefix(bar + 1);
        }
    }

    std::string_view rest_;
    const units::Units& units_;
    std::string error_;
};

}  // namespace

ShapeResult read_shape(std::string_view text, const units::Units& units) { return ShapeReader(text, units).read(); }

}  // namespace ferrule::tables
