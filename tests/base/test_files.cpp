// The disk as the program sees it: regular files only, within a limit, written whole or not at all.
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "base/files.hpp"

namespace ferrule::base {
namespace {

namespace fs = std::filesystem;
using Status = ReadResult::Status;

class Files : public testing::Test {
protected:
    void SetUp() override {
        std::string pattern = (fs::temp_directory_path() / "ferrule-files-XXXXXX").string();
        ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
        folder_ = pattern;
    }
    void TearDown() override { fs::remove_all(folder_); }
    [[nodiscard]] std::string path(const std::string& name) const {
        return (folder_ / name).string();
    }
    std::string put(const std::string& name, const std::string& bytes) const {
        fs::create_directories((folder_ / name).parent_path());
        std::ofstream(path(name), std::ios::binary) << bytes;
        return path(name);
    }
    [[nodiscard]] std::string get(const std::string& name) const {
        std::ifstream in(path(name), std::ios::binary);
        return {std::istreambuf_iterator<char>(in), {}};
    }
    fs::path folder_;
};

TEST_F(Files, AreReadWhole) {
    const std::string bytes("a\0b\r\n", 5);
    const ReadResult r = disk().read(put("a.fer", bytes), 100);
    EXPECT_EQ(r.status, Status::ok);
    EXPECT_EQ(r.bytes, bytes);
    EXPECT_EQ(r.real_path, fs::canonical(path("a.fer")).string());
    EXPECT_EQ(disk().read(put("empty", ""), 0).status, Status::ok);
}

TEST_F(Files, BeyondTheLimitAreRefused) {
    const std::string file = put("a.fer", std::string(11, 'x'));
    EXPECT_EQ(disk().read(file, 11).status, Status::ok);
    const ReadResult r = disk().read(file, 10);
    EXPECT_EQ(r.status, Status::too_large);
    EXPECT_TRUE(r.bytes.empty());
}

TEST_F(Files, ThatAreNoneAreSaidToBe) {
    EXPECT_EQ(disk().read(path("nothing"), 10).status, Status::missing);
    EXPECT_EQ(disk().read("", 10).status, Status::missing);
    EXPECT_EQ(disk().read(std::string("a\0b", 3), 10).status, Status::missing);
    EXPECT_EQ(disk().read(put("a", "") + "/b", 10).status, Status::missing);
    EXPECT_EQ(disk().read(folder_.string(), 10).status, Status::not_a_file);
    EXPECT_EQ(disk().read("/dev/zero", 10).status, Status::not_a_file);
    ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
    EXPECT_EQ(disk().read(path("pipe"), 10).status,
              Status::not_a_file);  // and does not wait for a writer
    fs::create_symlink("nowhere", path("dangling"));
    EXPECT_EQ(disk().read(path("dangling"), 10).status, Status::missing);
    fs::create_symlink("loop", path("loop"));
    EXPECT_EQ(disk().read(path("loop"), 10).status, Status::unreadable);
    if (::geteuid() != 0) {
        const std::string secret = put("secret", "x");
        fs::permissions(secret, fs::perms::none);
        EXPECT_EQ(disk().read(secret, 10).status, Status::unreadable);
    }
}

TEST_F(Files, AreKnownByTheirRealPath) {
    put("a/b.fer", "x");
    fs::create_symlink("a/b.fer", path("link.fer"));
    const std::string real = fs::canonical(path("a/b.fer")).string();
    EXPECT_EQ(disk().real_path(path("link.fer")), real);
    EXPECT_EQ(disk().read(path("a/../link.fer"), 10).real_path, real);
    EXPECT_EQ(disk().real_path(path("nothing")), std::nullopt);
}

TEST_F(Files, AreListedInOrder) {
    put("b.fer", "");
    put("a/c.fer", "");
    put("a/d.txt", "");
    put("a.fer", "");
    fs::create_directory_symlink(folder_, path("a/round"));
    const std::vector<std::string> expected{path("a.fer"), path("a/c.fer"), path("b.fer")};
    EXPECT_EQ(disk().list(folder_.string(), ".fer"), expected);
    EXPECT_TRUE(disk().is_directory(folder_.string()));
    EXPECT_FALSE(disk().is_directory(path("a.fer")));
    EXPECT_TRUE(disk().list(path("nothing"), ".fer").empty());
}

TEST_F(Files, AreWrittenWhole) {
    EXPECT_EQ(disk().write_whole(path("new.fer"), "one"), std::nullopt);
    EXPECT_EQ(get("new.fer"), "one");
    fs::permissions(path("new.fer"), fs::perms(0640));
    EXPECT_EQ(disk().write_whole(path("new.fer"), "two"), std::nullopt);
    EXPECT_EQ(get("new.fer"), "two");
    EXPECT_EQ(fs::status(path("new.fer")).permissions(), fs::perms(0640));
    fs::create_symlink("new.fer", path("link.fer"));
    EXPECT_EQ(disk().write_whole(path("link.fer"), "three"), std::nullopt);
    EXPECT_EQ(get("new.fer"), "three");
    EXPECT_TRUE(fs::is_symlink(path("link.fer")));
    EXPECT_EQ(disk().list(folder_.string(), "").size(), 2U);  // nothing is left beside them
}

TEST_F(Files, StayAsTheyWereIfTheyCannotBeWritten) {
    EXPECT_TRUE(disk().write_whole(path("no/such/folder.fer"), "x"));
    EXPECT_TRUE(disk().write_whole(folder_.string(), "x"));
    EXPECT_TRUE(disk().write_whole("/dev/null", "x"));
    EXPECT_TRUE(disk().write_whole("", "x"));
    if (::geteuid() != 0) {
        const std::string locked = put("locked.fer", "kept");
        fs::permissions(locked, fs::perms::owner_read);
        EXPECT_TRUE(disk().write_whole(locked, "x"));
        EXPECT_EQ(get("locked.fer"), "kept");
    }
}

TEST(Calendar, KnowsADay) {
    const Date today = calendar().today();
    EXPECT_GT(today, (Date{2024, 1, 1}));
    EXPECT_GE(today.month, 1);
    EXPECT_LE(today.month, 12);
}

}  // namespace
}  // namespace ferrule::base
