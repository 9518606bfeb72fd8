// An editor in a few lines: files in memory, a server, what it has said.
#pragma once

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "base/files.hpp"
#include "lsp/server.hpp"

namespace ferrule::tests {

using Json = nlohmann::json;

class MemoryFiles final : public base::FileSystem {
public:
    std::map<std::string, std::string> files;

    [[nodiscard]] base::ReadResult read(const std::string& path, std::size_t limit) const override {
        const auto at = files.find(path);
        if (at == files.end()) return {};
        if (at->second.size() > limit) return {base::ReadResult::Status::too_large, {}, path};
        return {base::ReadResult::Status::ok, at->second, path};
    }
    [[nodiscard]] bool is_directory(const std::string& path) const override {
        return std::any_of(files.begin(), files.end(), [&](const auto& f) { return f.first.starts_with(path + "/"); });
    }
    [[nodiscard]] std::vector<std::string> list(const std::string& directory, std::string_view suffix) const override {
        std::vector<std::string> all;
        for (const auto& [path, text] : files) {
            if (path.starts_with(directory + "/") && path.ends_with(suffix)) all.push_back(path);
        }
        return all;
    }
    // Names without dots or links are their own real paths; `a/../b` and `./b` are made plain.
    [[nodiscard]] std::optional<std::string> real_path(const std::string& path) const override {
        std::vector<std::string> steps;
        for (std::size_t at = 0; at <= path.size();) {
            const std::size_t end = std::min(path.find('/', at), path.size());
            const std::string step = path.substr(at, end - at);
            at = end + 1;
            if (step.empty() || step == ".") continue;
            if (step == ".." && !steps.empty()) steps.pop_back();
            else steps.push_back(step);
        }
        std::string plain;
        for (const std::string& s : steps) plain += "/" + s;
        if (plain.empty()) plain = "/";
        if (files.contains(plain) || is_directory(plain)) return plain;
        return std::nullopt;
    }
    [[nodiscard]] std::optional<std::string> write_whole(const std::string&, std::string_view) const override { return "read only"; }
};

class FixedClock final : public base::Clock {
public:
    [[nodiscard]] base::Date today() const override { return {2026, 11, 25}; }
};

class Client {
public:
    explicit Client(std::map<std::string, std::string> given = {}) : server_(make(std::move(given)), clock_, {"test", "/pages"}, [this](const Json& m) { said.push_back(m); }) {}

    // What an editor of today can do; `without` takes capabilities away, as JSON pointers.
    Json start(const std::vector<std::string>& without = {}, const Json& more = Json::object()) {
        Json caps = Json::parse(R"({"general":{"positionEncodings":["utf-16"]},
            "textDocument":{"publishDiagnostics":{"relatedInformation":true,"codeDescriptionSupport":true},
              "completion":{"completionItem":{"snippetSupport":true}},"documentSymbol":{"hierarchicalDocumentSymbolSupport":true},
              "hover":{"contentFormat":["markdown"]}},
            "workspace":{"workspaceEdit":{"documentChanges":true},"didChangeWatchedFiles":{"dynamicRegistration":true}},
            "window":{"workDoneProgress":true}})");
        caps.merge_patch(more);
        for (const std::string& pointer : without) {
            const Json::json_pointer at(pointer);
            if (caps.contains(at)) caps[at.parent_pointer()].erase(at.back());
        }
        const Json answer = ask("initialize", {{"processId", nullptr}, {"rootUri", "file:///site"}, {"capabilities", caps}});
        tell("initialized", Json::object());
        server_.idle();
        return answer;
    }
    Json ask(const std::string& method, const Json& params) {
        const int id = next_++;
        said.clear();
        server_.receive(Json({{"jsonrpc", "2.0"}, {"id", id}, {"method", method}, {"params", params}}).dump());
        for (const Json& m : said) {
            if (m.contains("id") && m["id"] == id && !m.contains("method")) return m.contains("result") ? m["result"] : m;
        }
        return "no answer";
    }
    bool tell(const std::string& method, const Json& params) {
        return server_.receive(Json({{"jsonrpc", "2.0"}, {"method", method}, {"params", params}}).dump());
    }
    void open(const std::string& path, const std::string& text) {
        tell("textDocument/didOpen", {{"textDocument", {{"uri", "file://" + path}, {"languageId", "ferrule"}, {"version", 1}, {"text", text}}}});
        settle();
    }
    void replace(const std::string& path, Json range, const std::string& text) {
        tell("textDocument/didChange", {{"textDocument", {{"uri", "file://" + path}, {"version", ++version_}}}, {"contentChanges", {{{"range", std::move(range)}, {"text", text}}}}});
    }
    void settle() { server_.idle(); }
    void cancel(const Json& id) { server_.cancel(id); }
    void raw(const std::string& body) { server_.receive(body); }

    // The diagnostics last published for a file.
    [[nodiscard]] Json diagnostics(const std::string& path) const {
        Json last = "never published";
        for (const Json& m : said) {
            if (m.value("method", "") == "textDocument/publishDiagnostics" && m["params"]["uri"] == "file://" + path) last = m["params"]["diagnostics"];
        }
        return last;
    }
    static Json at(int line, int character) { return {{"line", line}, {"character", character}}; }
    static Json span(int line, int from, int to) { return {{"start", at(line, from)}, {"end", at(line, to)}}; }
    static Json in(const std::string& path, int line, int character) { return {{"textDocument", {{"uri", "file://" + path}}}, {"position", at(line, character)}}; }
    static Json doc(const std::string& path) { return {{"textDocument", {{"uri", "file://" + path}}}}; }

    std::vector<Json> said;
    MemoryFiles files;

private:
    const MemoryFiles& make(std::map<std::string, std::string> given) {
        files.files = std::move(given);
        return files;
    }
    FixedClock clock_;
    lsp::Server server_;
    int next_ = 1, version_ = 1;
};

// The code of every diagnostic, in order.
inline std::vector<std::string> codes(const Json& diagnostics) {
    std::vector<std::string> all;
    if (diagnostics.is_array()) {
        for (const Json& d : diagnostics) all.push_back(d["code"]);
    }
    return all;
}

}  // namespace ferrule::tests
