// Rule files into rules: keys, types, formulas; every mistake is a finding in the file.
#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include <fmt/core.h>

#include "base/nearest.hpp"
#include "rules/compile.hpp"
#include "rules/names.hpp"
#include "rules/order.hpp"
#include "rules/rule.hpp"

namespace ferrule::rules {

namespace {

using tables::Value;
using Kind = Value::Kind;

constexpr std::array<std::string_view, 20> rule_keys{
    "id",        "title",       "severity", "about",   "when",   "require", "message",
    "remedy",    "why",         "at",       "related", "group",  "after",   "raise",
    "standards", "life-safety", "found-by", "source",  "example", "at-property"};

bool is_id(std::string_view id) {
    bool dot = false, edge = true;
    for (const char c : id) {
        if (c >= 'a' && c <= 'z') {
            edge = false;
        } else if (c >= '0' && c <= '9') {
            if (edge) return false;
        } else if ((c == '.' || c == '-') && !edge) {
            dot = dot || c == '.';
            edge = true;
        } else {
            return false;
        }
    }
    return dot && !edge;
}

class Loader {
public:
    Loader(const text::Sources& sources, const Names& names) : sources_(sources), names_(names) {}

    std::optional<Rule> read(const Value& root) {
        const std::size_t before = findings.size();
        Rule rule;
        if (root.kind != Kind::table || root.entries.empty()) {
            complain(root.span, "rule.key", "the file holds no rule");
            return {};
        }
        keys(root, rule_keys, "a rule");
        rule.id = text_of(root, "id", true);
        if (const Value* id = root.find("id")) {
            rule.span = id->span;
            if (!rule.id.empty() && !is_id(rule.id)) {
                complain(
                    id->span, "rule.value",
                    fmt::format("`{}` is no id: family.name, in small letters, digits and hyphens",
                                rule.id));
            }
        }
        rule.title = text_of(root, "title", true);
        rule.why = text_of(root, "why", true);
        rule.found_by = text_of(root, "found-by", false);
        severity(root, rule);
        flag(root, "life-safety", rule.life_safety);
        rule.standards = texts(root, "standards");
        standards_known(root, rule);
        rule.after = texts(root, "after");
        if (const Value* after = root.find("after")) {
            for (const Value& item : after->items) rule.after_places.push_back(item.span);
        }
        read_sources(root, rule);
        read_examples(root, rule);
        rule.message_text = text_of(root, "message", rule.found_by.empty());
        rule.remedy_text = text_of(root, "remedy", rule.found_by.empty());
        if (rule.found_by.empty()) formulas(root, rule);
        if (findings.size() != before) return {};
        return rule;
    }

    std::vector<findings::Finding> findings;

private:
    void complain(text::Span span, const char* rule, std::string message) {
        findings::Finding f;
        f.rule = rule;
        f.message = std::move(message);
        f.span = span;
        findings.push_back(std::move(f));
    }

    void keys(const Value& table, std::span<const std::string_view> known, std::string_view what) {
        for (const auto& [key, value] : table.entries) {
            if (std::find(known.begin(), known.end(), key) != known.end()) continue;
            const std::string_view near = base::nearest(key, known);
            complain(value.key_span, "rule.key",
                     fmt::format("{} has no `{}`{}", what, key,
                                 near.empty() ? "" : fmt::format(" (did you mean `{}`?)", near)));
        }
    }

    std::string text_of(const Value& table, std::string_view key, bool needed) {
        const Value* v = table.find(key);
        if (v == nullptr) {
            if (needed)
                complain(table.find("id") != nullptr ? table.find("id")->span : table.span,
                         "rule.key", fmt::format("`{}` is missing", key));
            return {};
        }
        if (v->kind != Kind::text) {
            complain(v->span, "rule.value", fmt::format("`{}` must be a text", key));
            return {};
        }
        if (needed && v->text.find_first_not_of(" \t\r\n") == std::string::npos) {
            complain(v->span, "rule.value", fmt::format("`{}` says nothing", key));
        }
        return v->text;
    }

    void flag(const Value& table, std::string_view key, bool& into) {
        const Value* v = table.find(key);
        if (v == nullptr) return;
        if (v->kind != Kind::flag) {
            complain(v->span, "rule.value", fmt::format("`{}` must be true or false", key));
            return;
        }
        into = v->flag;
    }

