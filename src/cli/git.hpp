// What version control knows, asked of the program `git`: which files differ from a commit, on which lines, and what they held.
// Nothing named in a project is run; no shell is between.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "base/files.hpp"

namespace ferrule::cli {

class Repository {
public:
    // The repository that holds the folder; else what is wrong.
    [[nodiscard]] static std::pair<std::optional<Repository>, std::string> open(const std::string& folder, const std::string& ref);

    // The same with what is staged for the next commit in the place of a commit.
    [[nodiscard]] static std::pair<std::optional<Repository>, std::string> staged(const std::string& folder);

    // The top of the repository that holds the folder; "" if none does.
    [[nodiscard]] static std::string root_of(const std::string& folder);
    [[nodiscard]] const std::string& root() const { return root_; }
    // Real paths of files that differ from the commit, or that it does not have.
    [[nodiscard]] const std::set<std::string>& changed() const { return changed_; }
    // Lines of a changed file that the commit does not have: first and last, from 1.
    [[nodiscard]] std::vector<std::pair<std::uint32_t, std::uint32_t>> lines(const std::string& path) const;
    // What a file was called that got another name since; else the path itself.
    [[nodiscard]] const std::string& name_before(const std::string& path) const;
    // What the file held; nothing if the commit does not have it.
    [[nodiscard]] std::optional<std::string> before(const std::string& path) const;

private:
    [[nodiscard]] static std::pair<std::optional<Repository>, std::string> top(const std::string& folder);
    [[nodiscard]] std::string compare();

    std::string root_, ref_;  // ref_ is "" for what is staged
    std::set<std::string> changed_, untracked_;
    std::map<std::string, std::string> renamed_;  // new name, old name
};

// The files as they were at the commit, or as they are staged. What is written is written to the disk.
class Before final : public base::FileSystem {
public:
    Before(const base::FileSystem& disk, const Repository& repository) : disk_(disk), repository_(repository) {}
    [[nodiscard]] base::ReadResult read(const std::string& path, std::size_t limit) const override;
    [[nodiscard]] bool is_directory(const std::string& path) const override { return disk_.is_directory(path); }
    [[nodiscard]] std::vector<std::string> list(const std::string& directory, std::string_view suffix) const override;
    [[nodiscard]] std::optional<std::string> real_path(const std::string& path) const override;
    [[nodiscard]] std::optional<std::string> write_whole(const std::string& path, std::string_view bytes) const override { return disk_.write_whole(path, bytes); }

private:
    [[nodiscard]] std::string plain(const std::string& path) const;
    [[nodiscard]] const std::optional<std::string>& at_commit(const std::string& path) const;

    const base::FileSystem& disk_;
    const Repository& repository_;
    mutable std::map<std::string, std::optional<std::string>> held_;
};

}  // namespace ferrule::cli
