// Messages on a stream of bytes: `Content-Length: N`, an empty line, N bytes (Language Server Protocol 3.17, base protocol).
// Broken framing is told and skipped; the next message that is whole is read.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

namespace ferrule::lsp {

// Cuts a stream into messages. Feed bytes as they come, take messages while there are any.
class Framing {
public:
    static constexpr std::size_t longest = 256U << 20U;  // bytes of one message

    void feed(std::string_view bytes) { waiting_.append(bytes); }
    struct Message {
        std::string body;
        std::string trouble;  // then there is no body: what was wrong with the header
    };
    [[nodiscard]] std::optional<Message> take();

private:
    std::string waiting_;
    std::size_t at_ = 0;
    std::size_t skip_ = 0;  // bytes of a message too long to be kept
};

[[nodiscard]] std::string framed(std::string_view body);

}  // namespace ferrule::lsp
