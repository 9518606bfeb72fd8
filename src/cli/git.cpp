#include "cli/git.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <filesystem>
#include <system_error>

#include <fmt/format.h>

extern char** environ;

namespace ferrule::cli {

namespace {

struct Output {
    int status = -1;  // -1: could not be run
    std::string out, err;
};

// What git is told by whoever started this program, a hook of its own perhaps: the repository is that of the designs all the same.
// The index that a commit is being made of is another matter: what is staged is what it holds.
std::vector<char*> environment() {
    std::vector<char*> kept;
    for (char** one = environ; *one != nullptr; ++one) {
        const std::string_view text = *one;
        if (!text.starts_with("GIT_DIR=") && !text.starts_with("GIT_WORK_TREE=") && !text.starts_with("GIT_PREFIX=")) kept.push_back(*one);
    }
    kept.push_back(nullptr);
    return kept;
}

Output git(const std::string& folder, std::vector<std::string> arguments) {
    Output result;
    int out[2], err[2];
    if (::pipe2(out, O_CLOEXEC) != 0) return result;
    if (::pipe2(err, O_CLOEXEC) != 0) {
        ::close(out[0]);
        ::close(out[1]);
        return result;
    }
    arguments.insert(arguments.begin(), {"git", "--literal-pathspecs", "--no-optional-locks", "-C", folder, "-c", "core.quotepath=off", "-c", "core.fsmonitor=false"});
    std::vector<char*> argv;
    for (std::string& a : arguments) argv.push_back(a.data());
    argv.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_adddup2(&actions, out[1], 1);
    posix_spawn_file_actions_adddup2(&actions, err[1], 2);
    pid_t pid = 0;
    std::vector<char*> variables = environment();
    const int spawned = ::posix_spawnp(&pid, "git", &actions, nullptr, argv.data(), variables.data());
    posix_spawn_file_actions_destroy(&actions);
    ::close(out[1]);
    ::close(err[1]);
    // What git complains of is short and fits its pipe; so standard output is read to its end first.
    const auto drain = [](int fd, std::string& into) {
        char buffer[1U << 14U];
        for (;;) {
            const ssize_t n = ::read(fd, buffer, sizeof buffer);
            if (n < 0 && errno == EINTR) continue;
            if (n <= 0) break;
            into.append(buffer, static_cast<std::size_t>(n));
        }
        ::close(fd);
    };
    drain(out[0], result.out);
    drain(err[0], result.err);
    if (spawned != 0) return result;
    int status = 0;
    while (::waitpid(pid, &status, 0) < 0 && errno == EINTR) {}
    result.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128;
    return result;
}

std::vector<std::string> by_zero(const std::string& text) {
    std::vector<std::string> all;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\0', at), text.size());
        if (end > at) all.push_back(text.substr(at, end - at));
        at = end + 1;
    }
    return all;
}

std::string first_line(const std::string& text) { return text.substr(0, text.find('\n')); }

}  // namespace

std::pair<std::optional<Repository>, std::string> Repository::open(const std::string& folder, const std::string& ref) {
    if (ref.empty() || ref.front() == '-') return {std::nullopt, fmt::format("`{}` names no commit", ref)};
    auto [r, trouble] = top(folder);
    if (!r) return {std::nullopt, trouble};
    const Output commit = git(r->root_, {"rev-parse", "--verify", "--quiet", ref + "^{commit}"});
    if (commit.status != 0) return {std::nullopt, fmt::format("git knows no commit {}", ref)};
    r->ref_ = first_line(commit.out);
    trouble = r->compare();
    if (!trouble.empty()) return {std::nullopt, trouble};
    return {std::move(r), {}};
}

std::pair<std::optional<Repository>, std::string> Repository::staged(const std::string& folder) {
    auto [r, trouble] = top(folder);
    if (!r) return {std::nullopt, trouble};
    trouble = r->compare();
    if (!trouble.empty()) return {std::nullopt, trouble};
    return {std::move(r), {}};
}

std::pair<std::optional<Repository>, std::string> Repository::top(const std::string& folder) {
    const Output top = git(folder, {"rev-parse", "--show-toplevel"});
    if (top.status == 127 || top.status == -1) return {std::nullopt, "the program git cannot be run"};
    if (top.status != 0) return {std::nullopt, fmt::format("{} is in no repository that git can read: {}", folder, first_line(top.err))};
    Repository r;
    r.root_ = first_line(top.out);
    return {std::move(r), {}};
}

std::string Repository::root_of(const std::string& folder) {
    const auto found = top(folder).first;
    return found ? found->root_ : std::string();
}

