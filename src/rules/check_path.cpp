// Paths: `string.isc`, `device.part.rated.voltage`, `site.coldest`, `standard.pv-current-factor`.
#include <algorithm>
#include <utility>

#include <fmt/core.h>

#include "rules/check.hpp"

namespace ferrule::rules {

std::vector<Checker::Segment> Checker::segments(const Parsed& p) const {
    std::vector<Segment> path;
    std::uint32_t begin = p.begin;
    while (begin < p.end && (text[begin] == '(' || text[begin] <= ' '))
        ++begin;  // brackets around it
    for (;;) {
        std::uint32_t end = begin;
        while (end < p.end && text[end] != '.' && text[end] > ' ' && text[end] != ')') ++end;
        path.push_back({text.substr(begin, end - begin), begin, end});
        if (end >= p.end || text[end] != '.') return path;
        begin = end + 1;
    }
}

std::uint32_t Checker::row_node(std::size_t scope, const Segment& at) {
    Node n;
    n.op = Op::row;
    n.level = static_cast<std::uint8_t>(scopes.size() - 1 - scope);
    n.type = {facts::Type::subject, {}, scopes[scope]};
    n.begin = at.begin;
    n.end = at.end;
    return push(n, {});
}

// What a path may begin with, the nearest meaning first.
std::uint32_t Checker::opening(const std::vector<Segment>& path, std::size_t& used,
                               const Parsed& p) {
    const Segment& first = path.front();
    used = 1;
    const std::uint32_t here = scopes.back();
    const facts::Table& table = names.schema().tables[here];
    if (const auto at = table.by_name.find(std::string(first.name)); at != table.by_name.end()) {
        const std::uint32_t row = row_node(scopes.size() - 1, first);
        return column(row, here, at->second, p, first.end);
    }
    for (std::size_t scope = scopes.size(); scope-- > 0;) {
        if (names.schema().tables[scopes[scope]].subject == first.name)
            return row_node(scope, first);
    }
    if (first.name == "this") return row_node(0, first);
    if (first.name == "site" && names.table("site") != none) {
        Node n;
        n.op = Op::site;
        n.type = {facts::Type::subject, {}, names.table("site")};
        n.begin = first.begin;
        n.end = first.end;
        return push(n, {});
    }
    if (first.name == "standard" && path.size() > 1) {
        used = 2;
        return figure(path[1], p);
    }
    if (names.property(first.name) != nullptr) {
        used = 0;
        return row_node(scopes.size() - 1, first);
    }
    return unknown_name(first, here, true);
}

std::uint32_t Checker::unknown_name(const Segment& at, std::uint32_t table, bool opens) {
    const facts::Table& t = names.schema().tables[table];
    std::vector<std::string_view> known;
    for (const facts::Column& c : t.columns) known.push_back(c.name);
    if (opens) {
        for (const std::uint32_t scope : scopes)
            known.push_back(names.schema().tables[scope].subject);
        known.insert(known.end(), {"site", "standard", "this"});
    }
    std::string near = did_you_mean(at.name, known);
    if (near.empty()) {
        known.clear();
        for (const auto& [name, info] : names.properties()) known.push_back(name);
        near = did_you_mean(at.name, known);
    }
    return wrong(at.begin, at.end, "rule.name",
                 fmt::format("`{}` is no fact about {} and no property{}", at.name,
                             with_article(t.subject), near));
}

std::uint32_t Checker::column(std::uint32_t subject, std::uint32_t table, std::uint32_t index,
                              const Parsed& p, std::uint32_t end) {
    const facts::Column& c = names.schema().tables[table].columns[index];
    Node n;
    n.op = Op::column;
    n.table = table;
    n.column = index;
    n.type.kind = c.type;
    n.begin = p.begin;
    n.end = end;
    if (c.type == facts::Type::number) n.type.dimension = c.dimension;
    if (c.type == facts::Type::subject || c.type == facts::Type::subjects) {
        n.type.table = names.table(c.target);
        if (n.type.table == none) {
            return wrong(p.begin, end, "rule.name",
                         fmt::format("`{}` leads to `{}`, which is no table", c.name, c.target));
        }
    }
    return push(n, {subject});
}

std::uint32_t Checker::figure(const Segment& name, const Parsed& p) {
    Node n;
    n.op = Op::figure;
    n.begin = p.begin;
    n.end = name.end;
    bool found = false;
    std::vector<std::string_view> known;
    for (const tables::Standard& standard : names.standards()) {
        for (const tables::Figure& f : standard.figures) known.push_back(f.name);
        const tables::Figure* f = standard.figure(name.name);
        if (f == nullptr) continue;
        Type type;
        type.kind = f->word.empty() ? facts::Type::number : facts::Type::word;
        if (f->word.empty() && f->unit) type.dimension = names.units()[f->unit].dimension;
        if (found && (type.kind != n.type.kind || type.dimension != n.type.dimension)) {
            return wrong(p.begin, name.end, "rule.unit",
                         fmt::format("the figure `{}` is {} in one standard and {} in another",
                                     name.name, a_type(n.type), a_type(type)));
        }
        n.type = type;
        found = true;
    }
    if (!found) {
        return wrong(name.begin, name.end, "rule.name",
                     fmt::format("no standard has a figure `{}`{}", name.name,
                                 did_you_mean(name.name, known)));
    }
    n.name = keep(std::string(name.name));
    return push(n, {});
}

// PROPERTY, PROPERTY.FIELD, each with .low or .high behind it; `used` is the segment of the
// property.
std::uint32_t Checker::property(std::uint32_t subject, const std::vector<Segment>& path,
                                std::size_t& used, const Parsed& p, bool only_known) {
    const PropertyInfo& info = *names.property(path[used].name);
    PropertyPath wanted_path;
    wanted_path.property = info.name;
    std::size_t at = used + 1;
    if (at < path.size() && info.field(path[at].name) != nullptr) {
        wanted_path.field_named = true;
        wanted_path.fields = {std::string(path[at].name)};
        ++at;
    } else {
        wanted_path.fields = info.main;
    }
    if (at < path.size() && (path[at].name == "low" || path[at].name == "high")) {
        wanted_path.end = path[at].name == "low" ? PropertyPath::End::low : PropertyPath::End::high;
        ++at;
    }
    const std::uint32_t end = path[at - 1].end;
    if (at < path.size()) {
        std::vector<std::string_view> known{"low", "high"};
        for (const FieldInfo& f : info.fields) known.push_back(f.name);
        return wrong(path[at].begin, path[at].end, "rule.name",
                     fmt::format("`{}` has no field `{}`{}", info.name, path[at].name,
                                 did_you_mean(path[at].name, known)));
    }
    Node n;
    n.op = Op::property;
    n.table = out.nodes[subject].type.table;
    n.begin = p.begin;
    n.end = end;
    if (only_known && !wanted_path.field_named) {
        n.type.kind = facts::Type::flag;  // is it stated at all
        wanted_path.fields.clear();
    } else {
        const FieldInfo* first = nullptr;
        bool differs = wanted_path.fields.empty(), always_range = true;
        for (const std::string& name : wanted_path.fields) {
            const FieldInfo* f = info.field(name);
            if (first == nullptr) first = f;
            differs = differs || f->differs || f->is_number() != first->is_number() ||
                      f->is_word() != first->is_word() ||
                      (f->is_number() && f->dimension != first->dimension);
            always_range = always_range && f->always_range;
        }
        if (differs) {
            std::string fields;
            for (const FieldInfo& f : info.fields)
                fields += fmt::format("{}`{}.{}`", fields.empty() ? "" : ", ", info.name, f.name);
            return wrong(
                p.begin, end, "rule.name",
                fields.empty()
                    ? fmt::format("`{}` has no value of its own; ask known(…)", info.name)
                    : fmt::format("`{}` means different things in different kinds; say which: {}",
                                  info.name, fields));
        }
        if (!first->is_number() && !first->is_word()) {
            return wrong(
                p.begin, end, "rule.name",
                fmt::format("`{}` names a thing; a formula knows only its numbers and words",
                            info.name));
        }
        if (first->is_number() && always_range && wanted_path.end == PropertyPath::End::single) {
            return wrong(p.begin, end, "rule.unit",
                         fmt::format("`{}` is a range; write `{}.low` or `{}.high`", info.name,
                                     info.name, info.name));
        }
        n.type.kind = first->is_number() ? facts::Type::number : facts::Type::word;
        if (first->is_number()) n.type.dimension = first->dimension;
    }
    used = at;
    n.name = static_cast<std::uint32_t>(out.properties.size());
    out.properties.push_back(std::move(wanted_path));
    return push(n, {subject});
}

std::uint32_t Checker::check_path(const Parsed& p, bool only_known) {
    const std::vector<Segment> path = segments(p);
    std::size_t used = 0;
    std::uint32_t node = opening(path, used, p);
    while (node != none && used < path.size()) {
        const Node subject = out.nodes[node];
        const Segment& next = path[used];
        if (subject.type.kind == facts::Type::subjects) {
            return wrong(
                next.begin, next.end, "rule.unit",
                fmt::format(
                    "`{}` are several; use all(…), any(…), count(…), sum(…), min(…) or max(…)",
                    shown(subject)));
        }
        if (subject.type.kind != facts::Type::subject) {
            return wrong(next.begin, next.end, "rule.name",
                         fmt::format("`{}` is {}; nothing follows it", shown(subject),
                                     a_type(subject.type)));
        }
        const facts::Table& table = names.schema().tables[subject.type.table];
        if (const auto at = table.by_name.find(std::string(next.name)); at != table.by_name.end()) {
            node = column(node, subject.type.table, at->second, p, next.end);
            ++used;
        } else if (names.property(next.name) != nullptr) {
            node = property(node, path, used, p, only_known);
        } else {
            return unknown_name(next, subject.type.table, false);
        }
    }
    return node;
}

}  // namespace ferrule::rules
