#include "project/roots.hpp"

#include <unordered_set>

#include <fmt/format.h>

namespace ferrule::project {

namespace {

using SeenFiles = std::unordered_set<text::FileId>;

// Marks what is reached from a file by includes. Without recursion: the files decide how deep it goes.
void reach(text::FileId from, Loader& loader, SeenFiles& seen) {
    std::vector<text::FileId> waiting{from};
    while (!waiting.empty()) {
        const text::FileId file = waiting.back();
        waiting.pop_back();
        for (const text::FileId other : loader.included_by(file)) {
            if (seen.insert(other).second) waiting.push_back(other);
        }
    }
}

}  // namespace

Roots named_files(const Request& request, Loader& loader, const base::FileSystem& files) {
    Roots roots;
    SeenFiles seen;
    const auto take = [&](const std::string& path) {
        auto opened = loader.open(path);
        if (auto* trouble = std::get_if<std::string>(&opened)) {
            roots.troubles.push_back(std::move(*trouble));
        } else if (const text::FileId file = std::get<text::FileId>(opened); seen.insert(file).second) {
            roots.files.push_back(file);
        }
    };
    for (const std::string& path : request.paths) {
        if (path == "-") {
            const std::string name = request.stdin_name.empty() ? "standard input" : request.stdin_name;
            if (roots.standard_input) continue;
            roots.standard_input = loader.add(name, request.standard_input.value_or(""));
            seen.insert(roots.standard_input);
            roots.files.push_back(roots.standard_input);
        } else if (files.is_directory(path)) {
            const std::vector<std::string> below = files.list(path, ".fer");
            if (below.empty()) roots.troubles.push_back(fmt::format("{} holds no design (a file whose name ends in .fer)", path));
            for (const std::string& one : below) take(one);
        } else {
            take(path);
        }
    }
    return roots;
}

std::vector<text::FileId> not_included(const std::vector<text::FileId>& named, Loader& loader) {
    if (named.size() < 2) return named;
    SeenFiles direct;
    for (const text::FileId file : named) {
        loader.enter(file);
        for (const text::FileId other : loader.included_by(file)) {
            if (other != file) direct.insert(other);
        }
    }
    std::vector<text::FileId> tops;
    SeenFiles reached;
    for (const text::FileId file : named) {
        if (direct.count(file) != 0) continue;
        tops.push_back(file);
        loader.enter(file);
        reach(file, loader, reached);
    }
    for (const text::FileId file : named) {  // what is left includes itself in a circle
        if (direct.count(file) == 0 || reached.count(file) != 0) continue;
        tops.push_back(file);
        loader.enter(file);
        reach(file, loader, reached);
    }
    return tops;
}

}  // namespace ferrule::project
