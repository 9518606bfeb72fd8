#include "render/values.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "render/json.hpp"
#include "render/paper.hpp"
#include "render/report.hpp"

namespace ferrule::render {

namespace {

constexpr std::size_t names_shown = 12;

std::string joined(const std::vector<std::string>& names) {
    if (names.empty()) return "none";
    std::string all;
    for (std::size_t i = 0; i < std::min(names.size(), names_shown); ++i) all += (i == 0 ? "" : ", ") + names[i];
    if (names.size() > names_shown) all += fmt::format(" and {} more", names.size() - names_shown);
    return all;
}

std::string spoken(const Value& v) {
    switch (v.type) {
        case Value::Type::number: return v.shown;
        case Value::Type::flag: return v.flag ? "yes" : "no";
        case Value::Type::word:
        case Value::Type::names: return joined(v.names);
        case Value::Type::unknown: break;
    }
    return v.unknown.empty() ? "not known" : "not known: lacks " + v.unknown;
}

Json value_json(const ValueSubject& s, const Value& v) {
    Json json = {{"subject", s.name}, {"kind", s.kind}, {"fact", v.fact}};
    switch (v.type) {
        case Value::Type::number:
            json["value"] = v.number;
            json["unit"] = v.unit;
            break;
        case Value::Type::flag: json["value"] = v.flag; break;
        case Value::Type::word: json["value"] = v.names.empty() ? Json(nullptr) : Json(v.names.front()); break;
        case Value::Type::names: json["value"] = v.names; break;
        case Value::Type::unknown:
            json["value"] = nullptr;
            json["unknown"] = v.unknown;
            break;
    }
    json["working"] = v.working;
    if (!v.assumed.empty()) json["assumed"] = v.assumed;
    json["sources"] = sources_json(v.sources);
    return json;
}

}  // namespace

std::string values_as_text(const std::vector<ValueSubject>& subjects, const text::Sources& sources, bool colour) {
    Paper paper(colour);
    for (const ValueSubject& s : subjects) {
        paper.line(fmt::format("{}  {}  {}", paper.inked(Ink::strong, text::printable(s.name)), s.kind,
                               paper.inked(Ink::faint, text::printable(place(sources, s.span)))));
        std::size_t widest = 0;
        for (const Value& v : s.values) widest = std::max(widest, length(v.fact));
        for (const Value& v : s.values) {
            paper.line(fmt::format("    {:<{}}  {}", v.fact, widest, text::printable(spoken(v))));
            for (const std::string& w : v.working) paper.labelled(&w == &v.working.front() ? "reckoned" : "", w, 8);
            for (const std::string& a : v.assumed) paper.labelled("assumed", a, 8);
            if (v.working.empty()) continue;  // a value read off the design cites nobody
            for (const findings::Citation& c : v.sources) paper.labelled("by", cited(c), 8);
            for (const findings::Related& r : v.rests_on) {
                paper.labelled("see", fmt::format("{}  {}", place(sources, r.span), r.message), 8);
            }
        }
        paper.line();
    }
    return paper.take();
}

std::string values_as_json(const std::vector<ValueSubject>& subjects) {
    std::string out = "{\n  \"version\": 1,\n";
    JsonList values(out, "values");
    for (const ValueSubject& s : subjects) {
        for (const Value& v : s.values) values.add(value_json(s, v));
    }
    values.close(true);
    return out + "}\n";
}

}  // namespace ferrule::render
