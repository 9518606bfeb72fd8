// A formula's text into a checked Formula: every name known, every type and dimension right.
// `voltage <= 30 A` is a finding at its sign; an unknown name is one at the name, with the nearest
// known one.
#pragma once

#include <string_view>
#include <vector>

#include "findings/finding.hpp"
#include "rules/formula.hpp"
#include "rules/names.hpp"

namespace ferrule::rules {

// What the formula must be, and where it stands.
struct Wanted {
    std::uint32_t about = none;  // the table whose row it is over
    bool flag = false;           // must be yes or no
    bool subject = false;        // must be one subject
    text::Span place;            // of the formula's first byte to its last
};

struct Compiled {
    Formula formula;                          // empty when there are findings
    std::vector<findings::Finding> findings;  // rules "rule.formula", "rule.name", "rule.unit"
};
[[nodiscard]] Compiled compile(std::string_view formula, const Names& names, const Wanted& wanted);

struct CompiledMessage {
    Message message;
    std::vector<findings::Finding> findings;
};
// Text with {formula} holes; "{{" and "}}" are braces.
[[nodiscard]] CompiledMessage compile_message(std::string_view text, const Names& names,
                                              const Wanted& wanted);

// How a dimension is called in a message: "voltage", "plain number", or "V^2 A^-1" when it has no
// name.
[[nodiscard]] std::string describe(units::Dimension dimension, const units::Units& units);

}  // namespace ferrule::rules
