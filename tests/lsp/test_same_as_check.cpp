// What the editor is told and what `check` prints are the same, on every example file.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "helper_client.hpp"
#include "project/check.hpp"
#include "support/turns.hpp"

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

// "rule file:line" of each finding.
using Said = std::multiset<std::string>;

class Checker {
public:
    Checker() : knowledge_(ferrule::project::learn(rule_sources_, ferrule::base::disk(), {})) {}

    [[nodiscard]] Said operator()(const fs::path& path, const std::string& text) const {
        ferrule::text::Sources sources;
        ferrule::project::Loader loader(sources, ferrule::base::disk());
        const ferrule::text::FileId file = loader.add(path.string(), text);
        ferrule::project::CheckOptions options;
        options.rules.today = {2026, 11, 25};
        Said all;
        for (const auto& f : ferrule::project::check(sources, loader, {file}, knowledge_, options).report.findings) {
            EXPECT_TRUE(f.span) << f.rule;
            if (!f.span) continue;
            const auto at = sources[f.span.file].at(f.span.begin);
            all.insert(f.rule + " " + fs::weakly_canonical(sources[f.span.file].path()).string() + ":" + std::to_string(at.line));
        }
        return all;
    }

private:
    ferrule::text::Sources rule_sources_;
    ferrule::project::Knowledge knowledge_;
};

class Editor {
public:
    Editor(const fs::path& path, const std::string& text) : path_(path), server_(ferrule::base::disk(), clock_, {"test", ""}, [this](const Json& m) { hear(m); }) {
        server_.receive(R"({"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}})");
        server_.receive(R"({"jsonrpc":"2.0","method":"initialized","params":{}})");
        tell("textDocument/didOpen", {{"textDocument", {{"uri", uri()}, {"version", 1}, {"text", text}}}});
    }
    void change(const std::string& text) { tell("textDocument/didChange", {{"textDocument", {{"uri", uri()}, {"version", ++version_}}}, {"contentChanges", {{{"text", text}}}}}); }
    // What is shown now, in all files.
    [[nodiscard]] Said shown() const {
        Said all;
        for (const auto& [file, said] : by_file_) all.insert(said.begin(), said.end());
        return all;
    }

private:
    [[nodiscard]] std::string uri() const { return "file://" + path_.string(); }
    void tell(const std::string& method, const Json& params) {
        server_.receive(Json({{"jsonrpc", "2.0"}, {"method", method}, {"params", params}}).dump());
        server_.idle();
    }
    void hear(const Json& m) {
        if (m.value("method", "") != "textDocument/publishDiagnostics") return;
        const std::string file = m["params"]["uri"].get<std::string>().substr(7);
        Said& here = by_file_[file];
        here.clear();
        for (const Json& d : m["params"]["diagnostics"]) here.insert(d["code"].get<std::string>() + " " + file + ":" + std::to_string(d["range"]["start"]["line"].get<int>() + 1));
    }

    fs::path path_;
    std::map<std::string, Said> by_file_;
    const ferrule::tests::FixedClock clock_;
    int version_ = 1;
    ferrule::lsp::Server server_;
};

TEST(SameAsCheck, OnEveryExample) {
    const Checker check;
    for (const fs::path& path : designs()) {
        const std::string text = read(path);
        EXPECT_EQ(Editor(path, text).shown(), check(path, text)) << path;
    }
}

// A line is lost, halved, doubled, put back: what was read before must leave no trace.
TEST(SameAsCheck, AfterEveryEdit) {
    const Checker check;
    for (const fs::path& path : designs()) {
        if (path.stem() == "utility") continue;  // its size makes it slow, and shows nothing that the others do not
        const std::string text = read(path);
        Editor editor(path, text);
        const std::size_t step = std::max<std::size_t>(text.size() / ferrule::tests::turns(12), 1);
        for (std::size_t at = step / 2, k = 0; at < text.size(); at += step, ++k) {
            const std::size_t begin = text.rfind('\n', at) + 1, end = std::min(text.find('\n', at), text.size());
            std::string now = text;
            if (k % 3 == 0) now.erase(begin, end - begin);
            else if (k % 3 == 1) now.erase(at, end - at);
            else now.insert(end, "\n" + text.substr(begin, end - begin));
            editor.change(now);
            ASSERT_EQ(editor.shown(), check(path, now)) << path << " changed at byte " << at;
            if (k % 2 == 1) continue;
            editor.change(text);
            ASSERT_EQ(editor.shown(), check(path, text)) << path << " put back at byte " << at;
        }
    }
}

// Nothing that is found has no line to show it at.
TEST(SameAsCheck, WithoutASite) {
    const std::string text = "edition 1\nplace R { outdoors exposed }\npart PM is module { voc 40 V; isc 12 A; max-system 1000 V; max-fuse 20 A; frame none }\nstring E is 3 x PM on R\n";
    const fs::path path = FERRULE_SOURCE_DIR "/examples/no-such.fer";
    const Said expected = Checker()(path, text);
    EXPECT_EQ(Editor(path, text).shown(), expected);
    EXPECT_TRUE(expected.contains("design.coldest-missing " + path.string() + ":1"));
}

}  // namespace
