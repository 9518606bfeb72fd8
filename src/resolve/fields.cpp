#include "resolve/fields.hpp"

#include <fmt/format.h>

#include "base/days.hpp"
#include "resolve/quantity.hpp"
#include "resolve/refs.hpp"

namespace ferrule::resolve {

using graph::Accepts;
using graph::Field;

namespace {

// 2026-11-24, or 2026-11 for a month.
bool is_date(std::string_view text) {
    const auto two = [&](std::size_t at) { return (text[at] - '0') * 10 + (text[at + 1] - '0'); };
    if (text.size() != 7 && text.size() != 10) return false;
    const int days = base::days_in(two(0) * 100 + two(2), two(5));
    return days > 0 && (text.size() == 7 || (two(8) >= 1 && two(8) <= days));
}

struct FieldReader {
    Build& b;
    const View& v;
    Scope scope;
    const std::vector<Atom>& atoms;
    Sign sign;
    FieldsRead out;

    Field start(const Capture& c) {
        Field f;
        f.name = b.symbol(c.field->text);
        f.type = c.field->accepts;
        f.begin = atoms[c.first].begin;
        f.end = atoms[c.first + c.count - 1].end;
        return f;
    }
    void keep(Field f) { out.fields.push_back(f); }
    void spoil() { out.good = false; }

    void numbers(const Capture& c) {
        Field f = start(c);
        double* const ends[] = {&f.low, &f.high};
        for (std::uint32_t i = 0; i < c.count; i += 2) {
            const Atom& a = atoms[c.first + i];
            double value = 0;
            if (a.kind == NodeKind::quantity) {
                const Quantity q = read_quantity(b, v, a.node, sign);
                if (!q) return spoil();
                value = q.value;
                if (i == 0) f.unit = q.unit;
            } else {
                const auto number = read_number(b, a.text, v.span(a.begin, a.end));
                if (!number) return spoil();
                value = *number;
            }
            *ends[i / 2] = value;
        }
        if (c.count == 1) f.high = f.low;
        if (f.high < f.low) {
            b.report.error("design.range", v.span(f.begin, f.end),
                           fmt::format("the range {} runs backwards",
                                       quoted(v.bytes().substr(f.begin, f.end - f.begin))),
                           "write the smaller value first");
            return spoil();
        }
        keep(f);
    }

    // G[1..4]: a name and its indices; pv[2]+: pv2+; anything else as it is written.
    void label(const Capture& c) {
        const Atom& a = atoms[c.first];
        Field f = start(c);
        if (a.kind == NodeKind::pair) {
            const std::size_t hyphen = a.text.find('-');
            f.text = b.symbol(a.text.substr(0, hyphen));
            f.second = b.symbol(a.text.substr(hyphen + 1));
            return keep(f);
        }
        const bool indexed = (a.kind == NodeKind::ref || a.kind == NodeKind::signed_label) &&
                             v.child(a.node, NodeKind::index) != no_node;
        if (!indexed) {
            f.text = b.symbol(a.text);
            return keep(f);
        }
        const NodeIndex name = v.first(a.node);
        const Index index = read_index(b, v, v.child(a.node, NodeKind::index), scope);
        if (!index.good) return spoil();
        if (a.kind == NodeKind::ref) {
            f.text = b.symbol(v, name);
            f.low = index.low;
            f.high = index.high;
            return keep(f);
        }
        for (std::uint32_t k = 0; k < index.count(); ++k) {
            f.text = b.symbol(fmt::format("{}{}{}", v.text(name), index.at(k), a.text.back()));
            keep(f);
        }
    }

    void pair(const Capture& c) {
        Field f = start(c);
        const Atom& a = atoms[c.first];
        if (c.count == 1) {
            const std::size_t hyphen = a.text.find('-');
            f.text = b.symbol(a.text.substr(0, hyphen));
            f.second = b.symbol(a.text.substr(hyphen + 1));
        } else {
            f.text = b.symbol(a.text);
            f.second = b.symbol(atoms[c.first + 2].text);
        }
        keep(f);
    }

    void part(const Capture& c) {
        Field f = start(c);
        const Atom& a = atoms[c.first];
        f.text = b.symbol(a.text);
        const std::string what = c.field->kind.empty() ? "a part" : with_article(c.field->kind);
        const Wanted wanted{
            .what = what, .things = 0, .parts = true, .assemblies = false, .kind = c.field->kind};
        const Binding found = look_up(b, f.text, v.span(a.begin, a.end), scope.instance, wanted);
        if (!found) return spoil();
        f.target = found.id;
        keep(f);
    }

    void things(const Capture& c) {
        const Atom& a = atoms[c.first];
        const Path path = read_path(b, v, a.node, scope);
        if (!path.good) return spoil();
        for (std::uint32_t k = 0; k < path.length(); ++k) {
            Field f = start(c);
            f.text = path.head;
            if (c.field->accepts == Accepts::terminal) {
                const TerminalId t = terminal_at(b, path, k, scope);
                if (!t) return spoil();
                f.target = t.value;
            } else {
                const ThingId t = thing_at(b, path, k, scope, a_thing);
                if (!t) return spoil();
                f.target = t.value;
            }
            keep(f);
        }
    }

    void read(const Capture& c) {
        switch (c.field->accepts) {
            case Accepts::quantity:
            case Accepts::number:
            case Accepts::count:
                return numbers(c);
            case Accepts::label:
                return label(c);
            case Accepts::pair:
                return pair(c);
            case Accepts::part:
                return part(c);
            case Accepts::thing:
            case Accepts::terminal:
                return things(c);
            case Accepts::text: {
                Field f = start(c);
                f.text = b.symbol(unescape(atoms[c.first].text));
                return keep(f);
            }
            case Accepts::date:
                if (!is_date(atoms[c.first].text)) {
                    const Atom& a = atoms[c.first];
                    b.report.error("design.property-shape", v.span(a.begin, a.end),
                                   fmt::format("{} is no date", quoted(a.text)),
                                   "write year, month and day, as in 2026-11-24");
                    return spoil();
                }
                [[fallthrough]];
            case Accepts::word: {
                Field f = start(c);
                f.text = b.symbol(atoms[c.first].text);
                return keep(f);
            }
        }
    }
};

}  // namespace

FieldsRead read_fields(Build& b, const View& v, Scope scope, const std::vector<Atom>& atoms,
                       const std::vector<Capture>& captures, Sign sign) {
    FieldReader reader{b, v, scope, atoms, sign, {}};
    reader.out.fields.reserve(captures.size());
    for (const Capture& c : captures) reader.read(c);
    return std::move(reader.out);
}

std::string unescape(std::string_view text) {
    if (!text.empty() && text.front() == '"') text.remove_prefix(1);
    if (!text.empty() && text.back() == '"') text.remove_suffix(1);
    std::string plain;
    plain.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '\\' && i + 1 < text.size() && (text[i + 1] == '"' || text[i + 1] == '\\'))
            ++i;
        plain += text[i];
    }
    return plain;
}

}  // namespace ferrule::resolve
