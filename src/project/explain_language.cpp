#include <algorithm>
#include <cctype>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "project/explain_pages.hpp"
#include "syntax/tree.hpp"

namespace ferrule::project {

namespace {

using graph::Kind;
using graph::Property;
using render::Paper;

std::string written(const Property& p) {
    std::string line = p.name;
    if (!p.shape_text.empty()) line += ' ' + p.shape_text;
    if (!p.block.empty()) line += " { … }";
    return line;
}

std::string conditions(const Property& p) {
    std::string all;
    const std::pair<bool, std::string_view> each[] = {{p.needed, "needed"}, {p.many, "may be stated again"}, {p.above_zero, "not 0"}, {p.below_zero, "may be negative"}};
    for (const auto& [holds, words] : each) {
        if (holds) all += fmt::format("{}{}", all.empty() ? "" : ", ", words);
    }
    return all;
}

void property_lines(Paper& paper, const Property& p, std::size_t indent) {
    const std::string only = conditions(p);
    paper.prose(written(p) + (only.empty() ? "" : "   — " + only), indent);
    paper.prose(p.about, indent + 4);
}

std::string kind_title(const Kind& kind) {
    if (kind.group == "part") return "a kind of part";
    if (kind.group == "role") return "a role of a port: one side of a converter";
    return fmt::format("what stands between the {{ }} of `{}`", kind.name);
}

std::string_view conduction(std::string_view conducts) {
    static constexpr std::pair<std::string_view, std::string_view> words[] = {
        {"source", "it drives current from - to +"},
        {"contact", "its poles open and close; off, nothing joins their terminals"},
        {"guard", "its way is closed until it blows"},
        {"converter", "its ports do not conduct to each other"},
        {"wire", "it conducts between its terminals"},
    };
    for (const auto& [name, meaning] : words) {
        if (name == conducts) return meaning;
    }
    return {};
}

std::string listed(const std::vector<std::string>& words) {
    std::string all;
    for (const std::string& w : words) all += (all.empty() ? "" : ", ") + w;
    return all;
}

bool has_word(std::string_view text, std::string_view word) {
    const auto part_of_word = [&](std::size_t at) { return at < text.size() && std::isalnum(static_cast<unsigned char>(text[at])) != 0; };
    for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
        if (!part_of_word(at - 1) && !part_of_word(at + word.size())) return true;
    }
    return false;
}

void kind_page(const Kind& kind, Paper& paper) {
    title(paper, kind.name, kind_title(kind));
    paper.prose(kind.about, 4);
    if (!kind.terminals.empty()) paper.labelled("terminals", listed(kind.terminals) + " without saying so");
    if (!kind.counted_terminals.empty()) paper.labelled("terminals", fmt::format("1, 2, 3 … as many as `{}` says", kind.counted_terminals));
    if (const std::string_view how = conduction(kind.conducts); !how.empty()) paper.labelled("inside", how);
    if (!kind.example.empty()) {
        paper.line();
        paper.verbatim(kind.example);
    }
    if (!kind.properties.empty()) {
        paper.line();
        paper.line("  what it may state (<…> stands for what you write, [ ] may be left out, + is once or more):");
        for (const Property& p : kind.properties) property_lines(paper, p, 4);
    }
    paper.line();
}

void property_page(const Property& p, std::string_view where, Paper& paper) {
    title(paper, p.name, fmt::format("a property of {}", where));
    paper.labelled("written", written(p));
    if (const std::string only = conditions(p); !only.empty()) paper.labelled("", only);
    paper.prose(p.about, 4);
    if (!p.example.empty()) paper.labelled("example", p.example);
    for (const Property& inner : p.block) property_lines(paper, inner, 8);
    paper.line();
}

void unit_line(const units::Unit& u, Paper& paper) {
    std::string text = u.about;
    if (!u.spellings.empty()) text += fmt::format("{}also written {}", text.empty() ? "" : "; ", listed(u.spellings));
    paper.labelled(u.symbol, text.empty() ? u.dimension_name : text);
}

}  // namespace

void title(render::Paper& paper, std::string_view name, std::string_view what) {
    paper.line(fmt::format("{}  {}", paper.inked(render::Ink::strong, name), what));
}

