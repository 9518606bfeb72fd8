#include "resolve/index.hpp"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

#include "base/limits.hpp"

namespace ferrule::resolve {

namespace {

constexpr std::int64_t highest_index = 1'000'000'000;

// The arithmetic in brackets: sums of products of digits and names of repeats. Read from its text,
// because a name may hold hyphens and `2*i-1` is meant to be a difference unless there is a repeat
// `i-1`.
class Arithmetic {
public:
    Arithmetic(Build& b, Scope scope, std::string_view text, Span place)
        : b_(b), scope_(scope), text_(text), place_(place) {}

    std::optional<std::int64_t> value() {
        auto sum = product();
        while (sum && !done()) {
            const char sign = text_[at_++];
            const auto next = product();
            if (!next || (sign != '+' && sign != '-')) return std::nullopt;
            const bool over = sign == '+' ? __builtin_add_overflow(*sum, *next, &*sum)
                                          : __builtin_sub_overflow(*sum, *next, &*sum);
            if (over) return too_much();
        }
        return sum;
    }

private:
    bool done() {
        while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t')) ++at_;
        return at_ == text_.size();
    }
    static bool digit(char c) { return c >= '0' && c <= '9'; }
    static bool in_name(char c) {
        return digit(c) || c == '_' || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
               (static_cast<unsigned char>(c) & 0x80U) != 0;
    }

    std::optional<std::int64_t> product() {
        auto all = factor();
        while (all && !done() && text_[at_] == '*') {
            ++at_;
            const auto next = factor();
            if (!next) return std::nullopt;
            if (__builtin_mul_overflow(*all, *next, &*all)) return too_much();
        }
        return all;
    }

    std::optional<std::int64_t> factor() {
        if (done() || !in_name(text_[at_])) return std::nullopt;  // the reader of files has said so
        const std::size_t begin = at_;
        if (digit(text_[at_])) {
            while (at_ < text_.size() && digit(text_[at_])) ++at_;
            const auto number = whole(text_.substr(begin, at_ - begin));
            return number ? number : too_much();
        }
        while (at_ < text_.size() && in_name(text_[at_])) ++at_;
        std::size_t end = at_;  // of the longest name with hyphens that some repeat has
        std::optional<std::int64_t> found = variable(begin, end);
        while (end < text_.size() && text_[end] == '-') {
            ++end;
            while (end < text_.size() && in_name(text_[end])) ++end;
            if (const auto longer = variable(begin, end)) {
                found = longer;
                at_ = end;
            }
        }
        if (!found) unknown(text_.substr(begin, at_ - begin), begin);
        return found;
    }

    std::optional<std::int64_t> variable(std::size_t begin, std::size_t end) {
        const Symbol name = b_.design.names.find(text_.substr(begin, end - begin));
        return name ? b_.names.value(name, scope_.frame) : std::nullopt;
    }

    void unknown(std::string_view name, std::size_t begin) {
        std::vector<std::string_view> known;
        for (const Symbol s : b_.names.turning(scope_.frame)) known.push_back(b_.text(s));
        const std::uint32_t at = place_.begin + static_cast<std::uint32_t>(begin);
        std::string message =
            fmt::format("{} is no number here: no `repeat {} in …` stands around this line",
                        quoted(name), quoted(name));
        if (!known.empty()) message += fmt::format("; there is {}", list(known));
        b_.report.error("design.unknown-name",
                        {place_.file, at, at + static_cast<std::uint32_t>(name.size())},
                        std::move(message));
    }

    std::nullopt_t too_much() {
        b_.report.error("design.range", place_,
                        fmt::format("{} is more than any index can be", quoted(text_)));
        return std::nullopt;
    }

    Build& b_;
    Scope scope_;
    std::string_view text_;
    Span place_;
    std::size_t at_ = 0;
};

std::optional<std::int64_t> evaluate(Build& b, const View& v, NodeIndex node, Scope scope) {
    if (v.kind(node) == NodeKind::junk) return std::nullopt;
    if (v.kind(node) == NodeKind::number && v.text(node).size() < 10) return whole(v.text(node));
    return Arithmetic(b, scope, v.text(node), v.span(node)).value();
}

}  // namespace

std::optional<std::int64_t> whole(std::string_view digits) {
    if (digits.empty() || digits.size() > 18) return std::nullopt;
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc() || end != digits.data() + digits.size()) return std::nullopt;
    return value;
}

Index read_index(Build& b, const View& v, NodeIndex node, Scope scope) {
    Index index;
    index.stated = true;
    index.begin = v.node(node).begin;
    index.end = v.node(node).end;
    const NodeIndex low = v.first(node);
    const NodeIndex after = v.node(node).next;
    const auto first = low == no_node ? std::nullopt : evaluate(b, v, low, scope);
    if (!first) {
        index.good = false;
        return index;
    }
    std::int64_t lowest = *first, highest = *first;
    if (const NodeIndex high = v.node(low).next; high < after) {
        const auto last = evaluate(b, v, high, scope);
        if (!last) {
            index.good = false;
            return index;
        }
        highest = *last;
        index.range = true;
    }
    index.good = false;
    if (lowest < 1) {
        b.report.error(
            "design.range", v.span(node),
            fmt::format("{} is {} here: indices count from 1", quoted(v.text(node)), lowest));
    } else if (lowest > highest_index || highest > highest_index) {
        b.report.error("design.range", v.span(node),
                       fmt::format("{} is no index: an index is a whole number up to {}",
                                   std::max(lowest, highest), highest_index));
    } else if (highest < lowest) {
        b.report.error("design.range", v.span(node),
                       fmt::format("the range {} runs backwards", quoted(v.text(node))),
                       fmt::format("write [{}..{}]", highest, lowest));
    } else if (highest - lowest >= static_cast<std::int64_t>(base::limits::things)) {
        b.report.error(
            "design.limit", v.span(node),
            fmt::format("{} are {} at once; a design has at most {} things (limit things)",
                        quoted(v.text(node)), highest - lowest + 1, base::limits::things));
    } else {
        index.low = static_cast<std::uint32_t>(lowest);
        index.high = static_cast<std::uint32_t>(highest);
        index.good = true;
    }
    return index;
}

}  // namespace ferrule::resolve
