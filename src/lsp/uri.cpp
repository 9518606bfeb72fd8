#include "lsp/uri.hpp"

namespace ferrule::lsp {

namespace {

constexpr std::string_view scheme = "file://";

int hex(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

bool plain(char c) {  // RFC 3986: unreserved, and what may stand in a path
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || std::string_view("-._~/!$&'()*+,;=@").find(c) != std::string_view::npos;
}

}  // namespace

std::string path_of(std::string_view uri) {
    if (!uri.starts_with(scheme)) return std::string(uri);
    std::string_view rest = uri.substr(scheme.size());
    if (!rest.starts_with('/')) {  // file://localhost/…
        const std::size_t slash = rest.find('/');
        rest = slash == std::string_view::npos ? std::string_view() : rest.substr(slash);
    }
    std::string path;
    for (std::size_t i = 0; i < rest.size(); ++i) {
        if (rest[i] == '%' && i + 2 < rest.size() && hex(rest[i + 1]) >= 0 && hex(rest[i + 2]) >= 0) {
            path += static_cast<char>(hex(rest[i + 1]) * 16 + hex(rest[i + 2]));
            i += 2;
        } else {
            path += rest[i];
        }
    }
    return path;
}

std::string uri_of(std::string_view path) {
    if (!path.starts_with('/')) return std::string(path);
    static constexpr char digits[] = "0123456789ABCDEF";
    std::string uri(scheme);
    for (const char c : path) {
        if (plain(c)) {
            uri += c;
        } else {
            uri += '%';
            uri += digits[static_cast<unsigned char>(c) >> 4U];
            uri += digits[static_cast<unsigned char>(c) & 15U];
        }
    }
    return uri;
}

}  // namespace ferrule::lsp
