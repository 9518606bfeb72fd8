#include "cli/groups.hpp"

#include <filesystem>
#include <map>

#include <fmt/format.h>

#include "render/report.hpp"

namespace ferrule::cli {

namespace {

// From the working folder where that is shorter: what version control, and a person, calls it.
std::string shown_path(const std::string& path) {
    if (path.empty()) return {};
    std::error_code error;
    const std::filesystem::path here = std::filesystem::current_path(error);
    const std::string relative = error ? path : std::filesystem::path(path).lexically_relative(here).string();
    return relative.empty() || relative.size() >= path.size() ? path : relative;
}

}  // namespace

project::CheckOptions Group::options(const Arguments& a) const {
    project::CheckOptions o;
    o.standard = a.standard;
    o.default_standard = settings.standard;
    o.rules.only = a.only;
    o.rules.today = base::calendar().today();
    o.rules.outside = settings.acceptances;
    return o;
}

std::deque<Group> group(const Arguments& a, text::Sources& sources, const base::FileSystem& files, const std::vector<text::FileId>& roots) {
    std::deque<Group> groups;
    std::map<std::string, std::size_t> by_path;
    for (const text::FileId root : roots) {
        const std::string& shown = sources[root].path();
        const std::string real = files.real_path(shown).value_or(std::filesystem::absolute(shown).lexically_normal().string());
        const std::string path = shown_path(project::settings_path(files, real));
        const auto [at, is_new] = by_path.emplace(path, groups.size());
        if (is_new) {
            groups.emplace_back();
            Group& g = groups.back();
            g.settings = project::read_settings(sources, files, path);
            if (!a.acceptances.empty()) project::read_acceptances(sources, files, a.acceptances, g.settings);
            project::KnowledgeOptions options;
            options.rule_folders = g.settings.rule_folders;
            options.rule_folders.insert(options.rule_folders.end(), a.rule_folders.begin(), a.rule_folders.end());
            options.shown_units = g.settings.units;
            g.knowledge = project::learn(sources, files, options);
            g.mistakes = g.settings.findings;
            const std::vector<findings::Finding> doubts = project::doubts(g.settings, g.knowledge);
            g.mistakes.insert(g.mistakes.end(), doubts.begin(), doubts.end());
            g.mistakes.insert(g.mistakes.end(), g.knowledge.findings.begin(), g.knowledge.findings.end());
        }
        groups[at->second].roots.push_back(root);
    }
    return groups;
}

std::string show_settings(const Group& g, const Arguments& a, const text::Sources& sources) {
    std::string out;
    const auto line = [&](std::string_view what, std::string_view value, std::string_view from) {
        out += fmt::format("{:<13} {:<28} {}\n", what, text::printable(value), text::printable(from));
    };
    const std::string from_file = g.settings.path.empty() ? "" : "from " + g.settings.path;
    for (const text::FileId root : g.roots) line("design", sources[root].path(), "");
    line("settings", g.settings.path.empty() ? "none" : g.settings.path, g.settings.path.empty() ? "no ferrule.toml from the design's folder upwards" : "nearest upwards from the design");
    if (!a.standard.empty()) line("standard", a.standard, "from --standard");
    else if (!g.settings.standard.empty()) line("standard", g.settings.standard, from_file + ", for designs whose site names none");
    else line("standard", "as the site says", "");
    for (const std::string& folder : g.settings.rule_folders) line("rules", folder, from_file);
    for (const std::string& folder : a.rule_folders) line("rules", folder, "from --rules");
    for (const std::string& path : g.settings.acceptance_paths) line("acceptances", path, path == a.acceptances ? "from --acceptances" : from_file);
    for (const auto& [rule, severity] : g.settings.severities) line("severity", fmt::format("{} {}", rule, findings::word(severity)), from_file);
    for (const auto& [dimension, unit] : g.settings.units) line("units", fmt::format("{} in {}", dimension, unit), from_file);
    return out;
}

}  // namespace ferrule::cli
