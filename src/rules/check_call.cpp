// Calls: known, abs, min, max; all, any, count, sum over lists; band, at, next-size of the
// standard's tables.
#include <array>
#include <utility>

#include <fmt/core.h>

#include "rules/check.hpp"

namespace ferrule::rules {

namespace {

struct Function {
    std::string_view name;
    Op op;
};
constexpr std::array functions{Function{"known", Op::known},
                               Function{"abs", Op::absolute},
                               Function{"min", Op::minimum},
                               Function{"max", Op::maximum},
                               Function{"all", Op::all},
                               Function{"any", Op::any},
                               Function{"count", Op::count},
                               Function{"sum", Op::sum},
                               Function{"band", Op::band},
                               Function{"at", Op::at},
                               Function{"next-size", Op::next_size}};

}  // namespace

std::uint32_t Checker::check_call(const Parsed& p) {
    const std::string_view name = text.substr(p.at, p.at_end - p.at);
    Op op = Op::number;
    for (const Function& f : functions) {
        if (f.name == name) op = f.op;
    }
    switch (op) {
        case Op::known: {
            if (p.children.size() != 1)
                return wrong(p.at, p.at_end, "rule.formula", "known(…) asks about one thing");
            const Parsed& of = parsed.nodes[p.children[0]];
            const std::uint32_t node =
                of.kind == Parsed::Kind::path ? check_path(of, true) : check(p.children[0]);
            if (node == none) return none;
            Node n;
            n.op = Op::known;
            n.type.kind = facts::Type::flag;
            n.begin = p.begin;
            n.end = p.end;
            return push(n, {node});
        }
        case Op::absolute:
            return check_numbers_call(p, op, check(p.children[0]));
        case Op::all:
        case Op::any:
        case Op::count:
        case Op::sum:
            return check_aggregate(p, op, check(p.children[0]));
        case Op::minimum:
        case Op::maximum: {
            // min(list, expression) or min(a, b, …): the first argument tells
            const std::uint32_t first = check(p.children[0]);
            if (first == none) return none;
            if (out.nodes[first].type.kind == facts::Type::subjects)
                return check_aggregate(p, op, first);
            return check_numbers_call(p, op == Op::minimum ? Op::least : Op::greatest, first);
        }
        case Op::band:
        case Op::at:
        case Op::next_size:
            return check_table_call(p, op);
        default:
            break;
    }
    std::vector<std::string_view> known;
    for (const Function& f : functions) known.push_back(f.name);
    return wrong(p.at, p.at_end, "rule.name",
                 fmt::format("there is no function `{}`{}", name, did_you_mean(name, known)));
}

std::uint32_t Checker::check_numbers_call(const Parsed& p, Op op, std::uint32_t first) {
    const std::string_view name = text.substr(p.at, p.at_end - p.at);
    if (op == Op::absolute ? p.children.size() != 1 : p.children.size() < 2) {
        return wrong(
            p.at, p.at_end, "rule.formula",
            op == Op::absolute
                ? "abs(…) takes one number"
                : fmt::format("{}(…) takes a list and an expression, or several numbers", name));
    }
    std::vector<std::uint32_t> kids;
    for (std::size_t i = 0; i < p.children.size(); ++i) {
        const std::uint32_t node =
            need_number(i == 0 ? first : check(p.children[i]), fmt::format("{}(…)", name));
        if (node == none) return none;
        if (!kids.empty() && !alike(kids.front(), node, p)) return none;
        kids.push_back(node);
    }
    Node n;
    n.op = op;
    n.type = out.nodes[kids.front()].type;
    n.begin = p.begin;
    n.end = p.end;
    return push(n, std::move(kids));
}

std::uint32_t Checker::check_aggregate(const Parsed& p, Op op, std::uint32_t list) {
    const std::string_view name = text.substr(p.at, p.at_end - p.at);
    const bool alone = op == Op::count && p.children.size() == 1;
    if (!alone && p.children.size() != 2) {
        return wrong(p.at, p.at_end, "rule.formula",
                     fmt::format("{}(…) takes a list and an expression about each of it", name));
    }
    if (list == none) return none;
    const Node list_node = out.nodes[list];
    if (list_node.type.kind != facts::Type::subjects) {
        return wrong(list_node.begin, list_node.end, "rule.unit",
                     fmt::format("{}(…) goes over a list, and `{}` is {}", name, shown(list_node),
                                 a_type(list_node.type)));
    }
    Node n;
    n.op = op;
    n.begin = p.begin;
    n.end = p.end;
    std::vector<std::uint32_t> kids{list};
    n.type.kind = op == Op::all || op == Op::any ? facts::Type::flag : facts::Type::number;
    if (!alone) {
        scopes.push_back(list_node.type.table);
        std::uint32_t each = check(p.children[1]);
        each = op == Op::all || op == Op::any || op == Op::count
                   ? need_flag(each, fmt::format("{}(…)", name))
                   : need_number(each, fmt::format("{}(…)", name));
        scopes.pop_back();
        if (each == none) return none;
        if (op != Op::count && n.type.kind == facts::Type::number) n.type = out.nodes[each].type;
        kids.push_back(each);
    }
    return push(n, std::move(kids));
}

// band('table', key, 'column') · at('table', word, 'column') · next-size('table', x)
std::uint32_t Checker::check_table_call(const Parsed& p, Op op) {
    const std::string_view name = text.substr(p.at, p.at_end - p.at);
    const auto literal = [&](std::size_t i) -> std::string_view {
        const Parsed& c = parsed.nodes[p.children[i]];
        return c.kind == Parsed::Kind::word ? text.substr(c.begin + 1, c.end - c.begin - 2)
                                            : std::string_view();
    };
    const std::size_t arguments = op == Op::next_size ? 2 : 3;
    if (p.children.size() != arguments || literal(0).empty() ||
        (op != Op::next_size && literal(2).empty())) {
        return wrong(p.at, p.at_end, "rule.formula",
                     op == Op::next_size
                         ? "next-size(…) takes 'table' and a number"
                         : fmt::format("{}(…) takes 'table', a key and 'column'", name));
    }
    const Parsed& table_at = parsed.nodes[p.children[0]];
    const std::uint32_t key = check(p.children[1]);
    if (key == none) return none;
    if (op == Op::at ? out.nodes[key].type.kind != facts::Type::word
                     : need_number(key, fmt::format("{}(…)", name)) == none) {
        if (op == Op::at) {
            const Node& k = out.nodes[key];
            return wrong(
                k.begin, k.end, "rule.unit",
                fmt::format("at(…) looks up a word, and `{}` is {}", shown(k), a_type(k.type)));
        }
        return none;
    }
    Node n;
    n.op = op;
    n.begin = p.begin;
    n.end = p.end;
    bool found = false;
    std::vector<std::string_view> known, known_columns;
    for (const tables::Standard& standard : names.standards()) {
        for (const tables::FigureTable& t : standard.tables) known.push_back(t.name);
        const tables::FigureTable* t = standard.table(literal(0));
        if (t == nullptr || t->columns.empty()) continue;
        for (const auto& c : t->columns) known_columns.push_back(c.name);
        const int value = op == Op::next_size ? 0 : t->column(literal(2));
        const int key_column = op == Op::band ? t->column("from") : 0;
        if (value < 0 || key_column < 0) continue;
        const auto type_of = [&](int column) {
            const auto& head = t->columns[static_cast<std::size_t>(column)];
            Type type;
            type.kind = head.words ? facts::Type::word : facts::Type::number;
            if (!head.words && head.unit) type.dimension = names.units()[head.unit].dimension;
            return type;
        };
        const Type type = type_of(value), key_type = type_of(key_column);
        const Type& given = out.nodes[key].type;
        if (given.kind != key_type.kind || given.dimension != key_type.dimension) {
            const Node& k = out.nodes[key];
            return wrong(k.begin, k.end, "rule.unit",
                         fmt::format("the table `{}` is looked up by {}, and `{}` is {}",
                                     literal(0), a_type(key_type), shown(k), a_type(given)));
        }
        if ((op == Op::band && type.kind != facts::Type::number) ||
            (found && (type.kind != n.type.kind || type.dimension != n.type.dimension))) {
            return wrong(p.begin, p.end, "rule.unit",
                         fmt::format("the column is not a number of one kind in every standard"));
        }
        n.type = type;
        found = true;
    }
    if (!found && known_columns.empty()) {
        return wrong(table_at.begin, table_at.end, "rule.name",
                     fmt::format("no standard has a table `{}`{}", literal(0),
                                 did_you_mean(literal(0), known)));
    }
    if (!found) {
        return wrong(table_at.begin, table_at.end, "rule.name",
                     fmt::format("the table `{}` has no such column{}", literal(0),
                                 did_you_mean(literal(2), known_columns)));
    }
    n.name = keep(std::string(literal(0)));
    n.column = op == Op::next_size ? none : keep(std::string(literal(2)));
    return push(n, {key});
}

}  // namespace ferrule::rules
