// The words that editors colour are those the program reads.
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "helper_files.hpp"

namespace {

TEST(Editors, HaveNotDriftedFromTheLanguage) {
    for (const auto& [path, text] : ferrule::tests::editor_files()) {
        std::ifstream in(FERRULE_SOURCE_DIR "/editors/" + path, std::ios::binary);
        std::stringstream now;
        now << in.rdbuf();
        EXPECT_TRUE(now.str() == text) << "editors/" << path << " is not what the tables say: run build/editor_files";
    }
}

}  // namespace
