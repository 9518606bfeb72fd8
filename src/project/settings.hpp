// What holds for a project beside its designs: `ferrule.toml`, the nearest upward from a design. Everything in it is optional:
//
//   standard    = "nec-2023"            for designs whose site names none
//   rules       = ["house-rules"]       folders of house rules, from this file's own
//   acceptances = "accepted.toml"       findings that are lived with, for designs one may not write in
//   [severity]  "labelling.wrong-equipment" = "warning"
//   [units]     length = "ft"           how computed values are shown
//
// A mistake in it is a finding in it, and the job is then not done: settings are never half followed.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "base/files.hpp"
#include "findings/finding.hpp"
#include "project/knowledge.hpp"
#include "rules/accept.hpp"
#include "text/source.hpp"

namespace ferrule::project {

struct Settings {
    std::string path;      // of the file; "" when there is none
    std::string standard;
    std::vector<std::string> rule_folders;
    std::vector<std::string> acceptance_paths;
    std::vector<std::pair<std::string, findings::Severity>> severities;
    std::vector<std::pair<std::string, std::string>> units;  // dimension, unit
    std::vector<rules::OutsideAcceptance> acceptances;
    text::Span standard_place;
    std::vector<text::Span> severity_places, unit_places;  // one each
    std::vector<findings::Finding> findings;  // mistakes in either file
};

inline constexpr std::string_view settings_name = "ferrule.toml";

// The settings file that holds for a file or folder; "" if there is none up to the root of the disk.
[[nodiscard]] std::string settings_path(const base::FileSystem& files, const std::string& real_path);

// Reads them; "" gives none.
[[nodiscard]] Settings read_settings(text::Sources& sources, const base::FileSystem& files, const std::string& path);

// Acceptances from a file: [[accept]] rule, on, because, until, by. An empty file is fine.
void read_acceptances(text::Sources& sources, const base::FileSystem& files, const std::string& path, Settings& into);

// What can only be said with the rules at hand: names of rules and standards that do not exist, a life-safety rule made less.
[[nodiscard]] std::vector<findings::Finding> doubts(const Settings& settings, const Knowledge& knowledge);

// The severities that the settings give.
void apply_severities(findings::Report& report, const Settings& settings);

// Acceptances from outside that met no finding in any design.
[[nodiscard]] std::vector<findings::Finding> unused(const Settings& settings, const std::vector<std::uint8_t>& used);

}  // namespace ferrule::project
