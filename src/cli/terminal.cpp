#include "cli/terminal.hpp"

#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>

#include <fmt/format.h>
#include <unistd.h>

#include "text/source.hpp"

namespace ferrule::cli {

namespace {

std::optional<std::string> write_all(int descriptor, std::string_view text) {
    while (!text.empty()) {
        const ssize_t n = ::write(descriptor, text.data(), text.size());
        if (n > 0) {
            text.remove_prefix(static_cast<std::size_t>(n));
        } else if (n < 0 && errno != EINTR) {
            return std::string(std::strerror(errno));
        }
    }
    return std::nullopt;
}

bool set(const char* variable) {
    const char* value = std::getenv(variable);
    return value != nullptr && *value != '\0';
}

}  // namespace

std::optional<std::string> write_out(std::string_view text) { return write_all(STDOUT_FILENO, text); }

void write_error(std::string_view text) {
    static_cast<void>(write_all(STDERR_FILENO, text));  // nothing is left to do if even this cannot be written
}

void complain(std::string_view message) { write_error(fmt::format("ferrule: {}\n", text::printable(message))); }

std::optional<std::string> read_in(std::size_t limit) {
    std::string all;
    char block[1U << 16U];
    for (;;) {
        const ssize_t n = ::read(STDIN_FILENO, block, sizeof block);
        if (n == 0) return all;
        if (n < 0) {
            if (errno == EINTR) continue;
            return std::nullopt;
        }
        all.append(block, static_cast<std::size_t>(n));
        if (all.size() > limit) return std::nullopt;
    }
}

bool coloured(Colour wish) {
    if (wish != Colour::when_terminal) return wish == Colour::always;
    const char* terminal = std::getenv("TERM");
    return !set("NO_COLOR") && ::isatty(STDOUT_FILENO) == 1 && terminal != nullptr && std::strcmp(terminal, "dumb") != 0;
}

void survive_closed_pipes() { std::signal(SIGPIPE, SIG_IGN); }

}  // namespace ferrule::cli
