// A design file in the house layout. What the layout is:
//   - a block is four blanks further in than its statement; one that stands on one line stays on one line;
//   - one statement a line; properties that share a line (`section 6 mm2; strands class-5`) may go on sharing it;
//   - in a run of lines of one form (properties, conductors, devices …) the pieces stand below each other;
//   - words are one blank apart, `->` and a range's `..` between blanks, nothing inside `[ ]`;
//   - units and `x` in their plain spelling (mm2, ohm, degC, uF); the texts and numbers as they are;
//   - comments keep their places; those behind adjacent lines stand below each other; one empty line at most in a row;
//   - the file keeps its line ends; 0 bytes stay 0 bytes.
// Promises: tidying what is tidy changes nothing; the tree keeps every node and every word (this is checked before the
// text is returned, and the text comes back as it was if it were not so). A statement of the outermost level that could
// not be read, or holds something that could not be, is left exactly as it is. Linear in the size of the text.
#pragma once

#include <string>

#include "syntax/tree.hpp"
#include "text/source.hpp"

namespace ferrule::format {

[[nodiscard]] std::string tidy(const text::Sources& sources, const syntax::Tree& tree);

}  // namespace ferrule::format
