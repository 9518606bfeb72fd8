// A text as it was or is, for whatever is resolved again after an edit of it.
#pragma once

#include <string_view>

#include "syntax/tree.hpp"

namespace ferrule::resolve {

struct Text {
    const syntax::Tree& tree;
    std::string_view bytes;
};

}  // namespace ferrule::resolve
