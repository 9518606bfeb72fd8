// Mistakes planted one at a time in right designs: each is found at its line, and nothing else is reported. NAME.toml lists those of NAME.fer.
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "support/bench.hpp"
#include "tables/toml.hpp"

namespace ferrule {
namespace {

const std::string folder = FERRULE_SOURCE_DIR "/tests/planted/";

std::string read(const std::string& name) {
    std::ifstream in(folder + name);
    std::stringstream all;
    all << in.rdbuf();
    return all.str();
}

// `rule @ line of text`, trimmed, for every finding.
std::vector<std::string> found(const std::string& design) {
    static tests::Bench bench;
    std::vector<std::string> out;
    for (const findings::Finding& f : bench.check_text(design).report.findings) {
        std::string line(bench.line_text(f.span));
        line.erase(0, line.find_first_not_of(' '));
        out.push_back(f.rule + " @ " + line);
    }
    return out;
}

class Planted : public testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(Designs, Planted, testing::Values("pump-house", "alder-house", "lark-van"));

TEST_P(Planted, TheDesignIsRightToBeginWith) { EXPECT_EQ(found(read(std::string(GetParam()) + ".fer")), std::vector<std::string>{}); }

TEST_P(Planted, EveryMistakeIsFoundAtItsLineAndNothingElse) {
    const std::string name = GetParam();
    text::Sources sources;
    const text::FileId file = sources.add(name + ".toml", read(name + ".toml"));
    const tables::TomlFile toml = tables::read_toml(sources, file);
    ASSERT_TRUE(toml.findings.empty());
    const std::string right = read(name + ".fer");
    const tables::Value* faults = toml.root.find("fault");
    ASSERT_NE(faults, nullptr);
    EXPECT_GE(faults->items.size(), 12U);
    for (const tables::Value& fault : faults->items) {
        SCOPED_TRACE(fault.string("name"));
        std::string wrong = right;
        for (const tables::Value& change : fault.find("change")->items) {
            const std::size_t at = wrong.find(change.items[0].text);
            ASSERT_NE(at, std::string::npos) << change.items[0].text;
            wrong.replace(at, change.items[0].text.size(), change.items[1].text);
        }
        const std::vector<std::string> got = found(wrong);
        const std::vector<tables::Value>& wanted = fault.find("finds")->items;
        std::string all;
        for (const std::string& g : got) all += g + "\n";
        ASSERT_EQ(got.size(), wanted.size()) << all;
        for (std::size_t i = 0; i < got.size(); ++i) EXPECT_EQ(got[i].substr(0, wanted[i].text.size()), wanted[i].text);
    }
}

}  // namespace
}  // namespace ferrule
