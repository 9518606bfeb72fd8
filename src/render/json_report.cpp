#include "render/json.hpp"
#include "render/report.hpp"

namespace ferrule::render {

namespace {

using findings::Finding;

Json finding_json(const Finding& f, const text::Sources& sources) {
    Json json = {{"rule", f.rule}, {"severity", findings::word(f.severity)}, {"message", f.message}};
    put_place(json, sources, f.span, true);
    json["subject"] = f.subject;
    json["count"] = f.count;
    if (!f.more.empty()) json["more"] = f.more;
    json["working"] = f.working;
    json["assumed"] = f.assumed;
    json["sources"] = sources_json(f.sources);
    json["related"] = Json::array();
    for (const findings::Related& r : f.related) {
        Json one = Json::object();
        put_place(one, sources, r.span, false);
        one["message"] = r.message;
        json["related"].push_back(std::move(one));
    }
    json["remedy"] = f.remedy;
    json["edits"] = Json::array();
    for (const findings::Edit& e : f.edits) {
        Json one = Json::object();
        put_place(one, sources, e.span, true);
        one["text"] = e.text;
        json["edits"].push_back(std::move(one));
    }
    json["accepted"] = nullptr;
    if (f.accepted) {
        json["accepted"] = {{"because", f.accepted->reason}, {"by", f.accepted->by}, {"until", f.accepted->until}};
    }
    if (f.known) json["known"] = true;
    return json;
}

}  // namespace

Json sources_json(const std::vector<findings::Citation>& sources) {
    Json all = Json::array();
    for (const findings::Citation& c : sources) {
        Json one = {{"standard", c.standard}, {"clause", c.clause}};
        if (!c.status.empty()) one["status"] = c.status;
        all.push_back(std::move(one));
    }
    return all;
}

void put_place(Json& object, const text::Sources& sources, text::Span span, bool with_end) {
    if (!span) return;
    const text::Source& source = sources[span.file];
    const text::LineColumn begin = source.at(span.begin);
    object["file"] = source.path();
    object["line"] = begin.line;
    object["column"] = begin.column;
    if (!with_end) return;
    const text::LineColumn end = source.at(span.end);
    object["endLine"] = end.line;
    object["endColumn"] = end.column;
}

std::string as_json(const findings::Report& report, const text::Sources& sources, const Checked& checked) {
    std::string out = "{\n  \"version\": 1,\n  \"files\": ";
    out += dumped(checked.files) + ",\n";
    JsonList found(out, "findings");
    for (const Finding& f : report.findings) found.add(finding_json(f, sources));
    found.close();
    JsonList undecided(out, "undecided");
    for (const findings::Undecided& u : report.undecided) {
        Json one = {{"rule", u.rule}, {"subject", u.subject}, {"missing", u.missing}};
        if (u.count > 1) one["count"] = u.count;
        put_place(one, sources, u.span, false);
        undecided.add(one);
    }
    undecided.close();
    const findings::Summary& s = report.summary;
    out += "  \"summary\": ";
    out += dumped({{"errors", s.errors}, {"warnings", s.warnings}, {"notes", s.notes}, {"accepted", s.accepted},
                   {"known", s.known}, {"undecided", s.undecided}, {"rules", s.rules}, {"devices", s.devices}, {"conductors", s.conductors}});
    out += "\n}\n";
    return out;
}

}  // namespace ferrule::render
