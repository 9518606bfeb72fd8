#include "rules/accept.hpp"

#include <algorithm>

#include <fmt/core.h>

#include "facts/table.hpp"
#include "rules/formula.hpp"

namespace ferrule::rules {

base::Date parse_date(std::string_view text) {
    const auto digits = [&](std::size_t at, std::size_t count) {
        int value = 0;
        for (std::size_t i = at; i < at + count; ++i) {
            if (text[i] < '0' || text[i] > '9') return -1;
            value = value * 10 + (text[i] - '0');
        }
        return value;
    };
    if ((text.size() != 10 && text.size() != 7) || text[4] != '-' ||
        (text.size() == 10 && text[7] != '-'))
        return {};
    base::Date date{digits(0, 4), digits(5, 2), 31};
    if (text.size() == 10) date.day = digits(8, 2);
    if (date.year < 1 || date.month < 1 || date.month > 12 || date.day < 1 || date.day > 31)
        return {};
    return date;
}

Acceptances::Acceptances(const RuleSet& set, const graph::Design* design, base::Date today)
    : design_(design) {
    if (design == nullptr) return;
    valid_.assign(design->accepts.size(), 1);
    used_.assign(design->accepts.size(), 0);
    for (std::size_t i = 0; i < design->accepts.size(); ++i) {
        const graph::Accept& a = design->accepts[i];
        const std::string_view id = design->word(a.rule);
        const auto wrong = [&](const char* rule, std::string message, std::string remedy) {
            valid_[i] = 0;
            findings::Finding f;
            f.rule = rule;
            f.message = std::move(message);
            f.remedy = std::move(remedy);
            f.span = a.span;
            f.subject = std::string(id);
            wrong_.push_back(std::move(f));
        };
        const Rule* rule = set.find(id);
        if (rule == nullptr) {
            const std::string near = set.nearest(id);
            wrong("design.accept-unknown", fmt::format("there is no rule {}", id),
                  near.empty() ? "`ferrule rules` lists them all"
                               : fmt::format("did you mean {}?", near));
            continue;
        }
        if (!rule->found_by.empty()) {
            wrong("design.accept-unknown",
                  fmt::format("{} is found while the text is read and cannot be accepted", id),
                  "put the text right");
            continue;
        }
        if (a.because.empty()) {
            wrong("design.accept-reason", fmt::format("{} is accepted without a reason", id),
                  "say why: because \"…\"");
        } else if (rule->life_safety && (a.by.empty() || a.until.empty())) {
            wrong("design.accept-reason",
                  fmt::format("{} is a matter of life and limb: to accept it takes a reason, a "
                              "name and a date",
                              id),
                  "say who answers for it and until when: by \"…\" until 2027-06-30");
        }
        if (valid_[i] == 0 || a.until.empty()) continue;  // one thing at a time
        const base::Date until = parse_date(a.until);
        if (until == base::Date{}) {
            wrong("design.accept-expired", fmt::format("`{}` is no date", a.until),
                  "write it as 2027-06-30 or 2027-06");
        } else if (until < today) {
            wrong("design.accept-expired", fmt::format("{} was accepted until {}", id, a.until),
                  "look at it again: put it right, or accept it anew");
        }
    }
}

std::uint32_t Acceptances::covering(const Rule& rule, std::uint32_t thing) {
    std::uint32_t best = none;
    for (std::uint32_t i = 0; i < valid_.size() && best == none; ++i) {
        const graph::Accept& a = design_->accepts[i];
        if (valid_[i] == 0 || design_->word(a.rule) != rule.id) continue;
        if (a.on.empty()) best = i;
        // the thing itself, or the assembly instance it is a member of
        for (graph::ThingId t(thing); thing != facts::no_row && t && design_->things.has(t);
             t = design_->things[t].owner) {
            if (std::find(a.on.begin(), a.on.end(), t) != a.on.end()) best = i;
        }
    }
    if (best != none) used_[best] = 1;
    return best;
}

findings::Acceptance Acceptances::text(std::uint32_t acceptance) const {
    const graph::Accept& a = design_->accepts[acceptance];
    return {a.because, a.by, a.until, a.span};
}

std::vector<findings::Finding> Acceptances::findings(bool all_ran) const {
    std::vector<findings::Finding> result = wrong_;
    for (std::size_t i = 0; all_ran && i < valid_.size(); ++i) {
        if (valid_[i] == 0 || used_[i] != 0) continue;
        findings::Finding f;
        f.rule = "design.accept-unused";
        f.severity = findings::Severity::warning;
        f.message = fmt::format("nothing is found that {} would complain of here",
                                design_->word(design_->accepts[i].rule));
        f.remedy = "take the line out, so that it cannot hide the next one";
        f.span = design_->accepts[i].span;
        f.subject = std::string(design_->word(design_->accepts[i].rule));
        result.push_back(std::move(f));
    }
    return result;
}

}  // namespace ferrule::rules
