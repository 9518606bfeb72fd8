#include "project/known.hpp"

#include <filesystem>
#include <map>
#include <set>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "tables/entry.hpp"
#include "tables/toml.hpp"

namespace ferrule::project {

namespace {

using Key = std::tuple<std::string, std::string, std::string>;  // file, rule, component

// What a file is called from the folder of the list.
class Names {
public:
    Names(const text::Sources& sources, const base::FileSystem& files, const std::string& list) : sources_(sources), files_(files) {
        const std::size_t slash = list.rfind('/');
        folder_ = files.real_path(slash == std::string::npos ? "." : list.substr(0, slash + 1)).value_or("");
    }
    Key key(const findings::Finding& f) {
        if (!f.span) return {"", f.rule, f.subject};
        const auto [at, is_new] = names_.emplace(f.span.file.value, "");
        if (is_new) at->second = name(f.span.file);
        return {at->second, f.rule, f.subject};
    }
    [[nodiscard]] std::string name(text::FileId file) const {
        const std::string& shown = sources_[file].path();
        const auto real = files_.real_path(shown);
        return real ? std::filesystem::path(*real).lexically_relative(folder_).string() : shown;
    }
    // Is there such a file still? Those on the list are called from its folder.
    [[nodiscard]] bool exists(const std::string& name) const { return files_.real_path(folder_ + "/" + name).has_value(); }

private:
    const text::Sources& sources_;
    const base::FileSystem& files_;
    std::string folder_;
    std::map<std::uint32_t, std::string> names_;
};

std::string toml_text(std::string_view s) {
    std::string out = "\"";
    for (const char c : s) {
        if (c == '"' || c == '\\') out += '\\';
        if (static_cast<unsigned char>(c) < 0x20U || c == 0x7f) out += fmt::format("\\u{:04X}", static_cast<unsigned char>(c));
        else out += c;
    }
    return out + '"';
}

}  // namespace

std::string known_list(const findings::Report& report, const text::Sources& sources, const base::FileSystem& files, const std::string& path) {
    Names names(sources, files, path);
    std::map<Key, std::uint32_t> counts;
    for (const findings::Finding& f : report.findings) {
        if (!f.accepted) counts[names.key(f)] += f.count;
    }
    std::string out = "# Findings that are known. `ferrule check --known` fails only on others; it is written by `--write-known`.\nversion = 1\n";
    for (const auto& [key, count] : counts) {
        const auto& [file, rule, on] = key;
        out += fmt::format("\n[[known]]\nfile  = {}\nrule  = {}\non    = {}\ncount = {}\n", toml_text(file), toml_text(rule), toml_text(on), count);
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
    tables::TomlFile file = tables::read_toml(sources, sources.add(path, std::move(read.bytes)));
    std::map<Key, double> left;
    tables::Entry whole(file.root, "the list", file.findings);
    if (whole.whole("version") != 1) whole.complain("version", "it does not say `version = 1`");
    if (const tables::Value* list = whole.value("known")) {
        if (list->kind != tables::Value::Kind::list) whole.complain("known", "known findings are written [[known]], one for each");
        for (const tables::Value& item : list->items) {
            tables::Entry one(item, "this known finding", file.findings);
            Key key{one.text("file"), one.needed_text("rule"), one.text("on")};
            left[std::move(key)] += one.number("count").value_or(1);
            one.finish();
        }
    }
    whole.finish();
    if (!file.findings.empty()) {
        const findings::Finding& first = file.findings.front();
        const std::string line = first.span ? fmt::format(":{}", sources[first.span.file].at(first.span.begin).line) : "";
        result.trouble = fmt::format("{}{}: {}; this is no list of known findings that can be used", path, line, first.message);
        return result;
    }
    Names names(sources, files, path);
    for (findings::Finding& f : report.findings) {
        if (f.accepted) continue;
        const auto at = left.find(names.key(f));
        if (at == left.end() || at->second < f.count) continue;  // more than were known are new
        at->second -= f.count;
        f.known = true;
    }
    std::set<std::string> read_ones;
    for (std::uint32_t i = 0; i < sources.size(); ++i) read_ones.insert(names.name(text::FileId(i)));
    for (const auto& [key, count] : left) {
        if (count <= 0) continue;
        const std::string& of = std::get<0>(key);
        const bool looked_at = of.empty() || read_ones.contains(of) || !names.exists(of);
        ++(looked_at ? result.gone : result.unseen);
    }
    findings::count(report);
    return result;
}

}  // namespace ferrule::project
