// The questions a client asks about a document.
#include <algorithm>

#include "lsp/server.hpp"
#include "lsp/uri.hpp"
#include "service/completion.hpp"
#include "service/hover.hpp"
#include "service/mend.hpp"
#include "service/navigation.hpp"
#include "service/outline.hpp"
#include "service/paint.hpp"

namespace ferrule::lsp {

namespace {

Json markdown(const std::string& text) { return {{"kind", "markdown"}, {"value", text}}; }

bool contains_fold(std::string_view text, std::string_view query) {
    const auto low = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
    return std::search(text.begin(), text.end(), query.begin(), query.end(), [&](char a, char b) { return low(a) == low(b); }) != text.end() || query.empty();
}

int symbol_kind(service::Symbol::Sort sort) {  // SymbolKind of the protocol
    using Sort = service::Symbol::Sort;
    switch (sort) {
        case Sort::site: return 3;        // namespace
        case Sort::part: return 5;        // class
        case Sort::assembly: return 2;    // module
        case Sort::place: return 4;       // package
        case Sort::string: return 18;     // array
        case Sort::enclosure: return 23;  // struct
        case Sort::device: return 19;     // object
        case Sort::run: return 12;        // function
        case Sort::cable: return 13;      // variable
        case Sort::port: return 8;        // field
        case Sort::label: return 15;      // string
        case Sort::steps: return 6;       // method
        case Sort::reading: return 24;    // event
    }
    return 19;
}

int completion_kind(service::Proposal::Sort sort) {  // CompletionItemKind
    using Sort = service::Proposal::Sort;
    switch (sort) {
        case Sort::keyword: return 14;
        case Sort::property: return 10;
        case Sort::kind: return 25;
        case Sort::part: return 7;
        case Sort::thing: return 6;
        case Sort::terminal: return 5;
        case Sort::unit: return 11;
        case Sort::word: return 12;
        case Sort::rule: return 21;
    }
    return 1;
}

std::string without_stops(std::string_view snippet) {
    std::string plain;
    for (std::size_t i = 0; i < snippet.size(); ++i) {
        if (snippet[i] == '$' && i + 1 < snippet.size() && snippet[i + 1] == '{') {
            const std::size_t end = snippet.find('}', i);
            const std::size_t colon = snippet.find(':', i);
            if (end == std::string_view::npos) break;
            if (colon < end) plain += snippet.substr(colon + 1, end - colon - 1);
            i = end;
        } else {
            plain += snippet[i];
        }
    }
    return plain;
}

}  // namespace

Server::Asked Server::asked(const Json& params) {
    Asked a;
    a.path = workspace_.real(path_of(params.at("textDocument").at("uri").get<std::string>()));
    idle();
    a.view = workspace_.view(a.path);
    if (!a.view) throw Failure{invalid_params, "no design holds " + a.path};
    a.lines = std::make_unique<Lines>(a.view.bytes(), encoding_);
    return a;
}

std::uint32_t Server::offset_in(const Asked& a, const Json& p) const {
    const auto at_least_zero = [](const Json& n) { return static_cast<std::uint32_t>(std::clamp<std::int64_t>(n.get<std::int64_t>(), 0, 0x7fffffff)); };
    return a.lines->offset({at_least_zero(p.at("line")), at_least_zero(p.at("character"))});
}

const Lines& Server::lines_of(const service::Design& design, text::FileId file) {
    std::unique_ptr<Lines>& lines = lines_[{&design, design.amended, file.value}];
    if (lines == nullptr) lines = std::make_unique<Lines>(design.sources[file].bytes(), encoding_);
    return *lines;
}

Json Server::range(const Lines& lines, text::Span span) const {
    const Position from = lines.position(span.begin), to = lines.position(std::max(span.begin, span.end));
    return {{"start", {{"line", from.line}, {"character", from.character}}}, {"end", {{"line", to.line}, {"character", to.character}}}};
}

std::string Server::path_in(const service::Design& design, text::FileId file) const {
    for (const auto& [path, id] : design.files) {
        if (id == file) return path;
    }
    return design.sources[file].path();
}

Json Server::location(const service::Design& design, text::Span span) {
    const std::string path = path_in(design, span.file);
    const auto open = uri_of_.find(path);
    return {{"uri", open == uri_of_.end() ? uri_of(path) : open->second}, {"range", range(lines_of(design, span.file), span)}};
}

Json Server::edits(const service::Design& design, const std::vector<findings::Edit>& all) {
    Json list = Json::array();
    for (const findings::Edit& e : all) list.push_back({{"range", range(lines_of(design, e.span.file), e.span)}, {"newText", e.text}});
    return list;
}

Json Server::workspace_edit(const std::map<std::string, Json>& by_path) const {
    const auto uri = [&](const std::string& path) {
        const auto open = uri_of_.find(path);
        return open == uri_of_.end() ? uri_of(path) : open->second;
    };
    if (versioned_edits_) {
        Json list = Json::array();
        for (const auto& [path, all] : by_path) {
            const auto version = version_of_.find(path);
            list.push_back({{"textDocument", {{"uri", uri(path)}, {"version", version == version_of_.end() ? Json(nullptr) : Json(version->second)}}}, {"edits", all}});
        }
        return {{"documentChanges", list}};
    }
    Json changes = Json::object();
    for (const auto& [path, all] : by_path) changes[uri(path)] = all;
    return {{"changes", changes}};
}

// ---- findings ---------------------------------------------------------------------------------------------------------

Json Server::diagnostic(const service::Design& design, const findings::Finding& f) {
    int severity = f.severity == findings::Severity::error ? 1 : f.severity == findings::Severity::warning ? 2 : 3;
    std::string message = f.message;
    if (f.count > 1) message += " (and " + std::to_string(f.count - 1) + " more)";
    if (f.accepted) {
        severity = 4;
        message += "\naccepted: " + f.accepted->reason;
    } else {
        if (f.severity == findings::Severity::error) {
            for (const std::string& step : f.working) message += "\n" + step;
        }
        for (const std::string& a : f.assumed) message += "\nassumed: " + a;
        if (!f.remedy.empty()) message += "\n" + f.remedy;
    }
    Json d = {{"range", range(lines_of(design, f.span.file), f.span)}, {"severity", severity}, {"code", f.rule}, {"source", "ferrule"}, {"message", message}};
    if (described_ && design.known->built_in(f.rule) && !options_.rule_pages.empty()) d["codeDescription"] = {{"href", uri_of(options_.rule_pages + "/" + f.rule + ".md")}};
    if (related_ && !f.related.empty()) {
        Json list = Json::array();
        for (const findings::Related& r : f.related) {
            if (r.span && !path_in(design, r.span.file).empty()) list.push_back({{"location", location(design, r.span)}, {"message", r.message}});
        }
        d["relatedInformation"] = list;
    }
    return d;
}

Json Server::diagnostics(const std::string& path) {
    Json list = Json::array();
    for (const service::Workspace::FileFindings& here : workspace_.findings_in(path)) {
        for (const findings::Finding* f : here.findings) list.push_back(diagnostic(*here.design, *f));
    }
    return list;
}

Json Server::pull_diagnostics(const Json& params) {
    const std::string path = workspace_.real(path_of(params.at("textDocument").at("uri").get<std::string>()));
    idle();
    Json items = diagnostics(path);
    const std::string id = std::to_string(std::hash<std::string>{}(items.dump()));
    if (params.value("previousResultId", std::string()) == id) return {{"kind", "unchanged"}, {"resultId", id}};
    return {{"kind", "full"}, {"resultId", id}, {"items", std::move(items)}};
}

Json Server::pull_workspace(const Json& params) {
    idle();
    std::map<std::string, std::string> before;
    if (params.contains("previousResultIds")) {
        for (const Json& p : params["previousResultIds"]) before[workspace_.real(path_of(p.at("uri").get<std::string>()))] = p.at("value").get<std::string>();
    }
    Json items = Json::array();
    const std::vector<std::string> now = workspace_.all_files();
    std::set<std::string> paths(now.begin(), now.end());
    for (const auto& [path, id] : before) paths.insert(path);  // what is no more has no findings: that must be said
    for (const std::string& path : paths) {
        Json list = diagnostics(path);
        const std::string id = std::to_string(std::hash<std::string>{}(list.dump()));
        const auto open = uri_of_.find(path);
        const auto version = version_of_.find(path);
        Json report = {{"uri", open == uri_of_.end() ? uri_of(path) : open->second}, {"version", version == version_of_.end() ? Json(nullptr) : Json(version->second)}, {"resultId", id}};
        const auto known = before.find(path);
        if (known != before.end() && known->second == id) {
            report["kind"] = "unchanged";
        } else {
            report["kind"] = "full";
            report["items"] = std::move(list);
        }
        items.push_back(std::move(report));
    }
    return {{"items", std::move(items)}};
}

// ---- reading ----------------------------------------------------------------------------------------------------------

Json Server::hover(const Json& params) {
    const Asked a = asked(params);
    const auto h = service::hover(a.view, offset_in(a, params.at("position")));
    if (!h) return nullptr;
    return {{"contents", markdown_ ? markdown(h->markdown) : Json({{"kind", "plaintext"}, {"value", h->markdown}})}, {"range", range(*a.lines, h->span)}};
}

Json Server::completion(const Json& params) {
    const Asked a = asked(params);
    Json items = Json::array();
    for (const service::Proposal& p : service::complete(a.view, offset_in(a, params.at("position")))) {
        const bool snippet = p.snippet && snippets_;
        Json item = {{"label", p.label}, {"kind", completion_kind(p.sort)},
                     {"textEdit", {{"range", range(*a.lines, p.replaces)}, {"newText", p.snippet && !snippets_ ? without_stops(p.insert) : p.insert}}}};
        if (!p.detail.empty()) item["detail"] = p.detail;
        if (snippet) item["insertTextFormat"] = 2;
        if (!p.topic.empty()) item["data"] = {{"topic", p.topic}};
        items.push_back(std::move(item));
    }
    return {{"isIncomplete", false}, {"items", std::move(items)}};
}

Json Server::resolve_completion(const Json& params) {
    Json item = params;
    if (params.contains("data") && params["data"].contains("topic")) {
        const std::string page = service::documentation(workspace_.knowledge(), params["data"]["topic"].get<std::string>());
        if (!page.empty()) item["documentation"] = markdown(page);
    }
    return item;
}

Json Server::definition(const Json& params) {
    const Asked a = asked(params);
    const auto named = service::named_at(a.view, offset_in(a, params.at("position")));
    if (!named) {
        for (const service::Link& link : service::links(a.view)) {
            const std::uint32_t at = offset_in(a, params.at("position"));
            if (at < link.span.begin || at > link.span.end) continue;
            const Json start = {{"line", 0}, {"character", 0}};
            return {{"uri", uri_of(link.target)}, {"range", {{"start", start}, {"end", start}}}};
        }
        return nullptr;
    }
    return location(*a.view.design, service::places_of(*a.view.design, named->declared, named->label).front().span);
}

Json Server::references(const Json& params) {
    const Asked a = asked(params);
    const auto named = service::named_at(a.view, offset_in(a, params.at("position")));
    if (!named) return nullptr;
    const bool declared = !params.contains("context") || params["context"].value("includeDeclaration", true);
    Json list = Json::array();
    const std::string path = path_in(*a.view.design, named->declared.file);
    for (const service::Design* d : workspace_.designs()) {
        const text::FileId file = d->file(path);
        if (!file) continue;
        for (const service::Place& p : service::places_of(*d, {file, named->declared.begin, named->declared.end}, named->label)) {
            if (p.declares && !declared) continue;
            Json at = location(*d, p.span);
            if (std::find(list.begin(), list.end(), at) == list.end()) list.push_back(std::move(at));
        }
    }
    return list;
}

Json Server::highlight(const Json& params) {
    const Asked a = asked(params);
    const auto named = service::named_at(a.view, offset_in(a, params.at("position")));
    if (!named) return nullptr;
    Json list = Json::array();
    for (const service::Place& p : service::places_of(*a.view.design, named->declared, named->label)) {
        if (p.declares && !named->label.empty()) continue;  // the part is another name
        if (p.span.file == a.view.file) list.push_back({{"range", range(*a.lines, p.span)}, {"kind", p.declares ? 3 : 2}});
    }
    return list;
}

Json Server::prepare_rename(const Json& params) {
    const Asked a = asked(params);
    const auto can = service::renamable(a.view, offset_in(a, params.at("position")));
    const auto* span = std::get_if<text::Span>(&can);
    if (span == nullptr) return nullptr;
    return {{"range", range(*a.lines, *span)}, {"placeholder", std::string(a.view.design->sources.text(*span))}};
}

Json Server::rename(const Json& params) {
    const Asked a = asked(params);
    const std::uint32_t offset = offset_in(a, params.at("position"));
    const auto can = service::renamable(a.view, offset);
    if (const auto* why = std::get_if<std::string>(&can)) throw Failure{invalid_params, *why};
    const std::string name = params.at("newName").get<std::string>();
    const auto named = service::named_at(a.view, offset);
    if (a.view.design->sources.text(std::get<text::Span>(can)) == name) return workspace_edit({});
    const std::string path = path_in(*a.view.design, named->declared.file);
    std::map<std::string, Json> by_path;
    for (const service::Design* d : workspace_.designs()) {
        const text::FileId file = d->file(path);
        if (!file) continue;
        if (const auto wrong = service::unfit({d, &d->known->knowledge, file}, name)) throw Failure{invalid_params, *wrong};
        for (const service::Place& p : service::places_of(*d, {file, named->declared.begin, named->declared.end})) {
            Json edit = {{"range", range(lines_of(*d, p.span.file), p.span)}, {"newText", name}};
            Json& list = by_path[path_in(*d, p.span.file)];
            if (list.is_null()) list = Json::array();
            if (std::find(list.begin(), list.end(), edit) == list.end()) list.push_back(std::move(edit));
        }
    }
    return workspace_edit(by_path);
}

Json Server::document_symbols(const Json& params) {
    const Asked a = asked(params);
    const std::string uri = params["textDocument"]["uri"].get<std::string>();
    Json list = Json::array();
    const std::function<Json(const service::Symbol&)> nested = [&](const service::Symbol& s) {
        Json j = {{"name", s.name}, {"detail", s.detail}, {"kind", symbol_kind(s.sort)}, {"range", range(*a.lines, s.whole)}, {"selectionRange", range(*a.lines, s.span)}};
        if (!s.inside.empty()) {
            j["children"] = Json::array();
            for (const service::Symbol& inner : s.inside) j["children"].push_back(nested(inner));
        }
        return j;
    };
    const std::function<void(const service::Symbol&, const std::string&)> flat = [&](const service::Symbol& s, const std::string& within) {
        list.push_back({{"name", s.name}, {"kind", symbol_kind(s.sort)}, {"location", {{"uri", uri}, {"range", range(*a.lines, s.span)}}}, {"containerName", within}});
        for (const service::Symbol& inner : s.inside) flat(inner, s.name);
    };
    for (const service::Symbol& s : service::symbols(a.view)) {
        if (nested_symbols_) list.push_back(nested(s));
        else flat(s, "");
    }
    return list;
}

Json Server::workspace_symbols(const Json& params) {
    idle();
    const std::string query = params.value("query", std::string());
    Json list = Json::array();
    std::set<std::string> seen;
    for (const service::Design* d : workspace_.designs()) {
        for (const auto& [path, file] : d->files) {
            if (!seen.insert(path).second) continue;
            const service::View view{d, &d->known->knowledge, file};
            const std::function<void(const service::Symbol&, const std::string&)> add = [&](const service::Symbol& s, const std::string& within) {
                if (contains_fold(s.name, query)) list.push_back({{"name", s.name}, {"kind", symbol_kind(s.sort)}, {"location", location(*d, s.span)}, {"containerName", within.empty() ? s.detail : within}});
                for (const service::Symbol& inner : s.inside) add(inner, s.name);
            };
            for (const service::Symbol& s : service::symbols(view)) add(s, "");
        }
    }
    return list;
}

// ---- changing ---------------------------------------------------------------------------------------------------------

Json Server::code_actions(const Json& params) {
    const Asked a = asked(params);
    const std::uint32_t from = offset_in(a, params.at("range").at("start")), to = offset_in(a, params.at("range").at("end"));
    std::vector<std::string> only;
    if (params.contains("context") && params["context"].contains("only")) {
        for (const Json& kind : params["context"]["only"]) only.push_back(kind.get<std::string>());
    }
    const auto wanted = [&](std::string_view kind) {
        return only.empty() || std::any_of(only.begin(), only.end(), [&](const std::string& o) { return kind == o || (kind.starts_with(o) && kind[o.size()] == '.'); });
    };
    Json list = Json::array();
    if (wanted("quickfix")) {
        for (const service::Action& action : service::actions(a.view, from, to)) {
            Json j = {{"title", action.title}, {"kind", "quickfix"}, {"edit", workspace_edit({{a.path, edits(*a.view.design, action.edits)}})}};
            if (action.finding != nullptr) j["diagnostics"] = Json::array({diagnostic(*a.view.design, *action.finding)});
            if (action.certain) j["isPreferred"] = true;
            list.push_back(std::move(j));
        }
    }
    // Only on demand, or where there is something to do.
    if (wanted("source.fixAll.ferrule")) {
        const std::vector<findings::Edit> all = service::all_certain(a.view);
        if (!all.empty()) list.push_back({{"title", "mend all that is beyond doubt"}, {"kind", "source.fixAll.ferrule"}, {"edit", workspace_edit({{a.path, edits(*a.view.design, all)}})}});
    }
    return list;
}

Json Server::formatting(const Json& params, bool part) {
    const Asked a = asked(params);
    std::uint32_t from = 0, to = static_cast<std::uint32_t>(a.view.bytes().size());
    if (part) {
        from = offset_in(a, params.at("range").at("start"));
        to = offset_in(a, params.at("range").at("end"));
    }
    const auto all = service::layout(a.view, from, to);
    if (!all) return nullptr;  // what cannot be read is left as it is
    return edits(*a.view.design, *all);
}

// ---- the look of a document -----------------------------------------------------------------------------------------------

std::vector<std::uint32_t> Server::token_data(const Asked& a, std::uint32_t begin, std::uint32_t end) {
    std::vector<std::uint32_t> data;
    Position last;
    for (const service::Painted& p : service::paint(a.view)) {
        if (p.end <= begin || p.begin >= end) continue;
        const Position at = a.lines->position(p.begin);
        const std::string_view text = a.view.bytes().substr(p.begin, p.end - p.begin);
        const std::uint32_t length = units(text.substr(0, text.find('\n')), encoding_);
        data.insert(data.end(), {at.line - last.line, at.line == last.line ? at.character - last.character : at.character, length, static_cast<std::uint32_t>(p.paint), p.declares ? 1U : 0U});
        last = at;
    }
    return data;
}

Json Server::semantic_tokens(const Json& params, bool part) {
    const Asked a = asked(params);
    if (part) return {{"data", token_data(a, offset_in(a, params.at("range").at("start")), offset_in(a, params.at("range").at("end")))}};
    auto& [id, data] = tokens_[a.path];
    data = token_data(a, 0, static_cast<std::uint32_t>(a.view.bytes().size()));
    id = std::to_string(next_id_++);
    return {{"resultId", id}, {"data", data}};
}

Json Server::semantic_delta(const Json& params) {
    const Asked a = asked(params);
    auto& [id, data] = tokens_[a.path];
    std::vector<std::uint32_t> now = token_data(a, 0, static_cast<std::uint32_t>(a.view.bytes().size()));
    const bool known = !id.empty() && params.value("previousResultId", std::string()) == id;
    id = std::to_string(next_id_++);
    if (!known) {
        data = std::move(now);
        return {{"resultId", id}, {"data", data}};
    }
    std::size_t head = 0, tail = 0;
    const std::size_t least = std::min(data.size(), now.size());
    while (head < least && data[head] == now[head]) ++head;
    while (tail < least - head && data[data.size() - 1 - tail] == now[now.size() - 1 - tail]) ++tail;
    Json all = Json::array();
    if (head != data.size() || head != now.size()) {
        all.push_back({{"start", head}, {"deleteCount", data.size() - head - tail},
                       {"data", std::vector<std::uint32_t>(now.begin() + static_cast<std::ptrdiff_t>(head), now.end() - static_cast<std::ptrdiff_t>(tail))}});
    }
    data = std::move(now);
    return {{"resultId", id}, {"edits", std::move(all)}};
}

Json Server::inlay_hints(const Json& params) {
    if (!hints_on_) return Json::array();
    const Asked a = asked(params);
    Json list = Json::array();
    for (const service::Hint& h : service::hints(a.view, offset_in(a, params.at("range").at("start")), offset_in(a, params.at("range").at("end")))) {
        const Position at = a.lines->position(h.at);
        list.push_back({{"position", {{"line", at.line}, {"character", at.character}}}, {"label", h.label}, {"paddingLeft", true}, {"tooltip", h.tooltip},
                        {"data", {{"path", a.path}, {"table", h.table->subject}, {"row", h.row}}}});
    }
    return list;
}

Json Server::resolve_hint(const Json& params) {
    Json hint = params;
    if (!params.contains("data")) return hint;
    idle();
    const service::View view = workspace_.view(params["data"].at("path").get<std::string>());
    if (!view) return hint;
    const std::string page = service::hint_page(view, params["data"].at("table").get<std::string>(), params["data"].at("row").get<std::uint32_t>());
    if (!page.empty()) hint["tooltip"] = markdown(page);
    return hint;
}

Json Server::folding(const Json& params) {
    const Asked a = asked(params);
    Json list = Json::array();
    for (const service::Fold& f : service::folds(a.view)) {
        const Position from = a.lines->position(f.begin), to = a.lines->position(f.end);
        // The line with the closing brace stays to be seen.
        const std::uint32_t last = f.comment || to.line == 0 ? to.line : to.line - 1;
        if (last <= from.line) continue;
        Json j = {{"startLine", from.line}, {"endLine", last}};
        if (f.comment) j["kind"] = "comment";
        list.push_back(std::move(j));
    }
    return list;
}

Json Server::selection(const Json& params) {
    const Asked a = asked(params);
    Json list = Json::array();
    for (const Json& p : params.at("positions")) {
        const std::vector<text::Span> spans = service::around(a.view, offset_in(a, p));
        Json outer;
        for (auto it = spans.rbegin(); it != spans.rend(); ++it) {
            Json j = {{"range", range(*a.lines, *it)}};
            if (!outer.is_null()) j["parent"] = std::move(outer);
            outer = std::move(j);
        }
        list.push_back(outer.is_null() ? Json({{"range", {{"start", p}, {"end", p}}}}) : std::move(outer));
    }
    return list;
}

Json Server::document_links(const Json& params) {
    const Asked a = asked(params);
    Json list = Json::array();
    for (const service::Link& link : service::links(a.view)) list.push_back({{"range", range(*a.lines, link.span)}, {"target", uri_of(link.target)}});
    return list;
}

}  // namespace ferrule::lsp
