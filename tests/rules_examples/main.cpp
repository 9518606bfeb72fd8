// For whoever writes a rule: rule_examples [--dir DIR] [RULE] runs the examples and says what is wrong with each.
// --dir DIR reads the rule files of that folder instead of those inside the program.
#include <cstdio>
#include <string>

#include "support/rule_examples.hpp"

int main(int argc, char** argv) {
    using namespace ferrule;
    project::KnowledgeOptions options;
    options.examples = true;
    std::string only;
    for (int i = 1; i < argc; ++i) {
        const std::string arg = argv[i];
        if (arg == "--dir" && i + 1 < argc) {
            options.rule_folders = {argv[++i]};
            options.built_in_rules = false;
        } else {
            only = arg;
        }
    }
    tests::Bench bench(options);
    int wrong = 0, good = 0;
    for (const findings::Finding& f : bench.knowledge().findings) {
        ++wrong;
        const std::string file = f.span ? bench.sources()[f.span.file].path() : "";
        std::printf("%s:%u: %s [%s]\n", file.c_str(), bench.line_of(f.span), f.message.c_str(), f.rule.c_str());
    }
    for (const rules::Rule& rule : bench.knowledge().rules.rules) {
        if (!only.empty() && rule.id.find(only) == std::string::npos) continue;
        const auto faults = tests::faults_of_rule(bench, rule);
        (faults.empty() ? good : wrong) += 1;
        for (const auto& [example, fault] : faults) {
            if (example == nullptr) std::printf("%s %s\n", rule.id.c_str(), fault.c_str());
        }
        for (const rules::Example& e : rule.examples) {
            bool clean = true;
            for (const auto& [example, fault] : faults) {
                if (example != &e) continue;
                std::printf("%s:%u: the example that %s: %s\n", bench.sources()[e.place.file].path().c_str(), bench.line_of(e.place),
                            e.fails ? "fails" : "passes", fault.c_str());
                clean = false;
            }
            if (clean && only.empty()) continue;
            for (const findings::Finding& f : bench.check_text(e.design).report.findings) {
                std::printf("    line %u of the one that %s: %s: %s [%s]\n", bench.line_of(f.span), e.fails ? "fails" : "passes",
                            std::string(findings::word(f.severity)).c_str(), f.message.c_str(), f.rule.c_str());
            }
        }
    }
    std::printf("%d rules keep their word, %d things are wrong\n", good, wrong);
    return wrong == 0 ? 0 : 1;
}
