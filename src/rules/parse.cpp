#include "rules/parse.hpp"

#include <utility>

#include <tao/pegtl/contrib/limit_depth.hpp>

#include "base/limits.hpp"
#include "grammar/formula.hpp"

namespace ferrule::rules {

namespace {

namespace peg = tao::pegtl;
namespace g = grammar::formula;

// Operands wait on a stack until the rule that joins them has been read whole. Wherever a rule
// pushes, the grammar does not go back behind it (operators are followed by must<>), so nothing is
// ever taken off again.
struct Builder {
    std::vector<Parsed> nodes;
    std::vector<std::uint32_t> waiting;
    struct Open {
        std::size_t waiting;
        std::uint32_t at, at_end;
    };
    std::vector<Open> open;  // argument lists being read

    void push(Parsed node) {
        nodes.push_back(std::move(node));
        waiting.push_back(static_cast<std::uint32_t>(nodes.size() - 1));
    }
    void join(Parsed node, std::size_t first_operand) {
        node.children.assign(waiting.begin() + static_cast<std::ptrdiff_t>(first_operand),
                             waiting.end());
        waiting.resize(first_operand);
        node.begin = std::min(node.begin, nodes[node.children.front()].begin);
        push(std::move(node));
    }
};

template <class Input>
Parsed spanning(Parsed::Kind kind, const Input& in) {
    Parsed node;
    node.kind = kind;
    node.begin = static_cast<std::uint32_t>(in.begin() - in.input().begin());
    node.end = static_cast<std::uint32_t>(in.end() - in.input().begin());
    while (node.end > node.begin && in.input().begin()[node.end - 1] <= ' ' &&
           in.input().begin()[node.end - 1] > 0)
        --node.end;
    return node;
}

template <Op op, std::size_t operands, std::size_t sign>
struct Joins {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        Parsed node = spanning(Parsed::Kind::operation, in);
        node.op = op;
        node.at = node.begin;
        node.at_end = node.begin + static_cast<std::uint32_t>(sign);
        builder.join(std::move(node), builder.waiting.size() - operands);
    }
};

template <class Rule>
struct Action : peg::nothing<Rule> {};

template <>
struct Action<g::expression> : peg::limit_depth<base::limits::formula_depth> {};
template <>
struct Action<g::times> : Joins<Op::multiply, 2, 1> {};
template <>
struct Action<g::divided> : Joins<Op::divide, 2, 1> {};
template <>
struct Action<g::plus_> : Joins<Op::add, 2, 1> {};
template <>
struct Action<g::minus_> : Joins<Op::subtract, 2, 1> {};
template <>
struct Action<g::less_equal> : Joins<Op::less_equal, 2, 2> {};
template <>
struct Action<g::less> : Joins<Op::less, 2, 1> {};
template <>
struct Action<g::greater_equal> : Joins<Op::greater_equal, 2, 2> {};
template <>
struct Action<g::greater> : Joins<Op::greater, 2, 1> {};
template <>
struct Action<g::unequal> : Joins<Op::unequal, 2, 2> {};
template <>
struct Action<g::equal> : Joins<Op::equal, 2, 1> {};
template <>
struct Action<g::and_also> : Joins<Op::logic_and, 2, 3> {};
template <>
struct Action<g::or_else> : Joins<Op::logic_or, 2, 2> {};
template <>
struct Action<g::conditional> : Joins<Op::choose, 3, 2> {};
template <>
struct Action<g::minus_of> : Joins<Op::negate, 1, 1>,
                             peg::limit_depth<base::limits::formula_depth> {};
template <>
struct Action<g::inverted> : Joins<Op::logic_not, 1, 3>,
                             peg::limit_depth<base::limits::formula_depth> {};

template <>
struct Action<g::quantity> {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        Parsed node = spanning(Parsed::Kind::number, in);
        const std::string_view text = in.string_view();
        const std::size_t digits_end = text.find_first_not_of("0123456789.");
        node.at = node.at_end = node.end;
        if (digits_end != std::string_view::npos) {
            const std::size_t unit = text.find_first_not_of(" \t\r\n\v\f", digits_end);
            if (unit != std::string_view::npos)
                node.at = node.begin + static_cast<std::uint32_t>(unit);
        }
        builder.push(std::move(node));
    }
};
template <>
struct Action<g::word> {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        builder.push(spanning(Parsed::Kind::word, in));
    }
};
template <>
struct Action<g::path> {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        builder.push(spanning(Parsed::Kind::path, in));
    }
};
template <>
struct Action<g::bracket> {  // the brackets belong to what they hold, so that it is shown with them
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        const Parsed whole = spanning(Parsed::Kind::operation, in);
        Parsed& inner = builder.nodes[builder.waiting.back()];
        inner.begin = whole.begin;
        inner.end = whole.end;
    }
};
template <>
struct Action<g::called> {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        const Parsed name = spanning(Parsed::Kind::call, in);
        builder.open.push_back({builder.waiting.size(), name.begin, name.end});
    }
};
template <>
struct Action<g::call> {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        Parsed node = spanning(Parsed::Kind::call, in);
        const Builder::Open open = builder.open.back();
        builder.open.pop_back();
        node.at = open.at;
        node.at_end = open.at_end;
        builder.join(std::move(node), open.waiting);
    }
};
template <>
struct Action<g::open_list> {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        const Parsed sign = spanning(Parsed::Kind::operation, in);
        builder.open.push_back({builder.waiting.size(), sign.begin, sign.end});
    }
};
template <>
struct Action<g::one_of> {
    template <class Input>
    static void apply(const Input& in, Builder& builder) {
        Parsed node = spanning(Parsed::Kind::operation, in);
        const Builder::Open open = builder.open.back();
        builder.open.pop_back();
        node.op = Op::in_list;
        node.at = node.begin;
        node.at_end = node.begin + 2;
        builder.join(std::move(node), open.waiting - 1);
    }
};

