#include "base/files.hpp"

#include <dirent.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <memory>

namespace ferrule::base {

namespace {

// A file descriptor that closes itself.
class Descriptor {
public:
    explicit Descriptor(int fd) : fd_(fd) {}
    ~Descriptor() {
        if (fd_ >= 0) ::close(fd_);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    [[nodiscard]] int get() const { return fd_; }
    [[nodiscard]] bool close() {
        const int fd = fd_;
        fd_ = -1;
        return ::close(fd) == 0;
    }

private:
    int fd_;
};

std::optional<std::string> resolved(const std::string& path) {
    if (path.find('\0') != std::string::npos) return std::nullopt;
    const std::unique_ptr<char, decltype(&std::free)> real(::realpath(path.c_str(), nullptr),
                                                           &std::free);
    if (!real) return std::nullopt;
    return std::string(real.get());
}

// Reads until the end, the limit or an error. One byte more than the limit means: too large.
ReadResult::Status read_all(int fd, std::size_t expected, std::size_t limit, std::string& bytes) {
    bytes.resize(std::min(expected, limit) + 1);
    std::size_t filled = 0;
    while (true) {
        if (filled == bytes.size()) {
            if (filled > limit) return ReadResult::Status::too_large;
            bytes.resize(std::min(limit + 1, bytes.size() * 2));
        }
        const ssize_t n = ::read(fd, bytes.data() + filled, bytes.size() - filled);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return ReadResult::Status::unreadable;
        if (n == 0) break;
        filled += static_cast<std::size_t>(n);
    }
    if (filled > limit) return ReadResult::Status::too_large;
    bytes.resize(filled);
    return ReadResult::Status::ok;
}

bool write_all(int fd, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t n = ::write(fd, bytes.data(), bytes.size());
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) return false;
        bytes.remove_prefix(static_cast<std::size_t>(n));
    }
    return true;
}

class Disk final : public FileSystem {
public:
    [[nodiscard]] ReadResult read(const std::string& path, std::size_t limit) const override {
        ReadResult result;
        if (path.empty() || path.find('\0') != std::string::npos) return result;
        // O_NONBLOCK: opening a pipe without a writer must not wait for one.
        const Descriptor file(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY));
        if (file.get() < 0) {
            if (errno == ENXIO || errno == ENODEV) result.status = ReadResult::Status::not_a_file;
            else if (errno != ENOENT && errno != ENOTDIR)
                result.status = ReadResult::Status::unreadable;
            return result;
        }
        struct stat about {};
        if (::fstat(file.get(), &about) != 0) {
            result.status = ReadResult::Status::unreadable;
            return result;
        }
        result.real_path = resolved(path).value_or(path);
        if (!S_ISREG(about.st_mode)) {
            result.status = ReadResult::Status::not_a_file;
            return result;
        }
        const auto size = static_cast<std::uint64_t>(about.st_size);
        if (size > limit) {
            result.status = ReadResult::Status::too_large;
            return result;
        }
        result.status = read_all(file.get(), static_cast<std::size_t>(size), limit, result.bytes);
        if (result.status != ReadResult::Status::ok) result.bytes.clear();
        return result;
    }

    [[nodiscard]] bool is_directory(const std::string& path) const override {
        struct stat about {};
        return path.find('\0') == std::string::npos && ::stat(path.c_str(), &about) == 0 &&
               S_ISDIR(about.st_mode);
    }

    [[nodiscard]] std::vector<std::string> list(const std::string& directory,
                                                std::string_view suffix) const override {
        std::vector<std::string> found;
        std::vector<std::string> open{directory};
        while (!open.empty()) {
            const std::string folder = std::move(open.back());
            open.pop_back();
            const std::unique_ptr<DIR, int (*)(DIR*)> entries(::opendir(folder.c_str()),
                                                              &::closedir);
            if (!entries) continue;
            while (const dirent* const entry = ::readdir(entries.get())) {
                const std::string_view name = entry->d_name;
                if (name == "." || name == "..") continue;
                std::string path = folder;
                if (path.empty() || path.back() != '/') path += '/';
                path += name;
                struct stat about {};
                if (::lstat(path.c_str(), &about) != 0) continue;
                if (S_ISDIR(about.st_mode)) {
                    open.push_back(std::move(path));
                    continue;
                }
                const bool file = S_ISREG(about.st_mode) ||
                                  (S_ISLNK(about.st_mode) && ::stat(path.c_str(), &about) == 0 &&
                                   S_ISREG(about.st_mode));
                if (file && name.ends_with(suffix)) found.push_back(std::move(path));
            }
        }
        std::sort(found.begin(), found.end());
        return found;
    }

    [[nodiscard]] std::optional<std::string> real_path(const std::string& path) const override {
        return resolved(path);
    }

    [[nodiscard]] std::optional<std::string> write_whole(const std::string& path,
                                                         std::string_view bytes) const override {
        const auto failed = [](std::string_view what) {
            return std::string(what) + ": " + std::strerror(errno);
        };
        if (path.empty() || path.find('\0') != std::string::npos) return "no such path";
        // A link is written through: what it points to is replaced, the link stays.
        const std::string target = resolved(path).value_or(path);
        mode_t mode = 0666;
        struct stat about {};
        const bool exists = ::stat(target.c_str(), &about) == 0;
        if (exists) {
            if (!S_ISREG(about.st_mode)) return "it is no regular file";
            if (::access(target.c_str(), W_OK) != 0) return failed("it cannot be written");
            mode = about.st_mode & 07777U;
        }
        const std::size_t slash = target.rfind('/');
        const std::string folder = slash == std::string::npos ? std::string(".")
                                   : slash == 0               ? std::string("/")
                                                              : target.substr(0, slash);
        std::string temporary = folder + "/.ferrule-XXXXXX";
        Descriptor file(::mkstemp(temporary.data()));
        if (file.get() < 0) return failed("no file can be made beside it");
        if (!exists) {  // mkstemp makes it private; a new file gets what the user's mask leaves
            const mode_t mask = ::umask(0);
            ::umask(mask);
            mode &= ~mask;
        }
        bool good = write_all(file.get(), bytes) && ::fchmod(file.get(), mode) == 0 &&
                    ::fsync(file.get()) == 0;
        good = file.close() && good;
        good = good && ::rename(temporary.c_str(), target.c_str()) == 0;
        if (good) return std::nullopt;
        std::string why = failed("it could not be written");
        ::unlink(temporary.c_str());
        return why;
    }
};

class Calendar final : public Clock {
public:
    [[nodiscard]] Date today() const override {
        const std::time_t now = std::time(nullptr);
        std::tm local{};
        if (::localtime_r(&now, &local) == nullptr) return {};
        return {local.tm_year + 1900, local.tm_mon + 1, local.tm_mday};
    }
};

}  // namespace

const FileSystem& disk() {
    static const Disk instance;
    return instance;
}

const Clock& calendar() {
    static const Calendar instance;
    return instance;
}

}  // namespace ferrule::base
