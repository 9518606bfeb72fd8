// How `resolve` gets at the files of a design. Paths, the project's root and kinds of file are the
// business of whoever implements this (room `project`, or a test); how deep and in what circle
// files include each other is not.
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "syntax/tree.hpp"
#include "text/source.hpp"

namespace ferrule::resolve {

struct Loader {
    virtual ~Loader() = default;
    // The file that `include "path"` in `from` means: the same id for the same file, however it is
    // spelt; or what is wrong with it, as a person should read it, behind a line break what to do.
    virtual std::variant<text::FileId, std::string> include(text::FileId from,
                                                            std::string_view path) = 0;
    // Its tree. Stays where it is as long as the loader lives.
    virtual const syntax::Tree& tree(text::FileId file) = 0;
};

}  // namespace ferrule::resolve
