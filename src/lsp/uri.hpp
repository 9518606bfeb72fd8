// file:// addresses and paths. An address of another scheme stands for itself: a document that was never saved.
#pragma once

#include <string>
#include <string_view>

namespace ferrule::lsp {

[[nodiscard]] std::string path_of(std::string_view uri);
[[nodiscard]] std::string uri_of(std::string_view path);

}  // namespace ferrule::lsp
