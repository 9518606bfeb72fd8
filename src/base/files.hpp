// The outside world as two small interfaces, so that tests and the editor can put their own in place.
// Nothing below `project` opens a file or asks for the time by itself.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ferrule::base {

struct ReadResult {
    enum class Status : std::uint8_t { ok, missing, not_a_file, unreadable, too_large };
    Status status = Status::missing;
    std::string bytes;      // valid when ok
    std::string real_path;  // the path with links and dots resolved, when the file exists
};

class FileSystem {
public:
    virtual ~FileSystem() = default;
    // Reads a regular file of at most `limit` bytes. Never blocks on a pipe or a device.
    [[nodiscard]] virtual ReadResult read(const std::string& path, std::size_t limit) const = 0;
    [[nodiscard]] virtual bool is_directory(const std::string& path) const = 0;
    // Every regular file below a directory whose name ends in `suffix`, sorted; links to directories are not followed.
    [[nodiscard]] virtual std::vector<std::string> list(const std::string& directory, std::string_view suffix) const = 0;
    // The path with links and dots resolved; nothing if it does not exist.
    [[nodiscard]] virtual std::optional<std::string> real_path(const std::string& path) const = 0;
    // Writes the whole file or leaves what was there: a temporary file beside it, then a rename. Error text if it failed.
    [[nodiscard]] virtual std::optional<std::string> write_whole(const std::string& path, std::string_view bytes) const = 0;
};

struct Date {
    int year = 0;
    int month = 0;
    int day = 0;
    friend auto operator<=>(const Date&, const Date&) = default;
};

class Clock {
public:
    virtual ~Clock() = default;
    [[nodiscard]] virtual Date today() const = 0;
};

// The real ones.
[[nodiscard]] const FileSystem& disk();
[[nodiscard]] const Clock& calendar();

}  // namespace ferrule::base
