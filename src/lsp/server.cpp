#include "lsp/server.hpp"

#include <algorithm>

#include "lsp/uri.hpp"
#include "service/paint.hpp"

namespace ferrule::lsp {

namespace {

// JSON-RPC and protocol error codes.
constexpr int parse_error = -32700, invalid_request = -32600, method_not_found = -32601, internal_error = -32603,
              not_initialized = -32002, request_cancelled = -32800;

bool has(const Json& j, std::initializer_list<const char*> path) {
    const Json* at = &j;
    for (const char* key : path) {
        if (!at->is_object()) return false;
        const auto next = at->find(key);
        if (next == at->end()) return false;
        at = &*next;
    }
    return !at->is_null() && !(at->is_boolean() && !at->get<bool>());
}

std::string text_at(const Json& j, const char* key) {
    if (!j.is_object()) return {};
    const auto at = j.find(key);
    return at != j.end() && at->is_string() ? at->get<std::string>() : std::string();
}

}  // namespace

Json parse_message(const std::string& body) {
    constexpr int deepest = 100;  // printing and copying recurse
    bool too_deep = false;
    Json message = Json::parse(
        body,
        [&](int depth, Json::parse_event_t, Json&) {
            too_deep |= depth > deepest;
            return depth <= deepest;
        },
        false);
    return too_deep ? Json(Json::value_t::discarded) : message;
}

Server::Server(const base::FileSystem& disk, const base::Clock& clock, ServerOptions options, Send send)
    : workspace_(disk, clock), options_(std::move(options)), send_(std::move(send)) {}

void Server::notify(std::string_view method, Json params) { send_({{"jsonrpc", "2.0"}, {"method", method}, {"params", std::move(params)}}); }

void Server::ask(std::string_view method, Json params) {
    Json message = {{"jsonrpc", "2.0"}, {"id", "ferrule-" + std::to_string(next_id_++)}, {"method", method}};
    if (!params.is_null()) message["params"] = std::move(params);
    send_(message);
}

void Server::reply(const Json& id, Json result) { send_({{"jsonrpc", "2.0"}, {"id", id}, {"result", std::move(result)}}); }

void Server::refuse(const Json& id, int code, const std::string& message) {
    send_({{"jsonrpc", "2.0"}, {"id", id}, {"error", {{"code", code}, {"message", message}}}});
}

void Server::log(const std::string& message) { notify("window/logMessage", {{"type", 3}, {"message", message}}); }

void Server::complain_of_framing(const std::string& trouble) { refuse(nullptr, parse_error, "the stream could not be read: " + trouble); }

bool Server::receive(const std::string& body) {
    const Json message = parse_message(body);
    if (message.is_discarded()) {
        refuse(nullptr, parse_error, "a message that is no JSON, or nests too deep");
        return true;
    }
    const auto method = message.is_object() ? message.find("method") : message.end();
    if (!message.is_object() || method == message.end() || !method->is_string()) {
        // An answer to one of our own requests has no method; nothing hangs on it.
        if (message.is_object() && (message.contains("result") || message.contains("error"))) return true;
        refuse(nullptr, invalid_request, "a message without a method");
        return true;
    }
    static const Json nothing = Json::object();
    const auto params = message.find("params");
    const Json& given = params == message.end() ? nothing : *params;
    const auto id = message.find("id");
    if (id != message.end() && !id->is_string() && !id->is_number() && !id->is_null()) {
        refuse(nullptr, invalid_request, "an id that is neither number nor text");
        return true;
    }
    if (id == message.end()) {
        notification(method->get<std::string>(), given);
        return !exited_;
    }
    request(*id, method->get<std::string>(), given);
    return true;
}

void Server::request(const Json& id, const std::string& method, const Json& params) {
    if (!cancelled_.empty() && cancelled_.erase(id.dump()) != 0) return refuse(id, request_cancelled, "cancelled");
    if (method == "initialize") {
        if (initialized_) return refuse(id, invalid_request, "this server is initialized already");
        reply(id, initialize(params));
        return;
    }
    if (!initialized_) return refuse(id, not_initialized, "`initialize` comes first");
    if (method == "shutdown") {
        shut_down_ = true;
        return reply(id, nullptr);
    }
    if (shut_down_) return refuse(id, invalid_request, "this server is shut down");
    try {
        reply(id, answer(method, params));
    } catch (const Failure& f) {
        refuse(id, f.code, f.message);
    } catch (const Json::exception& e) {
        refuse(id, invalid_params, e.what());
    } catch (const std::exception& e) {
        refuse(id, internal_error, e.what());
    }
}

Json Server::answer(const std::string& method, const Json& params) {
    static const std::map<std::string, Json (*)(Server&, const Json&)> answers = {
        {"textDocument/hover", [](Server& s, const Json& p) { return s.hover(p); }},
        {"textDocument/completion", [](Server& s, const Json& p) { return s.completion(p); }},
        {"completionItem/resolve", [](Server& s, const Json& p) { return s.resolve_completion(p); }},
        {"textDocument/definition", [](Server& s, const Json& p) { return s.definition(p); }},
        {"textDocument/references", [](Server& s, const Json& p) { return s.references(p); }},
        {"textDocument/documentHighlight", [](Server& s, const Json& p) { return s.highlight(p); }},
        {"textDocument/prepareRename", [](Server& s, const Json& p) { return s.prepare_rename(p); }},
        {"textDocument/rename", [](Server& s, const Json& p) { return s.rename(p); }},
        {"textDocument/documentSymbol", [](Server& s, const Json& p) { return s.document_symbols(p); }},
        {"workspace/symbol", [](Server& s, const Json& p) { return s.workspace_symbols(p); }},
        {"textDocument/codeAction", [](Server& s, const Json& p) { return s.code_actions(p); }},
        {"textDocument/formatting", [](Server& s, const Json& p) { return s.formatting(p, false); }},
        {"textDocument/rangeFormatting", [](Server& s, const Json& p) { return s.formatting(p, true); }},
        {"textDocument/semanticTokens/full", [](Server& s, const Json& p) { return s.semantic_tokens(p, false); }},
        {"textDocument/semanticTokens/range", [](Server& s, const Json& p) { return s.semantic_tokens(p, true); }},
        {"textDocument/semanticTokens/full/delta", [](Server& s, const Json& p) { return s.semantic_delta(p); }},
        {"textDocument/inlayHint", [](Server& s, const Json& p) { return s.inlay_hints(p); }},
        {"inlayHint/resolve", [](Server& s, const Json& p) { return s.resolve_hint(p); }},
        {"textDocument/foldingRange", [](Server& s, const Json& p) { return s.folding(p); }},
        {"textDocument/selectionRange", [](Server& s, const Json& p) { return s.selection(p); }},
        {"textDocument/documentLink", [](Server& s, const Json& p) { return s.document_links(p); }},
        {"textDocument/diagnostic", [](Server& s, const Json& p) { return s.pull_diagnostics(p); }},
        {"workspace/diagnostic", [](Server& s, const Json& p) { return s.pull_workspace(p); }},
    };
    const auto at = answers.find(method);
    if (at == answers.end()) throw Failure{method_not_found, "this server knows no " + method};
    return at->second(*this, params);
}

void Server::notification(const std::string& method, const Json& params) {
    if (method == "exit") {
        exited_ = true;
        return;
    }
    if (!running()) return;
    try {
        if (method == "initialized") initialized();
        else if (method == "textDocument/didOpen") did_open(params);
        else if (method == "textDocument/didChange") did_change(params);
        else if (method == "textDocument/didClose") did_close(params);
        else if (method == "workspace/didChangeWatchedFiles") watched(params);
        else if (method == "workspace/didChangeWorkspaceFolders") folders_changed(params.at("event"));
        else if (method == "workspace/didChangeConfiguration") configure(params.value("settings", Json::object()));
        else if (method == "$/cancelRequest" && params.contains("id")) cancelled_.erase(params["id"].dump());  // it has been answered by now
    } catch (const std::exception& e) {
        log(std::string("a notification could not be understood: ") + e.what());
    }
}

Json Server::initialize(const Json& params) {
    const Json caps = params.is_object() ? params.value("capabilities", Json::object()) : Json::object();
    if (has(caps, {"general", "positionEncodings"}) && caps["general"]["positionEncodings"].is_array()) {
        for (const Json& e : caps["general"]["positionEncodings"]) {
            if (e == "utf-8") encoding_ = Encoding::utf8;
        }
    }
    pulls_ = has(caps, {"textDocument", "diagnostic"});
    related_ = has(caps, {"textDocument", "publishDiagnostics", "relatedInformation"}) || has(caps, {"textDocument", "diagnostic", "relatedInformation"});
    described_ = has(caps, {"textDocument", "publishDiagnostics", "codeDescriptionSupport"}) || pulls_;
    versioned_edits_ = has(caps, {"workspace", "workspaceEdit", "documentChanges"});
    progress_ = has(caps, {"window", "workDoneProgress"});
    watches_ = has(caps, {"workspace", "didChangeWatchedFiles", "dynamicRegistration"});
    hint_refresh_ = has(caps, {"workspace", "inlayHint", "refreshSupport"});
    diagnostic_refresh_ = has(caps, {"workspace", "diagnostics", "refreshSupport"});
    snippets_ = has(caps, {"textDocument", "completion", "completionItem", "snippetSupport"});
    nested_symbols_ = has(caps, {"textDocument", "documentSymbol", "hierarchicalDocumentSymbolSupport"});
    if (has(caps, {"textDocument", "hover", "contentFormat"})) {
        const Json& formats = caps["textDocument"]["hover"]["contentFormat"];
        markdown_ = !formats.is_array() || std::find(formats.begin(), formats.end(), Json("markdown")) != formats.end();
    }
    configure(params.is_object() ? params.value("initializationOptions", Json::object()) : Json::object());
    std::vector<std::string> folders;
    if (has(params, {"workspaceFolders"}) && params["workspaceFolders"].is_array()) {
        for (const Json& f : params["workspaceFolders"]) folders.push_back(path_of(text_at(f, "uri")));
    } else if (const std::string uri = text_at(params, "rootUri"); !uri.empty()) {
        folders.push_back(path_of(uri));
    } else if (const std::string path = text_at(params, "rootPath"); !path.empty()) {
        folders.push_back(path);
    }
    folders_ = folders;
    workspace_.set_folders(folders_);
    initialized_ = true;

    Json legend = Json::array();
    for (const char* type : {"keyword", "class", "variable", "type", "property", "enumMember", "enum", "number", "macro", "string", "comment", "operator"}) legend.push_back(type);
    static_assert(service::paints == 12, "one type of token for each paint");
    Json c = {
        {"positionEncoding", encoding_ == Encoding::utf8 ? "utf-8" : "utf-16"},
        {"textDocumentSync", {{"openClose", true}, {"change", 2}, {"save", {{"includeText", false}}}}},
        {"hoverProvider", true},
        {"completionProvider", {{"triggerCharacters", {".", " ", "["}}, {"resolveProvider", true}}},
        {"definitionProvider", true},
        {"referencesProvider", true},
        {"documentHighlightProvider", true},
        {"renameProvider", {{"prepareProvider", true}}},
        {"documentSymbolProvider", true},
        {"workspaceSymbolProvider", true},
        {"codeActionProvider", {{"codeActionKinds", {"quickfix", "source.fixAll.ferrule"}}}},
        {"documentFormattingProvider", true},
        {"documentRangeFormattingProvider", true},
        {"semanticTokensProvider", {{"legend", {{"tokenTypes", legend}, {"tokenModifiers", {"declaration"}}}}, {"full", {{"delta", true}}}, {"range", true}}},
        {"inlayHintProvider", {{"resolveProvider", true}}},
        {"foldingRangeProvider", true},
        {"selectionRangeProvider", true},
        {"documentLinkProvider", {{"resolveProvider", false}}},
        {"workspace", {{"workspaceFolders", {{"supported", true}, {"changeNotifications", true}}}}},
    };
    if (pulls_) c["diagnosticProvider"] = {{"identifier", "ferrule"}, {"interFileDependencies", true}, {"workspaceDiagnostics", true}};
    return {{"capabilities", c}, {"serverInfo", {{"name", "ferrule"}, {"version", options_.version}}}};
}

void Server::configure(const Json& settings) {
    const Json* own = &settings;
    if (settings.is_object() && settings.contains("ferrule")) own = &settings["ferrule"];
    if (!own->is_object()) return;
    const auto hints = own->find("inlayHints");
    if (hints != own->end() && hints->is_boolean()) {
        const bool before = hints_on_;
        hints_on_ = hints->get<bool>();
        if (before != hints_on_ && hint_refresh_ && initialized_) ask("workspace/inlayHint/refresh", nullptr);
    }
}

void Server::initialized() {
    for (const findings::Finding& f : workspace_.knowledge().findings) log("a rule file cannot be used: " + f.message);
    if (!watches_) return;
    Json watchers = Json::array();
    for (const char* glob : {"**/*.fer", "**/ferrule.toml", "**/*.toml"}) watchers.push_back({{"globPattern", glob}});
    ask("client/registerCapability",
        {{"registrations", {{{"id", "ferrule-files"}, {"method", "workspace/didChangeWatchedFiles"}, {"registerOptions", {{"watchers", watchers}}}}}}});
}

void Server::did_open(const Json& params) {
    const Json& doc = params.at("textDocument");
    const std::string uri = doc.at("uri").get<std::string>();
    const std::string path = workspace_.real(path_of(uri));
    uri_of_[path] = uri;
    version_of_[path] = doc.value("version", std::int64_t{0});
    workspace_.open(path, doc.at("text").get<std::string>());
}

void Server::did_change(const Json& params) {
    const Json& doc = params.at("textDocument");
    const std::string path = workspace_.real(path_of(doc.at("uri").get<std::string>()));
    const std::string* known = workspace_.text(path);
    if (known == nullptr) return log("a change of a document that is not open");
    std::string text = *known;
    for (const Json& change : params.at("contentChanges")) {
        if (!has(change, {"range"})) {
            text = change.at("text").get<std::string>();
            continue;
        }
        const Lines lines(text, encoding_);
        const auto at = [&](const Json& p) {
            return lines.offset({static_cast<std::uint32_t>(std::max<std::int64_t>(0, p.at("line").get<std::int64_t>())),
                                 static_cast<std::uint32_t>(std::max<std::int64_t>(0, p.at("character").get<std::int64_t>()))});
        };
        std::uint32_t from = at(change["range"].at("start")), to = at(change["range"].at("end"));
        if (from > to) std::swap(from, to);
        text.replace(from, to - from, change.at("text").get<std::string>());
    }
    if (doc.contains("version") && doc["version"].is_number_integer()) version_of_[path] = doc["version"].get<std::int64_t>();
    workspace_.change(path, std::move(text));
}

void Server::did_close(const Json& params) {
    const std::string path = workspace_.real(path_of(params.at("textDocument").at("uri").get<std::string>()));
    workspace_.close(path);
    version_of_.erase(path);
    tokens_.erase(path);
}

void Server::watched(const Json& params) {
    for (const Json& change : params.at("changes")) workspace_.changed_on_disk(workspace_.real(path_of(change.at("uri").get<std::string>())));
}

void Server::folders_changed(const Json& event) {
    for (const Json& f : event.value("removed", Json::array())) std::erase(folders_, path_of(text_at(f, "uri")));
    for (const Json& f : event.value("added", Json::array())) folders_.push_back(path_of(text_at(f, "uri")));
    workspace_.set_folders(folders_);
}

void Server::idle(const std::function<bool()>& waiting) {
    if (!running() || !workspace_.stale()) return;
    // Progress is for work that is felt: the first look at a workspace.
    const bool first = progress_ && published_.empty();
    const std::string token = "ferrule-check-" + std::to_string(next_id_);
    if (first) {
        ask("window/workDoneProgress/create", {{"token", token}});
        notify("$/progress", {{"token", token}, {"value", {{"kind", "begin"}, {"title", "ferrule"}, {"message", "checking"}, {"cancellable", false}}}});
    }
    std::set<std::string> touched;
    while (workspace_.stale()) {
        const std::vector<std::string> some = workspace_.refresh(waiting);
        touched.insert(some.begin(), some.end());
        if (waiting && waiting()) break;
    }
    lines_.clear();
    publish({touched.begin(), touched.end()});
    workspace_.forget_old();
    if (first) notify("$/progress", {{"token", token}, {"value", {{"kind", "end"}}}});
}

void Server::publish(const std::vector<std::string>& paths) {
    bool changed = false;
    for (const std::string& path : paths) {
        Json now = diagnostics(path);
        const auto before = published_.find(path);
        const bool open = version_of_.contains(path);
        const bool same = before != published_.end() ? before->second == now : now.empty() && !open;
        if (before == published_.end() || !same) published_.insert_or_assign(path, now);
        changed |= !same;
        if (pulls_ || (same && !open)) continue;
        const auto uri = uri_of_.find(path);
        Json params = {{"uri", uri == uri_of_.end() ? uri_of(path) : uri->second}, {"diagnostics", std::move(now)}};
        if (open) params["version"] = version_of_[path];
        notify("textDocument/publishDiagnostics", std::move(params));
    }
    if (changed && pulls_ && diagnostic_refresh_) ask("workspace/diagnostic/refresh", nullptr);
    if (changed && hint_refresh_) ask("workspace/inlayHint/refresh", nullptr);
}

}  // namespace ferrule::lsp
