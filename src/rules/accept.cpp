#include "rules/accept.hpp"

#include <algorithm>

#include <fmt/core.h>

#include "base/days.hpp"
#include "facts/table.hpp"
#include "rules/formula.hpp"

namespace ferrule::rules {

namespace {

// Blanks are no reason and nobody's name.
bool says_nothing(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool wide = text.substr(i, 2) == "\u00A0";
        if (!wide && std::string_view(" \t\n\r\f\v").find(text[i]) == std::string_view::npos) return false;
        if (wide) ++i;
    }
    return true;
}

}  // namespace

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
    const int year = digits(0, 4), month = digits(5, 2), days = base::days_in(year, month);
    const int day = text.size() == 10 ? digits(8, 2) : days;  // a month counts to its end
    if (year < 1 || day < 1 || day > days) return {};
    return {year, month, day};
}

Acceptances::One Acceptances::one(std::uint32_t i) const {
    if (i < inside_) {
        const graph::Accept& a = design_->accepts[i];
        return {design_->word(a.rule), a.because, a.until, a.by, a.span};
    }
    const OutsideAcceptance& a = outside_[i - inside_];
    return {a.rule, a.acceptance.reason, a.acceptance.until, a.acceptance.by, a.acceptance.span};
}

Acceptances::Acceptances(const RuleSet& set, const graph::Design* design, const std::vector<OutsideAcceptance>& outside, base::Date today)
    : design_(design), outside_(outside) {
    if (design == nullptr) return;
    inside_ = static_cast<std::uint32_t>(design->accepts.size());
    valid_.assign(inside_ + outside.size(), 1);
    used_.assign(valid_.size(), 0);
    for (std::uint32_t i = 0; i < valid_.size(); ++i) {
        const One a = one(i);
        const auto wrong = [&](const char* rule, std::string message, std::string remedy) {
            valid_[i] = 0;
            findings::Finding f;
            f.rule = rule;
            f.message = std::move(message);
            f.remedy = std::move(remedy);
            f.span = a.span;
            f.subject = std::string(a.rule);
            wrong_.push_back(std::move(f));
        };
        const Rule* rule = set.find(a.rule);
        if (rule == nullptr) {
            const std::string near = set.nearest(a.rule);
            wrong("design.accept-unknown", fmt::format("there is no rule {}", a.rule),
                  near.empty() ? "`ferrule rules` lists them all"
                               : fmt::format("did you mean {}?", near));
            continue;
        }
        if (!rule->found_by.empty()) {
            wrong("design.accept-unknown",
                  fmt::format("{} is found while the text is read and cannot be accepted", a.rule),
                  "put the text right");
            continue;
        }
        if (says_nothing(a.because)) {
            wrong("design.accept-reason", fmt::format("{} is accepted without a reason", a.rule),
                  "say why: because \"…\"");
        } else if (rule->life_safety && (says_nothing(a.by) || a.until.empty())) {
            wrong("design.accept-reason",
                  fmt::format("{} is a matter of life and limb: to accept it takes a reason, a "
                              "name and a date",
                              a.rule),
                  "say who answers for it and until when: by \"…\" until 2027-06-30");
        }
        if (valid_[i] == 0 || a.until.empty()) continue;  // one thing at a time
        const base::Date until = parse_date(a.until);
        if (until == base::Date{}) {
            wrong("design.accept-expired", fmt::format("`{}` is no date", a.until),
                  "write it as 2027-06-30 or 2027-06");
        } else if (until < today) {
            wrong("design.accept-expired", fmt::format("{} was accepted until {}", a.rule, a.until),
                  "look at it again: put it right, or accept it anew");
        }
    }
}

// Under its own name or that of a place on it, as findings have it: MPPT.pv, Q1.2, BOX.G[1].
bool Acceptances::is_named(graph::ThingId thing, std::string_view on) const {
    const std::string name = design_->name(thing);
    if (name.empty() || !on.starts_with(name)) return false;
    on.remove_prefix(name.size());
    return on.empty() || (on.front() == '.' && design_->has_place(thing, on.substr(1)));
}

std::uint32_t Acceptances::covering(const Rule& rule, std::uint32_t thing) {
    // The thing itself, or the assembly instance it is a member of.
    const auto holds = [&](const auto& is_meant) {
        for (graph::ThingId t(thing); thing != facts::no_row && t && design_->things.has(t);
             t = design_->things[t].owner) {
            if (is_meant(t)) return true;
        }
        return false;
    };
    for (std::uint32_t i = 0; i < valid_.size(); ++i) {
        if (valid_[i] == 0 || one(i).rule != rule.id) continue;
        bool covers = false;
        if (i < inside_) {
            const auto& on = design_->accepts[i].on;
            covers = on.empty() || holds([&](graph::ThingId t) { return std::find(on.begin(), on.end(), t) != on.end(); });
        } else {
            const std::string& on = outside_[i - inside_].on;
            covers = on.empty() || holds([&](graph::ThingId t) { return is_named(t, on); });
        }
        if (!covers) continue;
        used_[i] = 1;
        return i;
    }
    return none;
}

findings::Acceptance Acceptances::text(std::uint32_t acceptance) const {
    const One a = one(acceptance);
    return {std::string(a.because), std::string(a.by), std::string(a.until), a.span, acceptance >= inside_};
}

std::vector<findings::Finding> Acceptances::findings(bool all_ran) const {
    std::vector<findings::Finding> result = wrong_;
    for (std::uint32_t i = 0; all_ran && i < inside_; ++i) {
        if (valid_[i] == 0 || used_[i] != 0) continue;
        findings::Finding f;
        f.rule = "design.accept-unused";
        f.severity = findings::Severity::warning;
        f.message = fmt::format("nothing is found that {} would complain of here", one(i).rule);
        f.remedy = "take the line out, so that it cannot hide the next one";
        f.span = one(i).span;
        f.subject = std::string(one(i).rule);
        result.push_back(std::move(f));
    }
    return result;
}

std::vector<std::uint8_t> Acceptances::outside_used() const {
    std::vector<std::uint8_t> used(outside_.size(), 1);
    for (std::size_t i = 0; i < used.size() && inside_ + i < used_.size(); ++i) {
        used[i] = used_[inside_ + i] != 0 || valid_[inside_ + i] == 0 ? 1 : 0;  // one that is wrong in itself is told as such
    }
    return used;
}

}  // namespace ferrule::rules
