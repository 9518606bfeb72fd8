#include "lsp/framing.hpp"

#include <algorithm>
#include <cctype>

namespace ferrule::lsp {

namespace {

std::string lower(std::string_view s) {
    std::string out(s);
    for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return out;
}

std::string_view trimmed(std::string_view s) {
    const std::size_t from = s.find_first_not_of(" \t\r");
    if (from == std::string_view::npos) return {};
    return s.substr(from, s.find_last_not_of(" \t\r") + 1 - from);
}

std::optional<std::size_t> number(std::string_view s) {
    if (s.empty() || s.size() > 12) return std::nullopt;
    std::size_t n = 0;
    for (const char c : s) {
        if (c < '0' || c > '9') return std::nullopt;
        n = n * 10 + static_cast<std::size_t>(c - '0');
    }
    return n;
}

}  // namespace

std::optional<Framing::Message> Framing::take() {
    if (at_ > (1U << 16U) && at_ * 2 > waiting_.size()) {
        waiting_.erase(0, at_);
        at_ = 0;
    }
    if (skip_ != 0) {
        const std::size_t some = std::min(skip_, waiting_.size() - at_);
        at_ += some;
        skip_ -= some;
        if (skip_ != 0) return std::nullopt;
    }
    std::optional<std::size_t> length;
    std::size_t at = at_;
    bool any = false;
    for (;;) {
        const std::size_t end = waiting_.find('\n', at);
        if (end == std::string::npos) {
            // A header is short; what goes on and on without a line's end is none.
            if (waiting_.size() - at > 4096) {
                at_ = waiting_.size();
                return Message{{}, "a header line that does not end"};
            }
            return std::nullopt;
        }
        const std::string_view line = trimmed(std::string_view(waiting_).substr(at, end - at));
        at = end + 1;
        if (line.empty()) {
            if (!any) {  // blank lines before a header
                at_ = at;
                continue;
            }
            break;
        }
        any = true;
        const std::size_t colon = line.find(':');
        if (colon != std::string_view::npos && lower(trimmed(line.substr(0, colon))) == "content-length") length = number(trimmed(line.substr(colon + 1)));
    }
    if (!length) {
        at_ = at;
        return Message{{}, "a header without Content-Length"};
    }
    if (*length > longest) {
        at_ = at;
        skip_ = *length;
        return Message{{}, "a message longer than this server takes"};
    }
    if (waiting_.size() - at < *length) return std::nullopt;
    Message m{waiting_.substr(at, *length), {}};
    at_ = at + *length;
    return m;
}

std::string framed(std::string_view body) {
    std::string out = "Content-Length: " + std::to_string(body.size()) + "\r\n\r\n";
    out += body;
    return out;
}

}  // namespace ferrule::lsp