    std::vector<std::string> texts(const Value& table, std::string_view key) {
        std::vector<std::string> result;
        const Value* v = table.find(key);
        if (v == nullptr) return result;
        if (v->kind != Kind::list) {
            complain(v->span, "rule.value", fmt::format("`{}` must be a list of texts", key));
            return result;
        }
        for (const Value& item : v->items) {
            if (item.kind != Kind::text) {
                complain(item.span, "rule.value", fmt::format("`{}` must be a list of texts", key));
            } else {
                result.push_back(item.text);
            }
        }
        return result;
    }

    void severity(const Value& root, Rule& rule) {
        const std::string word = text_of(root, "severity", true);
        if (word == "error") rule.severity = findings::Severity::error;
        else if (word == "warning") rule.severity = findings::Severity::warning;
        else if (word == "note") rule.severity = findings::Severity::note;
        else if (!word.empty()) {
            complain(root.find("severity")->span, "rule.value",
                     fmt::format("`severity` is error, warning or note, not `{}`", word));
        }
    }

    void standards_known(const Value& root, const Rule& rule) {
        const Value* v = root.find("standards");
        std::vector<std::string_view> ids;
        for (const tables::Standard& s : names_.standards()) ids.push_back(s.id);
        for (std::size_t i = 0; i < rule.standards.size(); ++i) {
            if (std::find(ids.begin(), ids.end(), rule.standards[i]) != ids.end()) continue;
            complain(i < v->items.size() ? v->items[i].span : v->span, "rule.name",
                     fmt::format("there is no standard `{}`{}", rule.standards[i],
                                 did_you_mean(rule.standards[i], ids)));
        }
    }

    // Calls read(table) for each table of an array of tables.
    template <class Read>
    void each(const Value& root, std::string_view key, Read read_one) {
        const Value* v = root.find(key);
        if (v == nullptr) return;
        if (v->kind != Kind::list) {
            complain(v->span, "rule.value",
                     fmt::format("`{}` must be a list of tables: [[{}]]", key, key));
            return;
        }
        for (const Value& item : v->items) {
            if (item.kind == Kind::table) read_one(item);
            else
                complain(item.span, "rule.value",
                         fmt::format("`{}` must be a list of tables: [[{}]]", key, key));
        }
    }

    void read_sources(const Value& root, Rule& rule) {
        constexpr std::array<std::string_view, 3> known{"standard", "clause", "status"};
        each(root, "source", [&](const Value& v) {
            keys(v, known, "a source");
            RuleSource source;
            source.citation.standard = text_of(v, "standard", false);
            source.citation.clause = text_of(v, "clause", false);
            source.citation.status = text_of(v, "status", false);
            if (source.citation.standard.empty() && source.citation.status.empty()) {
                complain(v.span, "rule.key",
                         "a source names its `standard`, or says `status = \"common practice, no "
                         "source\"`");
            }
            for (const tables::Standard& s : names_.standards()) {
                if (s.id != source.citation.standard) continue;
                source.only_under = s.id;
                source.citation.standard = s.cited;
                break;
            }
            rule.sources.push_back(std::move(source));
        });
    }

    void read_examples(const Value& root, Rule& rule) {
        constexpr std::array<std::string_view, 3> known{"verdict", "marks", "design"};
        each(root, "example", [&](const Value& v) {
            keys(v, known, "an example");
            Example example;
            const std::string verdict = text_of(v, "verdict", true);
            example.fails = verdict == "fails";
            if (!verdict.empty() && !example.fails && verdict != "passes") {
                complain(v.find("verdict")->span, "rule.value",
                         fmt::format("`verdict` is fails or passes, not `{}`", verdict));
            }
            example.marks = texts(v, "marks");
            example.design = text_of(v, "design", true);
            if (const Value* design = v.find("design")) example.place = content(*design);
            rule.examples.push_back(std::move(example));
        });
    }

    [[nodiscard]] text::Span content(const Value& v) const {
        const std::uint32_t begin = v.content_begin(sources_);
        return {v.span.file, begin, begin + static_cast<std::uint32_t>(v.text.size())};
    }

    // A text's byte in the file, where escapes and continued lines make the two differ.
    [[nodiscard]] std::uint32_t in_file(const Value& v, std::uint32_t offset) const {
        const std::uint32_t begin = v.content_begin(sources_);
        const std::string_view bytes = sources_[v.span.file].bytes();
        if (bytes.substr(std::min<std::size_t>(begin, bytes.size()), v.text.size()) == v.text)
            return begin + offset;
        std::uint32_t at = begin;
        for (std::uint32_t i = 0; i < offset && at < v.span.end; ++i) {
            while (at + 1 < v.span.end && bytes[at] == '\\' &&
                   (bytes[at + 1] == '\n' || bytes[at + 1] == '\r')) {
                ++at;
                while (at < v.span.end && (bytes[at] == ' ' || bytes[at] == '\t' ||
                                           bytes[at] == '\n' || bytes[at] == '\r'))
                    ++at;
            }
            at += at < v.span.end && bytes[at] == '\\' ? 2 : 1;
        }
        return std::min(at, v.span.end);
    }