// Beside a commit what git ignores counts as unchanged; what is staged does not have it.
std::string Repository::compare() {
    std::vector<std::string> differing = {"diff", "--name-status", "-z", "--find-renames", "--no-ext-diff", "--no-textconv"};
    std::vector<std::string> strangers = {"ls-files", "--others", "-z"};
    if (!ref_.empty()) {
        differing.push_back(ref_);
        strangers.emplace_back("--exclude-standard");
    }
    differing.emplace_back("--");
    const Output diff = git(root_, differing);
    const Output others = git(root_, strangers);
    if (diff.status != 0 || others.status != 0) return "git could not compare: " + first_line(diff.err + others.err);
    const std::vector<std::string> said = by_zero(diff.out);  // a letter and a path, or after R two: from and to
    for (std::size_t i = 0; i + 1 < said.size(); i += 2) {
        changed_.insert(root_ + "/" + said[i + 1]);
        if (said[i].front() != 'R' || i + 2 >= said.size()) continue;
        changed_.insert(root_ + "/" + said[i + 2]);
        renamed_.emplace(root_ + "/" + said[i + 2], root_ + "/" + said[i + 1]);
        ++i;
    }
    for (const std::string& path : by_zero(others.out)) {
        changed_.insert(root_ + "/" + path);
        untracked_.insert(root_ + "/" + path);
    }
    return {};
}

const std::string& Repository::name_before(const std::string& path) const {
    const auto at = renamed_.find(path);
    return at == renamed_.end() ? path : at->second;
}

std::vector<std::pair<std::uint32_t, std::uint32_t>> Repository::lines(const std::string& path) const {
    if (!changed_.contains(path)) return {};
    if (untracked_.contains(path)) return {{1, 0xffffffffU}};
    std::vector<std::pair<std::uint32_t, std::uint32_t>> all;
    std::vector<std::string> ask = {"diff", "-U0", "--no-color", "--find-renames", "--no-ext-diff", "--no-textconv", ref_, "--", path};
    if (const std::string& old = name_before(path); old != path) ask.push_back(old);
    const Output diff = git(root_, ask);
    for (std::size_t at = 0; at < diff.out.size();) {
        const std::size_t end = std::min(diff.out.find('\n', at), diff.out.size());
        const std::string line = diff.out.substr(at, end - at);
        at = end + 1;
        const std::size_t plus = line.starts_with("@@ ") ? line.find('+') : std::string::npos;
        if (plus == std::string::npos) continue;
        char* rest = nullptr;
        const unsigned long first = std::strtoul(line.c_str() + plus + 1, &rest, 10);
        const unsigned long count = *rest == ',' ? std::strtoul(rest + 1, nullptr, 10) : 1;
        // Lines taken out leave the place between two: only what reaches over it holds it.
        if (count == 0) all.emplace_back(static_cast<std::uint32_t>(first + 1), static_cast<std::uint32_t>(first));
        else all.emplace_back(static_cast<std::uint32_t>(first), static_cast<std::uint32_t>(first + count - 1));
    }
    return all;
}

std::optional<std::string> Repository::before(const std::string& path) const {
    if (!path.starts_with(root_ + "/")) return std::nullopt;
    const Output blob = git(root_, {"cat-file", "blob", ref_ + ":" + path.substr(root_.size() + 1)});
    if (blob.status != 0) return std::nullopt;
    return blob.out;
}

std::string Before::plain(const std::string& path) const {
    if (auto real = disk_.real_path(path)) return *real;
    std::error_code error;
    const std::filesystem::path whole = std::filesystem::weakly_canonical(std::filesystem::absolute(path), error);
    return error ? path : whole.string();
}

const std::optional<std::string>& Before::at_commit(const std::string& path) const {
    auto at = held_.find(path);
    if (at == held_.end()) at = held_.emplace(path, repository_.before(path)).first;
    return at->second;
}

base::ReadResult Before::read(const std::string& path, std::size_t limit) const {
    const std::string real = plain(path);
    if (!repository_.changed().contains(real)) return disk_.read(path, limit);
    const std::optional<std::string>& text = at_commit(real);
    if (!text) return {};
    if (text->size() > limit) return {base::ReadResult::Status::too_large, {}, real};
    return {base::ReadResult::Status::ok, *text, real};
}

std::vector<std::string> Before::list(const std::string& directory, std::string_view suffix) const {
    std::vector<std::string> all = disk_.list(directory, suffix);
    std::erase_if(all, [&](const std::string& path) {
        const std::string real = plain(path);
        return repository_.changed().contains(real) && !at_commit(real);
    });
    const std::string below = plain(directory) + "/";
    for (const std::string& path : repository_.changed()) {
        if (path.starts_with(below) && path.ends_with(suffix) && !disk_.real_path(path) && at_commit(path)) all.push_back(path);
    }
    std::sort(all.begin(), all.end());
    return all;
}

std::optional<std::string> Before::real_path(const std::string& path) const {
    const std::string real = plain(path);
    if (!repository_.changed().contains(real)) return disk_.real_path(path);
    if (!at_commit(real)) return std::nullopt;
    return real;
}

}  // namespace ferrule::cli