bool explain_statement(const Knowledge& k, std::string_view word, Paper& paper) {
    bool found = false;
    for (const graph::StatementText& s : k.kinds.statements) {
        if (s.name != word) continue;
        found = true;
        title(paper, s.name, "a statement");
        paper.labelled("written", s.shape);
        paper.prose(s.about, 4);
        paper.line();
        paper.verbatim(s.example);
        paper.line();
    }
    return found;
}

bool explain_kind(const Knowledge& k, std::string_view word, Paper& paper) {
    bool found = false;
    for (const Kind& kind : k.kinds.all()) {
        if (kind.name != word) continue;
        found = true;
        kind_page(kind, paper);
    }
    return found;
}

bool explain_property(const Knowledge& k, std::string_view kind_name, std::string_view property, Paper& paper) {
    struct Same {
        const Property* property;
        std::vector<std::string> kinds;
    };
    std::vector<Same> pages;  // kinds that share a property share its page
    const auto take = [&](const Property& p, const std::string& where) {
        const auto same = std::find_if(pages.begin(), pages.end(), [&](const Same& s) {
            return s.property->shape_text == p.shape_text && s.property->about == p.about;
        });
        if (same == pages.end()) pages.push_back({&p, {where}});
        else same->kinds.push_back(where);
    };
    for (const Kind& kind : k.kinds.all()) {
        if (!kind_name.empty() && kind.name != kind_name) continue;
        for (const Property& p : kind.properties) {
            if (p.name == property) take(p, kind.name);
            for (const Property& inner : p.block) {
                if (inner.name == property) take(inner, fmt::format("{} in {}", p.name, kind.name));
            }
        }
    }
    for (const Same& s : pages) property_page(*s.property, listed(s.kinds), paper);
    return !pages.empty();
}

bool explain_unit(const Knowledge& k, std::string_view word, Paper& paper) {
    const units::UnitId id = k.units.find(word);
    if (!id) return false;
    const units::Unit& u = k.units[id];
    title(paper, u.symbol, fmt::format("a unit of {}", u.dimension_name));
    unit_line(u, paper);
    std::string others;
    for (const units::Unit& other : k.units.all()) {
        if (other.dimension_name == u.dimension_name && other.symbol != u.symbol) others += (others.empty() ? "" : ", ") + other.symbol;
    }
    if (!others.empty()) paper.labelled("others", others);
    paper.line();
    return true;
}

bool explain_dimension(const Knowledge& k, std::string_view word, Paper& paper) {
    const units::DimensionName* d = k.units.dimension(word);
    if (d == nullptr) return false;
    title(paper, d->name, "a dimension: what a value in a shape may be measured in");
    if (!d->about.empty()) paper.prose(d->about, 4);
    for (const units::Unit& u : k.units.all()) {
        if (u.dimension_name == d->name) unit_line(u, paper);
    }
    paper.line();
    return true;
}

bool explain_tail_word(const Knowledge& k, std::string_view word, Paper& paper) {
    for (const auto& [group, words] : k.kinds.tail_words) {
        if (word != group && std::find(words.begin(), words.end(), word) == words.end()) continue;
        title(paper, word, fmt::format("a {} behind a conductor's second terminal", group));
        paper.labelled("words", listed(words));
        paper.line();
        return true;
    }
    for (const std::string_view joining : syntax::joining_words()) {
        if (joining != word) continue;
        title(paper, word, "a joining word: it stands between the parts of a statement and is no name");
        for (const graph::StatementText& s : k.kinds.statements) {
            if (has_word(s.shape, word)) paper.labelled(s.name, s.shape, 4);
        }
        paper.line();
        return true;
    }
    return false;
}

bool explain_default(const Knowledge& k, std::string_view word, Paper& paper) {
    const graph::Kinds::Default* d = k.kinds.find_default(word);
    if (d == nullptr) return false;
    title(paper, d->name, "a default: assumed when the design does not say, and printed by every finding that leans on it");
    if (d->unit) paper.labelled("value", k.units.show(d->value, d->unit));
    else if (d->value == d->value) paper.labelled("value", units::show_number(d->value));
    paper.prose(d->about, 4);
    paper.line();
    return true;
}

}  // namespace ferrule::project
