// What each rule of the grammar does to the tree: which rules are nodes, which are leaves, and what
// is said where a piece is missing. The only file beside recognise.cpp that sees the grammar.
#pragma once

#include "base/limits.hpp"
#include "grammar/design.hpp"
#include "syntax/builder.hpp"

namespace ferrule::syntax {

namespace pegtl = tao::pegtl;
namespace limits = base::limits;

// ---- what is said where a piece is missing
// ---------------------------------------------------------------------------
template <class R>
inline constexpr Expectation expected{};

#define FERRULE_EXPECT(R, WHAT, REMEDY)                 \
    template <>                                         \
    inline constexpr Expectation expected<grammar::R> { \
        "syntax.expected", WHAT, REMEDY                 \
    }
FERRULE_EXPECT(edition_number, "the number of the edition", "write `edition 1`");
FERRULE_EXPECT(quoted, "a text between double quotes", "put it between double quotes, on one line");
FERRULE_EXPECT(names, "a name", "");
FERRULE_EXPECT(one_name, "a name", "");
FERRULE_EXPECT(run_name, "a name", "");
FERRULE_EXPECT(named, "a name", "");
FERRULE_EXPECT(is_word, "`is`", "write `is` and what it is");
FERRULE_EXPECT(is, "`is` and the name of a part", "write `is` and the part it is");
FERRULE_EXPECT(kind_word, "the kind of the part",
               "write the kind behind `is`, such as `module` or `isolator`");
FERRULE_EXPECT(is_groups, "`is` and how many of which part", "write `is 6 x PART`");
FERRULE_EXPECT(first_group, "how many of which part",
               "write the number, `x` and the part: `6 x PART`");
FERRULE_EXPECT(times, "`x` with a blank on both sides",
               "write the number, `x` and the part: `6 x PART`");
FERRULE_EXPECT(group_part, "the name of a part", "write the number, `x` and the part: `6 x PART`");
FERRULE_EXPECT(place_ref, "the name of a place or a box", "");
FERRULE_EXPECT(one_ref, "the name of a thing", "");
FERRULE_EXPECT(first_refs, "the name of a thing", "");
FERRULE_EXPECT(refs, "the name of a thing", "");
FERRULE_EXPECT(ref, "the terminal that the conductor goes to",
               "write the device and its terminal: `Q1.2`");
FERRULE_EXPECT(stops, "`->` and where it goes",
               "write `->` between blanks, then the bar or the next thing");
FERRULE_EXPECT(links, "the pairs of terminals that are linked, `none` or `supplied`",
               "write pairs such as `2-4, 6-8`, or `none`");
FERRULE_EXPECT(on_refs, "`on` and what the label is fixed to",
               "write `on` and the name of the device");
FERRULE_EXPECT(port_name, "the name of the port", "");
FERRULE_EXPECT(port_what, "a role and its block, or a terminal",
               "write `is array { … }` in a part, `is Q1.2` in an assembly");
FERRULE_EXPECT(rule_name, "the name of a rule",
               "write the name that stands in brackets behind the finding");
FERRULE_EXPECT(in_word, "`in`", "write `repeat i in 1..24 { … }`");
FERRULE_EXPECT(from_number, "the first number", "write `repeat i in 1..24 { … }`");
FERRULE_EXPECT(to_number, "`..` and the last number", "write `repeat i in 1..24 { … }`");
FERRULE_EXPECT(terminal, "a terminal", "write the terminal directly behind the dot: `Q1.2`");
FERRULE_EXPECT(sum, "a number or the name of a repeat",
               "write it between the brackets: `[3]`, `[1..6]`, `[i+1]`");
FERRULE_EXPECT(product, "a number or the name of a repeat",
               "write it between the brackets: `[i+1]`");
FERRULE_EXPECT(operand, "a number or the name of a repeat",
               "write it between the brackets: `[2*i]`");
FERRULE_EXPECT(close_index, "`]`", "close the bracket");
FERRULE_EXPECT(end, "the end of the line", "");
#undef FERRULE_EXPECT
template <>
inline constexpr Expectation expected<grammar::open_brace>{
    "syntax.brace", "`{`", "open the block with `{` on the same line"};

// ---- actions
// -----------------------------------------------------------------------------------------------------------
template <class Rule>
struct build : pegtl::nothing<Rule> {};

template <NodeKind K,
          char First = 0>  // First: the byte it begins with, so that none is opened in vain
struct node : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        if constexpr (A == pegtl::apply_mode::nothing) {
            return pegtl::match<Rule, A, M, Action, Control>(in, b);
        } else {
            if constexpr (First != 0) {
                if (in.empty() || *in.current() != First) return false;
            }
            const std::uint32_t outer = b.parent;
            const std::uint32_t self = b.open(K, in.current());
            b.parent = self;
            const bool found = pegtl::match<Rule, A, M, Action, Control>(in, b);
            b.parent = outer;
            if (found) b.close(self, in.current());
            else b.drop(self);
            return found;
        }
    }
};

