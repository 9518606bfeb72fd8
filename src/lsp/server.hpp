// The Language Server Protocol (3.17) over `service`: translates, and keeps what the protocol itself has to remember. One message
// at a time; whoever runs it feeds messages and calls `idle` when none is waiting, which is when designs are checked.
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include <nlohmann/json.hpp>

#include "lsp/options.hpp"
#include "lsp/position.hpp"
#include "service/hints.hpp"
#include "service/workspace.hpp"

namespace ferrule::lsp {

using Json = nlohmann::json;

// A message as JSON; discarded when it is none, or nests deeper than anything the protocol says.
[[nodiscard]] Json parse_message(const std::string& body);

class Server {
public:
    using Send = std::function<void(const Json&)>;
    Server(const base::FileSystem& disk, const base::Clock& clock, ServerOptions options, Send send);

    // One message as it came. False once the client has said `exit`.
    bool receive(const std::string& body);
    void complain_of_framing(const std::string& trouble);
    // Nothing more is waiting: check what has changed and tell. `waiting` is asked between designs; true puts the rest off.
    void idle(const std::function<bool()>& waiting = {});
    [[nodiscard]] bool anything_to_do() const { return running() && workspace_.stale(); }
    // What the process ends with: 0 after shutdown and exit.
    [[nodiscard]] int status() const { return shut_down_ ? 0 : 1; }
    // A request that is still waiting somewhere and shall not be carried out.
    void cancel(const Json& id) { cancelled_.insert(id.dump()); }

private:
    static constexpr int invalid_params = -32602;  // what the protocol calls a request that cannot be meant
    struct Failure {
        int code;
        std::string message;
    };
    [[nodiscard]] bool running() const { return initialized_ && !shut_down_; }
    void request(const Json& id, const std::string& method, const Json& params);
    void notification(const std::string& method, const Json& params);
    Json answer(const std::string& method, const Json& params);
    void reply(const Json& id, Json result);
    void refuse(const Json& id, int code, const std::string& message);
    void notify(std::string_view method, Json params);
    void ask(std::string_view method, Json params);
    void log(const std::string& message);

    Json initialize(const Json& params);
    void initialized();
    void did_open(const Json& params);
    void did_change(const Json& params);
    void did_close(const Json& params);
    void watched(const Json& params);
    void folders_changed(const Json& event);

    // Language features; each in requests.cpp.
    Json hover(const Json& params);
    Json completion(const Json& params);
    Json resolve_completion(const Json& params);
    Json definition(const Json& params);
    Json references(const Json& params);
    Json highlight(const Json& params);
    Json prepare_rename(const Json& params);
    Json rename(const Json& params);
    Json document_symbols(const Json& params);
    Json workspace_symbols(const Json& params);
    Json code_actions(const Json& params);
    Json formatting(const Json& params, bool range);
    Json semantic_tokens(const Json& params, bool range);
    Json semantic_delta(const Json& params);
    Json inlay_hints(const Json& params);
    Json resolve_hint(const Json& params);
    Json folding(const Json& params);
    Json selection(const Json& params);
    Json document_links(const Json& params);
    Json pull_diagnostics(const Json& params);
    Json pull_workspace(const Json& params);

    // A document or file that a question is about, up to date.
    struct Asked {
        std::string path;
        service::View view;
        std::unique_ptr<Lines> lines;
    };
    [[nodiscard]] Asked asked(const Json& params);
    [[nodiscard]] std::uint32_t offset_in(const Asked& a, const Json& position) const;
    [[nodiscard]] const Lines& lines_of(const service::Design& design, text::FileId file);
    [[nodiscard]] Json range(const Lines& lines, text::Span span) const;
    [[nodiscard]] Json location(const service::Design& design, text::Span span);
    [[nodiscard]] std::string path_in(const service::Design& design, text::FileId file) const;
    [[nodiscard]] Json edits(const service::Design& design, const std::vector<findings::Edit>& all);
    [[nodiscard]] Json workspace_edit(const std::map<std::string, Json>& by_path) const;
    [[nodiscard]] Json diagnostics(const std::string& path);
    [[nodiscard]] Json diagnostic(const service::Design& design, const findings::Finding& f);
    [[nodiscard]] std::vector<std::uint32_t> token_data(const Asked& a, std::uint32_t begin, std::uint32_t end);
    void publish(const std::vector<std::string>& paths);
    void configure(const Json& settings);

    service::Workspace workspace_;
    ServerOptions options_;
    Send send_;
    bool initialized_ = false, shut_down_ = false, exited_ = false;
    Encoding encoding_ = Encoding::utf16;
    bool pulls_ = false, related_ = false, described_ = false, versioned_edits_ = false, progress_ = false, watches_ = false,
         hint_refresh_ = false, diagnostic_refresh_ = false, markdown_ = true, snippets_ = false, nested_symbols_ = false;
    bool hints_on_ = true;
    std::int64_t next_id_ = 1;
    std::vector<std::string> folders_;
    std::set<std::string> cancelled_;
    std::map<std::string, std::string> uri_of_;        // open documents: path -> the address the client uses
    std::map<std::string, std::int64_t> version_of_;
    std::map<std::string, Json> published_;            // what each file's diagnostics were last said to be
    std::map<std::string, std::pair<std::string, std::vector<std::uint32_t>>> tokens_;  // by path: result id and data
    std::map<std::tuple<const service::Design*, std::uint32_t, std::uint32_t>, std::unique_ptr<Lines>> lines_;  // of designs as they are now, how often amended, and file
};

}  // namespace ferrule::lsp
