// A whole check of a design that stands in a string or a file, for tests that look at findings.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/files.hpp"
#include "project/check.hpp"
#include "project/knowledge.hpp"
#include "project/loader.hpp"

namespace ferrule::tests {

class Bench {
public:
    explicit Bench(const project::KnowledgeOptions& options = {}) : knowledge_(project::learn(sources_, base::disk(), options)) {}

    [[nodiscard]] const project::Knowledge& knowledge() const { return knowledge_; }
    [[nodiscard]] const text::Sources& sources() const { return sources_; }

    // A design in a string. Each call is a run of its own.
    [[nodiscard]] project::CheckResult check_text(const std::string& design, const rules::Options& options = {}) {
        project::Loader loader(sources_, base::disk());
        return project::check(sources_, loader, {loader.add("design.fer", design)}, knowledge_, {{}, {}, options});
    }
    // A design file and all it includes.
    [[nodiscard]] project::CheckResult check_file(const std::string& path) {
        project::Loader loader(sources_, base::disk());
        const auto opened = loader.open(path);
        const auto* file = std::get_if<text::FileId>(&opened);
        return file == nullptr ? project::CheckResult() : project::check(sources_, loader, {*file}, knowledge_, {});
    }

    [[nodiscard]] std::uint32_t line_of(text::Span span) const { return span ? sources_[span.file].at(span.begin).line : 0; }
    [[nodiscard]] std::string_view line_text(text::Span span) const {
        return span ? sources_[span.file].line(line_of(span)) : std::string_view();
    }

private:
    text::Sources sources_;
    project::Knowledge knowledge_;
};

}  // namespace ferrule::tests
