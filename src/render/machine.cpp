#include "render/machine.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <unordered_map>

#include <fmt/format.h>

#include "render/json.hpp"

namespace ferrule::render {

namespace {

using findings::Finding;
using findings::Severity;

constexpr std::size_t most_results = 25'000;  // more are refused by code scanning

std::string_view level(Severity s) { return s == Severity::error ? "error" : s == Severity::warning ? "warning" : "note"; }

// A path as version control has it: from the working folder, without a dot before it.
std::string plain_path(std::string_view path, const Checked& checked) {
    if (!checked.folder.empty() && path.starts_with(checked.folder) && path.substr(checked.folder.size()).starts_with('/')) path.remove_prefix(checked.folder.size() + 1);
    while (path.starts_with("./")) path.remove_prefix(2);
    return std::string(path);
}

std::string address_of(std::string_view path) {
    static constexpr char digits[] = "0123456789ABCDEF";
    std::string out = path.starts_with('/') ? "file://" : "";
    for (const char c : path) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || std::string_view("-._~/").find(c) != std::string_view::npos;
        if (plain) {
            out += c;
        } else {
            out += '%';
            out += digits[static_cast<unsigned char>(c) >> 4U];
            out += digits[static_cast<unsigned char>(c) & 15U];
        }
    }
    return out;
}

std::string address(std::string_view path, const Checked& checked) { return address_of(plain_path(path, checked)); }

// Where a finding without a place belongs.
std::string first_file(const Checked& checked) { return checked.files.empty() ? "ferrule.toml" : checked.files.front(); }

// 64 bits of FNV-1a, written out: short, the same everywhere.
std::string digest(std::string_view text) {
    std::uint64_t h = 14695981039346656037ULL;
    for (const char c : text) h = (h ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
    return fmt::format("{:016x}", h);
}

Json region(const text::Source& source, text::Span span) {
    const text::LineColumn from = source.at(span.begin), to = source.at(std::max(span.begin, span.end));
    return {{"startLine", from.line}, {"startColumn", from.column}, {"endLine", to.line}, {"endColumn", to.column}};
}

// What the results of one run share.
struct Run {
    const text::Sources& sources;
    const Checked& checked;
    bool compared = false;  // with a list of known findings
};

Json artifact(const Run& run, const std::string& path) { return {{"uri", address(path, run.checked)}}; }

Json location(const Run& run, text::Span span) {
    if (!span) return {{"physicalLocation", {{"artifactLocation", artifact(run, first_file(run.checked))}, {"region", {{"startLine", 1}}}}}};
    const text::Source& source = run.sources[span.file];
    return {{"physicalLocation", {{"artifactLocation", artifact(run, source.path())}, {"region", region(source, span)}}}};
}

Json sarif_fix(const Finding& f, const Run& run) {
    std::map<std::uint32_t, Json> by_file;
    for (const findings::Edit& e : f.edits) {
        const text::Source& source = run.sources[e.span.file];
        Json& change = by_file[e.span.file.value];
        if (change.is_null()) change = {{"artifactLocation", artifact(run, source.path())}, {"replacements", Json::array()}};
        change["replacements"].push_back({{"deletedRegion", region(source, e.span)}, {"insertedContent", {{"text", e.text}}}});
    }
    Json changes = Json::array();
    for (auto& [file, change] : by_file) changes.push_back(std::move(change));
    return {{"description", {{"text", f.remedy.empty() ? "as the finding proposes" : f.remedy}}}, {"artifactChanges", std::move(changes)}};
}

Json sarif_result(const Finding& f, const std::string& identity, std::uint32_t rule_index, const Run& run) {
    std::string message = f.message;
    if (f.count > 1) message += fmt::format(" (and {} more)", f.count - 1);
    if (!f.remedy.empty()) message += ". " + f.remedy;
    Json r = {{"ruleId", f.rule}};
    if (rule_index != 0xffffffffU) r["ruleIndex"] = rule_index;
    r["level"] = level(f.severity);
    r["message"] = {{"text", message}};
    r["locations"] = Json::array({location(run, f.span)});
    if (!f.subject.empty()) r["locations"][0]["logicalLocations"] = Json::array({{{"fullyQualifiedName", f.subject}, {"kind", "object"}}});
    if (!f.related.empty()) {
        r["relatedLocations"] = Json::array();
        for (const findings::Related& x : f.related) {
            if (!x.span || r["relatedLocations"].size() >= 100) continue;
            Json one = location(run, x.span);
            one["id"] = r["relatedLocations"].size() + 1;
            one["message"] = {{"text", x.message}};
            r["relatedLocations"].push_back(std::move(one));
        }
    }
    if (!f.working.empty()) {
        Json steps = Json::array();
        for (const std::string& step : f.working) {
            Json at = location(run, f.span);
            at["message"] = {{"text", step}};
            steps.push_back({{"location", std::move(at)}});
        }
        r["codeFlows"] = Json::array({{{"message", {{"text", "how the figures came about"}}}, {"threadFlows", Json::array({{{"locations", std::move(steps)}}})}}});
    }
    if (!f.edits.empty()) r["fixes"] = Json::array({sarif_fix(f, run)});
    r["partialFingerprints"] = {{"ruleAndComponent/v1", digest(identity)}};
    if (run.compared) r["baselineState"] = f.known ? "unchanged" : "new";
    if (f.accepted) {
        Json s = {{"kind", f.accepted->external ? "external" : "inSource"}, {"status", "accepted"}, {"justification", f.accepted->reason}};
        if (f.accepted->span) s["location"] = location(run, f.accepted->span);
        r["suppressions"] = Json::array({std::move(s)});
    } else {
        r["suppressions"] = Json::array();
    }
    Json more = Json::object();
    if (!f.assumed.empty()) more["assumed"] = f.assumed;
    if (!f.more.empty()) more["alsoAt"] = f.more;
    for (const findings::Citation& c : f.sources) more["sources"].push_back(cited(c));
    if (f.count > 1) r["occurrenceCount"] = f.count;
    if (!more.empty()) r["properties"] = std::move(more);
    return r;
}

bool of_settings(const Finding& f) { return f.rule.starts_with("settings."); }

std::string cited_list(const std::vector<findings::Citation>& sources) {
    std::string all;
    for (const findings::Citation& c : sources) all += (all.empty() ? "" : "; ") + cited(c);
    return all;
}

Json sarif_rule(const RuleText& r, const About& about) {
    const std::string by = cited_list(r.sources);
    std::string name;
    bool up = true;
    for (const char c : r.id) {  // dc-rating.breaking-voltage -> DcRatingBreakingVoltage
        if (c == '.' || c == '-') {
            up = true;
        } else {
            name += up && c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
            up = false;
        }
    }
    Json tags = Json::array({"electrical", r.id.substr(0, r.id.find('.'))});
    if (r.life_safety) tags.push_back("life-safety");
    Json rule = {{"id", r.id},
                 {"name", name},
                 {"shortDescription", {{"text", r.title + "."}}},
                 {"fullDescription", {{"text", r.why.empty() ? r.title + "." : r.why}}},
                 {"help", {{"text", fmt::format("{}\n\n{}{}", r.title, r.why, by.empty() ? "" : "\n\n" + by)},
                           {"markdown", fmt::format("**{}**\n\n{}{}", r.title, r.why, by.empty() ? "" : "\n\n*" + by + "*")}}},
                 {"defaultConfiguration", {{"level", level(r.severity)}}},
                 {"properties", {{"tags", std::move(tags)}, {"precision", "high"},
                                 {"problem.severity", r.severity == Severity::error ? "error" : r.severity == Severity::warning ? "warning" : "recommendation"}}}};
    if (!about.rule_pages.empty()) rule["helpUri"] = address_of(about.rule_pages + "/" + r.id + ".md");
    return rule;
}

constexpr std::string_view replacement = "\xEF\xBF\xBD";

// The bytes of the character at a place, at least one, and what it is; not good if they are no UTF-8.
struct Character {
    std::uint32_t point = 0;
    std::size_t size = 1;
    bool good = false;
};
Character character(std::string_view s, std::size_t at) {
    const auto c = static_cast<unsigned char>(s[at]);
    if (c < 0x80U) return {c, 1, true};
    const std::size_t n = c >= 0xF0U && c < 0xF5U ? 4 : c >= 0xE0U && c < 0xF0U ? 3 : c >= 0xC2U && c < 0xE0U ? 2 : 0;
    if (n == 0 || at + n > s.size()) return {};
    std::uint32_t point = c & (0xFFU >> (n + 1));
    for (std::size_t k = 1; k < n; ++k) {
        const auto next = static_cast<unsigned char>(s[at + k]);
        if ((next & 0xC0U) != 0x80U) return {};
        point = point << 6U | (next & 0x3FU);
    }
    static constexpr std::array<std::uint32_t, 5> least = {0, 0, 0x80, 0x800, 0x10000};
    if (point < least[n] || point > 0x10FFFF || (point >= 0xD800 && point <= 0xDFFF)) return {};
    return {point, n, true};
}

// Controls but line breaks and tabs, and what is no character.
bool unfit(const Character& c) {
    return !c.good || (c.point < 0x20U && c.point != '\n' && c.point != '\r' && c.point != '\t') || (c.point >= 0x7FU && c.point < 0xA0U) || c.point == 0xFFFE || c.point == 0xFFFF;
}

// XML 1.0 forbids most control characters even when they are escaped.
std::string xml(std::string_view s) {
    std::string out;
    for (std::size_t i = 0; i < s.size();) {
        const Character c = character(s, i);
        if (unfit(c)) out += replacement;
        else if (c.point == '&') out += "&amp;";
        else if (c.point == '<') out += "&lt;";
        else if (c.point == '>') out += "&gt;";
        else if (c.point == '"') out += "&quot;";
        else if (c.point < 0x20U) out += fmt::format("&#{};", c.point);
        else out += s.substr(i, c.size);
        i += c.size;
    }
    return out;
}

std::string command_text(std::string_view s, bool property) {
    std::string out;
    for (std::size_t i = 0; i < s.size();) {
        const Character c = character(s, i);
        if (unfit(c)) out += replacement;
        else if (c.point == '%') out += "%25";
        else if (c.point == '\r') out += "%0D";
        else if (c.point == '\n') out += "%0A";
        else if (property && c.point == ':') out += "%3A";
        else if (property && c.point == ',') out += "%2C";
        else out += s.substr(i, c.size);
        i += c.size;
    }
    return out;
}

}  // namespace

std::vector<std::string> identities(const findings::Report& report, const text::Sources& sources, const Checked& checked) {
    std::unordered_map<std::string, std::uint32_t> met;
    std::vector<std::string> all;
    all.reserve(report.findings.size());
    for (const Finding& f : report.findings) {
        std::string id = fmt::format("{} {} {}", f.rule, f.span ? plain_path(sources[f.span.file].path(), checked) : "", f.subject);
        const std::uint32_t n = ++met[id];
        if (n > 1) id += fmt::format(" #{}", n);
        all.push_back(std::move(id));
    }
    return all;
}

std::string as_sarif(const findings::Report& report, const text::Sources& sources, const Checked& checked, const About& about) {
    std::unordered_map<std::string, std::uint32_t> index;
    const Run run{sources, checked, report.summary.known != 0};
    std::string out = "{\n\"$schema\": \"https://json.schemastore.org/sarif-2.1.0.json\",\n\"version\": \"2.1.0\",\n\"runs\": [{\n";
    out += "\"tool\": {\"driver\": {\"name\": \"ferrule\", \"semanticVersion\": " + dumped(about.version) + ", \"rules\": [";
    for (const RuleText& r : about.rules) {
        out += (index.empty() ? "\n" : ",\n") + dumped(sarif_rule(r, about));
        index.emplace(r.id, static_cast<std::uint32_t>(index.size()));
    }
    out += "]}},\n\"columnKind\": \"unicodeCodePoints\",\n";
    // The worst first, so that what is cut is what matters least.
    std::vector<std::uint32_t> order(report.findings.size());
    for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
    const bool cut = order.size() + report.undecided.size() > most_results;
    if (cut) {
        std::stable_sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) { return report.findings[a].severity < report.findings[b].severity; });
    }
    Json invocation = {{"executionSuccessful", about.exit_status != 2}, {"exitCode", about.exit_status}};
    Json settings = Json::array();  // what keeps it from working is no fault of a design
    for (const Finding& f : report.findings) {
        if (!of_settings(f)) continue;
        Json one = {{"level", "error"}, {"message", {{"text", f.message}}}, {"descriptor", {{"id", f.rule}}}};
        if (f.span) one["locations"] = Json::array({location(run, f.span)});
        settings.push_back(std::move(one));
    }
    if (!settings.empty()) invocation["toolConfigurationNotifications"] = std::move(settings);
    if (cut) {
        invocation["toolExecutionNotifications"] = Json::array(
            {{{"level", "warning"}, {"message", {{"text", fmt::format("{} findings and {} undecided in all; {} are listed, the errors first", order.size(), report.undecided.size(), most_results)}}}}});
    }
    out += "\"invocations\": [" + dumped(invocation) + "],\n\"artifacts\": [";
    for (std::size_t i = 0; i < checked.files.size(); ++i) {
        out += (i == 0 ? "\n" : ",\n") + dumped({{"location", {{"uri", address(checked.files[i], checked)}}}, {"sourceLanguage", "ferrule"}});
    }
    out += "],\n\"results\": [";
    const std::vector<std::string> ids = identities(report, sources, checked);
    std::size_t listed = 0;
    const auto add = [&](const Json& result) { out += (listed++ == 0 ? "\n" : ",\n") + dumped(result); };
    for (const std::uint32_t i : order) {
        if (listed >= most_results) break;
        const Finding& f = report.findings[i];
        if (of_settings(f)) continue;
        const auto at = index.find(f.rule);
        add(sarif_result(f, ids[i], at == index.end() ? 0xffffffffU : at->second, run));
    }
    std::unordered_map<std::string, std::uint32_t> open_met;
    for (const findings::Undecided& u : report.undecided) {
        if (listed >= most_results) break;
        std::string id = fmt::format("open {} {} {}", u.rule, u.span ? plain_path(sources[u.span.file].path(), checked) : "", u.subject);
        if (const std::uint32_t n = ++open_met[id]; n > 1) id += fmt::format(" #{}", n);
        Json r = {{"ruleId", u.rule}, {"kind", "open"}, {"level", "none"}, {"message", {{"text", fmt::format("cannot judge {} without {}", u.subject, u.missing)}}}, {"locations", Json::array({location(run, u.span)})}};
        if (const auto at = index.find(u.rule); at != index.end()) r["ruleIndex"] = at->second;
        r["suppressions"] = Json::array();
        if (run.compared) r["baselineState"] = "new";
        r["partialFingerprints"] = {{"ruleAndComponent/v1", digest(id)}};
        add(r);
    }
    return out + "]\n}]\n}\n";
}

