#include "rules/run.hpp"

#include <algorithm>
#include <atomic>
#include <iterator>
#include <optional>
#include <set>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "base/beside.hpp"
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

// The rules that are asked, two threads at them where the design is worth it. Each takes the next rule that nobody has taken, and
// waits for those it comes after, as far as they stand before it: they are done, or somebody is at them.
class Round {
public:
    Round(const RuleSet& set, const facts::Facts& facts, const tables::Standard& standard, Acceptances& acceptances, const std::string& negate, const Remembered* remembered)
        : set_(set), facts_(facts), standard_(standard), acceptances_(acceptances), negate_(negate), remembered_(remembered) {}

    void add(const Rule& rule) {
        place_.emplace(rule.id, rules_.size());
        rules_.push_back(&rule);
    }

    // What each came to, in their order.
    std::vector<Judged> run() {
        judged_.resize(rules_.size());
        done_ = std::vector<std::atomic<bool>>(rules_.size());
        Bound bound(set_, facts_, standard_);
        find_known(bound);
        const auto whole = static_cast<std::size_t>(std::count_if(known_.begin(), known_.end(), [](const Known& k) { return k.verdict == nullptr; }));
        const std::size_t conductors = facts_.design == nullptr ? 0 : facts_.design->conductors.size();
        // A few rules are judged before another thread has started.
        std::future<void> other = base::beside(whole * few < rules_.size() ? 0 : conductors, [this] {
            if (next_ >= rules_.size()) return;  // the other one was quicker
            Bound own(set_, facts_, standard_);
            work(own);
        });
        work(bound);
        other.get();
        return std::move(judged_);
    }
    [[nodiscard]] const std::vector<const Rule*>& rules() const { return rules_; }
    [[nodiscard]] std::size_t number(const Rule& rule) const { return static_cast<std::size_t>(&rule - set_.rules.data()); }

private:
    // Whatever happens to a rule, nobody shall wait for it for ever.
    struct AtEnd {
        std::atomic<bool>& done;
        ~AtEnd() {
            done = true;
            done.notify_all();
        }
    };

    void work(Bound& bound) {
        for (std::size_t i = next_++; i < rules_.size(); i = next_++) {
            const AtEnd at_end{done_[i]};
            std::vector<const Spoken*> silent;
            for (const std::string& before : rules_[i]->after) {
                const auto at = place_.find(before);
                if (at == place_.end() || at->second >= i) continue;
                done_[at->second].wait(false);
                silent.push_back(&judged_[at->second].spoken);
            }
            judged_[i] = judge(*rules_[i], set_, bound, silent, acceptances_, negate_ == rules_[i]->id, known_[i]);
        }
    }

    void find_known(const Bound& bound) {
        known_.resize(rules_.size());
        if (remembered_ == nullptr || remembered_->verdicts.empty()) return;
        for (std::size_t i = 0; i < rules_.size(); ++i) {
            if (auto changed = touched(*rules_[i], bound, remembered_->since)) known_[i] = {&remembered_->verdicts[number(*rules_[i])], std::move(*changed)};
        }
    }

    static constexpr std::size_t few = 8;  // one rule in so many

    const RuleSet& set_;
    const facts::Facts& facts_;
    const tables::Standard& standard_;
    Acceptances& acceptances_;
    const std::string& negate_;
    const Remembered* remembered_;
    std::vector<const Rule*> rules_;
    std::unordered_map<std::string_view, std::size_t> place_;
    std::vector<Known> known_;  // of the run before, by rule
    std::vector<Judged> judged_;
    std::vector<std::atomic<bool>> done_;
    std::atomic<std::size_t> next_{0};
};

}  // namespace

findings::Report run(const RuleSet& set, const facts::Facts& facts,
                     const tables::Standard& standard, const Options& options, Remembered* remembered) {
    findings::Report report;
    if (!options.only.empty() || !options.negate.empty()) remembered = nullptr;
    Acceptances acceptances(set, facts.design, options.outside, options.today);
    const std::set<std::string> wanted =
        options.only.empty() ? std::set<std::string>() : with_those_before(set, options.only);
    Round round(set, facts, standard, acceptances, options.negate, remembered);
    for (const Rule& rule : set.rules) {
        if (!rule.found_by.empty() || !rule.applies_under(standard.id)) continue;
        if (options.only.empty() || wanted.count(rule.id) != 0) round.add(rule);
    }
    std::vector<Judged> judged = round.run();
    for (std::size_t i = 0; i < judged.size(); ++i) {
        if (!options.only.empty() && round.rules()[i]->id != options.only) continue;
        ++report.summary.rules;
        std::move(judged[i].findings.begin(), judged[i].findings.end(),
                  std::back_inserter(report.findings));
        std::move(judged[i].undecided.begin(), judged[i].undecided.end(),
                  std::back_inserter(report.undecided));
    }
    if (remembered != nullptr) {
        remembered->since = {};
        remembered->verdicts.assign(set.rules.size(), {});
        for (std::size_t i = 0; i < judged.size(); ++i) remembered->verdicts[round.number(*round.rules()[i])] = std::move(judged[i].verdict);
    }
    for (findings::Finding& f : acceptances.findings(options.only.empty())) {
        if (options.only.empty() || f.rule == options.only) report.findings.push_back(std::move(f));
    }
    report.outside_used = acceptances.outside_used();
    return report;
}

}  // namespace ferrule::rules
