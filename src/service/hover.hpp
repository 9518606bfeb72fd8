// What the program knows about the word under the cursor: a property's meaning, a thing's computed values with their working, a
// rule, a statement, a unit. As Markdown, which every editor shows.
#pragma once

#include <optional>
#include <string>

#include "service/workspace.hpp"

namespace ferrule::service {

struct Hover {
    text::Span span;
    std::string markdown;
};

[[nodiscard]] std::optional<Hover> hover(const View& view, std::uint32_t offset);

// The pages behind it, for completion to show beside its proposals.
[[nodiscard]] std::string property_page(const graph::Property& property, const graph::Kind& kind);
[[nodiscard]] std::string statement_page(const graph::StatementText& statement);
[[nodiscard]] std::string kind_page(const graph::Kind& kind);
[[nodiscard]] std::string rule_page(const rules::Rule& rule);

}  // namespace ferrule::service
