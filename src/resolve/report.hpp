// Collects the findings of resolving. The same rule at the same place is reported once, however
// often an array, a repeat or an assembly passes there: one mistake, one finding. Past
// limits::findings_shown_per_rule those of a rule are counted, not listed.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <unordered_set>
#include <utility>
#include <vector>

#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::resolve {

[[nodiscard]] findings::Finding error(std::string_view rule, text::Span span, std::string message);
[[nodiscard]] findings::Finding warning(std::string_view rule, text::Span span,
                                        std::string message);

class Report {
public:
    void add(findings::Finding finding);
    void error(std::string_view rule, text::Span span, std::string message,
               std::string remedy = {});
    // With one other place that explains it, if that is known.
    void error(std::string_view rule, text::Span span, std::string message, text::Span other,
               std::string why);

    // Spares whoever passes a place a million times the making of the same message.
    [[nodiscard]] bool said(std::string_view rule, text::Span span) const {
        return said_.contains(key(rule, span));
    }

    // Will another finding of this rule be listed? Else it is only counted, and nobody reads its words.
    [[nodiscard]] bool lists(std::string_view rule) const;

    [[nodiscard]] std::vector<findings::Finding> take();

private:
    struct Tally {
        std::size_t listed = 0, unlisted = 0;
        findings::Severity severity = findings::Severity::note;  // the gravest of those not listed
        text::Span first_unlisted;
    };
    static std::uint64_t key(std::string_view rule, text::Span span);

    std::vector<findings::Finding> findings_;
    std::unordered_set<std::uint64_t> said_;  // rule and place
    std::map<std::string, Tally> tallies_;    // by rule
};

// "1, 2, 3 and 4"; "one of" is the caller's. Past `most` words: "1, 2, 3 and 5 more".
[[nodiscard]] std::string list(const std::vector<std::string_view>& words,
                               std::string_view last = "and", std::size_t most = 12);

// Whatever a person wrote, short enough and safe to quote in a message.
[[nodiscard]] std::string quoted(std::string_view text);

// "a voltage", "an area"
[[nodiscard]] std::string with_article(std::string_view noun);

}  // namespace ferrule::resolve
