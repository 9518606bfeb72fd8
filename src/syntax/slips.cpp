// Mistakes that leave no doubt what was meant: the finding, with an edit where it is mechanical.
#include <fmt/format.h>

#include <algorithm>

#include "syntax/actions.hpp"
#include "syntax/bytes.hpp"
#include "syntax/wording.hpp"

namespace ferrule::syntax {

void number(const char* begin, const char* end, Builder& b) {
    b.leaf(NodeKind::number, begin, end);
    if (static_cast<std::size_t>(end - begin) <= limits::number_digits) return;
    const auto digits = static_cast<std::size_t>(std::count_if(begin, end, is_digit));
    if (digits > limits::number_digits) {
        b.report(
            "syntax.limit",
            fmt::format("this number has {} digits; {} are kept", digits, limits::number_digits),
            b.offset(begin), b.offset(end), "write fewer digits, or a larger unit");
    }
}

void build<grammar::comma_number>::comma(const char* begin, const char* end, Builder& b) {
    const std::uint32_t whole = b.node(b.parent).begin;
    const std::uint32_t at = b.offset(begin);
    std::uint32_t last = at;  // the end of the digits, without the unit
    while (last < b.offset(end) && (b.bytes()[last] == ',' || is_digit(b.bytes()[last]))) ++last;
    const std::string_view digits = b.bytes().substr(at, last - at);
    const std::string_view shown = b.bytes().substr(whole, last - whole);
    std::vector<findings::Edit> edits;
    std::string remedy =
        "write a number without commas; separate values have a blank behind the comma";
    // 2,5 can only be a decimal; 1,000 may be a thousand and 1,2,3 a list.
    if (std::count(digits.begin(), digits.end(), ',') == 1 && digits.size() != 4) {
        edits.push_back({{b.file(), at, at + 1}, ".", true});
        std::string fixed(shown);
        fixed[at - whole] = '.';
        remedy = fmt::format("write `{}`; two values would have a blank behind the comma", fixed);
    }
    b.report("syntax.number",
             fmt::format("`{}`: decimals stand behind a point, not behind a comma", shown), whole,
             last, std::move(remedy), std::move(edits));
}

void build<grammar::bad_number>::exponent(const char* end, Builder& b) {
    const std::uint32_t begin = b.node(b.parent).begin;
    const std::string_view shown = b.bytes().substr(begin, b.offset(end) - begin);
    b.report("syntax.number",
             fmt::format("`{}` is no number: digits and at most one point, no exponent and no `_`",
                         shown.substr(0, 40)),
             begin, b.offset(end), "write the number out, or take a larger or smaller unit");
}

void Slip::unclosed_text(const char* begin, const char* end, Builder& b) {
    // `"Hut”`: the last of those that only look right was to close it.
    std::pair<std::uint32_t, std::uint32_t> close{};
    for (auto q = next_quote(b.bytes(), b.offset(begin) + 1); q.second > 1 && q.first < b.offset(end); q = next_quote(b.bytes(), q.first + q.second)) close = q;
    if (close.second != 0) {
        return b.report("syntax.text", "this quotation mark is not the plain one, so the text is not closed", close.first, close.first + close.second,
                        "close it with `\"`", {{{b.file(), close.first, close.first + close.second}, "\""}});
    }
    b.report("syntax.text", "this text is not closed on its line", b.offset(begin), b.offset(end),
             "close it with `\"`");
}

void Slip::bad_escape(const char* at, Builder& b) {
    b.report("syntax.text", "`\\` in a text stands only before `\"` or another `\\`", b.offset(at),
             b.offset(at) + 1, "write `\\\\`", {{{b.file(), b.offset(at), b.offset(at)}, "\\"}});
}

void Slip::glued_arrow(const char* begin, const char* end, Builder& b) {
    const std::string_view all(begin, static_cast<std::size_t>(end - begin));
    std::vector<findings::Edit> edits;
    if (all.front() == '>') {
        const std::uint32_t sign = b.offset(begin);
        edits.push_back({{b.file(), sign, sign + 1}, all.size() == 1 ? " -> " : " ->", true});
        b.report("syntax.expected", "`->` has lost its dash", sign, sign + 1,
                 "write `->` between blanks", std::move(edits));
        return;
    }
    const std::uint32_t at = b.offset(begin) + static_cast<std::uint32_t>(all.find('-'));
    if (all.front() == '-') edits.push_back({{b.file(), at, at}, " ", true});
    if (all.back() == '>') edits.push_back({{b.file(), at + 2, at + 2}, " ", true});
    b.report("syntax.expected", "`->` stands between blanks", at, at + 2,
             "put a blank on both sides of `->`", std::move(edits));
}

void Slip::odd_arrow(const char* begin, const char* end, Builder& b) {
    const auto blank = [](char c) { return c == ' ' || c == '\t'; };
    const char* first = begin;
    const char* last = end;
    while (blank(*first)) ++first;
    while (blank(last[-1])) --last;
    const std::string_view sign(first, static_cast<std::size_t>(last - first));
    std::string arrow = first == begin ? " ->" : "->";
    if (last == end) arrow += ' ';
    b.report("syntax.expected", fmt::format("`{}` is not how a conductor is written", sign),
             b.offset(first), b.offset(last), "write `->` between blanks",
             {{{b.file(), b.offset(first), b.offset(last)}, std::move(arrow)}});
}

void Slip::fused_arrow(const char* at, Builder& b) {
    b.leaf(NodeKind::mark, at, at + 1);
    const std::uint32_t begin = b.offset(at);
    b.report("syntax.expected",
             "the terminal before `->` is missing, or its `-` has run into the arrow", begin,
             begin + 2, "write the terminal and then `->` between blanks: `EAST.- -> Q1.3`",
             {{{b.file(), begin, begin + 2}, "- ->"}});
}

void Slip::late_brace(const char* begin, const char* end, Builder& b) {
    if (!b.speaks(b.offset(end))) return;
    const std::uint32_t at = b.offset(end);
    const std::string_view between(begin, static_cast<std::size_t>(end - begin));
    std::vector<findings::Edit> edits;
    if (between.find('#') == std::string_view::npos)
        edits.push_back({{b.file(), b.offset(begin), at}, " ", true});
    b.report("syntax.brace", "`{` stands on the line of its statement, not below it", at, at + 1,
             "put `{` at the end of the line above", std::move(edits));
}

void Slip::no_brace(const char* begin, Builder& b) {
    if (!b.speaks(b.offset(begin))) return;
    const Stands there = what_stands(b.bytes(), b.offset(begin));
    b.report("syntax.brace", fmt::format("expected `{{`, and here is {}", there.text), there.begin,
             there.end, "open the block with `{` on this line",
             {{{b.file(), b.offset(begin), b.offset(begin)}, " {"}});
}

void Slip::misplaced(const char* begin, Builder& b) {
    if (!b.speaks(b.offset(begin))) return;
    const Stands there = what_stands(b.bytes(), b.offset(begin));
    const bool outside = b.blocks.empty();
    b.report("syntax.expected",
             fmt::format("{} opens a statement that cannot stand {}", there.text,
                         outside ? "outside a part or an assembly" : "in this block"),
             there.begin, there.end,
             outside ? "move it into a part or an assembly"
                     : "move it out of the block, or write another word if a property is meant");
}

void Slip::unreadable(const char* begin, Builder& b) {
    const std::uint32_t at = b.offset(begin);
    if (!b.speaks(at)) return;
    const Stands there = what_stands(b.bytes(), at);
    if (there.kind == Stands::Kind::sign && *begin == '{') {
        b.report("syntax.brace", "`{` opens a block that belongs to no statement", at, at + 1,
                 "write the statement before it, on the same line");
        return;
    }
    static constexpr Expectation line{"syntax.expected", "a statement, a property or a conductor",
                                      "begin the line with a word or the name of a thing"};
    b.missing(line, begin);
}

void Slip::stray_close(const char* begin, Builder& b) {
    const std::uint32_t at = b.offset(begin);
    b.leaf(NodeKind::junk, begin, begin + 1);
    b.statement.bad = false;
    b.report("syntax.brace", "`}` closes nothing: no block is open here", at, at + 1,
             "take it away, or open the block it was to close", {{{b.file(), at, at + 1}, ""}});
    b.statement.bad = false;
}

}  // namespace ferrule::syntax
