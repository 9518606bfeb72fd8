// Which designs a command is about: the files it names, and of a folder every .fer below it that no other includes.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/files.hpp"
#include "project/loader.hpp"
#include "text/source.hpp"

namespace ferrule::project {

struct Request {
    std::vector<std::string> paths;         // "-" is `standard_input`
    std::optional<std::string> standard_input;
    std::string stdin_name;                 // "" is shown as "standard input" in the working folder
};

struct Roots {
    std::vector<text::FileId> files;        // each once, in the order asked for
    text::FileId standard_input;            // if it was one of them
    std::vector<std::string> troubles;      // paths that cannot be read or hold nothing: the job is then not done
};

// Every file named or found below a folder.
[[nodiscard]] Roots named_files(const Request& request, Loader& loader, const base::FileSystem& files);

// Of these only the ones that no other of them includes; of files that include each other in a circle, the first.
[[nodiscard]] std::vector<text::FileId> not_included(const std::vector<text::FileId>& named, Loader& loader);

}  // namespace ferrule::project
