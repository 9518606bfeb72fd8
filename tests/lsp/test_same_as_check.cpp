// What the editor is told and what `check` prints are the same, on every example file.
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "helper_client.hpp"
#include "project/check.hpp"

namespace {

namespace fs = std::filesystem;
using ferrule::tests::Json;

std::string read(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream all;
    all << in.rdbuf();
    return all.str();
}

std::vector<fs::path> designs() {
    std::vector<fs::path> all;
    for (const char* folder : {"/examples", "/examples/wrong", "/tests/planted"}) {
        for (const auto& e : fs::directory_iterator(FERRULE_SOURCE_DIR + std::string(folder))) {
            if (e.path().extension() == ".fer") all.push_back(e.path());
        }
    }
    std::sort(all.begin(), all.end());
    return all;
}

TEST(SameAsCheck, OnEveryExample) {
    ferrule::text::Sources rule_sources;
    const ferrule::project::Knowledge knowledge = ferrule::project::learn(rule_sources, ferrule::base::disk(), {});
    for (const fs::path& path : designs()) {
        ferrule::text::Sources sources;
        ferrule::project::Loader loader(sources, ferrule::base::disk());
        const auto file = std::get<ferrule::text::FileId>(loader.open(path.string()));
        ferrule::project::CheckOptions options;
        options.rules.today = {2026, 11, 25};
        const auto checked = ferrule::project::check(sources, loader, {file}, knowledge, options);
        std::multiset<std::string> expected;
        for (const auto& f : checked.report.findings) {
            const auto at = sources[f.span.file].at(f.span.begin);
            expected.insert(f.rule + " " + fs::weakly_canonical(sources[f.span.file].path()).string() + ":" + std::to_string(at.line));
        }

        std::vector<Json> said;
        const ferrule::tests::FixedClock clock;
        ferrule::lsp::Server server(ferrule::base::disk(), clock, {"test", ""}, [&](const Json& m) { said.push_back(m); });
        server.receive(R"({"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}})");
        server.receive(R"({"jsonrpc":"2.0","method":"initialized","params":{}})");
        server.receive(Json({{"jsonrpc", "2.0"}, {"method", "textDocument/didOpen"}, {"params", {{"textDocument", {{"uri", "file://" + path.string()}, {"version", 1}, {"text", read(path)}}}}}}).dump());
        server.idle();
        std::multiset<std::string> told;
        for (const Json& m : said) {
            if (m.value("method", "") != "textDocument/publishDiagnostics") continue;
            for (const Json& d : m["params"]["diagnostics"]) {
                told.insert(d["code"].get<std::string>() + " " + m["params"]["uri"].get<std::string>().substr(7) + ":" + std::to_string(d["range"]["start"]["line"].get<int>() + 1));
            }
        }
        EXPECT_EQ(told, expected) << path;
    }
}

}  // namespace
