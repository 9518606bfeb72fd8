#include "rules/run.hpp"

#include <set>
#include <unordered_map>
#include <utility>

#include "rules/accept.hpp"
#include "rules/bound.hpp"
#include "rules/judge.hpp"

namespace ferrule::rules {

namespace {

// The rule itself and all that speak before it.
std::set<std::string> with_those_before(const RuleSet& set, const std::string& id) {
    std::set<std::string> wanted;
    std::vector<std::string> waiting{id};
    while (!waiting.empty()) {
        std::string next = std::move(waiting.back());
        waiting.pop_back();
        const Rule* rule = set.find(next);
        if (rule == nullptr || !wanted.insert(std::move(next)).second) continue;
        waiting.insert(waiting.end(), rule->after.begin(), rule->after.end());
    }
    return wanted;
}

}  // namespace

findings::Report run(const RuleSet& set, const facts::Facts& facts,
                     const tables::Standard& standard, const Options& options) {
    findings::Report report;
    Bound bound(set, facts, standard);
    Acceptances acceptances(set, facts.design, options.outside, options.today);
    const std::set<std::string> wanted =
        options.only.empty() ? std::set<std::string>() : with_those_before(set, options.only);
    std::unordered_map<std::string, Spoken> spoken;
    for (const Rule& rule : set.rules) {
        if (!rule.found_by.empty() || !rule.applies_under(standard.id)) continue;
        if (!options.only.empty() && wanted.count(rule.id) == 0) continue;
        std::vector<const Spoken*> silent;
        for (const std::string& before : rule.after) {
            if (const auto at = spoken.find(before); at != spoken.end())
                silent.push_back(&at->second);
        }
        Judged judged = judge(rule, set, bound, silent, acceptances, options.negate == rule.id);
        spoken.emplace(rule.id, std::move(judged.spoken));
        if (!options.only.empty() && rule.id != options.only) continue;
        ++report.summary.rules;
        std::move(judged.findings.begin(), judged.findings.end(),
                  std::back_inserter(report.findings));
        std::move(judged.undecided.begin(), judged.undecided.end(),
                  std::back_inserter(report.undecided));
    }
    for (findings::Finding& f : acceptances.findings(options.only.empty())) {
        if (options.only.empty() || f.rule == options.only) report.findings.push_back(std::move(f));
    }
    report.outside_used = acceptances.outside_used();
    return report;
}

}  // namespace ferrule::rules
