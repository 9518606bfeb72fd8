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
    for (const auto& [example, fault] : ferrule::tests::faults_of_rule(bench(), *rule)) {
        if (example == nullptr) ADD_FAILURE() << rule->id << " " << fault;
        else ADD_FAILURE() << bench().sources()[example->place.file].path() << ":" << bench().line_of(example->place) << ": " << fault;
    }
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
