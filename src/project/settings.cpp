#include "project/settings.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "base/nearest.hpp"
#include "project/loader.hpp"
#include "tables/entry.hpp"
#include "tables/toml.hpp"

namespace ferrule::project {

namespace {

using findings::Finding;
using findings::Severity;

constexpr std::string_view rule_name = "settings.project";

std::string below(const std::string& folder, const std::string& path) {
    if (path.starts_with('/') || folder == ".") return path;
    return folder + (folder.ends_with('/') ? "" : "/") + path;
}

Finding mistake(text::Span where, std::string message, std::string remedy = {}) {
    Finding f;
    f.rule = rule_name;
    f.span = where;
    f.message = std::move(message);
    f.remedy = std::move(remedy);
    return f;
}

// An unknown key gets the nearest known one.
void name_slips(const tables::Value& table, std::initializer_list<std::string_view> keys, std::vector<Finding>& into) {
    const std::vector<std::string_view> known(keys);
    for (const tables::Member& m : table.entries) {
        if (std::find(known.begin(), known.end(), m.key) != known.end()) continue;
        const std::string_view near = base::nearest(m.key, known);
        into.push_back(mistake(m.value.key_span, fmt::format("`{}` is no setting{}", m.key, near.empty() ? "" : fmt::format("; there is `{}`", near))));
    }
}

std::optional<Severity> severity(std::string_view word) {
    if (word == "error") return Severity::error;
    if (word == "warning") return Severity::warning;
    if (word == "note") return Severity::note;
    return std::nullopt;
}

// What to write instead of a dimension that there is not.
std::string dimension_meant(const units::Units& units, std::string_view wrong) {
    std::vector<std::string_view> names;
    std::string all;
    for (const units::DimensionName& d : units.dimensions()) {
        names.emplace_back(d.name);
        all += (all.empty() ? "" : ", ") + d.name;
    }
    const std::string_view near = base::nearest(wrong, names);
    return near.empty() ? "there are " + all : fmt::format("write `{}` if that is meant", near);
}

// The file as read; its findings are mistakes. Nothing if it cannot be read at all.
std::optional<tables::Value> open_toml(text::Sources& sources, const base::FileSystem& files, const std::string& path, text::Span asked_at, std::vector<Finding>& findings) {
    base::ReadResult read = files.read(path, base::limits::file_bytes);
    if (read.status != base::ReadResult::Status::ok) {
        findings.push_back(mistake(asked_at, fmt::format("{} {}", path, files.is_directory(path) ? "is a folder, not a file" : "cannot be read")));
        return std::nullopt;
    }
    tables::TomlFile file = tables::read_toml(sources, sources.add(path, std::move(read.bytes)));
    std::move(file.findings.begin(), file.findings.end(), std::back_inserter(findings));
    return std::move(file.root);
}

}  // namespace

std::string settings_path(const base::FileSystem& files, const std::string& real_path) {
    std::string folder = files.is_directory(real_path) ? real_path : folder_of(real_path);
    for (;;) {
        const std::string candidate = below(folder, std::string(settings_name));
        if (files.real_path(candidate)) return candidate;  // also a folder: that it is none is told
        if (folder == "/" || folder == "." || folder.empty()) return {};
        folder = folder_of(folder);
    }
}

Settings read_settings(text::Sources& sources, const base::FileSystem& files, const std::string& path) {
    Settings s;
    if (path.empty()) return s;
    s.path = path;
    const auto root = open_toml(sources, files, path, {}, s.findings);
    if (!root) return s;
    name_slips(*root, {"standard", "rules", "acceptances", "severity", "units"}, s.findings);
    std::vector<Finding> odd;  // unknown keys are told above, with what was meant
    tables::Entry e(*root, "the settings", odd);
    s.standard = e.text("standard");
    if (const tables::Value* at = root->find("standard")) s.standard_place = at->span;
    const tables::Value* rules_at = root->find("rules");
    const std::vector<std::string> named = e.words("rules");
    for (std::size_t i = 0; i < named.size(); ++i) {
        const std::string folder = below(folder_of(path), named[i]);
        if (files.is_directory(folder)) {
            s.rule_folders.push_back(folder);
            continue;
        }
        const bool listed = rules_at != nullptr && i < rules_at->items.size();
        s.findings.push_back(mistake(listed ? rules_at->items[i].span : rules_at != nullptr ? rules_at->span : text::Span(), fmt::format("there is no folder {}", folder),
                                     "`rules` names folders of rule files, from the folder of these settings"));
    }
    const std::string acceptances = e.text("acceptances");
    if (const tables::Value* table = e.table("severity")) {
        for (const tables::Member& m : table->entries) {
            const auto given = severity(m.value.kind == tables::Value::Kind::text ? std::string_view(m.value.text) : std::string_view());
            if (!given) {
                s.findings.push_back(mistake(m.value.span, fmt::format("a severity is error, warning or note"), "a rule is never switched off: accept what it finds, with the reason"));
                continue;
            }
            s.severities.emplace_back(m.key, *given);
            s.severity_places.push_back(m.value.key_span);
        }
    }
    if (const tables::Value* table = e.table("units")) {
        for (const tables::Member& m : table->entries) {
            if (m.value.kind == tables::Value::Kind::text) {
                s.units.emplace_back(m.key, m.value.text);
                s.unit_places.push_back(m.value.span);
                continue;
            }
            s.findings.push_back(mistake(m.value.span, "a unit is a word between quotes"));
        }
    }
    for (Finding& f : odd) {
        f.rule = rule_name;
        s.findings.push_back(std::move(f));
    }
    if (!acceptances.empty()) {
        const std::size_t before = s.findings.size();
        read_acceptances(sources, files, below(folder_of(path), acceptances), s);
        const tables::Value* at = root->find("acceptances");
        for (std::size_t i = before; i < s.findings.size(); ++i) {
            if (!s.findings[i].span && at != nullptr) s.findings[i].span = at->span;
        }
    }
    return s;
}

void read_acceptances(text::Sources& sources, const base::FileSystem& files, const std::string& path, Settings& into) {
    into.acceptance_paths.push_back(path);
    const auto root = open_toml(sources, files, path, {}, into.findings);
    if (!root) return;
    name_slips(*root, {"accept"}, into.findings);
    const tables::Value* list = root->find("accept");
    if (list == nullptr) return;
    if (list->kind != tables::Value::Kind::list) {
        into.findings.push_back(mistake(list->span, "acceptances are written [[accept]], one for each"));
        return;
    }
    for (const tables::Value& item : list->items) {
        if (item.kind != tables::Value::Kind::table) continue;
        name_slips(item, {"rule", "on", "because", "until", "by"}, into.findings);
        std::vector<Finding> odd;
        tables::Entry e(item, "this acceptance", odd);
        rules::OutsideAcceptance a;
        a.rule = e.needed_text("rule");
        a.on = e.text("on");
        a.acceptance = {e.text("because"), e.text("by"), e.text("until"), item.span, true};
        if (const tables::Value* rule = item.find("rule")) a.acceptance.span = rule->span;
        for (Finding& f : odd) {
            f.rule = rule_name;
            into.findings.push_back(std::move(f));
        }
        if (!a.rule.empty()) into.acceptances.push_back(std::move(a));
    }
}

std::vector<Finding> doubts(const Settings& s, const Knowledge& k) {
    std::vector<Finding> found;
    if (!s.standard.empty() && k.standard(s.standard) == nullptr) {
        found.push_back(mistake(s.standard_place, fmt::format("there is no standard {}", s.standard), fmt::format("there are {}", k.standard_ids())));
    }
    for (std::size_t i = 0; i < s.severities.size(); ++i) {
        const auto& [id, given] = s.severities[i];
        const rules::Rule* rule = k.rules.find(id);
        if (rule == nullptr) {
            const std::string near = k.rules.nearest(id);
            found.push_back(mistake(s.severity_places[i], fmt::format("there is no rule {}{}", id, near.empty() ? "" : "; the nearest is " + near)));
        } else if (rule->life_safety && given != Severity::error && rule->severity == Severity::error) {
            found.push_back(mistake(s.severity_places[i], fmt::format("{} is a matter of life and limb and stays an error", id), "accept a single finding of it, with reason, name and date"));
        }
    }
    units::Units units = k.units;
    for (std::size_t i = 0; i < s.units.size(); ++i) {
        const auto& [dimension, unit] = s.units[i];
        if (units.dimension(dimension) == nullptr) {
            found.push_back(mistake(s.unit_places[i], fmt::format("`{}` is no dimension that values have", dimension), dimension_meant(units, dimension)));
        } else if (!units.show_in(dimension, units.find(unit))) {
            found.push_back(mistake(s.unit_places[i], fmt::format("`{}` is no unit of {}", unit, dimension), fmt::format("`ferrule explain {}` lists its units", dimension)));
        }
    }
    return found;
}

void apply_severities(findings::Report& report, const Settings& s) {
    if (s.severities.empty()) return;
    for (Finding& f : report.findings) {
        for (const auto& [id, given] : s.severities) {
            if (f.rule == id) f.severity = given;
        }
    }
}

std::vector<Finding> unused(const Settings& s, const std::vector<std::uint8_t>& used) {
    std::vector<Finding> found;
    for (std::size_t i = 0; i < s.acceptances.size(); ++i) {
        if (i < used.size() && used[i] != 0) continue;
        Finding f;
        f.rule = "design.accept-unused";
        f.severity = Severity::warning;
        f.message = fmt::format("nothing is found that {} would complain of{}", s.acceptances[i].rule, s.acceptances[i].on.empty() ? "" : " on " + s.acceptances[i].on);
        f.remedy = "take the entry out, so that it cannot hide the next one";
        f.span = s.acceptances[i].acceptance.span;
        f.subject = s.acceptances[i].rule;
        found.push_back(std::move(f));
    }
    return found;
}

}  // namespace ferrule::project
