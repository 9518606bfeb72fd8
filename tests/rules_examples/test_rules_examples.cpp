// Every rule keeps its word: its examples go through the whole program.
#include <gtest/gtest.h>

#include "project/embedded.hpp"
#include "support/rule_examples.hpp"

namespace {

using ferrule::tests::Bench;

Bench& bench() {
    static Bench one({{}, true});
    return one;
}

TEST(RuleFiles, AreUsable) {
    for (const ferrule::findings::Finding& f : bench().knowledge().findings) {
        ADD_FAILURE() << (f.span ? bench().sources()[f.span.file].path() : "") << ":" << bench().line_of(f.span) << ": " << f.message;
    }
}

class RuleExamples : public testing::TestWithParam<std::string> {};

TEST_P(RuleExamples, KeepTheirWord) {
    const ferrule::rules::Rule* rule = bench().knowledge().rules.find(GetParam());
    ASSERT_NE(rule, nullptr);
    bool fails = false, passes = false;
    for (const ferrule::rules::Example& e : rule->examples) {
        (e.fails ? fails : passes) = true;
        for (const std::string& fault : ferrule::tests::faults_of_example(bench(), *rule, e)) {
            ADD_FAILURE() << rule->id << ", the example that " << (e.fails ? "fails" : "passes") << ", line "
                          << bench().line_of(e.place) << " of its file: " << fault;
        }
    }
    EXPECT_TRUE(fails && passes) << rule->id << " needs an example that fails and one that passes";
}

std::vector<std::string> ids() {
    std::vector<std::string> all;
    for (const ferrule::rules::Rule& r : bench().knowledge().rules.rules) all.push_back(r.id);
    return all;
}

INSTANTIATE_TEST_SUITE_P(Rules, RuleExamples, testing::ValuesIn(ids()), [](const auto& param) {
    std::string name = param.param;
    for (char& c : name) c = std::isalnum(static_cast<unsigned char>(c)) != 0 ? c : '_';
    return name;
});

}  // namespace