struct Messages {
    template <class Rule>
    static constexpr bool raise_on_failure = false;
    template <class Rule>
    static constexpr const char* message = "a value should stand here";
};
template <>
constexpr const char* Messages::message<peg::eof> =
    "the formula should end here, or go on with an operator";
template <>
constexpr const char* Messages::message<g::close_bracket> = "`)` is missing";
template <>
constexpr const char* Messages::message<g::close_list> = "`]` is missing";
template <>
constexpr const char* Messages::message<g::open_list> =
    "a list should stand here: ['one', 'other']";
template <>
constexpr const char* Messages::message<g::close_quote> = "the word has no closing '";
template <>
constexpr const char* Messages::message<g::step_name> = "a name should stand after the dot";
template <>
constexpr const char* Messages::message<g::then_> = "`then` is missing: if … then … else …";
template <>
constexpr const char* Messages::message<g::else_> = "`else` is missing: if … then … else …";

template <class Rule>
using Control = peg::must_if<Messages, peg::normal, false>::control<Rule>;

}  // namespace

ParsedFormula parse(std::string_view formula) {
    ParsedFormula result;
    if (formula.size() > base::limits::text_bytes) {
        result.error =
            "the formula is longer than " + std::to_string(base::limits::text_bytes) + " bytes";
        return result;
    }
    peg::memory_input<peg::tracking_mode::lazy> in(formula.data(), formula.size(), "");
    Builder builder;
    try {
        if (!peg::parse<g::whole, Action, Control>(in, builder))
            result.error = "this is no formula";
    } catch (const peg::parse_error& e) {
        result.error = std::string(e.message());
        if (result.error.starts_with("maximum parser")) {
            result.error = "brackets lie deeper than " +
                           std::to_string(base::limits::formula_depth) + " levels";
        }
        result.error_at = static_cast<std::uint32_t>(e.positions().front().byte);
    }
    if (result.error.empty()) result.nodes = std::move(builder.nodes);
    return result;
}

}  // namespace ferrule::rules
