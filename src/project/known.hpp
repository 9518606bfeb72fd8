// A list of findings that are known and to be mended by and by: a check with it fails only on what is new. Kept by file, rule and
// component, with how often, never by line, so that it survives what moves in a file. Files are named from the list's own folder.
#pragma once

#include <optional>
#include <string>
#include <variant>

#include "base/files.hpp"
#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::project {

// The list of a report's findings, those that are accepted left out.
[[nodiscard]] std::string known_list(const findings::Report& report, const text::Sources& sources, const base::FileSystem& files, const std::string& path);

struct KnownResult {
    std::string trouble;         // the file cannot be used: the job is not done
    std::uint32_t gone = 0;      // entries that nothing answers to any more, though their file was read or is no more
    std::uint32_t unseen = 0;    // entries of files that were not read: nothing is known of them
};

// Marks the findings that the list holds, as often as it holds them, and counts anew.
[[nodiscard]] KnownResult mark_known(findings::Report& report, text::Sources& sources, const base::FileSystem& files, const std::string& path);

}  // namespace ferrule::project