    void take(std::vector<findings::Finding> from, const Value& v, text::Span place) {
        for (findings::Finding& f : from) {
            f.span.begin = in_file(v, f.span.begin - place.begin);
            f.span.end = std::max(f.span.begin + 1, in_file(v, f.span.end - place.begin));
            findings.push_back(std::move(f));
        }
    }

    void formulas(const Value& root, Rule& rule) {
        rule.about = text_of(root, "about", true);
        const Value* about = root.find("about");
        if (about == nullptr || rule.about.empty()) return;
        Wanted wanted;
        wanted.about = names_.table(rule.about);
        if (wanted.about == none) {
            std::vector<std::string_view> known;
            for (const facts::Table& t : names_.schema().tables) known.push_back(t.subject);
            complain(about->span, "rule.name",
                     fmt::format("there are no facts about `{}`{}", rule.about,
                                 did_you_mean(rule.about, known)));
            return;
        }
        rule.require = formula(root, "require", wanted, true, false);
        if (root.find("require") == nullptr)
            complain(rule.span, "rule.key", "`require` is missing");
        rule.when = formula(root, "when", wanted, true, false);
        rule.raise = formula(root, "raise", wanted, true, false);
        rule.at = formula(root, "at", wanted, false, true);
        rule.group = formula(root, "group", wanted, false, true);
        rule.at_property = root.string("at-property");
        rule.message = message(root, "message", wanted);
        rule.remedy = message(root, "remedy", wanted);
        constexpr std::array<std::string_view, 2> known{"at", "say"};
        each(root, "related", [&](const Value& v) {
            keys(v, known, "a related place");
            RelatedPlace place;
            place.at = formula(v, "at", wanted, false, true);
            place.say = message(v, "say", wanted);
            if (v.find("at") == nullptr || v.find("say") == nullptr) {
                complain(v.span, "rule.key",
                         "a related place has `at`, a subject, and `say`, a text");
            }
            rule.related.push_back(std::move(place));
        });
    }

    Formula formula(const Value& table, std::string_view key, Wanted wanted, bool flag,
                    bool subject) {
        const Value* v = table.find(key);
        if (v == nullptr) return {};
        const std::string text = text_of(table, key, true);
        if (v->kind != Kind::text) return {};
        wanted.flag = flag;
        wanted.subject = subject;
        wanted.place = content(*v);
        Compiled compiled = compile(text, names_, wanted);
        take(std::move(compiled.findings), *v, wanted.place);
        return std::move(compiled.formula);
    }

    Message message(const Value& table, std::string_view key, Wanted wanted) {
        const Value* v = table.find(key);
        if (v == nullptr || v->kind != Kind::text) return {};
        wanted.place = content(*v);
        CompiledMessage compiled = compile_message(v->text, names_, wanted);
        take(std::move(compiled.findings), *v, wanted.place);
        return std::move(compiled.message);
    }

    const text::Sources& sources_;
    const Names& names_;
};

}  // namespace

RuleSet load(std::span<const tables::TomlFile> files, const text::Sources& sources,
             const Vocabulary& vocabulary) {
    const Names names(vocabulary);
    Loader loader(sources, names);
    std::vector<Rule> rules;
    std::vector<std::pair<std::string, text::Span>>
        ids;  // of every file, so that `after` may name a rule that is ill
    for (const tables::TomlFile& file : files) {
        loader.findings.insert(loader.findings.end(), file.findings.begin(), file.findings.end());
        if (!file.findings.empty()) continue;
        if (const Value* id = file.root.find("id"); id != nullptr && id->kind == Kind::text)
            ids.emplace_back(id->text, id->span);
        if (auto rule = loader.read(file.root)) rules.push_back(std::move(*rule));
    }
    RuleSet set = in_order(std::move(rules), ids, std::move(loader.findings));
    for (const tables::Standard& s : vocabulary.standards) set.cited.emplace_back(s.id, s.cited);
    for (const facts::Table& t : vocabulary.schema.tables) {
        auto& columns = set.tables.emplace_back(t.subject, std::vector<std::string>()).second;
        for (const facts::Column& c : t.columns) columns.push_back(c.name);
    }
    return set;
}

}  // namespace ferrule::rules
