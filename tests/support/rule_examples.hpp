// The examples of a rule, run: what is wrong with each, in words. An empty list is a rule that keeps its word.
//   fails    at least one finding of the rule; every mark is in the text or the line of one of them
//   passes   no finding of the rule
//   negated  (`require` read the other way round) what failed is right, and at least one example that passes fails
#pragma once

#include <algorithm>

#include <fmt/format.h>

#include "support/bench.hpp"

namespace ferrule::tests {

inline bool at_mark(const Bench& bench, const findings::Finding& f, const std::string& mark) {
    return f.span && (bench.sources().text(f.span).find(mark) != std::string_view::npos ||
                      bench.line_text(f.span).find(mark) != std::string_view::npos);
}

inline std::vector<const findings::Finding*> spoken(const project::CheckResult& result, const std::string& rule) {
    std::vector<const findings::Finding*> all;
    for (const findings::Finding& f : result.report.findings) {
        if (f.rule == rule && !f.accepted) all.push_back(&f);
    }
    return all;
}

// The rules whose findings reading makes by itself, and the reader's own: a design with an error among them is no example.
inline bool from_reading(const project::Knowledge& k, const findings::Finding& f) {
    const rules::Rule* r = k.rules.find(f.rule);
    return r == nullptr || !r->found_by.empty();
}

inline std::vector<findings::Finding> negated(Bench& bench, const rules::Rule& rule, const rules::Example& example) {
    rules::Options options;
    options.negate = rule.id;
    std::vector<findings::Finding> mine;
    for (findings::Finding& f : bench.check_text(example.design, options).report.findings) {
        if (f.rule == rule.id && !f.accepted) mine.push_back(std::move(f));
    }
    return mine;
}

inline std::vector<std::string> faults_of_example(Bench& bench, const rules::Rule& rule, const rules::Example& example) {
    std::vector<std::string> faults;
    const project::CheckResult result = bench.check_text(example.design);
    const auto mine = spoken(result, rule.id);
    for (const findings::Finding& f : result.report.findings) {
        if (f.rule != rule.id && f.severity == findings::Severity::error && from_reading(bench.knowledge(), f)) {
            faults.push_back(fmt::format("the design is not right itself: line {}: {} [{}]", bench.line_of(f.span), f.message, f.rule));
        }
    }
    if (!example.fails) {
        for (const findings::Finding* f : mine) {
            faults.push_back(fmt::format("should pass, but line {}: {}", bench.line_of(f->span), f->message));
        }
    } else {
        if (mine.empty()) faults.emplace_back("should fail, but the rule says nothing");
        if (example.marks.empty()) faults.emplace_back("has no marks: where should it fail?");
        for (const std::string& mark : example.marks) {
            if (!mine.empty() && std::none_of(mine.begin(), mine.end(), [&](const auto* f) { return at_mark(bench, *f, mark); })) {
                faults.push_back(fmt::format("should fail at {}, but fails at line {}: {}", mark, bench.line_of(mine[0]->span),
                                             bench.line_text(mine[0]->span)));
            }
        }
    }
    for (const findings::Undecided& u : result.report.undecided) {
        if (u.rule == rule.id) faults.push_back(fmt::format("is undecided for {}: lacks {}", u.subject, u.missing));
    }
    if (!rule.found_by.empty()) return faults;

    if (!example.fails) return faults;
    for (const findings::Finding* f : mine) {
        for (const findings::Finding& other : negated(bench, rule, example)) {
            if (f->span == other.span && f->subject == other.subject) faults.push_back("negated, it still fails for " + f->subject);
        }
    }
    return faults;
}

// All faults of all examples of a rule, each with its example; what concerns the rule as a whole with none.
inline std::vector<std::pair<const rules::Example*, std::string>> faults_of_rule(Bench& bench, const rules::Rule& rule) {
    std::vector<std::pair<const rules::Example*, std::string>> all;
    bool fails = false, passes = false, tried = !rule.found_by.empty();
    for (const rules::Example& e : rule.examples) {
        (e.fails ? fails : passes) = true;
        for (std::string& fault : faults_of_example(bench, rule, e)) all.emplace_back(&e, std::move(fault));
        if (!e.fails && !tried) tried = !negated(bench, rule, e).empty();
    }
    if (!fails || !passes) all.emplace_back(nullptr, "needs an example that fails and one that passes");
    if (!tried) all.emplace_back(nullptr, "no example that passes is really tried: negated, the rule is silent there, so its `when` is never met");
    return all;
}

}  // namespace ferrule::tests