// A rule that is no node and may fail behind a leaf: then the leaf goes too.
struct all_or_none : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        const auto size = b.size();
        const bool found = pegtl::match<Rule, A, M, Action, Control>(in, b);
        if (!found) b.drop(size);
        return found;
    }
};

// A sum or product: its node goes around the two operands that stand there already.
template <NodeKind K>
struct wrap {
    static void apply0(Builder& b) { b.wrap_last_two(K); }
};

template <NodeKind K>
struct leaf {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.leaf(K, in.begin(), in.end());
    }
};

template <NodeKind K, std::size_t Most>
struct limited_leaf {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.leaf(K, in.begin(), in.end());
        if (in.size() > Most)
            b.limit(K == NodeKind::text ? "text" : "name", Most, in.begin(), in.end());
    }
};

// clang-format off
template <> struct build<grammar::edition_line>   : node<NodeKind::edition> {};
template <> struct build<grammar::site_line>      : node<NodeKind::site> {};
template <> struct build<grammar::include_line>   : node<NodeKind::include> {};
template <> struct build<grammar::place_line>     : node<NodeKind::place> {};
template <> struct build<grammar::part_line>      : node<NodeKind::part> {};
template <> struct build<grammar::string_line>    : node<NodeKind::string> {};
template <> struct build<grammar::enclosure_line> : node<NodeKind::enclosure> {};
template <> struct build<grammar::device_line>    : node<NodeKind::device> {};
template <> struct build<grammar::run_line>       : node<NodeKind::run> {};
template <> struct build<grammar::cable_line>     : node<NodeKind::cable> {};
template <> struct build<grammar::jumper_line>    : node<NodeKind::jumper> {};
template <> struct build<grammar::bond_line>      : node<NodeKind::bond> {};
template <> struct build<grammar::earth_line>     : node<NodeKind::earth> {};
template <> struct build<grammar::gang_line>      : node<NodeKind::gang> {};
template <> struct build<grammar::label_line>     : node<NodeKind::label_on> {};
template <> struct build<grammar::steps_line>     : node<NodeKind::steps> {};
template <> struct build<grammar::assembly_line>  : node<NodeKind::assembly> {};
template <> struct build<grammar::port_line>      : node<NodeKind::port> {};
template <class Set> struct build<grammar::repeat_line<Set>> : node<NodeKind::repeat> {};
template <> struct build<grammar::except_line>    : node<NodeKind::except> {};
template <> struct build<grammar::accept_line>    : node<NodeKind::accept> {};
template <> struct build<grammar::reading_line>   : node<NodeKind::reading> {};
template <> struct build<grammar::line>           : node<NodeKind::property> {};

template <> struct build<grammar::declared>       : node<NodeKind::declared> {};
template <> struct build<grammar::is_part>        : node<NodeKind::is> {};
template <> struct build<grammar::with_parts>     : node<NodeKind::with> {};
template <> struct build<grammar::where_place>    : node<NodeKind::where> {};
template <> struct build<grammar::group>          : node<NodeKind::group> {};
template <> struct build<grammar::refs>           : node<NodeKind::refs> {};
template <> struct build<grammar::pair_sides>     : node<NodeKind::pairing> {};
template <> struct build<grammar::pair_to>        : node<NodeKind::pairing> {};
template <> struct build<grammar::ref>            : node<NodeKind::ref> {};
template <> struct build<grammar::ref_or_signed>  : node<NodeKind::ref> {};
template <> struct build<grammar::index>          : node<NodeKind::index, '['> {};
template <> struct build<grammar::signed_mark>    : node<NodeKind::label> {};
template <> struct build<grammar::measure>        : node<NodeKind::quantity> {};
template <> struct build<grammar::gauge_measure>  : node<NodeKind::quantity> {};
template <> struct build<grammar::glued_range>    : all_or_none {};
template <> struct build<grammar::times_operand>  : wrap<NodeKind::product> {};
template <> struct build<grammar::plus_product>   : wrap<NodeKind::sum> {};
template <> struct build<grammar::minus_product>  : wrap<NodeKind::difference> {};

