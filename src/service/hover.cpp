#include "service/hover.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "project/values.hpp"
#include "render/report.hpp"
#include "service/cursor.hpp"
#include "service/navigation.hpp"

namespace ferrule::service {

namespace {

using syntax::NodeIndex;
using syntax::NodeKind;

constexpr std::size_t rows_shown = 6;

std::string code(std::string_view text) { return fmt::format("```fer\n{}{}```\n", text, text.ends_with('\n') ? "" : "\n"); }

std::string one_line(std::string_view text) {
    std::string line;
    for (const char c : text) line += c == '\n' ? ' ' : c;
    return line;
}

// One row of computed values: what is known, each with its working below it; what is not, with what it lacks.
std::string values_page(const render::ValueSubject& s) {
    std::string page = fmt::format("**{}** · {}\n\n", s.name, s.about);
    for (const render::Value& v : s.values) {
        std::string said;
        switch (v.type) {
            case render::Value::Type::number: said = v.shown; break;
            case render::Value::Type::flag: said = v.flag ? "yes" : ""; break;  // what is not the case would be a long list
            case render::Value::Type::word:
            case render::Value::Type::names:
                for (std::size_t i = 0; i < std::min<std::size_t>(v.names.size(), 6); ++i) said += (i == 0 ? "" : ", ") + v.names[i];
                if (v.names.size() > 6) said += fmt::format(" and {} more", v.names.size() - 6);
                break;
            case render::Value::Type::unknown:
                if (!v.unknown.empty()) said = "not known: lacks " + v.unknown;
                break;
        }
        if (said.empty()) continue;
        page += fmt::format("- {}: `{}`", v.fact, said);
        for (const std::string& step : v.working) page += fmt::format("  \n  {}", step);
        for (const std::string& a : v.assumed) page += fmt::format("  \n  *assumed:* {}", a);
        if (!v.working.empty()) {
            for (const findings::Citation& c : v.sources) page += fmt::format("  \n  *{}*", render::cited(c));
        }
        page += '\n';
    }
    return page;
}

std::string thing_head(const graph::Design& d, graph::ThingId id) {
    const graph::Thing& t = d.things[id];
    const graph::Kind& kind = d.kind_of(id);
    std::string head = fmt::format("**{}** · {}", d.name(id), kind.name);
    if (t.groups != 0) {
        const graph::Group& g = d.groups[t.first_group];
        head += fmt::format(", {} x {}", g.count, d.word(d.parts[g.part].name));
    } else if (d.parts[t.part].name && t.cls == graph::ThingClass::device) {
        head += fmt::format(", {}", d.word(d.parts[t.part].name));
    }
    if (t.where) head += fmt::format(", in {}", d.name(t.where));
    return head + "\n\n";
}

std::optional<Hover> of_name(const View& view, const Named& named) {
    const graph::Design& d = view.design->graph();
    const auto at = [&](text::Span s) { return s.file == named.declared.file && s.begin == named.declared.begin; };
    for (const graph::PartId p : d.parts.ids()) {
        if (!at(d.parts[p].span)) continue;
        const graph::Kind& kind = (*d.kinds)[d.parts[p].kind];
        std::string page = fmt::format("**{}** · {}\n\n{}\n\n", d.word(d.parts[p].name), kind.name, kind.about);
        for (const graph::RowId row : d.parts[p].rows) page += fmt::format("- `{}`\n", one_line(view.design->sources.text(d.rows[row].span)));
        return Hover{named.here, page};
    }
    std::string page;
    std::size_t shown = 0, more = 0;
    for (const graph::ThingId id : d.things.ids()) {
        if (!at(d.things[id].span)) continue;
        if (shown == 1) {  // of an array the first is shown
            ++more;
            continue;
        }
        ++shown;
        page += thing_head(d, id);
        std::size_t rows = 0;
        for (const render::ValueSubject& s : project::values_of(view.design->study->facts, *view.knowledge, *view.design->study->standard, id)) {
            if (++rows > rows_shown) break;
            page += values_page(s) + "\n";
        }
    }
    if (more != 0) page += fmt::format("\nand {} more that are declared here\n", more);
    if (!page.empty()) return Hover{named.here, page};
    for (const graph::PartId p : d.parts.ids()) {
        for (const graph::TerminalTemplate& t : d.parts[p].terminals) {
            if (at(t.span)) return Hover{named.here, fmt::format("terminal **{}** of {}\n", d.word(t.label), d.word(d.parts[p].name))};
        }
    }
    return std::nullopt;
}

// The conductors that a line says.
std::optional<Hover> of_conductor(const View& view, text::Span statement) {
    const facts::Facts& facts = view.design->study->facts;
    const facts::Table* table = facts.table("conductor");
    if (table == nullptr || !table->place) return std::nullopt;
    std::string page;
    std::size_t found = 0;
    for (std::uint32_t row = 0; row < table->rows; ++row) {
        const text::Span at = table->place(row);
        if (at.file != statement.file || at.begin != statement.begin) continue;
        if (++found == 1) page = values_page(project::values_of_row(facts, *view.knowledge, *view.design->study->standard, *table, row));
    }
    if (found == 0) return std::nullopt;
    if (found > 1) page += fmt::format("\nand {} more on this line\n", found - 1);
    return Hover{statement, page};
}

}  // namespace

std::string property_page(const graph::Property& p, const graph::Kind& kind) {
    std::string page = code(p.name + (p.shape_text.empty() ? "" : " " + p.shape_text));
    page += fmt::format("{}\n\n", p.about);
    if (p.needed) page += "Needed. ";
    if (p.many) page += "May be stated again. ";
    if (p.above_zero) page += "Not 0. ";
    if (p.below_zero) page += "May be negative. ";
    if (!p.example.empty()) page += fmt::format("As in:\n{}", code(p.example));
    return page + fmt::format("\n*{}*\n", kind.group == "part" ? "data sheet of " + kind.name : kind.name);
}

std::string statement_page(const graph::StatementText& s) { return fmt::format("{}{}\n\n{}", code(s.shape), s.about, code(s.example)); }

std::string kind_page(const graph::Kind& k) { return fmt::format("**{}**\n\n{}\n\n{}", k.name, k.about, code(k.example)); }

std::string rule_page(const rules::Rule& r) {
    std::string page = fmt::format("**{}** · {}\n\n{}\n\n{}\n", r.id, findings::word(r.severity), r.title, r.why);
    for (const rules::RuleSource& s : r.sources) page += fmt::format("- *{}*\n", render::cited(s.citation));
    if (r.life_safety) page += "\nLife safety: accepted only with a reason, a name and a date.\n";
    return page;
}

std::optional<Hover> hover(const View& view, std::uint32_t offset) {
    const syntax::Tree& tree = view.tree();
    const std::vector<NodeIndex> chain = chain_at(tree, offset);
    const auto word = word_at(tree, offset);
    if (word && tree[*word].kind == NodeKind::rule_id) {
        if (const rules::Rule* rule = view.knowledge->rules.find(text_of(view, *word))) return Hover{tree.span(*word), rule_page(*rule)};
        return std::nullopt;
    }
    if (word && tree[*word].kind == NodeKind::unit) {
        const std::string_view text = text_of(view, *word);
        const units::UnitId unit = view.knowledge->units.find(text);
        if (unit) return Hover{tree.span(*word), fmt::format("`{}` · unit of {}\n", text, view.knowledge->units[unit].dimension_name)};
    }
    for (std::size_t i = chain.size(); word && i-- > 0;) {
        const NodeIndex node = chain[i];
        if (tree[node].kind == NodeKind::property && *word == node + 1) {
            const Stating s = stating(view, {chain.begin(), chain.begin() + static_cast<std::ptrdiff_t>(i)});
            if (s.properties() == nullptr) break;
            for (const graph::Property& p : *s.properties()) {
                if (p.name == text_of(view, *word)) return Hover{tree.span(*word), property_page(p, *s.kind)};
            }
            break;
        }
        if ((tree[node].kind == NodeKind::part || tree[node].kind == NodeKind::port) && child_of(tree, node, NodeKind::word) == *word) {
            if (const graph::Kind* kind = kind_of_statement(view, node)) return Hover{tree.span(*word), kind_page(*kind)};
        }
    }
    if (word) {
        if (const auto named = named_at(view, offset)) return of_name(view, *named);
    }
    // A statement's keyword, or anywhere else on a conductor's line.
    for (std::size_t i = chain.size(); i-- > 0;) {
        const NodeIndex node = chain[i];
        const NodeKind kind = tree[node].kind;
        if (kind == NodeKind::conductor || kind == NodeKind::bond || kind == NodeKind::earth || kind == NodeKind::jumper) {
            if (auto found = of_conductor(view, tree.span(node))) return found;
        }
        const std::string_view text = text_of(view, node);
        const std::string_view keyword = text.substr(0, text.find_first_of(" \t\"{"));
        if (offset > tree[node].begin + keyword.size()) continue;
        for (const graph::StatementText& s : view.knowledge->kinds.statements) {
            if (s.name == keyword && kind != NodeKind::property && kind != NodeKind::file) {
                return Hover{{tree.file, tree[node].begin, tree[node].begin + static_cast<std::uint32_t>(keyword.size())}, statement_page(s)};
            }
        }
    }
    return std::nullopt;
}

}  // namespace ferrule::service
