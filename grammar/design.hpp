// The grammar of the design language, one rule a line: what is a statement and what is a word. Which properties a block
// may hold and what their values must be stands in kinds.toml. No actions are in it: src/syntax builds the tree.
//
//   sor<A, B>  the first that fits      at<A> / not_at<A>  look, take nothing      want<A>  A, or else a finding
//
// A line is read from left to right. Its first word decides what it is; a line that begins with a thing is a conductor
// if `->` follows and a property if not. Nothing fails: what `want` does not find is recorded as missing, and the rest of
// the statement, up to the block or the end of the line, is junk.
#pragma once

#include <tao/pegtl.hpp>

#include "grammar/unit_words.hpp"
#include "grammar/words.hpp"

namespace ferrule::syntax::grammar {

using namespace tao::pegtl;

// clang-format off

// A piece that must be there. Where it is not, what stands there instead is junk up to the block or the end of the line;
// the action on `missing` says what was expected.
struct closed_quote   : seq<one<'"'>, star<sor<not_one<'"', '\\', '\n', '\r'>, seq<one<'\\'>, not_one<'\n', '\r'>>>>, one<'"'>> {};
struct junk_run       : star<sor<closed_quote, not_one<'{', '}', ';', '\n', '\r', '#'>>> {};
template <class R> struct missing : junk_run {};
template <class R> struct want    : sor<R, missing<R>> {};

// One byte of some classes of words.hpp: looked up, not compared with each.
template <std::uint8_t Classes>
struct byte_of {
    using rule_t = byte_of;
    using subs_t = empty_list;
    template <class Input>
    [[nodiscard]] static bool match(Input& in) {
        if (in.empty() || (byte_classes[static_cast<unsigned char>(*in.current())] & Classes) == 0) return false;
        in.bump_in_this_line(1);
        return true;
    }
};

// ---- blanks and line ends ---------------------------------------------------------------------------------------
struct odd_first      : byte_of<odd_bytes> {};
struct odd_blank      : sor<one<'\f', '\v'>, TAO_PEGTL_STRING("\u00A0"), TAO_PEGTL_STRING("\u2007"), TAO_PEGTL_STRING("\u202F")> {};
struct blank          : sor<plus<byte_of<blank_bytes>>, seq<at<odd_first>, odd_blank>> {};
struct sp             : star<blank> {};
struct b              : plus<blank> {};
struct lone_return    : one<'\r'> {};
struct newline        : sor<one<'\n'>, tao::pegtl::string<'\r', '\n'>, lone_return> {};
struct comment        : seq<one<'#'>, star<not_one<'\n', '\r'>>> {};
struct gap            : star<sor<one<' ', '\t', '\n', ';'>, comment, newline, seq<at<odd_first>, odd_blank>>> {};

// ---- letters and words ------------------------------------------------------------------------------------------
struct accented       : sor<seq<one<'\xC3'>, ranges<'\x80', '\x96', '\x98', '\xB6', '\xB8', '\xBF'>>, seq<one<'\xC4', '\xC5'>, range<'\x80', '\xBF'>>> {};  // À to ſ without × and ÷
struct letter         : sor<byte_of<letter_bytes>, accented> {};
struct name_char      : sor<byte_of<letter_bytes | digit_bytes | under_bytes>, accented> {};
struct sign           : sor<one<'+'>, seq<one<'-'>, not_at<one<'>'>>>> {};
struct lchar          : sor<byte_of<letter_bytes | digit_bytes | under_bytes | slash_bytes>, seq<one<'-'>, not_at<one<'>'>>>, accented> {};
struct edge           : not_at<sor<lchar, one<'['>>> {};
struct digits         : plus<digit> {};

// A word of a table: all its bytes are read, then it is looked up once.
template <const auto& Table>
struct word_of {
    using rule_t = word_of;
    using subs_t = empty_list;
    template <class Input>
    [[nodiscard]] static bool match(Input& in) {
        const char* const begin = in.current();
        const char* at = begin;
        if (at == in.end() || !Table.may_begin(static_cast<unsigned char>(*at))) return false;
        while (at != in.end() && *at >= 'a' && *at <= 'z') ++at;
        if (!Table.has({begin, static_cast<std::size_t>(at - begin)})) return false;
        in.bump_in_this_line(static_cast<std::size_t>(at - begin));
        return true;
    }
};
struct keyword        : seq<word_of<keyword_table>, edge> {};
struct joining        : seq<word_of<joining_table>, edge> {};
struct reserved       : sor<keyword, joining> {};

struct name_text      : seq<not_at<reserved>, letter, star<sor<name_char, seq<plus<one<'-'>>, at<name_char>>>>> {};
struct name           : seq<name_text> {};
struct lone_name      : seq<name_text, edge> {};
struct word           : seq<ranges<'a', 'z'>, star<ranges<'a', 'z', '0', '9', '-'>>, edge> {};
struct mark           : plus<lchar> {};

struct escape         : seq<one<'\\'>, one<'"', '\\'>> {};
struct bad_escape     : one<'\\'> {};
struct text_char      : sor<not_one<'"', '\\', '\n', '\r'>, escape, bad_escape> {};
struct closed_text    : seq<one<'"'>, star<text_char>, one<'"'>> {};
struct text_stop      : seq<sp, sor<at<one<'{'>>, seq<star<one<'}'>, sp>, opt<comment>, sor<eof, at<newline>>>>> {};
struct unclosed_text  : seq<one<'"'>, star<not_at<text_stop>, any>> {};
struct text           : sor<closed_text, unclosed_text> {};

// ---- numbers and units ------------------------------------------------------------------------------------------
struct real           : seq<opt<one<'+', '-'>>, digits, opt<one<'.'>, digits>> {};
struct gauge          : seq<range<'1', '4'>, tao::pegtl::string<'/', '0'>> {};
struct plain_end      : seq<edge, not_at<one<'.'>, lchar>> {};
struct unit_sign      : sor<one<'%'>, TAO_PEGTL_STRING("\u00B2"), TAO_PEGTL_STRING("\u00B3"), TAO_PEGTL_STRING("\u00B0"), TAO_PEGTL_STRING("\u00B5"), TAO_PEGTL_STRING("\u03BC"), TAO_PEGTL_STRING("\u03A9"), TAO_PEGTL_STRING("\u2126")> {};
struct unit_char      : sor<lchar, unit_sign, seq<one<'.'>, at<letter>>> {};

// A unit: all that hangs together, looked up once. So mm2 is never m followed by m2, and N.m never N.
struct unit {
    using rule_t = unit;
    using subs_t = empty_list;
    template <class Input>
    [[nodiscard]] static bool match(Input& in) {
        if (in.empty() || !unit_table.may_begin(static_cast<unsigned char>(*in.current()))) return false;
        const char* const begin = in.current();
        memory_input<tracking_mode::lazy> ahead(begin, in.end(), "");
        if (!tao::pegtl::parse<plus<unit_char>>(ahead)) return false;
        const auto size = static_cast<std::size_t>(ahead.current() - begin);
        if (!unit_table.has({begin, size})) return false;
        in.bump_in_this_line(size);
        return true;
    }
};
// A word glued to a number that looks like a unit and is none (6mmm2); 10x38, 1N and 2T1 are labels.
struct foreign_unit   : seq<not_at<one<'x'>>, at<star<range<'A', 'Z'>>, sor<range<'a', 'z'>, unit_sign>>, sor<letter, unit_sign>, sor<letter, unit_sign>, star<sor<letter, unit_sign>>, opt<one<'2', '3'>>, not_at<unit_char>, edge> {};
struct comma_digits   : plus<one<','>, digits> {};
struct comma_number   : seq<comma_digits, opt<sp, unit>, edge> {};
struct bad_number     : seq<sor<seq<one<'e', 'E'>, opt<one<'+', '-'>>, digits>, plus<one<'_'>, digits>>, opt<sp, unit>, edge> {};
struct measure        : seq<real, sor<seq<sp, unit>, foreign_unit, comma_number, plain_end, bad_number>> {};
struct gauge_measure  : seq<gauge, sp, unit> {};
struct date           : seq<rep<4, digit>, one<'-'>, rep<2, digit>, opt<one<'-'>, rep<2, digit>>, edge> {};
struct time           : seq<rep<2, digit>, one<':'>, rep<2, digit>, edge> {};
struct pair           : seq<digit, star<alnum>, one<'-'>, plus<alnum>, edge> {};
struct whole          : plus<digit> {};
struct dots           : tao::pegtl::string<'.', '.'> {};

// ---- things and terminals ---------------------------------------------------------------------------------------
struct plus_sign      : one<'+'> {};
struct minus_sign     : seq<one<'-'>, not_at<one<'>'>>> {};
struct times_sign     : one<'*'> {};
struct variable       : seq<not_at<reserved>, letter, star<name_char>> {};                       // no dash: i-1 is a difference
struct operand        : sor<whole, variable> {};
struct times_operand  : seq<sp, times_sign, sp, want<operand>> {};
struct product        : seq<operand, opt<times_operand>> {};
struct plus_product   : seq<sp, plus_sign, sp, want<product>> {};
struct minus_product  : seq<sp, minus_sign, sp, want<product>> {};
struct sum            : seq<product, opt<sor<plus_product, minus_product>>> {};
struct close_index    : one<']'> {};
struct index          : seq<one<'['>, sp, want<sum>, opt<sp, dots, sp, want<sum>>, sp, want<close_index>> {};

struct member_mark    : seq<mark, opt<index, opt<sign>>> {};
struct terminal       : sor<member_mark, seq<index, opt<sign>>> {};
struct fused_arrow    : seq<one<'-'>, at<one<'>'>>> {};                          // EAST.-> X: the sign and the arrow share a dash
struct member         : seq<one<'.'>, not_at<one<'.'>>, sor<terminal, fused_arrow, missing<terminal>>> {};
struct members        : seq<star<member>, edge> {};
struct lone_sign      : seq<sign, edge> {};
struct ref            : seq<name, opt<index>, members> {};
struct ref_or_signed  : seq<name, opt<index>, sor<lone_sign, members>> {};
struct declared       : seq<name, opt<index>, edge> {};
struct signed_mark    : seq<plus<lchar>, opt<index, opt<sign>>, edge> {};

// ---- lists and tails --------------------------------------------------------------------------------------------
struct line_goes_on   : seq<opt<comment>, newline, sp, star<comment, newline, sp>, not_at<sor<keyword, one<'}'>, newline, eof>>> {};
struct more           : seq<sp, one<','>, sp, opt<line_goes_on>> {};
struct refs           : seq<ref, star<more, ref>> {};
struct label_word     : seq<not_at<keyword>, plus<lchar>, edge> {};
struct times_word     : TAO_PEGTL_STRING("\u00D7") {};
struct numeric        : seq<at<ranges<'0', '9', '+', '+', '-'>>, sor<date, time, gauge_measure, measure, pair>> {};
struct to_dots        : seq<dots> {};
struct atom           : sor<numeric, ref_or_signed, text, label_word, to_dots, times_word> {};
struct glued_range    : seq<to_dots, sp, atom> {};                                        // 5 V..9 V
struct tail           : star<sor<seq<sor<more, b>, atom>, glued_range>> {};
struct glued_arrow    : seq<sor<seq<sp, tao::pegtl::string<'-', '>'>>, one<'>'>>, sp> {};
struct odd_arrow_sign : sor<seq<one<'-'>, plus<one<'-'>>, one<'>'>>, seq<plus<one<'='>>, one<'>'>>, TAO_PEGTL_STRING("\u2192"), TAO_PEGTL_STRING("\u21D2")> {};
struct odd_arrow      : seq<sp, odd_arrow_sign, sp> {};                                   // --> => →
struct arrow          : sor<seq<b, tao::pegtl::string<'-', '>'>, b>, glued_arrow, odd_arrow> {};


// ---- pieces of statements ---------------------------------------------------------------------------------------
struct is_key         : seq<tao::pegtl::string<'i', 's'>, edge> {};
struct in_key         : seq<tao::pegtl::string<'i', 'n'>, edge> {};
struct on_key         : seq<tao::pegtl::string<'o', 'n'>, edge> {};
struct with_key       : seq<TAO_PEGTL_STRING("with"), edge> {};
struct is_word        : seq<b, is_key> {};
struct in_word        : seq<b, in_key> {};
struct on_word        : seq<b, on_key> {};
struct kind           : seq<word> {};
struct kind_word      : seq<b, kind> {};
struct quoted         : seq<sp, text> {};
struct names          : seq<sp, declared, star<more, declared>> {};
struct one_name       : seq<sp, lone_name> {};
struct run_name       : seq<sp, name, opt<index>, edge> {};                       // T[i]: within a repeat
struct named          : seq<b, lone_name> {};
struct is_part        : seq<is_key, want<named>> {};
struct is             : seq<b, is_part> {};
struct with_parts     : seq<with_key, want<named>, star<more, lone_name>> {};
struct with           : seq<b, with_parts> {};
struct place_ref      : seq<b, ref> {};
struct where_place    : seq<sor<in_key, on_key>, want<place_ref>> {};
struct where          : seq<b, where_place> {};
struct times          : sor<seq<one<'x'>, at<blank>, sp>, seq<TAO_PEGTL_STRING("\u00D7"), sp>> {};
struct group_part     : seq<lone_name> {};
struct group          : seq<real, sp, want<times>, want<group_part>> {};
struct first_group    : seq<b, group> {};
struct is_groups      : seq<is_word, want<first_group>, star<more, group>> {};
struct one_ref        : seq<sp, ref> {};
struct first_refs     : seq<sp, refs> {};
struct stops          : plus<arrow, want<refs>> {};
struct on_refs        : seq<on_word, want<first_refs>> {};
struct side           : seq<digit, star<alnum>> {};
struct other_side     : plus<alnum> {};
struct label_mark     : plus<lchar> {};
struct pair_sides     : seq<side, one<'-'>, other_side, edge> {};
struct pair_to        : seq<label_mark, b, tao::pegtl::string<'t', 'o'>, b, label_mark> {};
struct pairing        : sor<pair_sides, pair_to> {};
struct none_word      : seq<TAO_PEGTL_STRING("none"), edge> {};
struct supplied_word  : seq<TAO_PEGTL_STRING("supplied"), edge> {};
struct links          : seq<b, sor<none_word, supplied_word, seq<pairing, star<sor<more, b>, pairing>, tail>>> {};
struct role           : seq<word, at<sp, one<'{'>>> {};
struct rule_id        : seq<not_at<joining, not_at<one<'.'>>>, word, star<one<'.'>, word>> {};
struct rule_name      : seq<sp, rule_id> {};
struct lone_whole     : seq<digits, edge> {};
struct edition_number : seq<sp, lone_whole> {};
struct from_number    : seq<b, whole> {};
struct to_number      : seq<sp, dots, sp, whole> {};

// ---- blocks -----------------------------------------------------------------------------------------------------
template <class Set> struct items;                              // Set: the statements that a block may hold, see below
struct end            : seq<sp, sor<one<';'>, seq<opt<comment>, sor<newline, eof>>, at<one<'}'>>>> {};
struct unclosed       : success {};
struct close          : sor<one<'}'>, unclosed> {};
template <class Set> struct braces      : seq<one<'{'>, items<Set>, close> {};
struct indented       : success {};                             // further in than its statement: the tree's builder knows
struct late_brace     : seq<gap, at<one<'{'>>> {};              // a `{` on a line of its own
struct closes_here    : seq<b, at<star<not_one<'{', '}', '\n', '\r', '#', '"'>>, one<'}'>>> {};
struct goes_on_below  : seq<end, gap, indented, not_at<keyword>, at<sor<lchar, one<'}'>>>> {};
struct no_brace       : sor<closes_here, goes_on_below> {};     // what follows can only be the block: its `{` was forgotten
template <class Set> struct unopened    : seq<no_brace, items<Set>, close> {};
template <class Set> struct block       : sor<seq<sp, braces<Set>>, seq<late_brace, braces<Set>>> {};
struct open_brace     : one<'{'> {};
template <class Set> struct needs_block : sor<block<Set>, unopened<Set>, seq<missing<open_brace>, opt<block<Set>>>> {};
template <class Set> struct may_block   : sor<block<Set>, at<end>, seq<missing<end>, opt<block<Set>>>> {};

// ---- statements -------------------------------------------------------------------------------------------------
struct in_file; struct in_assembly; struct in_repeat; struct in_run; struct in_part; struct in_block;

struct edition_line   : seq<TAO_PEGTL_STRING("edition"), want<edition_number>> {};
struct site_line      : seq<TAO_PEGTL_STRING("site"), want<quoted>, needs_block<in_block>> {};
struct include_line   : seq<TAO_PEGTL_STRING("include"), want<quoted>> {};
struct place_line     : seq<TAO_PEGTL_STRING("place"), want<names>, needs_block<in_block>> {};
struct part_line      : seq<TAO_PEGTL_STRING("part"), want<one_name>, want<is_word>, want<kind_word>, needs_block<in_part>> {};
struct string_line    : seq<TAO_PEGTL_STRING("string"), want<names>, want<is_groups>, opt<where>, may_block<in_block>> {};
struct enclosure_line : seq<TAO_PEGTL_STRING("enclosure"), want<names>, opt<is>, opt<where>, may_block<in_block>> {};
struct device_line    : seq<TAO_PEGTL_STRING("device"), want<names>, want<is>, opt<with>, opt<where>, may_block<in_block>> {};
struct run_line       : seq<TAO_PEGTL_STRING("run"), want<run_name>, opt<b, text>, needs_block<in_run>> {};
struct cable_line     : seq<TAO_PEGTL_STRING("cable"), want<names>, want<is>, tail> {};
struct jumper_line    : seq<TAO_PEGTL_STRING("jumper"), want<one_ref>, want<links>> {};
struct bond_line      : seq<TAO_PEGTL_STRING("bond"), want<first_refs>, want<stops>, tail> {};
struct earth_line     : seq<TAO_PEGTL_STRING("earth"), want<first_refs>, want<stops>, tail> {};
struct gang_line      : seq<TAO_PEGTL_STRING("gang"), want<first_refs>, tail> {};
struct label_line     : seq<TAO_PEGTL_STRING("label"), want<quoted>, want<on_refs>, may_block<in_block>> {};
struct steps_line     : seq<TAO_PEGTL_STRING("steps"), want<quoted>, needs_block<in_block>> {};
struct assembly_line  : seq<TAO_PEGTL_STRING("assembly"), want<one_name>, needs_block<in_assembly>> {};
struct port_name      : seq<sp, signed_mark> {};
struct port_what      : seq<b, sor<seq<role, block<in_block>>, ref>> {};
struct port_line      : seq<TAO_PEGTL_STRING("port"), want<port_name>, want<is_word>, want<port_what>> {};
struct except_line    : seq<TAO_PEGTL_STRING("except"), want<one_ref>, opt<sor<seq<is_word, first_group>, is>>, opt<with>, opt<b, text>> {};
struct accept_line    : seq<TAO_PEGTL_STRING("accept"), want<rule_name>, opt<on_refs>, tail, may_block<in_block>> {};
struct reading_line   : seq<TAO_PEGTL_STRING("reading"), want<quoted>, needs_block<in_block>> {};
template <class Set>
struct repeat_line    : seq<TAO_PEGTL_STRING("repeat"), want<one_name>, want<in_word>, want<from_number>, want<to_number>, needs_block<Set>> {};

// ---- lines that open with no keyword ----------------------------------------------------------------------------
struct line_arrow     : seq<arrow> {};
struct to_terminal    : seq<line_arrow, want<ref>, tail> {};
struct bare_head      : success {};
struct values         : seq<bare_head, tail, may_block<in_block>> {};
struct line           : sor<seq<ref, sor<to_terminal, values>>, seq<label_word, values>> {};

// ---- what each block holds --------------------------------------------------------------------------------------
struct in_block       : failure {};
struct in_part        : sor<port_line> {};
struct in_run         : sor<bond_line, earth_line, jumper_line, cable_line, repeat_line<in_run>> {};
struct in_repeat      : sor<device_line, string_line, run_line, bond_line, jumper_line, cable_line, enclosure_line, place_line, earth_line, gang_line, label_line, except_line, accept_line, repeat_line<in_repeat>> {};
struct in_assembly    : sor<port_line, in_repeat> {};
struct in_file        : sor<in_repeat, part_line, edition_line, site_line, include_line, assembly_line, steps_line, reading_line> {};

// ---- the file ---------------------------------------------------------------------------------------------------
struct junk_block     : seq<braces<in_file>> {};
struct rest_of_line   : seq<junk_run, star<junk_block, junk_run>> {};
struct misplaced      : seq<keyword, rest_of_line> {};
struct unreadable     : seq<not_at<sor<one<'}'>, eof>>, rest_of_line> {};
template <class Set> struct item        : if_then_else<at<keyword>, sor<Set, misplaced>, sor<line, unreadable>> {};
struct cut_short      : failure {};                             // the block was closed by a statement it cannot hold
struct no_end         : success {};
struct line_end       : sor<end, cut_short, seq<no_end, rest_of_line, opt<end>>> {};
template <class Set> struct entry       : seq<item<Set>, line_end> {};
template <class Set> struct items       : seq<gap, star<entry<Set>, gap>> {};
struct stray_close    : one<'}'> {};
struct file           : seq<opt<utf8::bom>, items<in_file>, star<stray_close, items<in_file>>, eof> {};

// clang-format on
}  // namespace ferrule::syntax::grammar