std::string as_junit(const findings::Report& report, const text::Sources& sources, const Checked& checked) {
    struct Suite {
        std::string cases;
        std::size_t tests = 0, failures = 0, skipped = 0;
    };
    std::map<std::string, Suite> suites;
    for (const std::string& file : checked.files) suites[plain_path(file, checked)];
    const auto suite_of = [&](text::Span span) -> Suite& { return suites[plain_path(span ? sources[span.file].path() : first_file(checked), checked)]; };
    // A case is called by rule and component, with a number from the second on, so that it is the same case when lines move.
    std::unordered_map<std::string, std::uint32_t> met;
    const auto open_case = [&](Suite& s, const std::string& rule, const std::string& subject, text::Span span) {
        std::string name = subject.empty() ? "design" : subject;
        if (const std::uint32_t n = ++met[fmt::format("{} {} {}", rule, name, span ? span.file.value : 0)]; n > 1) name += fmt::format(" #{}", n);
        s.cases += fmt::format("    <testcase classname=\"{}\" name=\"{}\"", xml(rule), xml(name));
        if (span) s.cases += fmt::format(" file=\"{}\" line=\"{}\"", xml(plain_path(sources[span.file].path(), checked)), sources[span.file].at(span.begin).line);
        s.cases += '>';
        ++s.tests;
    };
    for (const Finding& f : report.findings) {
        Suite& s = suite_of(f.span);
        open_case(s, f.rule, f.subject, f.span);
        std::string body = place(sources, f.span) + ": " + std::string(findings::word(f.severity)) + ": " + f.message;
        for (const std::string& step : f.working) body += "\n" + step;
        if (!f.sources.empty()) body += "\nby " + cited_list(f.sources);
        if (!f.remedy.empty()) body += "\n" + f.remedy;
        if (f.accepted) {
            ++s.skipped;
            s.cases += fmt::format("<skipped message=\"accepted: {}\"/>", xml(f.accepted->reason));
        } else if (f.known) {
            ++s.skipped;
            s.cases += "<skipped message=\"known before\"/>";
        } else if (f.severity == Severity::note) {
            s.cases += fmt::format("<system-out>{}</system-out>", xml(body));
        } else {
            ++s.failures;
            s.cases += fmt::format("<failure type=\"{}\" message=\"{}\">{}</failure>", findings::word(f.severity), xml(f.message), xml(body));
        }
        s.cases += "</testcase>\n";
    }
    for (const findings::Undecided& u : report.undecided) {
        Suite& s = suite_of(u.span);
        open_case(s, u.rule, u.subject, u.span);
        ++s.skipped;
        s.cases += fmt::format("<skipped message=\"cannot judge without {}\"/></testcase>\n", xml(u.missing));
    }
    std::size_t tests = 0, failures = 0, skipped = 0;
    std::string body;
    for (auto& [file, s] : suites) {
        if (s.tests == 0) {
            s.cases = "    <testcase classname=\"ferrule\" name=\"nothing found\"/>\n";
            s.tests = 1;
        }
        body += fmt::format("  <testsuite name=\"{}\" tests=\"{}\" failures=\"{}\" errors=\"0\" skipped=\"{}\">\n{}  </testsuite>\n", xml(file), s.tests, s.failures, s.skipped, s.cases);
        tests += s.tests;
        failures += s.failures;
        skipped += s.skipped;
    }
    return fmt::format("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"ferrule\" tests=\"{}\" failures=\"{}\" errors=\"0\" skipped=\"{}\">\n{}</testsuites>\n", tests, failures, skipped, body);
}

