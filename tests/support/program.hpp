// Runs the real program as a person would, and a folder of its own for each test.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "support/hang.hpp"

namespace ferrule::tests {

struct Ran {
    int status = -1;  // -1: it crashed, or was stopped after `hang_seconds`
    std::string out, err;
    [[nodiscard]] std::string all() const { return out + err; }
};

class Program : public testing::Test {
protected:
    void SetUp() override {
        char pattern[] = "/tmp/ferrule-test-XXXXXX";
        folder_ = ::mkdtemp(pattern);
    }
    void TearDown() override {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }

    [[nodiscard]] std::string path(const std::string& name) const { return folder_ + "/" + name; }

    std::string write(const std::string& name, std::string_view bytes) const {
        const std::string whole = path(name);
        std::filesystem::create_directories(std::filesystem::path(whole).parent_path());
        std::ofstream(whole, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        return whole;
    }
    [[nodiscard]] static std::string read(const std::string& whole) {
        std::ifstream in(whole, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    }

    // Standard output may be sent elsewhere: a path, "" for a descriptor that is closed, "|" for a pipe nobody reads.
    Ran run(std::vector<std::string> args, std::string_view input = {}, const char* output = nullptr) const {
        const std::string in = write(".in", input), out = path(".out"), err = path(".err");
        args.insert(args.begin(), FERRULE_BINARY_DIR "/ferrule");
        std::vector<char*> argv;
        for (std::string& a : args) argv.push_back(a.data());
        argv.push_back(nullptr);
        const pid_t child = ::fork();
        if (child == 0) {
            const auto redirect = [](const char* file, int flags, int descriptor) {
                const int fd = ::open(file, flags, 0644);
                ::dup2(fd, descriptor);
                ::close(fd);
            };
            redirect(in.c_str(), O_RDONLY, 0);
            redirect(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 2);
            if (output == nullptr) redirect(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 1);
            else if (*output == '\0') ::close(1);
            else if (*output == '|') leave_unread_pipe();
            else redirect(output, O_WRONLY, 1);
            const rlimit hang{hang_seconds, hang_seconds};
            if (::setrlimit(RLIMIT_CPU, &hang) != 0 || ::chdir(folder_.c_str()) != 0) ::_exit(127);
            ::execv(argv[0], argv.data());
            ::_exit(127);
        }
        int status = 0;
        ::waitpid(child, &status, 0);
        Ran ran;
        ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
        ran.out = output == nullptr ? read(out) : std::string();
        ran.err = read(err);
        return ran;
    }

    // `check` of one file; it must end with that status.
    Ran check(const std::string& name, int status) const {
        Ran ran = run({"check", name});
        EXPECT_EQ(ran.status, status) << name << "\n" << ran.all().substr(0, 2000);
        EXPECT_EQ(ran.all().find("Sanitizer"), std::string::npos) << ran.err.substr(0, 4000);
        return ran;
    }

private:
    static void leave_unread_pipe() {
        int ends[2];
        if (::pipe(ends) != 0) ::_exit(127);
        ::close(ends[0]);
        ::dup2(ends[1], 1);
    }

    std::string folder_;
};

}  // namespace ferrule::tests
