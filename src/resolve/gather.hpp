// All files of a design, each once, in the order in which they are first included; and their
// statements, sorted by the step that reads them.
#pragma once

#include "resolve/build.hpp"

namespace ferrule::resolve {

void gather(Build& b, text::FileId root);

// What is said of a line that opens no statement.
void no_statement(Build& b, const View& v, NodeIndex line);

}  // namespace ferrule::resolve
