// The language server on standard input and output, until the client says `exit` or closes the stream.
#pragma once

#include "base/files.hpp"
#include "lsp/options.hpp"

namespace ferrule::lsp {

// The status to end with: 0 after `shutdown` and `exit`, else 1.
[[nodiscard]] int serve(const base::FileSystem& disk, const base::Clock& clock, const ServerOptions& options);

}  // namespace ferrule::lsp
