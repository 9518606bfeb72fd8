#include "project/explain.hpp"

#include <fmt/format.h>

#include "base/nearest.hpp"
#include "project/explain_pages.hpp"
#include "syntax/tree.hpp"

namespace ferrule::project {

namespace {

using render::Paper;

// "module.voc" and "string.voc-coldest": an owner and what it owns.
bool explain_pair(const Knowledge& k, std::string_view owner, std::string_view owned, Paper& paper) {
    const bool property = explain_property(k, owner, owned, paper);
    return explain_fact(k, owner, owned, paper) || property;
}

bool any_property(const Knowledge& k, std::string_view word, Paper& paper) { return explain_property(k, "", word, paper); }
bool any_fact(const Knowledge& k, std::string_view word, Paper& paper) { return explain_fact(k, "", word, paper); }

bool explain_word(const Knowledge& k, std::string_view word, Paper& paper) {
    using Page = bool (*)(const Knowledge&, std::string_view, Paper&);
    static constexpr Page pages[] = {
        explain_statement, explain_kind,     explain_unit,  explain_dimension, any_property, explain_tail_word, explain_default,
        explain_table,     explain_standard, explain_figure, any_fact,         explain_family, explain_rule,
        explain_settings,
    };
    bool found = false;
    for (const Page page : pages) found = page(k, word, paper) || found;
    const std::size_t dot = word.find('.');
    if (!found && dot != std::string_view::npos) found = explain_pair(k, word.substr(0, dot), word.substr(dot + 1), paper);
    return found;
}

}  // namespace

std::vector<std::string> explain(const Knowledge& k, const std::vector<std::string>& words, Paper& paper) {
    std::vector<std::string> unknown;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i + 1 < words.size() && explain_pair(k, words[i], words[i + 1], paper)) {
            ++i;
        } else if (!explain_word(k, words[i], paper)) {
            unknown.push_back(words[i]);
        }
    }
    return unknown;
}

std::string nearest_word(const Knowledge& k, std::string_view word) {
    std::vector<std::string_view> known;
    for (const graph::StatementText& s : k.kinds.statements) known.push_back(s.name);
    for (const graph::Kind& kind : k.kinds.all()) {
        known.push_back(kind.name);
        for (const graph::Property& p : kind.properties) known.push_back(p.name);
    }
    for (const units::Unit& u : k.units.all()) known.push_back(u.symbol);
    for (const units::DimensionName& d : k.units.dimensions()) known.push_back(d.name);
    for (const auto& [group, words] : k.kinds.tail_words) known.insert(known.end(), words.begin(), words.end());
    for (const facts::Table& t : k.schema.tables) {
        known.push_back(t.subject);
        for (const facts::Column& c : t.columns) known.push_back(c.name);
    }
    for (const rules::Rule& r : k.rules.rules) known.push_back(r.id);
    for (const tables::Standard& s : k.standards) known.push_back(s.id);
    return std::string(base::nearest(word, known));
}

}  // namespace ferrule::project
