// The files as the editor sees them: what is open there stands over what is on the disk.
#pragma once

#include <string>
#include <unordered_map>

#include "base/files.hpp"

namespace ferrule::service {

class Overlay final : public base::FileSystem {
public:
    explicit Overlay(const base::FileSystem& disk) : disk_(disk) {}

    void put(const std::string& real_path, std::string text) { open_.insert_or_assign(real_path, std::move(text)); }
    void take_away(const std::string& real_path) { open_.erase(real_path); }
    [[nodiscard]] const std::string* find(const std::string& real_path) const;

    [[nodiscard]] base::ReadResult read(const std::string& path, std::size_t limit) const override;
    [[nodiscard]] bool is_directory(const std::string& path) const override { return disk_.is_directory(path); }
    [[nodiscard]] std::vector<std::string> list(const std::string& directory, std::string_view suffix) const override;
    [[nodiscard]] std::optional<std::string> real_path(const std::string& path) const override;
    [[nodiscard]] std::optional<std::string> write_whole(const std::string& path, std::string_view bytes) const override;

private:
    const base::FileSystem& disk_;
    std::unordered_map<std::string, std::string> open_;  // by real path; a file that was never saved: by the path it will have
};

}  // namespace ferrule::service
