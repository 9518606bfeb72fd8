#include "project/tidy.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "format/tidy.hpp"

namespace ferrule::project {

Tidied tidy(const text::Sources& sources, Loader& loader, text::FileId file) {
    Tidied result;
    const syntax::Tree& tree = loader.tree(file);
    std::copy_if(tree.findings.begin(), tree.findings.end(), std::back_inserter(result.findings),
                 [](const findings::Finding& f) { return f.severity == findings::Severity::error; });
    if (!result.findings.empty()) return result;
    result.text = format::tidy(sources, tree);
    result.changed = result.text != sources[file].bytes();
    return result;
}

std::optional<std::string> replace(const base::FileSystem& files, const text::Source& source, std::string_view text) {
    const base::ReadResult now = files.read(source.path(), base::limits::file_bytes);
    if (now.status != base::ReadResult::Status::ok || now.bytes != source.bytes()) {
        return fmt::format("{} has changed since it was read and is left as it is", source.path());
    }
    const auto trouble = files.write_whole(now.real_path, text);
    if (trouble) return fmt::format("{} could not be written: {}", source.path(), *trouble);
    return std::nullopt;
}

}  // namespace ferrule::project
