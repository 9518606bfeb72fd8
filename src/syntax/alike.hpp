// What an edit in one place changed in a tree: nothing but places, one number, or one statement that is a conductor or none at all.
#pragma once

#include <optional>
#include <string_view>

#include "syntax/tree.hpp"
#include "text/moved.hpp"

namespace ferrule::syntax {

struct Alike {
    text::Moved moved;     // where what stood outside of what differs stands now
    NodeIndex number = 0;  // the one that differs, in both trees; 0: none does
    // The conductor statement, or line of junk or without a keyword, that differs, in either tree; 0: there is none. The lines that it has for itself, in either text.
    NodeIndex was = 0, is = 0;
    text::Span lines_before = {}, lines_now = {};
};

// Nothing: something else differs, or it cannot be told at once. Both trees are of one file, as it was and as it is; `now`
// was read with `before` at hand.
[[nodiscard]] std::optional<Alike> alike(const Tree& before, std::string_view text_before, const Tree& now, std::string_view text_now);

}  // namespace ferrule::syntax
