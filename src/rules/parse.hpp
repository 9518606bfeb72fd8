// The text of a formula into a tree of names, numbers and operators; what they mean is
// compile.hpp's business. Works within limits::formula_depth and limits::text_bytes; never throws.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "rules/formula.hpp"

namespace ferrule::rules {

struct Parsed {
    enum class Kind : std::uint8_t { number, word, path, call, operation };
    Kind kind = Kind::number;
    Op op = Op::number;                // operation
    std::uint32_t begin = 0, end = 0;  // bytes of the formula
    std::uint32_t at = 0,
                  at_end =
                      0;  // operation: its sign; call: its name; number: its unit (empty if none)
    std::vector<std::uint32_t> children;  // operands, arguments
};

struct ParsedFormula {
    std::vector<Parsed>
        nodes;          // children before parents; the last is the root; empty if there is an error
    std::string error;  // empty: none
    std::uint32_t error_at = 0;
};

[[nodiscard]] ParsedFormula parse(std::string_view formula);

}  // namespace ferrule::rules