template <> struct build<grammar::name>           : limited_leaf<NodeKind::name, limits::name_bytes> {};
template <> struct build<grammar::lone_name>      : limited_leaf<NodeKind::name, limits::name_bytes> {};
template <> struct build<grammar::mark>           : limited_leaf<NodeKind::mark, limits::name_bytes> {};
template <> struct build<grammar::variable>       : limited_leaf<NodeKind::name, limits::name_bytes> {};
template <> struct build<grammar::label_word>     : limited_leaf<NodeKind::label, limits::name_bytes> {};
template <> struct build<grammar::text>           : limited_leaf<NodeKind::text, limits::text_bytes> {};
template <> struct build<grammar::side>           : leaf<NodeKind::label> {};
template <> struct build<grammar::other_side>     : leaf<NodeKind::label> {};
template <> struct build<grammar::label_mark>     : leaf<NodeKind::label> {};
template <> struct build<grammar::times_word>     : leaf<NodeKind::label> {};
template <> struct build<grammar::kind>           : leaf<NodeKind::word> {};
template <> struct build<grammar::role>           : leaf<NodeKind::word> {};
template <> struct build<grammar::rule_id>        : leaf<NodeKind::rule_id> {};
template <> struct build<grammar::none_word>      : leaf<NodeKind::none_word> {};
template <> struct build<grammar::supplied_word>  : leaf<NodeKind::supplied_word> {};
template <> struct build<grammar::gauge>          : leaf<NodeKind::number> {};
template <> struct build<grammar::unit>           : leaf<NodeKind::unit> {};
template <> struct build<grammar::foreign_unit>   : leaf<NodeKind::unit> {};
template <> struct build<grammar::date>           : leaf<NodeKind::date> {};
template <> struct build<grammar::time>           : leaf<NodeKind::time> {};
template <> struct build<grammar::pair>           : leaf<NodeKind::pair> {};
template <> struct build<grammar::to_dots>        : leaf<NodeKind::dots> {};
// clang-format on

void number(const char* begin, const char* end, Builder& b);  // a leaf, its digits counted

template <>
struct build<grammar::real> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        number(in.begin(), in.end(), b);
    }
};
template <>
struct build<grammar::whole> : build<grammar::real> {};
template <>
struct build<grammar::lone_whole> : build<grammar::real> {};

// A number turns out to have no unit, or a comma, or an exponent.
template <>
struct build<grammar::plain_end> {
    static void apply0(Builder& b) { b.become_leaf(NodeKind::number); }
};
template <>
struct build<grammar::comma_number> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.become_leaf(NodeKind::junk);
        comma(in.begin(), in.end(), b);
    }
    static void comma(const char* begin, const char* end, Builder& b);
};
template <>
struct build<grammar::bad_number> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.become_leaf(NodeKind::junk);
        exponent(in.end(), b);
    }
    static void exponent(const char* end, Builder& b);
};

template <>
struct build<grammar::lone_sign> {
    static void apply0(Builder& b) { b.become(NodeKind::signed_label); }
};
template <>
struct build<grammar::line_arrow> {
    static void apply0(Builder& b) { b.become(NodeKind::conductor); }
};
template <>
struct build<grammar::bare_head> {
    static void apply0(Builder& b) { b.bare_head(); }
};

