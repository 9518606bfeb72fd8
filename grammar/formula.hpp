// The formulas of rule files, in PEG, one rule a line.
//   1.25 * string.isc <= rated-current and kind in ['isolator', 'breaker']
// A name may hold hyphens, so a minus between two names stands between blanks. `/` is ordered choice in PEG: sor<>.
#pragma once

#include <tao/pegtl.hpp>

namespace ferrule::grammar::formula {

namespace peg = tao::pegtl;

// ---- what stands between -------------------------------------------------------------------------------------
struct _ : peg::star<peg::space> {};
struct more : peg::seq<_, peg::one<','>, _> {};

// ---- words ---------------------------------------------------------------------------------------------------
struct letter_or_digit : peg::ranges<'a', 'z', '0', '9'> {};
struct hyphen_within : peg::seq<peg::one<'-'>, peg::at<letter_or_digit>> {};
struct word_ends : peg::not_at<peg::sor<letter_or_digit, hyphen_within>> {};
template <char... Letters> struct keyword : peg::seq<peg::string<Letters...>, word_ends> {};
struct and_ : keyword<'a', 'n', 'd'> {};
struct or_ : keyword<'o', 'r'> {};
struct not_ : keyword<'n', 'o', 't'> {};
struct in_ : keyword<'i', 'n'> {};
struct if_ : keyword<'i', 'f'> {};
struct then_ : keyword<'t', 'h', 'e', 'n'> {};
struct else_ : keyword<'e', 'l', 's', 'e'> {};
struct reserved : peg::sor<and_, or_, not_, in_, if_, then_, else_> {};
struct plain_name : peg::seq<peg::range<'a', 'z'>, peg::star<peg::sor<letter_or_digit, hyphen_within>>> {};
struct name : peg::seq<peg::not_at<reserved>, plain_name> {};

// ---- literals ------------------------------------------------------------------------------------------------
struct digits : peg::plus<peg::digit> {};
struct number : peg::seq<digits, peg::opt<peg::one<'.'>, digits>> {};
struct unit_opens : peg::sor<peg::alpha, peg::one<'%'>, peg::range<'\x80', '\xff'>> {};
struct unit_goes_on : peg::sor<unit_opens, peg::digit, peg::seq<peg::one<'/', '.'>, peg::at<unit_opens>>> {};
struct unit : peg::seq<peg::not_at<reserved>, unit_opens, peg::star<unit_goes_on>> {};
struct quantity : peg::seq<number, peg::opt<_, unit>> {};
struct quoted : peg::star<peg::not_one<'\'', '\n'>> {};
struct close_quote : peg::one<'\''> {};
struct word : peg::if_must<peg::one<'\''>, quoted, close_quote> {};

// ---- values --------------------------------------------------------------------------------------------------
struct expression;
struct close_bracket : peg::one<')'> {};
struct close_list : peg::one<']'> {};
struct bracket : peg::if_must<peg::one<'('>, _, expression, _, close_bracket> {};
struct step_name : plain_name {};
struct step : peg::seq<peg::one<'.'>, peg::must<step_name>> {};
struct path : peg::seq<name, peg::star<step>> {};
struct called : peg::seq<name, _, peg::at<peg::one<'('>>> {};
struct argument : peg::must<expression> {};
struct arguments : peg::seq<argument, peg::star<more, argument>> {};
struct call : peg::if_must<called, peg::one<'('>, _, arguments, _, close_bracket> {};
struct primary : peg::sor<quantity, word, bracket, call, path> {};

// ---- what binds tightest stands first --------------------------------------------------------------------------
struct unary;
struct operand : peg::must<unary> {};
struct minus_of : peg::seq<peg::one<'-'>, _, operand> {};
struct unary : peg::sor<minus_of, primary> {};
struct times : peg::seq<peg::one<'*'>, _, operand> {};
struct divided : peg::seq<peg::one<'/'>, _, operand> {};
struct product : peg::seq<unary, peg::star<_, peg::sor<times, divided>>> {};
struct term : peg::must<product> {};
struct plus_ : peg::seq<peg::one<'+'>, _, term> {};
struct minus_ : peg::seq<peg::one<'-'>, _, term> {};
struct sum : peg::seq<product, peg::star<_, peg::sor<plus_, minus_>>> {};
struct compared : peg::must<sum> {};
struct less_equal : peg::seq<peg::string<'<', '='>, _, compared> {};
struct less : peg::seq<peg::one<'<'>, _, compared> {};
struct greater_equal : peg::seq<peg::string<'>', '='>, _, compared> {};
struct greater : peg::seq<peg::one<'>'>, _, compared> {};
struct unequal : peg::seq<peg::string<'!', '='>, _, compared> {};
struct equal : peg::seq<peg::one<'='>, peg::opt<peg::one<'='>>, _, compared> {};
struct open_list : peg::one<'['> {};
struct one_of : peg::seq<in_, _, peg::must<open_list>, _, arguments, _, peg::must<close_list>> {};
struct relation : peg::sor<less_equal, less, greater_equal, greater, unequal, equal, one_of> {};
struct comparison : peg::seq<sum, peg::opt<_, relation>> {};
struct negation;
struct negated : peg::must<negation> {};
struct inverted : peg::seq<not_, _, negated> {};
struct negation : peg::sor<inverted, comparison> {};
struct and_also : peg::seq<and_, _, negated> {};
struct conjunction : peg::seq<negation, peg::star<_, and_also>> {};
struct alternative : peg::must<conjunction> {};
struct or_else : peg::seq<or_, _, alternative> {};
struct disjunction : peg::seq<conjunction, peg::star<_, or_else>> {};
struct then_part : peg::must<expression> {};
struct conditional : peg::if_must<if_, _, then_part, _, then_, _, then_part, _, else_, _, then_part> {};
struct expression : peg::sor<conditional, disjunction> {};
struct whole : peg::must<_, expression, _, peg::eof> {};

}  // namespace ferrule::grammar::formula
