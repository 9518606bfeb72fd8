#include "service/overlay.hpp"

#include <algorithm>

namespace ferrule::service {

const std::string* Overlay::find(const std::string& real_path) const {
    const auto at = open_.find(real_path);
    return at == open_.end() ? nullptr : &at->second;
}

base::ReadResult Overlay::read(const std::string& path, std::size_t limit) const {
    const std::string* text = find(path);
    std::string real = path;
    if (text == nullptr) {
        real = disk_.real_path(path).value_or(path);
        text = find(real);
    }
    if (text == nullptr) return disk_.read(path, limit);
    if (text->size() > limit) return {base::ReadResult::Status::too_large, {}, real};
    return {base::ReadResult::Status::ok, *text, real};
}

std::vector<std::string> Overlay::list(const std::string& directory, std::string_view suffix) const {
    std::vector<std::string> all = disk_.list(directory, suffix);
    const std::string below = directory.ends_with('/') ? directory : directory + '/';
    for (const auto& [path, text] : open_) {
        if (path.starts_with(below) && path.ends_with(suffix)) all.push_back(path);
    }
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    return all;
}

std::optional<std::string> Overlay::real_path(const std::string& path) const {
    if (auto real = disk_.real_path(path)) return real;
    if (find(path) != nullptr) return path;
    return std::nullopt;
}

// An editor writes its files itself.
std::optional<std::string> Overlay::write_whole(const std::string&, std::string_view) const { return "open in an editor"; }

}  // namespace ferrule::service
