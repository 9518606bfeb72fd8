// What can be said about a file before its grammar is looked at: is it text at all, and are its
// lines of human length?
#pragma once

#include <string_view>
#include <vector>

#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::syntax {

struct FirstLook {
    bool readable = true;       // false: nothing in it can be read, and one finding says why
    bool bad_encoding = false;  // some bytes are no UTF-8; the rest is read
    std::vector<text::Span> long_lines;  // longer than the limit; not read
    std::vector<findings::Finding> findings;
};
[[nodiscard]] FirstLook first_look(std::string_view bytes, text::FileId file);

}  // namespace ferrule::syntax
