// The house holds: a room includes only rooms it is allowed to, a library is seen by its own room alone, files stay
// small. A new edge is a line in the table below, so that it is a decision.
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace {

namespace fs = std::filesystem;
using Names = std::set<std::string>;

constexpr std::size_t most_lines = 600;

const std::map<std::string, Names>& allowed() {
    static const std::map<std::string, Names> table = {
        {"base", {}},
        {"text", {"base"}},
        {"units", {"base"}},
        {"findings", {"base", "text"}},
        {"graph", {"base", "text", "units", "findings"}},
        {"tables", {"base", "text", "units", "findings", "graph"}},
        {"syntax", {"base", "text", "findings"}},
        {"solve", {"base"}},
        {"facts", {"base", "text", "units", "findings", "graph", "tables", "solve"}},
        {"format", {"base", "text", "findings", "syntax"}},
        {"resolve", {"base", "text", "units", "findings", "graph", "tables", "syntax"}},
        {"rules", {"base", "text", "units", "findings", "graph", "tables", "facts"}},
        {"render", {"base", "text", "units", "findings"}},
        {"project", {"base", "text", "units", "findings", "graph", "tables", "syntax", "facts", "format", "resolve", "rules", "render"}},
        {"service", {"base", "text", "units", "findings", "graph", "tables", "syntax", "facts", "format", "resolve", "rules", "render", "project"}},
        {"lsp", {"base", "text", "findings", "service"}},
        {"cli", {"base", "text", "units", "findings", "graph", "tables", "syntax", "facts", "format", "render", "rules", "project", "service", "lsp"}},
        {"main", {"cli"}},  // src/main.cpp
    };
    return table;
}

// Libraries and headers that only some rooms may see.
const std::map<std::string, Names>& only_seen_by() {
    static const std::map<std::string, Names> table = {
        {"toml++/", {"tables"}},
        {"tao/pegtl", {"syntax", "rules", "grammar"}},
        {"grammar/", {"syntax", "rules", "grammar"}},
        {"CLI/", {"cli"}},
        {"Eigen/", {"solve"}},
        {"nlohmann/", {"render", "lsp", "cli"}},
        {"iostream", {"cli"}},
        {"regex", {}},   // dies on long lines
        {"format", {}},  // GCC 12 has none; fmt is used
    };
    return table;
}

struct File {
    std::string room;
    fs::path path;
    std::vector<std::string> includes;
    std::size_t lines = 0;
};

bool is_code(const fs::path& p) { return p.extension() == ".hpp" || p.extension() == ".cpp"; }

File read(const std::string& room, const fs::path& path) {
    File f{room, path, {}, 0};
    std::ifstream in(path);
    for (std::string line; std::getline(in, line);) {
        ++f.lines;
        if (line.rfind("#include", 0) != 0) continue;
        const std::size_t from = line.find_first_of("<\"") + 1;
        f.includes.push_back(line.substr(from, line.find_first_of(">\"", from) - from));
    }
    return f;
}

// Everything in the rooms. project/embed runs while the program is built and is no part of it.
std::vector<File> all_files() {
    std::vector<File> files;
    const fs::path src = fs::path(FERRULE_SOURCE_DIR) / "src";
    for (const fs::directory_entry& e : fs::recursive_directory_iterator(src)) {
        if (!is_code(e.path()) || e.path().parent_path().filename() == "embed") continue;
        const fs::path below = fs::relative(e.path(), src);
        files.push_back(read(below.has_parent_path() ? below.begin()->string() : below.stem().string(), e.path()));
    }
    for (const fs::directory_entry& e : fs::directory_iterator(fs::path(FERRULE_SOURCE_DIR) / "grammar")) {
        if (is_code(e.path())) files.push_back(read("grammar", e.path()));
    }
    return files;
}

TEST(Layers, EveryRoomIncludesOnlyWhatItMay) {
    for (const File& f : all_files()) {
        if (f.room == "grammar") continue;
        const auto room = allowed().find(f.room);
        ASSERT_NE(room, allowed().end()) << f.path << " is in no known room";
        for (const std::string& include : f.includes) {
            const std::string other = include.substr(0, include.find('/'));
            if (other == f.room || allowed().count(other) == 0) continue;
            EXPECT_TRUE(room->second.count(other)) << f.path << " includes " << include;
        }
    }
}

TEST(Layers, ALibraryIsSeenByItsOwnRoomAlone) {
    for (const File& f : all_files()) {
        for (const std::string& include : f.includes) {
            for (const auto& [library, rooms] : only_seen_by()) {
                const bool matches = library.back() == '/' || library.find('/') != std::string::npos
                                         ? include.rfind(library, 0) == 0
                                         : include == library;
                if (matches) {
                    EXPECT_TRUE(rooms.count(f.room)) << f.path << " includes " << include;
                }
            }
        }
    }
}

TEST(Layers, TheCommandLineLibraryIsReadInOneFile) {
    std::size_t files = 0;
    for (const File& f : all_files()) {
        for (const std::string& include : f.includes) files += include.rfind("CLI/", 0) == 0 ? 1 : 0;
    }
    EXPECT_LE(files, 1U);
}

TEST(Layers, FilesStaySmall) {
    for (const File& f : all_files()) EXPECT_LE(f.lines, most_lines) << f.path;
}

}  // namespace
