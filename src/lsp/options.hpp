#pragma once

#include <string>

namespace ferrule::lsp {

struct ServerOptions {
    std::string version;
    std::string rule_pages;  // a folder with a page ID.md for every rule, or ""
};

}  // namespace ferrule::lsp
