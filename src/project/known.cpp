#include "project/known.hpp"

#include <map>
#include <utility>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "tables/toml.hpp"

namespace ferrule::project {

namespace {

using Key = std::pair<std::string, std::string>;  // rule, component

std::string quoted(std::string_view s) {
    std::string out = "\"";
    for (const char c : s) {
        if (c == '"' || c == '\\') out += '\\';
        if (static_cast<unsigned char>(c) < 0x20U || c == 0x7f) out += fmt::format("\\u{:04X}", static_cast<unsigned char>(c));
        else out += c;
    }
    return out + '"';
}

}  // namespace

std::string known_list(const findings::Report& report) {
    std::map<Key, std::uint32_t> counts;
    for (const findings::Finding& f : report.findings) {
        if (!f.accepted) counts[{f.rule, f.subject}] += f.count;
    }
    std::string out = "# Findings that are known. `ferrule check --known` fails only on others; it is written by `--write-known`.\nversion = 1\n";
    for (const auto& [key, count] : counts) {
        out += fmt::format("\n[[known]]\nrule  = {}\non    = {}\ncount = {}\n", quoted(key.first), quoted(key.second), count);
    }
    return out;
}

KnownResult mark_known(findings::Report& report, text::Sources& sources, const base::FileSystem& files, const std::string& path) {
    KnownResult result;
    base::ReadResult read = files.read(path, base::limits::file_bytes);
    if (read.status != base::ReadResult::Status::ok) {
        result.trouble = fmt::format("{} cannot be read; `--write-known {}` writes it", path, path);
        return result;
    }
    const tables::TomlFile file = tables::read_toml(sources, sources.add(path, std::move(read.bytes)));
    const tables::Value* version = file.root.find("version");
    if (!file.findings.empty() || version == nullptr || version->number != 1) {
        result.trouble = fmt::format("{} is no list of known findings: {}", path, file.findings.empty() ? "it does not say `version = 1`" : file.findings.front().message);
        return result;
    }
    std::map<Key, double> left;
    if (const tables::Value* list = file.root.find("known")) {
        for (const tables::Value& item : list->items) {
            const tables::Value* count = item.find("count");
            left[{std::string(item.string("rule")), std::string(item.string("on"))}] += count == nullptr ? 1 : count->number;
        }
    }
    for (findings::Finding& f : report.findings) {
        if (f.accepted) continue;
        const auto at = left.find({f.rule, f.subject});
        if (at == left.end() || at->second < f.count) continue;  // more than were known are new
        at->second -= f.count;
        f.known = true;
    }
    for (const auto& [key, count] : left) result.gone += count > 0 ? 1 : 0;
    findings::count(report);
    return result;
}

}  // namespace ferrule::project
