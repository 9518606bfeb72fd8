#include "resolve/shape_words.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/nearest.hpp"
#include "resolve/lookup.hpp"

namespace ferrule::resolve {

using graph::Accepts;
using graph::Shape;

namespace {

// "a voltage", "a change per kelvin"
std::string dimension_in_words(const Shape& s) {
    if (s.dimension_name == "per-kelvin") return "a change in % per kelvin";
    if (s.dimension_name == "volts-per-kelvin") return "a change in volts per kelvin";
    if (s.dimension_name == "amperes-per-kelvin") return "a change in amperes per kelvin";
    std::string name = s.dimension_name;
    std::replace(name.begin(), name.end(), '-', ' ');
    return with_article(name);
}

std::string unit_for(const Build& b, const Shape& s) {
    const units::DimensionName* d = b.units.dimension(s.dimension_name);
    if (d == nullptr || !d->shown_in) return {};
    return b.units[d->shown_in].symbol;
}

std::vector<const Shape*> quantities(const ShapeMatch& match) {
    std::vector<const Shape*> all;
    for (const Shape* s : match.wanted()) {
        if (s->op == Shape::Op::field && s->accepts == Accepts::quantity) all.push_back(s);
    }
    return all;
}

std::string joined(const std::vector<std::string>& words, std::string_view last) {
    return list({words.begin(), words.end()}, last);
}

void collect_words(const Shape& s, std::vector<std::string_view>& words) {
    if (s.op == Shape::Op::literal) words.emplace_back(s.text);
    if (s.op == Shape::Op::field) words.insert(words.end(), s.words.begin(), s.words.end());
    for (const Shape& child : s.children) collect_words(child, words);
}

bool is_word_of(const Shape& s, std::string_view text) {
    std::vector<std::string_view> words;
    collect_words(s, words);
    return std::find(words.begin(), words.end(), text) != words.end();
}

// Somewhere in it a name or word may stand that the table does not list.
bool takes_any_word(const Shape& s) {
    if (s.op == Shape::Op::field && s.accepts != Accepts::quantity &&
        s.accepts != Accepts::number && s.accepts != Accepts::count && s.words.empty()) {
        return true;
    }
    return std::any_of(s.children.begin(), s.children.end(), takes_any_word);
}

// `voc 41.2`, `voc 41.2 Volt`
findings::Finding unit_missing(const Build& b, const View& v, const graph::Property& property,
                               const std::vector<Atom>& atoms, std::size_t at,
                               const std::vector<const Shape*>& wanted) {
    const Atom& number = atoms[at];
    if (at + 1 < atoms.size()) {
        const Atom& next = atoms[at + 1];
        const bool wordlike =
            (next.bare || next.kind == NodeKind::label) && !is_word_of(property.shape, next.text);
        std::string near = wordlike ? b.units.nearest(next.text) : std::string();
        if (!near.empty() || (wordlike && !takes_any_word(property.shape))) {
            if (near.empty()) near = unit_for(b, *wanted.front());
            findings::Finding f = error("design.unknown-unit", v.span(next.begin, next.end),
                                        fmt::format("{} is no unit that is known here; there is {}",
                                                    quoted(next.text), near));
            f.remedy = fmt::format("write {} {}", number.text, near);
            return f;
        }
    }
    std::vector<std::string> words;
    for (const Shape* s : wanted) words.push_back(dimension_in_words(*s));
    const std::string unit = unit_for(b, *wanted.front());
    findings::Finding f = error("design.unit-wrong", v.span(number.begin, number.end),
                                fmt::format("{} wants {}, with its unit: {} {}", property.name,
                                            joined(words, "or"), number.text, unit));
    f.remedy = fmt::format("write the unit behind {}, as in: {}", number.text, property.example);
    return f;
}

// `section 6 mmm2`
findings::Finding unit_unknown(const Build& b, const View& v, const Atom& a) {
    const NodeIndex unit = v.child(a.node, NodeKind::unit);
    const std::string near = b.units.nearest(v.text(unit));
    findings::Finding f =
        error("design.unknown-unit", v.span(unit),
              fmt::format("{} is no unit that is known here{}", quoted(v.text(unit)), meant(near)));
    if (!near.empty()) f.remedy = fmt::format("write {} {}", v.text(v.first(a.node)), near);
    return f;
}

// `section 6 m`
findings::Finding unit_of_another(const Build& b, const View& v, const graph::Property& property,
                                  const Atom& a, const std::vector<const Shape*>& wanted) {
    const units::Unit& unit = b.units[a.unit];
    std::vector<std::string> words;
    for (const Shape* s : wanted) words.push_back(dimension_in_words(*s));
    std::string name = unit.dimension_name;
    std::replace(name.begin(), name.end(), '-', ' ');
    const std::string_view number = v.text(v.first(a.node));
    findings::Finding f = error(
        "design.unit-wrong", v.span(a.begin, a.end),
        fmt::format("{} is {}; {} wants {}, such as {} {}", unit.symbol, with_article(name),
                    property.name, joined(words, "or"), number, unit_for(b, *wanted.front())));
    f.remedy = fmt::format("as in: {}", property.example);
    return f;
}

}  // namespace

std::string in_words(const Shape& s) {
    if (s.op == Shape::Op::literal) return fmt::format("the word {}", s.text);
    switch (s.accepts) {
        case Accepts::quantity:
            return dimension_in_words(s) + ", with its unit";
        case Accepts::number:
            return "a number without unit";
        case Accepts::count:
            return "a whole number";
        case Accepts::word:
            if (s.words.empty()) return "a word";
            return s.words.size() == 1 ? "the word " + s.words[0] : joined(s.words, "or");
        case Accepts::text:
            return "a text between quotes";
        case Accepts::label:
            return s.text == "labels" || s.text == "label" || s.text == "end"
                       ? "a terminal's label"
                       : fmt::format("its {}", s.text);
        case Accepts::pair:
            return "two terminals, such as 1-2 or L1 to T1";
        case Accepts::date:
            return "a date, such as 2026-11-24";
        case Accepts::part:
            return s.kind.empty() ? "the name of a part"
                                  : fmt::format("the name of {}", with_article(s.kind));
        case Accepts::thing:
            return "the name of a thing";
        case Accepts::terminal:
            return "a terminal, such as Q1.2";
    }
    return {};
}

findings::Finding misfit(const Build& b, const View& v, Span statement,
                         const graph::Property& property, const std::vector<Atom>& atoms,
                         const ShapeMatch& match) {
    const std::size_t at = match.furthest();
    const auto wanted = quantities(match);
    if (at < atoms.size() && !wanted.empty()) {
        const Atom& a = atoms[at];
        if (a.kind == NodeKind::number) return unit_missing(b, v, property, atoms, at, wanted);
        if (a.kind == NodeKind::quantity && !a.unit) return unit_unknown(b, v, a);
        if (a.kind == NodeKind::quantity) return unit_of_another(b, v, property, a, wanted);
    }
    std::vector<std::string> words;
    for (const Shape* s : match.wanted()) {
        std::string w = in_words(*s);
        if (std::find(words.begin(), words.end(), w) == words.end()) words.push_back(std::move(w));
    }
    const std::string choices = joined(words, "or");
    findings::Finding f = error("design.property-shape", statement, "");
    f.remedy = fmt::format("as in: {}", property.example);
    if (at >= atoms.size()) {
        // `isolates MPPT form EAST`: the word that is missing may stand there misspelt
        for (const Shape* s : match.wanted()) {
            for (const Atom& a : atoms) {
                if (s->op != Shape::Op::literal || s->text.size() < 2 ||
                    base::slips(a.text, s->text, 1 + s->text.size() / 4) > 1 + s->text.size() / 4)
                    continue;
                f.span = v.span(a.begin, a.end);
                f.message = fmt::format("{} does not fit here; {} wants {}", quoted(a.text),
                                        property.name, in_words(*s));
                return f;
            }
        }
        f.message = atoms.empty()
                        ? fmt::format("{} says nothing; it wants {}", property.name, choices)
                        : fmt::format("{} ends too soon; next it wants {}", property.name, choices);
        return f;
    }
    const Atom& a = atoms[at];
    f.span = v.span(a.begin, a.end);
    if (match.surplus() || words.empty()) {
        f.message = property.shape_text.empty()
                        ? fmt::format("{} is more than {} takes; it takes properties in braces",
                                      quoted(a.text), property.name)
                        : fmt::format("{} is more than {} takes, which is: {}", quoted(a.text),
                                      property.name, property.shape_text);
        if (!words.empty()) f.message += fmt::format("; {} may stand here", choices);
    } else {
        f.message = fmt::format("{} does not fit here; {} wants {}", quoted(a.text), property.name,
                                choices);
    }
    std::vector<std::string_view> known;
    for (const Shape* s : match.wanted()) collect_words(*s, known);
    if (const std::string_view near = base::nearest(a.text, known); !near.empty())
        f.remedy = fmt::format("write {} if that is meant", near);
    else if (at == 0 && !wanted.empty())  // `isc TBD`
        f.remedy += "; the line of a figure that is not known is left out, and it is asked for where it is needed";
    return f;
}

}  // namespace ferrule::resolve
