#include <algorithm>

#include <fmt/format.h>

#include "project/explain.hpp"
#include "project/explain_pages.hpp"
#include "render/report.hpp"

namespace ferrule::project {

namespace {

using facts::Column;
using facts::Table;
using render::Paper;

std::string type_of(const Knowledge& k, const Column& c) {
    switch (c.type) {
        case facts::Type::number:
            if (c.shown_in) return "in " + k.units[c.shown_in].symbol;
            return c.dimension.plain() ? "a number" : "a quantity";
        case facts::Type::flag: return "yes or no";
        case facts::Type::word: return "a word";
        case facts::Type::subject: return "one " + c.target;
        case facts::Type::subjects: return "rows of " + c.target;
    }
    return {};
}

void cite(Paper& paper, const std::vector<findings::Citation>& sources) {
    for (const findings::Citation& c : sources) paper.labelled(&c == &sources.front() ? "by" : "", render::cited(c));
}

std::vector<findings::Citation> citations(const rules::Rule& r) {
    std::vector<findings::Citation> all;
    for (const rules::RuleSource& s : r.sources) all.push_back(s.citation);
    return all;
}

// The tables of values name a standard by its id.
findings::Citation as_cited(const Knowledge& k, findings::Citation c) {
    if (const tables::Standard* s = k.standard(c.standard)) c.standard = s->cited;
    return c;
}

std::string figure_text(const Knowledge& k, const tables::Figure& f) {
    if (!f.word.empty()) return f.word;
    return f.unit ? k.units.show(f.value, f.unit) : units::show_number(f.value);
}

void formula(Paper& paper, std::string_view label, const rules::Formula& f) {
    if (!f.empty()) paper.labelled(label, f.text);
}

void example(Paper& paper, const rules::Rule& r, bool fails) {
    const auto found = std::find_if(r.examples.begin(), r.examples.end(), [&](const rules::Example& e) { return e.fails == fails; });
    if (found == r.examples.end()) return;
    paper.line();
    std::string marks;
    for (const std::string& m : found->marks) marks += (marks.empty() ? " at " : ", ") + m;
    paper.line(fails ? fmt::format("  a design in which it speaks{}:", marks) : "  the same put right:");
    paper.line();
    paper.verbatim(found->design, 6);
}

void rule_lines(Paper& paper, const rules::Rule& r) {
    std::string sources;
    for (const findings::Citation& c : citations(r)) sources += (sources.empty() ? "by " : "; ") + render::cited(c);
    paper.prose(fmt::format("{}, {}", r.id, findings::word(r.severity)), 2);
    paper.prose(r.title, 6);
    paper.prose(sources, 6);
}

}  // namespace

bool explain_rule(const Knowledge& k, std::string_view word, Paper& paper) {
    const rules::Rule* r = k.rules.find(word);
    if (r == nullptr) return false;
    title(paper, r->id, fmt::format("a rule; {}", findings::word(r->severity)));
    paper.prose(r->title, 4);
    paper.line();
    paper.prose(r->why, 4);
    paper.line();
    if (!r->about.empty()) paper.labelled("about", fmt::format("every {} (`ferrule explain {}`)", r->about, r->about));
    if (!r->found_by.empty()) paper.labelled("about", "the text itself, while it is read");
    formula(paper, "when", r->when);
    formula(paper, "demands", r->require);
    formula(paper, "graver", r->raise);
    if (!r->message_text.empty()) paper.labelled("says", r->message_text);
    if (!r->remedy_text.empty()) paper.labelled("do", r->remedy_text);
    std::string only;
    for (const std::string& s : r->standards) only += (only.empty() ? "" : ", ") + s;
    if (!only.empty()) paper.labelled("only", "under " + only);
    if (r->life_safety) paper.labelled("accept", "only with a reason, a name and a date");
    cite(paper, citations(*r));
    example(paper, *r, true);
    example(paper, *r, false);
    paper.line();
    return true;
}

bool explain_family(const Knowledge& k, std::string_view word, Paper& paper) {
    std::vector<const rules::Rule*> members;
    for (const rules::Rule& r : k.rules.rules) {
        if (r.family() == word) members.push_back(&r);
    }
    if (members.empty()) return false;
    std::sort(members.begin(), members.end(), [](const rules::Rule* a, const rules::Rule* b) { return a->id < b->id; });
    title(paper, word, "a family of rules");
    for (const rules::Rule* r : members) rule_lines(paper, *r);
    paper.line();
    return true;
}

bool explain_table(const Knowledge& k, std::string_view word, Paper& paper) {
    const Table* t = k.schema.table(word);
    if (t == nullptr) return false;
    title(paper, t->subject, "computed for a design: a table of values (`ferrule values` prints them, rules ask for them)");
    paper.prose(fmt::format("one row: {}", t->about), 4);
    for (const Column& c : t->columns) {
        paper.prose(fmt::format("{}   — {}", c.name, type_of(k, c)), 4);
        paper.prose(c.about, 8);
    }
    paper.line();
    return true;
}

bool explain_fact(const Knowledge& k, std::string_view table, std::string_view fact, Paper& paper) {
    bool found = false;
    for (const Table& t : k.schema.tables) {
        if (!table.empty() && t.subject != table) continue;
        for (const Column& c : t.columns) {
            if (c.name != fact) continue;
            found = true;
            title(paper, c.name, fmt::format("computed for every {}: {}", t.subject, type_of(k, c)));
            paper.prose(c.about, 4);
            std::vector<findings::Citation> sources;
            for (const findings::Citation& source : c.sources) sources.push_back(as_cited(k, source));
            cite(paper, sources);
            paper.line();
        }
    }
    return found;
}

bool explain_standard(const Knowledge& k, std::string_view word, Paper& paper) {
    const tables::Standard* s = k.standard(word);
    if (s == nullptr) return false;
    title(paper, s->id, "a standard a site can name: `standard " + s->id + "`");
    paper.labelled("title", s->title);
    paper.labelled("cited", s->cited);
    for (const tables::Figure& f : s->figures) {
        paper.prose(fmt::format("{} = {}   — {}", f.name, figure_text(k, f), render::cited(f.source)), 4);
        paper.prose(f.about, 8);
    }
    for (const tables::FigureTable& t : s->tables) {
        paper.prose(fmt::format("{}   — a table of {} rows, {}", t.name, t.rows.size(), render::cited(t.source)), 4);
        paper.prose(t.about, 8);
    }
    paper.line();
    return true;
}

bool explain_figure(const Knowledge& k, std::string_view word, Paper& paper) {
    bool found = false;
    for (const tables::Standard& s : k.standards) {
        if (const tables::Figure* f = s.figure(word)) {
            found = true;
            title(paper, f->name, fmt::format("a figure of {}: {}", s.id, figure_text(k, *f)));
            paper.prose(f->about, 4);
            cite(paper, {f->source});
            paper.line();
        }
        if (const tables::FigureTable* t = s.table(word)) {
            found = true;
            title(paper, t->name, fmt::format("a table of {}", s.id));
            paper.prose(t->about, 4);
            cite(paper, {t->source});
            std::string heads;
            for (const tables::FigureTable::ColumnHead& h : t->columns) {
                heads += fmt::format("{:>14}", h.unit ? h.name + " " + k.units[h.unit].symbol : h.name);
            }
            paper.verbatim(heads);
            for (const std::vector<tables::FigureTable::Cell>& row : t->rows) {
                std::string cells;
                for (std::size_t i = 0; i < row.size(); ++i) {
                    const units::UnitId unit = t->columns[i].unit;
                    cells += fmt::format("{:>14}", t->columns[i].words ? row[i].word
                                                   : unit ? units::show_number(k.units.from_si(row[i].number, unit))
                                                          : units::show_number(row[i].number));
                }
                paper.verbatim(cells);
            }
            paper.line();
        }
    }
    return found;
}

void list_rules(const Knowledge& k, std::string_view standard, Paper& paper) {
    std::vector<const rules::Rule*> all;
    for (const rules::Rule& r : k.rules.rules) {
        if (standard.empty() || r.applies_under(standard)) all.push_back(&r);
    }
    std::sort(all.begin(), all.end(), [](const rules::Rule* a, const rules::Rule* b) { return a->id < b->id; });
    std::string_view family;
    for (const rules::Rule* r : all) {
        if (r->family() != family) {
            if (!family.empty()) paper.line();
            family = r->family();
            paper.line(paper.inked(render::Ink::strong, family));
        }
        rule_lines(paper, *r);
    }
    paper.line();
    paper.line(fmt::format("{}; `ferrule explain RULE` says why, from whom, and shows a design in which it speaks",
                           render::counted(all.size(), "rule")));
}

}  // namespace ferrule::project