std::string as_github(const findings::Report& report, const text::Sources& sources, const Checked& checked) {
    std::string out;
    for (const Finding& f : report.findings) {
        if (f.accepted || f.known) continue;
        out += fmt::format("::{} ", f.severity == Severity::note ? "notice" : level(f.severity));
        if (f.span) {
            const text::Source& source = sources[f.span.file];
            const text::LineColumn from = source.at(f.span.begin), to = source.at(f.span.end);
            out += fmt::format("file={},line={},endLine={},", command_text(plain_path(source.path(), checked), true), from.line, to.line);
            if (from.line == to.line) out += fmt::format("col={},endColumn={},", from.column, to.column);
        }
        std::string message = f.message;
        for (const std::string& step : f.working) message += "\n" + step;
        if (!f.sources.empty()) message += "\nby " + cited_list(f.sources);
        if (!f.remedy.empty()) message += "\n" + f.remedy;
        out += fmt::format("title={}::{}\n", command_text(f.rule, true), command_text(message, false));
    }
    const findings::Summary& s = report.summary;
    return out + fmt::format("::notice title=ferrule::{} errors, {} warnings, {} notes, {} accepted, {} known, {} undecided\n", s.errors, s.warnings, s.notes, s.accepted, s.known, s.undecided);
}

std::string as_gitlab(const findings::Report& report, const text::Sources& sources, const Checked& checked) {
    const std::vector<std::string> ids = identities(report, sources, checked);
    std::string out = "[";
    bool first = true;
    for (std::size_t i = 0; i < report.findings.size(); ++i) {
        const Finding& f = report.findings[i];
        if (f.accepted) continue;
        std::string message = f.message;
        if (!f.remedy.empty()) message += ". " + f.remedy;
        const std::string path = plain_path(f.span ? sources[f.span.file].path() : first_file(checked), checked);
        Json one = {{"description", message}, {"check_name", f.rule}, {"fingerprint", digest(ids[i])},
                    {"severity", f.severity == Severity::error ? "critical" : f.severity == Severity::warning ? "minor" : "info"},
                    {"location", {{"path", path}, {"lines", {{"begin", f.span ? sources[f.span.file].at(f.span.begin).line : 1}, {"end", f.span ? sources[f.span.file].at(f.span.end).line : 1}}}}}};
        out += (first ? "\n" : ",\n") + dumped(one);
        first = false;
    }
    return out + (first ? "]\n" : "\n]\n");
}

}  // namespace ferrule::render
