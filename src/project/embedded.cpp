#include "project/embedded.hpp"

#include <algorithm>
#include <cassert>

namespace ferrule::project {

const EmbeddedFile& embedded_file(std::string_view name) {
    const auto files = embedded_files();
    const auto found = std::lower_bound(files.begin(), files.end(), name,
                                        [](const EmbeddedFile& f, std::string_view n) { return f.name < n; });
    assert(found != files.end() && found->name == name);
    return *found;
}

}  // namespace ferrule::project
