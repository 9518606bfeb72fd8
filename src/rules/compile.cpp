#include "rules/compile.hpp"

#include <algorithm>
#include <utility>

#include <fmt/core.h>

#include "rules/check.hpp"

namespace ferrule::rules {

std::string describe(units::Dimension dimension, const units::Units& units) {
    if (dimension.plain()) return "plain number";
    if (const units::DimensionName* name = units.dimension_of(dimension)) return name->name;
    std::string text;
    const auto part = [&text](const char* symbol, int exponent) {
        if (exponent == 0) return;
        if (!text.empty()) text += " ";
        text += symbol;
        if (exponent != 1) text += fmt::format("^{}", exponent);
    };
    part("V", dimension.volt);
    part("A", dimension.ampere);
    part("m", dimension.metre);
    part("K", dimension.kelvin);
    part("s", dimension.second);
    part("kg", dimension.kilogram);
    part("deg", dimension.angle);
    return text;
}

Checker::Checker(std::string_view formula, const Names& known, const Wanted& wanted_here)
    : text(formula), names(known), wanted(wanted_here) {
    out.text = std::string(formula);
    out.place = wanted.place;
    scopes.push_back(wanted.about);
}

std::uint32_t Checker::wrong(std::uint32_t begin, std::uint32_t end, const char* rule,
                             std::string message) {
    findings::Finding f;
    f.rule = rule;
    f.message = std::move(message);
    f.span = {wanted.place.file, wanted.place.begin + begin,
              wanted.place.begin + std::max(end, begin + 1)};
    f.subject = std::string(text.substr(begin, end - begin));
    findings.push_back(std::move(f));
    return none;
}

std::uint32_t Checker::push(Node node, std::vector<std::uint32_t> children) {
    node.first = static_cast<std::uint32_t>(out.edges.size());
    node.children = static_cast<std::uint32_t>(children.size());
    int reach = node.op == Op::row ? node.level : -1;
    for (std::size_t i = 0; i < children.size(); ++i) {
        const int below = out.nodes[children[i]].reach;
        reach = std::max(reach, aggregates(node.op) && i > 0 ? below - 1 : below);
    }
    node.reach = static_cast<std::int8_t>(reach);
    out.edges.insert(out.edges.end(), children.begin(), children.end());
    out.nodes.push_back(node);
    return static_cast<std::uint32_t>(out.nodes.size() - 1);
}

std::uint32_t Checker::keep(std::string name) {
    for (std::uint32_t i = 0; i < out.names.size(); ++i) {
        if (out.names[i] == name) return i;
    }
    out.names.push_back(std::move(name));
    return static_cast<std::uint32_t>(out.names.size() - 1);
}

std::string with_article(std::string noun) {
    const bool vowel =
        !noun.empty() && std::string_view("aeio").find(noun.front()) != std::string_view::npos;
    return (vowel ? "an " : "a ") + std::move(noun);
}

std::string Checker::a_type(const Type& type) const {
    switch (type.kind) {
        case facts::Type::number:
            return with_article(describe(type.dimension, names.units()));
        case facts::Type::flag:
            return "a yes-or-no";
        case facts::Type::word:
            return "a word";
        case facts::Type::subject:
            return with_article(names.schema().tables[type.table].subject);
        case facts::Type::subjects:
            return "a list of " + names.schema().tables[type.table].subject;
    }
    return {};
}

std::uint32_t Checker::check(std::uint32_t index) {
    const Parsed& p = parsed.nodes[index];
    switch (p.kind) {
        case Parsed::Kind::number:
            return check_number(p);
        case Parsed::Kind::word: {
            Node n;
            n.op = Op::word;
            n.type.kind = facts::Type::word;
            n.name = keep(std::string(text.substr(p.begin + 1, p.end - p.begin - 2)));
            n.begin = p.begin;
            n.end = p.end;
            return push(n, {});
        }
        case Parsed::Kind::path:
            return check_path(p, false);
        case Parsed::Kind::call:
            return check_call(p);
        case Parsed::Kind::operation:
            return check_operation(p);
    }
    return none;
}

std::uint32_t Checker::check_number(const Parsed& p) {
    Node n;
    n.op = Op::number;
    n.type.kind = facts::Type::number;
    n.begin = p.begin;
    n.end = p.end;
    std::string_view digits = text.substr(p.begin, p.end - p.begin);
    digits = digits.substr(0, digits.find_first_not_of("0123456789."));
    const auto number = units::parse_number(digits);
    if (!number || digits.size() > base::limits::number_digits + 1) {
        return wrong(p.begin, p.end, "rule.formula",
                     fmt::format("`{}` is too long a number", digits));
    }
    n.number = *number;
    if (p.at < p.at_end) {
        const std::string_view unit = text.substr(p.at, p.at_end - p.at);
        n.unit = names.units().find(unit);
        if (!n.unit) {
            const std::string near = names.units().nearest(unit);
            return wrong(p.at, p.at_end, "rule.unit",
                         fmt::format("`{}` is no unit{}", unit,
                                     near.empty() ? std::string()
                                                  : fmt::format(" (did you mean `{}`?)", near)));
        }
        n.number = names.units().to_si(*number, n.unit);
        n.type.dimension = names.units()[n.unit].dimension;
    }
    return push(n, {});
}

std::uint32_t Checker::need_number(std::uint32_t node, std::string_view what) {
    if (node == none) return none;
    const Node& n = out.nodes[node];
    if (n.type.kind == facts::Type::number) return node;
    return wrong(n.begin, n.end, "rule.unit",
                 fmt::format("{} needs a number, and `{}` is {}", what, shown(n), a_type(n.type)));
}

std::uint32_t Checker::need_flag(std::uint32_t node, std::string_view what) {
    if (node == none) return none;
    const Node& n = out.nodes[node];
    if (n.type.kind == facts::Type::flag) return node;
    return wrong(n.begin, n.end, "rule.unit",
                 fmt::format("{} needs something that is true or false, and `{}` is {}", what,
                             shown(n), a_type(n.type)));
}

std::uint32_t Checker::check_operation(const Parsed& p) {
    std::vector<std::uint32_t> kids;
    for (const std::uint32_t c : p.children) kids.push_back(check(c));
    if (std::find(kids.begin(), kids.end(), none) != kids.end()) return none;
    const std::string_view sign = text.substr(p.at, p.at_end - p.at);
    Node n;
    n.op = p.op;
    n.begin = p.begin;
    n.end = p.end;
    const auto type = [&](std::size_t i) -> const Type& { return out.nodes[kids[i]].type; };
    switch (p.op) {
        case Op::negate:
            if (need_number(kids[0], "a minus") == none) return none;
            // `-10 degC` is one temperature: the minus belongs to the number as written, not to its kelvins.
            if (const Node& literal = out.nodes[kids[0]]; literal.op == Op::number && literal.unit) {
                n = literal;
                n.begin = p.begin;
                n.number = names.units().to_si(-names.units().from_si(literal.number, literal.unit), literal.unit);
                return push(n, {});
            }
            n.type = type(0);
            break;
        case Op::add:
        case Op::subtract:
            if (need_number(kids[0], sign) == none || need_number(kids[1], sign) == none)
                return none;
            if (!alike(kids[0], kids[1], p)) return none;
            n.type = type(0);
            break;
        case Op::multiply:
        case Op::divide:
            if (need_number(kids[0], sign) == none || need_number(kids[1], sign) == none)
                return none;
            n.type.kind = facts::Type::number;
            n.type.dimension = p.op == Op::multiply ? type(0).dimension * type(1).dimension
                                                    : type(0).dimension / type(1).dimension;
            break;
        case Op::equal:
        case Op::unequal:
        case Op::in_list:
            for (std::size_t i = 1; i < kids.size(); ++i) {
                if (!alike(kids[0], kids[i], p)) return none;
            }
            if (type(0).kind == facts::Type::subjects) {
                return wrong(p.at, p.at_end, "rule.unit",
                             "lists are not compared; use all(…), any(…) or count(…)");
            }
            n.type.kind = facts::Type::flag;
            break;
        case Op::less:
        case Op::less_equal:
        case Op::greater:
        case Op::greater_equal:
            if (need_number(kids[0], sign) == none || need_number(kids[1], sign) == none)
                return none;
            if (!alike(kids[0], kids[1], p)) return none;
            n.type.kind = facts::Type::flag;
            break;
        case Op::logic_not:
        case Op::logic_and:
        case Op::logic_or:
            for (const std::uint32_t k : kids) {
                if (need_flag(k, fmt::format("`{}`", sign)) == none) return none;
            }
            n.type.kind = facts::Type::flag;
            break;
        case Op::choose:
            if (need_flag(kids[0], "`if`") == none || !alike(kids[1], kids[2], p)) return none;
            if (type(1).kind == facts::Type::subjects) {
                return wrong(p.begin, p.end, "rule.unit", "`if` cannot choose between lists");
            }
            n.type = type(1);
            break;
        default:
            return wrong(p.begin, p.end, "rule.formula", "this is no formula");
    }
    return push(n, std::move(kids));
}

// Two sides that must be of one type and dimension; and a literal word must be one that the other
// side can be.
bool Checker::alike(std::uint32_t a, std::uint32_t b, const Parsed& at) {
    const Node& left = out.nodes[a];
    const Node& right = out.nodes[b];
    const bool same =
        left.type.kind == right.type.kind &&
        (left.type.kind != facts::Type::number || left.type.dimension == right.type.dimension) &&
        left.type.table == right.type.table;
    if (!same) {
        const char* verb = at.op == Op::add        ? "added"
                           : at.op == Op::subtract ? "subtracted"
                           : at.op == Op::choose   ? "chosen between"
                                                   : "compared";
        wrong(at.at, at.at_end, "rule.unit",
              fmt::format("`{}` is {} and `{}` is {}: they cannot be {}", shown(left),
                          a_type(left.type), shown(right), a_type(right.type), verb));
        return false;
    }
    if (left.type.kind == facts::Type::word)
        return word_fits(left, right) && word_fits(right, left);
    return true;
}

bool Checker::word_fits(const Node& property, const Node& literal) {
    if (property.op != Op::property || literal.op != Op::word) return true;
    const PropertyPath& path = out.properties[property.name];
    const PropertyInfo* info = names.property(path.property);
    std::vector<std::string_view> may_be;
    for (const std::string& name : path.fields) {
        const FieldInfo* field = info->field(name);
        if (field->any_word || field->words.empty()) return true;
        may_be.insert(may_be.end(), field->words.begin(), field->words.end());
    }
    const std::string& word = out.names[literal.name];
    if (std::find(may_be.begin(), may_be.end(), word) != may_be.end()) return true;
    wrong(literal.begin, literal.end, "rule.name",
          fmt::format("`{}` is never '{}'{}", shown(property), word, did_you_mean(word, may_be)));
    return false;
}

namespace {

// Where the formula's findings leave nothing to run.
Compiled finish(Checker& checker, std::uint32_t root) {
    Compiled result;
    const Wanted& wanted = checker.wanted;
    if (root != none) {
        const Node& n = checker.out.nodes[root];
        if (wanted.flag && checker.need_flag(root, "a demand") == none) root = none;
        if (wanted.subject && n.type.kind != facts::Type::subject) {
            root = checker.wrong(n.begin, n.end, "rule.unit",
                                 fmt::format("a subject should stand here, and `{}` is {}",
                                             checker.shown(n), checker.a_type(n.type)));
        }
    }
    if (root != none) result.formula = std::move(checker.out);
    result.findings = std::move(checker.findings);
    return result;
}

}  // namespace

Compiled compile(std::string_view formula, const Names& names, const Wanted& wanted) {
    Checker checker(formula, names, wanted);
    checker.parsed = parse(formula);
    if (!checker.parsed.error.empty()) {
        const std::uint32_t at = checker.parsed.error_at;
        checker.wrong(at,
                      std::min<std::uint32_t>(at + 1, static_cast<std::uint32_t>(formula.size())),
                      "rule.formula", checker.parsed.error);
        return finish(checker, none);
    }
    return finish(checker,
                  checker.check(static_cast<std::uint32_t>(checker.parsed.nodes.size() - 1)));
}

CompiledMessage compile_message(std::string_view text, const Names& names, const Wanted& wanted) {
    CompiledMessage result;
    std::string words;
    const auto complain = [&](std::size_t at, const char* message) {
        findings::Finding f;
        f.rule = "rule.formula";
        f.message = message;
        const auto begin = wanted.place.begin + static_cast<std::uint32_t>(at);
        f.span = {wanted.place.file, begin, begin + 1};
        result.findings.push_back(std::move(f));
    };
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if ((c == '{' || c == '}') && i + 1 < text.size() && text[i + 1] == c) {
            words += c;
            ++i;
        } else if (c == '{') {
            const std::size_t close = text.find('}', i);
            if (close == std::string_view::npos) {
                complain(i, "`}` is missing");
                break;
            }
            Wanted hole = wanted;
            hole.flag = hole.subject = false;
            hole.place.begin = wanted.place.begin + static_cast<std::uint32_t>(i) + 1;
            hole.place.end = wanted.place.begin + static_cast<std::uint32_t>(close);
            Compiled compiled = compile(text.substr(i + 1, close - i - 1), names, hole);
            result.findings.insert(result.findings.end(), compiled.findings.begin(),
                                   compiled.findings.end());
            if (!words.empty()) result.message.pieces.push_back({std::exchange(words, {}), {}});
            result.message.pieces.push_back({{}, std::move(compiled.formula)});
            i = close;
        } else if (c == '}') {
            complain(i, "`}` has no `{`; a brace in the text is written twice: }}");
        } else {
            words += c;
        }
    }
    if (!words.empty()) result.message.pieces.push_back({std::move(words), {}});
    return result;
}

}  // namespace ferrule::rules
