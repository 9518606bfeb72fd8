#include "rules/order.hpp"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/core.h>

#include "base/nearest.hpp"

namespace ferrule::rules {

namespace {

findings::Finding about(const Rule& rule, const char* id, std::string message) {
    findings::Finding f;
    f.rule = id;
    f.message = std::move(message);
    f.span = rule.span;
    f.subject = rule.id;
    return f;
}

}  // namespace

RuleSet in_order(std::vector<Rule> rules,
                 const std::vector<std::pair<std::string, text::Span>>& ids,
                 std::vector<findings::Finding> findings) {
    RuleSet set;
    set.findings = std::move(findings);
    std::map<std::string, text::Span, std::less<>> first;
    for (const auto& [id, span] : ids) first.emplace(id, span);
    std::vector<std::string_view> known;
    for (const auto& [id, span] : first) known.push_back(id);

    std::map<std::string, Rule, std::less<>> waiting;  // by id
    for (Rule& rule : rules) {
        if (first.at(rule.id) != rule.span) {
            findings::Finding f =
                about(rule, "rule.id", fmt::format("there is another rule `{}`", rule.id));
            f.related.push_back({first.at(rule.id), "it is written here"});
            set.findings.push_back(std::move(f));
            continue;
        }
        bool right = true;
        for (std::size_t i = 0; i < rule.after.size(); ++i) {
            const std::string& before = rule.after[i];
            if (first.find(before) != first.end()) continue;
            const std::string_view near = base::nearest(before, known);
            findings::Finding f =
                about(rule, "rule.name",
                      fmt::format("`after` names `{}`, which is no rule{}", before,
                                  near.empty() ? "" : fmt::format(" (did you mean `{}`?)", near)));
            f.span = rule.after_places[i];
            set.findings.push_back(std::move(f));
            right = false;
        }
        if (right) {
            std::string id = rule.id;
            waiting.emplace(std::move(id), std::move(rule));
        }
    }
    // Again and again the first, by id, that waits for nothing. A few hundred rules at most.
    while (!waiting.empty()) {
        const auto next = std::find_if(waiting.begin(), waiting.end(), [&](const auto& entry) {
            return std::none_of(
                entry.second.after.begin(), entry.second.after.end(),
                [&](const std::string& before) { return waiting.find(before) != waiting.end(); });
        });
        if (next == waiting.end()) break;
        set.by_id.emplace(next->first, static_cast<std::uint32_t>(set.rules.size()));
        set.rules.push_back(std::move(next->second));
        waiting.erase(next);
    }
    for (const auto& [id, rule] : waiting) {
        set.findings.push_back(
            about(rule, "rule.after", fmt::format("`{}` waits, through `after`, for itself", id)));
    }
    return set;
}

bool Rule::applies_under(std::string_view standard) const {
    return standards.empty() ||
           std::find(standards.begin(), standards.end(), standard) != standards.end();
}

const Rule* RuleSet::find(std::string_view id) const {
    const auto at = by_id.find(std::string(id));
    return at == by_id.end() ? nullptr : &rules[at->second];
}

std::string RuleSet::nearest(std::string_view id) const {
    std::vector<std::string_view> known;
    for (const Rule& rule : rules) known.push_back(rule.id);
    return std::string(base::nearest(id, known));
}

}  // namespace ferrule::rules
