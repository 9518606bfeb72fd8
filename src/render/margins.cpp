#include "render/margins.hpp"

#include <cmath>

#include <fmt/format.h>

#include "render/json.hpp"
#include "render/paper.hpp"
#include "render/report.hpp"
#include "units/units.hpp"

namespace ferrule::render {

namespace {

constexpr std::size_t row_indent = 10;  // "  -12.3 %  "

std::string named(const std::string& words, const std::string& value) {
    return words.empty() ? value : fmt::format("{} {}", words, value);
}

std::string demand(const Margin& m) {
    if (m.at_most) return m.strict ? "below" : "at most";
    return m.strict ? "above" : "at least";
}

std::string spoken(const Margin& m) {
    const char* rest = m.holds ? "left" : m.at_most ? "too much" : "too little";
    std::string distance = fmt::format("{} {}", m.margin_shown, rest);
    if (m.margin == 0) distance = m.holds ? "nothing left" : fmt::format("the limit itself is {}", rest);
    else if (!m.share_of.empty()) distance += fmt::format(" (of {})", m.share_of);
    return fmt::format("{}, {} {}; {}", named(m.is, m.is_shown), demand(m), named(m.may, m.may_shown), distance);
}

// The same distance of several strings or runs is said once.
std::vector<Distance> joined(const std::vector<Distance>& all) {
    constexpr std::size_t named_each = 4;
    std::vector<Distance> out;
    std::vector<std::size_t> more;
    for (const Distance& d : all) {
        if (d.found == Distance::Found::not_within) continue;
        std::size_t k = 0;
        while (k < out.size() && !(out[k].found == d.found && out[k].change == d.change && out[k].by == d.by && out[k].to == d.to && out[k].speaks == d.speaks)) ++k;
        if (k == out.size()) {
            out.push_back(d);
            more.push_back(1);
        } else if (++more[k] <= named_each) {
            out[k].of += ", " + d.of;
        }
    }
    for (std::size_t k = 0; k < out.size(); ++k) {
        if (more[k] > named_each) out[k].of += fmt::format(" and {} more", more[k] - named_each);
    }
    return out;
}

bool of_modules(const Distance& d) { return d.unit == "modules"; }

std::string spoken(const Distance& d, bool holds) {
    const std::string whose = d.of.empty() ? "" : fmt::format(" ({})", d.of);
    const std::string by = of_modules(d) ? counted(static_cast<std::size_t>(d.amount), "module") : d.by;
    switch (d.found) {
        case Distance::Found::not_within: return fmt::format("even {} {}{}", by, d.change, whose);
        case Distance::Found::unjudged: return fmt::format("cannot judge how much {}{}: the limit comes and goes on the way", d.change, whose);
        case Distance::Found::given_up: return fmt::format("not found how much {}{}", d.change, whose);
        case Distance::Found::met:
        case Distance::Found::unknown: break;
    }
    if (d.amount == 0) {
        return fmt::format("{} {}{}", of_modules(d) ? "no module" : fmt::format("not 0.01 {}", d.unit), d.change, whose);
    }
    std::string text = fmt::format("{}{} {}, {} {}{}", holds ? "" : "met ", by, d.change, of_modules(d) ? "with" : holds ? "to" : "at", d.to, whose);
    if (d.found == Distance::Found::unknown) text += "; beyond that it cannot be judged";
    else if (!d.speaks) text += "; another limit is met before";
    return text;
}

std::string_view word(Distance::Found f) {
    switch (f) {
        case Distance::Found::met: return "met";
        case Distance::Found::unknown: return "unknown-beyond";
        case Distance::Found::not_within: return "not-within";
        case Distance::Found::unjudged: return "cannot-judge";
        case Distance::Found::given_up: break;
    }
    return "given-up";
}

Json distance_json(const Distance& d, const text::Sources& sources) {
    Json json = {{"change", d.change}, {"of", d.of}, {"result", word(d.found)}};
    if (d.found != Distance::Found::unjudged && d.found != Distance::Found::given_up) {
        json["by"] = d.amount;
        json["unit"] = d.unit;
        json["to"] = d.to;
    }
    if (d.found == Distance::Found::met) json["reported"] = d.speaks;
    put_place(json, sources, d.place, false);
    return json;
}

Json margin_json(const Margin& m, const text::Sources& sources) {
    Json json = {{"subject", m.subject}, {"kind", m.kind}, {"rule", m.rule}, {"title", m.title}, {"holds", m.holds}};
    json["is"] = {{"of", m.is}, {"value", m.is_value}, {"unit", m.unit}, {"shown", m.is_shown}};
    json["may"] = {{"of", m.may}, {"value", m.may_value}, {"unit", m.unit}, {"shown", m.may_shown}};
    json["demand"] = demand(m);
    json["margin"] = m.margin;
    json["share"] = m.share;
    if (!m.share_of.empty()) json["shareOf"] = m.share_of;
    if (m.count > 1) {
        json["count"] = m.count;
        json["more"] = m.more;
    }
    Json distances = Json::array();
    for (const Distance& d : m.distances) distances.push_back(distance_json(d, sources));
    json["distances"] = std::move(distances);
    put_place(json, sources, m.span, false);
    return json;
}

std::string more_of(const Margin& m) {
    const std::size_t others = m.count - 1;
    if (m.more.size() == others) return fmt::format("and {} like it: {}", others, fmt::join(m.more, ", "));
    return fmt::format("and {} more like it", others);
}

}  // namespace

std::string margins_as_text(const Margins& margins, const text::Sources& sources, bool colour) {
    Paper paper(colour);
    for (const Margin& m : margins.rows) {
        const std::string share = fmt::format("{:>8}", units::show_number(m.share * 100, 3) + " %");
        paper.line(fmt::format("{}  {}  {}  {}", paper.inked(m.holds ? Ink::strong : Ink::red, share), text::printable(m.subject), m.rule,
                               paper.inked(Ink::faint, text::printable(place(sources, m.span)))));
        paper.prose(text::printable(spoken(m)), row_indent);
        for (const Distance& d : joined(m.distances)) paper.prose(text::printable(spoken(d, m.holds)), row_indent);
        if (m.count > 1) paper.prose(text::printable(more_of(m)), row_indent);
    }
    if (margins.rows.empty()) paper.line("no rule sets a limit here");
    for (const std::string& line : margins.left_out) paper.prose(text::printable("not tried: " + line));
    return paper.take();
}

std::string margins_as_json(const Margins& margins, const text::Sources& sources) {
    std::string out = "{\n  \"version\": 1,\n";
    JsonList rows(out, "margins");
    for (const Margin& m : margins.rows) rows.add(margin_json(m, sources));
    rows.close();
    JsonList left_out(out, "leftOut");
    for (const std::string& line : margins.left_out) left_out.add(line);
    left_out.close(true);
    return out + "}\n";
}

}  // namespace ferrule::render
