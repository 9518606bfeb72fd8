// A property that does not fit its shape, said so that a person can put it right: which value does
// not fit, what is wanted there, and how it is written.
#pragma once

#include <string>

#include "findings/finding.hpp"
#include "resolve/build.hpp"
#include "resolve/shape_match.hpp"

namespace ferrule::resolve {

// What a place in a shape wants: "a voltage, with its unit", "one of pin, socket", "the name of a
// gland".
[[nodiscard]] std::string in_words(const graph::Shape& shape);

// `statement` is the property's line.
[[nodiscard]] findings::Finding misfit(const Build& b, const View& v, Span statement,
                                       const graph::Property& property,
                                       const std::vector<Atom>& atoms, const ShapeMatch& match);

}  // namespace ferrule::resolve
