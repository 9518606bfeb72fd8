// Design files in the house layout. What could not be read is never laid out: its findings come back instead.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/files.hpp"
#include "findings/finding.hpp"
#include "project/loader.hpp"
#include "text/source.hpp"

namespace ferrule::project {

struct Tidied {
    std::string text;     // the whole file; empty when there are findings
    bool changed = false;
    std::vector<findings::Finding> findings;  // errors of reading
};

[[nodiscard]] Tidied tidy(const text::Sources& sources, Loader& loader, text::FileId file);

// Writes the text in the file's place, whole or not at all, through a link to what it links to. Refuses when the file
// is no longer what was read. Nothing if it went well, else why not.
[[nodiscard]] std::optional<std::string> replace(const base::FileSystem& files, const text::Source& source, std::string_view text);

}  // namespace ferrule::project
