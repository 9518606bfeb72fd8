// Matched values to fields of the design: numbers to SI, texts without their quotes, names to what
// they mean.
#pragma once

#include <optional>
#include <vector>

#include "resolve/build.hpp"
#include "resolve/quantity.hpp"
#include "resolve/shape_match.hpp"

namespace ferrule::resolve {

struct FieldsRead {
    std::vector<graph::Field> fields;
    bool good = true;  // false: one of the values could not be read; reported
};

[[nodiscard]] FieldsRead read_fields(Build& b, const View& v, Scope scope,
                                     const std::vector<Atom>& atoms,
                                     const std::vector<Capture>& captures,
                                     Sign sign = Sign::of_dimension);

// A text without its quotes, \" and \\ undone.
[[nodiscard]] std::string unescape(std::string_view text);

}  // namespace ferrule::resolve
