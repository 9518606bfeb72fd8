// A rule: what one TOML file below rules/ demands of a design, compiled once and run over any
// number of designs. The file's keys are the fields below; DEVELOPERS.md says how to write one.
// Rules carry everything that `rules`, `explain` and the tests of their examples show, so the
// reference cannot drift from what is run.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "facts/table.hpp"
#include "findings/finding.hpp"
#include "graph/kinds.hpp"
#include "rules/formula.hpp"
#include "tables/standard.hpp"
#include "tables/toml.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::rules {

struct Example {
    bool fails = false;              // verdict = "fails": exactly this rule speaks, at each mark
    std::vector<std::string> marks;  // names in the text of the marked place, or in its line
    std::string design;              // a whole small design
    text::Span place;                // the design text in the rule file
};

// Whose word a rule rests on. `only_under` is the id of a standard when the source is one of the
// loaded standards.
struct RuleSource {
    findings::Citation citation;  // standard as it is cited
    std::string only_under;       // empty: shown under every standard
};

struct RelatedPlace {
    Formula at;  // a subject
    Message say;
};

struct Rule {
    std::string id;  // "dc-rating.breaking-voltage"
    std::string title;
    findings::Severity severity = findings::Severity::error;
    std::string about;     // the subject: a fact table; empty when found by the reader
    std::string found_by;  // "reading": the reader finds it itself; documented and exemplified here
    std::string why;       // the explanation, some paragraphs
    bool life_safety = false;              // may be accepted only with a reason, a name and a date
    std::vector<std::string> standards;    // ids; only under these; empty: under all
    std::vector<std::string> after;        // silent on a circuit where one of these has spoken
    std::vector<text::Span> after_places;  // where each of those names stands in the file
    std::vector<RuleSource> sources;
    std::vector<Example> examples;
    text::Span span;  // its id in its file

    Formula when, require, at, group, raise;  // empty where the file has none
    std::string at_property;  // the finding points at the line that states this property, if there is one
    Message message, remedy;
    std::string message_text, remedy_text;  // as written, with the holes
    std::vector<RelatedPlace> related;

    [[nodiscard]] std::string_view family() const {
        return std::string_view(id).substr(0, id.find('.'));
    }
    [[nodiscard]] bool applies_under(std::string_view standard) const;  // the id of a standard
};

struct RuleSet {
    std::vector<Rule> rules;  // those named in `after` come first; else by id
    std::vector<findings::Finding>
        findings;  // about the rule files; a rule with one is not in `rules`
    std::vector<std::pair<std::string, std::string>> cited;  // standard id -> how it is cited
    std::vector<std::pair<std::string, std::vector<std::string>>>
        tables;  // the schema's tables and columns, which formulas number
    std::unordered_map<std::string, std::uint32_t> by_id;
    [[nodiscard]] const Rule* find(std::string_view id) const;
    [[nodiscard]] std::string nearest(
        std::string_view id) const;  // for "did you mean"; empty when nothing is near
};

// What rules are checked against. All must outlive the call only.
struct Vocabulary {
    const facts::Facts& schema;  // facts::schema(units)
    const graph::Kinds& kinds;
    const units::Units& units;
    std::span<const tables::Standard> standards;
};

// Reads and unit-checks rule files, one rule each. Every mistake is a finding in the rule file, at
// its line and column.
[[nodiscard]] RuleSet load(std::span<const tables::TomlFile> files, const text::Sources& sources,
                           const Vocabulary& vocabulary);

}  // namespace ferrule::rules
