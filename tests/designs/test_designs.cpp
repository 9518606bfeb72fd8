// Every design under tests/designs and examples is its own test. A comment `#! RULE [RULE …]` at the end of a line
// names the findings that this line must cause; a finding without its comment fails as well as a comment without its
// finding. Accepted findings are not counted. A file that another one includes is tested with that one.
#include <algorithm>
#include <filesystem>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "project/roots.hpp"
#include "support/bench.hpp"

namespace {

namespace fs = std::filesystem;
using ferrule::tests::Bench;
using Said = std::multiset<std::string>;  // "file:line rule"

Bench& bench() {
    static Bench one;
    return one;
}

std::vector<std::string> designs() {
    ferrule::text::Sources sources;
    ferrule::project::Loader loader(sources, ferrule::base::disk());
    ferrule::project::Request request;
    for (const char* folder : {"/tests/designs", "/examples"}) {
        const std::string path = std::string(FERRULE_SOURCE_DIR) + folder;
        if (!ferrule::base::disk().list(path, ".fer").empty()) request.paths.push_back(path);
    }
    const auto named = ferrule::project::named_files(request, loader, ferrule::base::disk());
    std::vector<std::string> paths;
    for (const ferrule::text::FileId f : ferrule::project::not_included(named.files, loader)) paths.push_back(sources[f].path());
    return paths;
}

void expected_in(const ferrule::text::Source& source, Said& said) {
    for (std::uint32_t n = 1; n <= source.line_count(); ++n) {
        const std::string_view line = source.line(n);
        const std::size_t at = line.find("#! ");
        if (at == std::string_view::npos || line.find('#') != at) continue;
        std::istringstream rules{std::string(line.substr(at + 3))};
        for (std::string rule; rules >> rule;) said.insert(source.path() + ":" + std::to_string(n) + " " + rule);
    }
}

class Designs : public testing::TestWithParam<std::string> {};

TEST_P(Designs, SayWhatTheirCommentsSay) {
    const ferrule::project::CheckResult result = bench().check_file(GetParam());
    Said expected, found;
    std::set<std::string> files(result.checked.files.begin(), result.checked.files.end());
    ASSERT_FALSE(files.empty()) << GetParam() << " cannot be read";
    for (std::size_t i = bench().sources().size(); i-- > 0;) {  // the newest copy of each file
        const ferrule::text::Source& source = bench().sources()[ferrule::text::FileId(i)];
        if (files.erase(source.path()) != 0) expected_in(source, expected);
    }
    std::vector<std::string> messages;
    for (const ferrule::findings::Finding& f : result.report.findings) {
        if (f.accepted) continue;
        const std::string key = bench().sources()[f.span.file].path() + ":" + std::to_string(bench().line_of(f.span)) + " " + f.rule;
        found.insert(key);
        if (expected.count(key) == 0) ADD_FAILURE() << "not expected: " << key << "\n    " << f.message;
    }
    for (const std::string& key : expected) {
        if (found.count(key) == 0) ADD_FAILURE() << "missing: " << key;
    }
}

INSTANTIATE_TEST_SUITE_P(Files, Designs, testing::ValuesIn(designs()), [](const auto& param) {
    std::string name = fs::path(param.param).lexically_relative(FERRULE_SOURCE_DIR).replace_extension().string();
    for (char& c : name) c = std::isalnum(static_cast<unsigned char>(c)) != 0 ? c : '_';
    return name;
});

}  // namespace
