#include "resolve/report.hpp"

#include <algorithm>
#include <functional>

#include <fmt/format.h>

#include "base/limits.hpp"

namespace ferrule::resolve {

findings::Finding error(std::string_view rule, text::Span span, std::string message) {
    findings::Finding f;
    f.rule = rule;
    f.span = span;
    f.message = std::move(message);
    return f;
}

findings::Finding warning(std::string_view rule, text::Span span, std::string message) {
    findings::Finding f = error(rule, span, std::move(message));
    f.severity = findings::Severity::warning;
    return f;
}

std::uint64_t Report::key(std::string_view rule, text::Span span) {
    std::uint64_t k = std::hash<std::string_view>()(rule);
    for (const std::uint32_t part : {span.file.value, span.begin, span.end})
        k = (k ^ part) * 0x9E3779B97F4A7C15ULL + (k >> 29U);
    return k;
}

void Report::add(findings::Finding finding) {
    if (!said_.insert(key(finding.rule, finding.span)).second) return;
    Tally& tally = tallies_[finding.rule];
    if (tally.listed < base::limits::findings_shown_per_rule) {
        ++tally.listed;
        findings_.push_back(std::move(finding));
        return;
    }
    if (tally.unlisted++ == 0) tally.first_unlisted = finding.span;
    tally.severity = std::min(tally.severity, finding.severity);
}

bool Report::lists(std::string_view rule) const {
    const auto at = tallies_.find(std::string(rule));
    return at == tallies_.end() || at->second.listed < base::limits::findings_shown_per_rule;
}

std::vector<findings::Finding> Report::take() {
    for (const auto& [rule, tally] : tallies_) {
        if (tally.unlisted == 0) continue;
        findings::Finding f = resolve::error(
            rule, tally.first_unlisted,
            fmt::format("{} more of this kind from here on are not listed", tally.unlisted));
        f.severity = tally.severity;
        f.remedy = "put the first ones right; often the others go with them";
        findings_.push_back(std::move(f));
    }
    return std::move(findings_);
}

void Report::error(std::string_view rule, text::Span span, std::string message,
                   std::string remedy) {
    findings::Finding f = resolve::error(rule, span, std::move(message));
    f.remedy = std::move(remedy);
    add(std::move(f));
}

void Report::error(std::string_view rule, text::Span span, std::string message, text::Span other,
                   std::string why) {
    findings::Finding f = resolve::error(rule, span, std::move(message));
    if (other) f.related.push_back({other, std::move(why)});
    add(std::move(f));
}

std::string list(const std::vector<std::string_view>& words, std::string_view last,
                 std::size_t most) {
    std::string text;
    const std::size_t shown = words.size() > most + 1 ? most : words.size();
    for (std::size_t i = 0; i < shown; ++i) {
        if (i != 0) text += i + 1 == words.size() ? fmt::format(" {} ", last) : ", ";
        text += words[i];
    }
    if (shown < words.size()) text += fmt::format(" {} {} more", last, words.size() - shown);
    return text;
}

std::string quoted(std::string_view text) {
    std::size_t most = 60;
    if (text.size() <= most) return text::printable(text);
    while (most > 0 && (static_cast<unsigned char>(text[most]) & 0xC0U) == 0x80U)
        --most;  // no half letters
    return text::printable(text.substr(0, most)) + "…";
}

std::string with_article(std::string_view noun) {
    const bool vowel =
        !noun.empty() && std::string_view("aeiou").find(noun[0]) != std::string_view::npos;
    return fmt::format("{} {}", vowel ? "an" : "a", noun);
}

}  // namespace ferrule::resolve
