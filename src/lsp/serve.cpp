#include "lsp/serve.hpp"

#include <unistd.h>

#include <cerrno>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>

#include "lsp/framing.hpp"
#include "lsp/server.hpp"

namespace ferrule::lsp {

namespace {

// What the reading thread hands to the working one. A request that is cancelled while it waits is marked at once.
class Inbox {
public:
    struct Item {
        Framing::Message message;
        bool end = false;
    };
    void put(Item item) {
        {
            const std::lock_guard lock(mutex_);
            items_.push_back(std::move(item));
        }
        arrived_.notify_one();
    }
    Item take() {
        std::unique_lock lock(mutex_);
        arrived_.wait(lock, [&] { return !items_.empty(); });
        Item item = std::move(items_.front());
        items_.pop_front();
        return item;
    }
    [[nodiscard]] bool empty() const {
        const std::lock_guard lock(mutex_);
        return items_.empty();
    }
    // The ids that waiting `$/cancelRequest` messages name.
    [[nodiscard]] std::vector<Json> cancelled() const {
        const std::lock_guard lock(mutex_);
        std::vector<Json> ids;
        for (const Item& item : items_) {
            if (item.message.body.find("$/cancelRequest") == std::string::npos) continue;
            const Json m = parse_message(item.message.body);
            if (m.is_object() && m.contains("method") && m["method"] == "$/cancelRequest" && m.contains("params") && m["params"].is_object() && m["params"].contains("id")) ids.push_back(m["params"]["id"]);
        }
        return ids;
    }

private:
    mutable std::mutex mutex_;
    std::condition_variable arrived_;
    std::deque<Item> items_;
};

void read_all(Inbox& inbox) {
    Framing framing;
    std::string buffer(1U << 16U, '\0');
    for (;;) {
        const ssize_t n = ::read(STDIN_FILENO, buffer.data(), buffer.size());
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) break;
        framing.feed(std::string_view(buffer).substr(0, static_cast<std::size_t>(n)));
        while (auto message = framing.take()) inbox.put({std::move(*message), false});
    }
    inbox.put({{}, true});
}

bool write_all(std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t n = ::write(STDOUT_FILENO, bytes.data(), bytes.size());
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) return false;
        bytes.remove_prefix(static_cast<std::size_t>(n));
    }
    return true;
}

}  // namespace

int serve(const base::FileSystem& disk, const base::Clock& clock, const ServerOptions& options) {
    bool connected = true;
    Server server(disk, clock, options, [&](const Json& message) {
        // Bytes that are no UTF-8 come from files; they are shown as such and stop nothing.
        if (connected) connected = write_all(framed(message.dump(-1, ' ', false, Json::error_handler_t::replace)));
    });
    // The thread may stand in read() when the client says exit; the process ends under it.
    auto* inbox = new Inbox;
    std::thread(read_all, std::ref(*inbox)).detach();
    bool going = true;
    while (going && connected) {
        if (inbox->empty() && server.anything_to_do()) {
            server.idle([&] { return !inbox->empty(); });
            continue;
        }
        Inbox::Item item = inbox->take();
        if (item.end) break;
        if (!item.message.trouble.empty()) {
            server.complain_of_framing(item.message.trouble);
            continue;
        }
        for (const Json& id : inbox->cancelled()) server.cancel(id);
        going = server.receive(item.message.body);
    }
    return server.status();
}

}  // namespace ferrule::lsp
