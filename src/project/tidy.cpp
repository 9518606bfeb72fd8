#include "project/tidy.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#if __has_include("format/format.hpp")
#include "format/format.hpp"
#endif

namespace ferrule::project {

Tidied tidy(const text::Sources& sources, Loader& loader, text::FileId file) {
    Tidied result;
    const syntax::Tree& tree = loader.tree(file);
    std::copy_if(tree.findings.begin(), tree.findings.end(), std::back_inserter(result.findings),
                 [](const findings::Finding& f) { return f.severity == findings::Severity::error; });
    if (!result.findings.empty()) return result;
#if __has_include("format/format.hpp")
    result.text = format::tidy(sources, tree);
#else
    result.text = sources[file].bytes();
#endif
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
