#include "helper_files.hpp"

#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "project/knowledge.hpp"
#include "syntax/tree.hpp"

namespace ferrule::tests {

namespace {

using Words = std::set<std::string>;
using Json = nlohmann::ordered_json;

struct Vocabulary {
    Words keywords, joining, kinds, properties, values, units;
};

void from_shape(const graph::Shape& shape, Words& values) {
    if (shape.op == graph::Shape::Op::literal && !shape.text.empty() && (shape.text[0] >= 'a' && shape.text[0] <= 'z')) values.insert(shape.text);
    for (const std::string& w : shape.words) values.insert(w);
    for (const graph::Shape& child : shape.children) from_shape(child, values);
}

void from_properties(const std::vector<graph::Property>& properties, Vocabulary& v) {
    for (const graph::Property& p : properties) {
        v.properties.insert(p.name);
        from_shape(p.shape, v.values);
        from_properties(p.block, v);
    }
}

Vocabulary vocabulary(const project::Knowledge& k) {
    Vocabulary v;
    for (const std::string_view w : syntax::keywords()) v.keywords.emplace(w);
    for (const std::string_view w : syntax::joining_words()) v.joining.emplace(w);
    for (const graph::Kind& kind : k.kinds.all()) {
        if (kind.group != "block") v.kinds.insert(kind.name);
        from_properties(kind.properties, v);
    }
    for (const auto& [group, words] : k.kinds.tail_words) v.values.insert(words.begin(), words.end());
    for (const units::Unit& u : k.units.all()) v.units.insert(u.symbol);
    for (const std::string& w : v.joining) v.values.erase(w);
    for (const std::string& w : v.keywords) v.properties.erase(w), v.values.erase(w);
    return v;
}

std::string escaped(const std::string& word) {
    std::string out;
    for (const char c : word) {
        if (std::string_view("\\^$.|?*+()[]{}/").find(c) != std::string_view::npos) out += '\\';
        out += c;
    }
    return out;
}

// Longest first, so that none hides a longer one that begins like it.
std::string alternatives(const Words& words) {
    std::vector<std::string> all(words.begin(), words.end());
    std::stable_sort(all.begin(), all.end(), [](const std::string& a, const std::string& b) { return a.size() > b.size(); });
    std::string out;
    for (const std::string& w : all) out += (out.empty() ? "" : "|") + escaped(w);
    return out;
}

std::string tm_language(const Vocabulary& v) {
    const auto match = [](const std::string& scope, const std::string& pattern) { return Json{{"name", scope}, {"match", pattern}}; };
    const std::string before = "(?<![\\w.-])", behind = "(?![\\w-])";
    Json j;
    j["$schema"] = "https://raw.githubusercontent.com/martinring/tmlanguage/master/tmlanguage.json";
    j["name"] = "ferrule";
    j["scopeName"] = "source.ferrule";
    j["fileTypes"] = {"fer"};
    j["patterns"] = Json::array();
    for (const char* part : {"comment", "text", "arrow", "keyword", "kind", "property", "number", "date", "pair", "sign", "terminal", "index", "joining", "value", "brace", "name"}) {
        j["patterns"].push_back({{"include", std::string("#") + part}});
    }
    Json& r = j["repository"];
    r["comment"] = match("comment.line.number-sign.ferrule", "#.*$");
    r["text"] = {{"name", "string.quoted.double.ferrule"}, {"begin", "\""}, {"end", "\"|$"}, {"patterns", {match("constant.character.escape.ferrule", "\\\\[\"\\\\]")}}};
    r["arrow"] = match("keyword.operator.arrow.ferrule", "(?<=\\s)->(?=\\s|$)");
    r["keyword"] = {{"match", "(?:^|(?<=[{;]))\\s*(" + alternatives(v.keywords) + ")" + behind}, {"captures", {{"1", {{"name", "keyword.control.ferrule"}}}}}};
    r["kind"] = {{"match", "\\b(is)\\s+(" + alternatives(v.kinds) + ")" + behind},
                 {"captures", {{"1", {{"name", "keyword.other.ferrule"}}}, {"2", {{"name", "support.type.ferrule"}}}}}};
    r["property"] = {{"match", "(?:^|(?<=[{;]))\\s*(" + alternatives(v.properties) + ")" + behind}, {"captures", {{"1", {{"name", "variable.other.property.ferrule"}}}}}};
    // Not within a name or after its dot; after the two dots of a range it is one.
    r["number"] = {{"match", "(?<![\\w-])(?<![^.]\\.)([-+]?\\d+(?:\\.\\d+)?)(?:\\s*(" + alternatives(v.units) + ")(?![\\w%/]))?"},
                   {"captures", {{"1", {{"name", "constant.numeric.ferrule"}}}, {"2", {{"name", "keyword.other.unit.ferrule"}}}}}};
    r["date"] = match("constant.other.date.ferrule", "\\b\\d{4}-\\d{2}-\\d{2}\\b");
    r["pair"] = match("constant.other.terminal.ferrule", before + "\\d+-\\d+" + behind);
    r["sign"] = match("constant.other.terminal.ferrule", "(?<=\\s)[-+](?=\\s|$)");
    // In brackets a hyphen is a minus.
    r["index"] = {{"begin", "\\["}, {"end", "\\]|$"},
                  {"patterns", {match("constant.numeric.ferrule", "\\d+"), match("variable.other.ferrule", "[A-Za-z]\\w*"), match("keyword.operator.ferrule", "\\.\\.|[-+*/]")}}};
    r["terminal"] = match("entity.other.attribute-name.terminal.ferrule", "(?<=[\\w\\]])\\.[\\w+/-]+(?:\\[[^\\]]*\\])?[+-]?");
    r["joining"] = match("keyword.other.ferrule", before + "(?:" + alternatives(v.joining) + ")" + behind);
    r["value"] = match("constant.language.ferrule", before + "(?:" + alternatives(v.values) + ")" + behind);
    r["brace"] = match("punctuation.section.block.ferrule", "[{};]");
    r["name"] = match("variable.other.ferrule", "[A-Za-z][\\w-]*");
    // A date reads like a number, so it is looked for before.
    Json& patterns = j["patterns"];
    const auto number = std::find(patterns.begin(), patterns.end(), Json{{"include", "#number"}}), date = std::find(patterns.begin(), patterns.end(), Json{{"include", "#date"}});
    std::iter_swap(number, date);
    const auto pair = std::find(patterns.begin(), patterns.end(), Json{{"include", "#pair"}});
    std::iter_swap(std::find(patterns.begin(), patterns.end(), Json{{"include", "#number"}}), pair);
    return j.dump(2) + "\n";
}

std::string snippets(const project::Knowledge& k) {
    Json all = Json::object();
    for (const graph::StatementText& s : k.kinds.statements) {
        std::string example = s.example;
        while (!example.empty() && example.back() == '\n') example.pop_back();
        std::string body;
        for (const char c : example) {
            if (c == '$' || c == '}' || c == '\\') body += '\\';
            body += c;
        }
        Json lines = Json::array();
        for (std::size_t at = 0; at <= body.size();) {
            const std::size_t end = std::min(body.find('\n', at), body.size());
            lines.push_back(body.substr(at, end - at));
            at = end + 1;
        }
        lines.back() = lines.back().get<std::string>() + "$0";
        all[s.name] = {{"prefix", s.name}, {"body", lines}, {"description", s.about}};
    }
    return all.dump(2) + "\n";
}

std::string vim_words(const char* group, const Words& words) {
    // Words with a hyphen are keywords too, since `iskeyword` holds it; those with other marks are matched.
    std::string line = fmt::format("syntax keyword {}", group), out;
    for (const std::string& w : words) {
        if (w.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") != std::string::npos || !((w[0] | 0x20) >= 'a' && (w[0] | 0x20) <= 'z')) continue;
        // Words that `syntax keyword` itself takes for its options.
        if (w == "contains" || w == "display" || w == "fold" || w == "transparent" || w == "skip" || w == "contained") continue;
        if (line.size() + w.size() > 120) {
            out += line + "\n";
            line = fmt::format("syntax keyword {}", group);
        }
        line += " " + w;
    }
    return out + line + "\n";
}

std::string vim_syntax(const Vocabulary& v) {
    std::string out = "\" Made from the program's own tables by `editor_files`: do not edit by hand.\n"
                      "if exists(\"b:current_syntax\") | finish | endif\n"
                      "syntax iskeyword @,48-57,_,-\n";
    out += vim_words("ferruleValue", v.values) + vim_words("ferruleJoining", v.joining);
    const auto at_start = [&](const char* group, const Words& words) {
        std::string all;
        for (const std::string& w : words) all += (all.empty() ? "" : "\\|") + w;
        return fmt::format("syntax match {} /\\%(^\\|[{{;]\\)\\s*\\zs\\%({}\\)\\>/\n", group, all);
    };
    out += at_start("ferruleProperty", v.properties) + at_start("ferruleKeyword", v.keywords);
    std::string kinds;
    for (const std::string& w : v.kinds) kinds += (kinds.empty() ? "" : "\\|") + w;
    out += fmt::format("syntax match ferruleKind /\\%(\\<is\\s\\+\\)\\@<=\\%({}\\)\\>/\n", kinds);
    out += "syntax match ferruleNumber /\\%([A-Za-z0-9_-]\\|[^.]\\.\\)\\@<![-+]\\?\\d\\+\\%(\\.\\d\\+\\)\\?/\n"
           "syntax match ferruleDate /\\<\\d\\{4}-\\d\\{2}-\\d\\{2}\\>/\n"
           "syntax match ferruleTerminal /\\%([A-Za-z0-9_\\]]\\)\\@<=\\.[A-Za-z0-9_+\\/-]\\+/\n"
           "syntax match ferruleArrow / \\zs->\\ze /\n"
           "syntax region ferruleText start=/\"/ skip=/\\\\[\"\\\\]/ end=/\"/ oneline\n"
           "syntax match ferruleComment /#.*$/ contains=@Spell\n"
           "highlight default link ferruleKeyword Statement\n"
           "highlight default link ferruleJoining Keyword\n"
           "highlight default link ferruleKind Type\n"
           "highlight default link ferruleProperty Identifier\n"
           "highlight default link ferruleValue Constant\n"
           "highlight default link ferruleNumber Number\n"
           "highlight default link ferruleDate Number\n"
           "highlight default link ferruleTerminal Special\n"
           "highlight default link ferruleArrow Operator\n"
           "highlight default link ferruleText String\n"
           "highlight default link ferruleComment Comment\n"
           "let b:current_syntax = \"ferrule\"\n";
    return out;
}

std::string emacs_words(const Vocabulary& v) {
    std::string out = ";;; ferrule-words.el --- words of the language  -*- lexical-binding: t -*-\n\n"
                      ";;; Commentary:\n;; Made from the program's own tables by `editor_files': do not edit by hand.\n\n;;; Code:\n\n";
    const auto list = [&](const char* name, const char* about, const Words& words) {
        out += fmt::format("(defconst ferrule-{}\n  '(", name);
        std::size_t column = 4;
        bool first = true;
        for (const std::string& w : words) {
            std::string quoted = "\"";
            for (const char c : w) {
                if (c == '"' || c == '\\') quoted += '\\';
                quoted += c;
            }
            quoted += '"';
            if (!first && column + quoted.size() > 100) {
                out += "\n    ";
                column = 4;
            } else if (!first) {
                out += ' ';
            }
            out += quoted;
            column += quoted.size() + 1;
            first = false;
        }
        out += fmt::format(")\n  \"{}\")\n\n", about);
    };
    list("keywords", "Words that open a statement.", v.keywords);
    list("joining-words", "Words that join the pieces of a statement.", v.joining);
    list("kinds", "Kinds of parts and roles of ports.", v.kinds);
    list("properties", "What blocks may state.", v.properties);
    list("values", "Words that stand as values.", v.values);
    list("units", "Units.", v.units);
    return out + "(provide 'ferrule-words)\n;;; ferrule-words.el ends here\n";
}

}  // namespace

std::vector<std::pair<std::string, std::string>> editor_files() {
    text::Sources sources;
    const project::Knowledge k = project::learn(sources, base::disk(), {});
    const Vocabulary v = vocabulary(k);
    return {{"vscode/syntaxes/ferrule.tmLanguage.json", tm_language(v)},
            {"vscode/snippets/ferrule.json", snippets(k)},
            {"vim/syntax/ferrule.vim", vim_syntax(v)},
            {"emacs/ferrule-words.el", emacs_words(v)}};
}

}  // namespace ferrule::tests