// ---- mistakes
// ------------------------------------------------------------------------------------------------------------
template <class R>
struct build<grammar::missing<R>> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        static_assert(!expected<R>.what.empty());
        b.missing(expected<R>, in.begin());
        b.junk(in.begin(), in.end());
    }
};
// What is only looked at and then taken as it stands: a finding with an edit, and the reading goes
// on.
struct Slip {
    static void unclosed_text(const char* begin, const char* end, Builder& b);
    static void bad_escape(const char* at, Builder& b);
    static void glued_arrow(const char* begin, const char* end, Builder& b);
    static void odd_arrow(const char* begin, const char* end, Builder& b);
    static void fused_arrow(const char* at, Builder& b);
    static void late_brace(const char* begin, const char* end, Builder& b);
    static void no_brace(const char* begin, Builder& b);
    static void misplaced(const char* begin, Builder& b);
    static void unreadable(const char* begin, Builder& b);
    static void stray_close(const char* begin, Builder& b);
};
template <>
struct build<grammar::unclosed_text> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::unclosed_text(in.begin(), in.end(), b);
    }
};
template <>
struct build<grammar::bad_escape> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::bad_escape(in.begin(), b);
    }
};
template <>
struct build<grammar::glued_arrow> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::glued_arrow(in.begin(), in.end(), b);
    }
};
template <>
struct build<grammar::odd_arrow> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::odd_arrow(in.begin(), in.end(), b);
    }
};
template <>
struct build<grammar::fused_arrow> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::fused_arrow(in.begin(), b);
    }
};
template <>
struct build<grammar::late_brace> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::late_brace(in.begin(), in.end(), b);
    }
};
template <>
struct build<grammar::no_brace> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::no_brace(in.begin(), b);
    }
};
template <>
struct build<grammar::stray_close> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        Slip::stray_close(in.begin(), b);
    }
};
template <>
struct build<grammar::no_end> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.missing(expected<grammar::end>, in.begin());
    }
};
template <>
struct build<grammar::unclosed> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.unclosed(in.begin());
    }
};
template <>
struct build<grammar::odd_blank> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.odd_blank(in.begin(), in.end());
    }
};
template <>
struct build<grammar::lone_return> {
    template <class Input>
    static void apply(const Input& in, Builder& b) {
        b.lone_return(in.begin());
    }
};

// ---- rules that ask the builder
// ------------------------------------------------------------------------------------------
template <>
struct build<grammar::indented> : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        return b.is_indented(in.current());
    }
};
template <>
struct build<grammar::cut_short> : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        return b.cut_at == b.offset(in.current());
    }
};

// Junk that may hold blocks: they are read, so that the braces are counted, and nothing is said
// about them.
template <>
struct build<grammar::rest_of_line> : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        ++b.quiet;
        const bool found = node<NodeKind::junk>::match<Rule, A, M, Action, Control>(in, b);
        --b.quiet;
        return found;
    }
};
template <>
struct build<grammar::misplaced> : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        if (b.closes_blocks(in.current())) return false;
        Slip::misplaced(in.current(), b);
        return pegtl::match<Rule, A, M, Action, Control>(in, b);
    }
};
template <>
struct build<grammar::unreadable> : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        if (in.empty() || *in.current() == '}') return false;
        Slip::unreadable(in.current(), b);
        return pegtl::match<Rule, A, M, Action, Control>(in, b);
    }
};

// One statement, or what stands in its place, with the end of its line.
template <class Set>
struct build<grammar::entry<Set>> : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        if (!b.long_lines.empty()) {
            if (const char* const end = b.end_of_long_line(in.current())) {
                b.junk(in.current(), end);
                in.bump_in_this_line(static_cast<std::size_t>(end - in.current()));
                return true;
            }
        }
        // A conductor that stands at the edge of the page belongs outside a block that holds none.
        if constexpr (std::is_same_v<Set, grammar::in_block> ||
                      std::is_same_v<Set, grammar::in_part>) {
            if (b.conductor_outside(in.current())) return false;
        }
        const Builder::Statement outer = b.statement;
        const auto first = b.size();
        b.statement = {first, b.offset(in.current()), false};
        const bool found = pegtl::match<Rule, A, M, Action, Control>(in, b);
        if (b.statement.bad && first < b.size()) b.spoil(first);
        b.statement = outer;
        return found;
    }
};

template <class Set, bool Opened>
struct block_node : pegtl::maybe_nothing {
    template <class Rule, pegtl::apply_mode A, pegtl::rewind_mode M,
              template <class...> class Action, template <class...> class Control, class Input>
    [[nodiscard]] static bool match(Input& in, Builder& b) {
        if constexpr (Opened) {
            if (in.empty() || *in.current() != '{') return false;
            if (b.blocks.size() == limits::block_depth) {
                const char* const begin = in.current();
                const char* const end = b.skip_block(begin);
                b.junk(begin, end);
                in.bump_in_this_line(static_cast<std::size_t>(end - begin));
                return true;
            }
        }
        constexpr bool holds_ports =
            std::is_same_v<Set, grammar::in_part> || std::is_same_v<Set, grammar::in_assembly>;
        b.blocks.push_back({b.offset(in.current()), holds_ports, Opened});
        const bool found = node<NodeKind::block>::match<Rule, A, M, Action, Control>(in, b);
        b.blocks.pop_back();
        return found;
    }
};
template <class Set>
struct build<grammar::braces<Set>> : block_node<Set, true> {};
template <class Set>
struct build<grammar::unopened<Set>> : block_node<Set, false> {};

}  // namespace ferrule::syntax
