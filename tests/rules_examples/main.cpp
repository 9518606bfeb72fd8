// For whoever writes a rule: rule_examples [--dir DIR] [RULE] runs the examples and says what is wrong with each.
// --dir DIR reads the rule files of that folder instead of those inside the program.
#include <cstdio>
#include <string>

#include "support/rule_examples.hpp"

int main(int argc, char** argv) {
    using namespace ferrule;
    project::KnowledgeOptions options{{}, true};
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
        bool clean = true;
        for (const rules::Example& e : rule.examples) {
            const auto faults = tests::faults_of_example(bench, rule, e);
            if (faults.empty() && only.empty()) continue;
            if (!faults.empty()) clean = false;
            std::printf("%s, the example that %s (%s:%u)\n", rule.id.c_str(), e.fails ? "fails" : "passes",
                        bench.sources()[e.place.file].path().c_str(), bench.line_of(e.place));
            for (const std::string& fault : faults) std::printf("    wrong: %s\n", fault.c_str());
            for (const findings::Finding& f : bench.check_text(e.design).report.findings) {
                std::printf("    found: line %u of it: %s: %s [%s]\n", bench.line_of(f.span), std::string(findings::word(f.severity)).c_str(),
                            f.message.c_str(), f.rule.c_str());
            }
        }
        if (rule.examples.empty()) {
            clean = false;
            std::printf("%s has no example\n", rule.id.c_str());
        }
        (clean ? good : wrong) += 1;
    }
    std::printf("%d rules keep their word, %d things are wrong\n", good, wrong);
    return wrong == 0 ? 0 : 1;
}
