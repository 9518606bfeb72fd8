// What could stand at the cursor. A line is read on its own, so the words before the cursor on its line decide, with the block
// around it; names come from the design as it was last read, so a half-written line proposes what its neighbours declare.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "service/workspace.hpp"

namespace ferrule::service {

struct Proposal {
    enum class Sort : std::uint8_t { keyword, property, kind, part, thing, terminal, unit, word, rule };
    Sort sort = Sort::word;
    std::string label;
    std::string detail;   // one short line
    std::string insert;   // what is written in its place; with `snippet` it holds ${1:…} stops
    bool snippet = false;
    text::Span replaces;  // what stands there already
    std::string topic;    // for `documentation`: "property isolator rated", "rule id", "statement run", "kind isolator"
};

[[nodiscard]] std::vector<Proposal> complete(const View& view, std::uint32_t offset);

// The page behind a proposal, Markdown; "" if its topic has none.
[[nodiscard]] std::string documentation(const project::Knowledge& knowledge, std::string_view topic);

}  // namespace ferrule::service
