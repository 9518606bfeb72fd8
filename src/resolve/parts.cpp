#include "resolve/parts.hpp"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "base/nearest.hpp"
#include "resolve/blocks.hpp"
#include "resolve/index.hpp"
#include "resolve/lookup.hpp"

namespace ferrule::resolve {

using graph::Kind;
using graph::Part;
using graph::Property;
using graph::Row;

namespace {

constexpr std::uint16_t no_terminal = 0xffff;
constexpr std::size_t most_terminals = 10'000;
constexpr std::uint32_t most_ports = 1'000;

struct PartReader {
    Build& b;
    const View& v;
    PartId id;
    const Kind& kind;
    bool doubtful = false;

    Part& part() { return b.design.parts[id]; }
    std::string name() { return std::string(b.text(part().name)); }
    Span field_span(const Row& row, const graph::Field& f) {
        return {row.span.file, f.begin, f.end};
    }

    std::uint16_t add_terminal(Symbol label, std::uint16_t port, Span span) {
        Part& p = part();
        if (const auto found = p.by_label.find(label); found != p.by_label.end()) {
            if (p.terminals[found->second].port == 0xffff) p.terminals[found->second].port = port;
            return found->second;
        }
        const auto index = static_cast<std::uint16_t>(p.terminals.size());
        graph::TerminalTemplate t;
        t.label = label;
        const std::string_view text = b.text(label);
        if (!text.empty())
            t.sign = static_cast<std::int8_t>(text.back() == '+' ? 1 : text.back() == '-' ? -1 : 0);
        t.port = port;
        t.span = span;
        p.terminals.push_back(t);
        p.by_label.emplace(label, index);
        return index;
    }

    std::optional<std::uint16_t> existing(Symbol label, Span at) {
        const Part& p = part();
        if (const auto found = p.by_label.find(label); found != p.by_label.end())
            return found->second;
        if (!doubtful) {
            std::vector<std::string_view> labels;
            for (const auto& t : p.terminals) labels.push_back(b.text(t.label));
            findings::Finding f =
                error("design.unknown-terminal", at,
                      fmt::format("{} has no terminal {}; {}", name(), quoted(b.text(label)),
                                  labels.empty() ? "it has none at all"
                                                 : "it has " + list(labels, "and", 24)));
            if (const std::string_view near = base::nearest(b.text(label), labels); !near.empty())
                f.remedy = fmt::format("write {} if that is meant", near);
            b.report.add(std::move(f));
        }
        return std::nullopt;
    }

    // ---- what a property adds to the part: first its terminals, then what speaks of them ----
    void add_terminals(const Row& row, const Property& p, std::uint16_t port) {
        const bool protective = p.declares == "protective";
        for (const FieldId fid : row.fields) {
            const graph::Field f = b.design.fields[fid];
            const std::string_view field = b.text(f.name);
            if (p.declares == "terminal" || protective) {
                if (field != "labels" && field != "label") continue;
                const std::uint16_t t = add_terminal(f.text, port, field_span(row, f));
                if (protective) part().terminals[t].protective = true;
                if (f.second) add_terminal(f.second, port, field_span(row, f));
            } else if (f.type == graph::Accepts::pair) {
                add_pole(row, p, f, port);
            }
        }
    }

    void add_pole(const Row& row, const Property& p, const graph::Field& f, std::uint16_t port) {
        const bool aux = p.declares == "aux";
        graph::PoleTemplate pole;
        pole.a = add_terminal(f.text, port, field_span(row, f));
        pole.b = add_terminal(f.second, port, field_span(row, f));
        pole.aux = aux;
        pole.span = row.span;
        if (aux) part().terminals[pole.a].aux = part().terminals[pole.b].aux = true;
        for (const FieldId fid : row.fields) {
            const graph::Field& other = b.design.fields[fid];
            if (other.type == graph::Accepts::label) pole.closed_in = other.text;
            if (other.type == graph::Accepts::word && b.text(other.text) == "opens")
                pole.opens = true;
        }
        if (pole.a == pole.b) {
            b.report.error("design.property-shape", field_span(row, f),
                           fmt::format("{} joins terminal {} to itself", p.name, b.text(f.text)));
            doubtful = true;
            return;
        }
        for (const auto& before : part().poles) {
            const bool same = (before.a == pole.a && before.b == pole.b) ||
                              (before.a == pole.b && before.b == pole.a);
            if (same && before.closed_in == pole.closed_in) {
                b.report.error("design.stated-twice", row.span,
                               fmt::format("{} {} to {} is stated twice", p.name, b.text(f.text),
                                           b.text(f.second)),
                               before.span, "first stated here");
                return;
            }
        }
        part().poles.push_back(pole);
    }

    void join(const Row& row) {
        std::optional<std::uint16_t> first;
        for (const FieldId fid : row.fields) {
            const graph::Field f = b.design.fields[fid];
            const auto t = existing(f.text, field_span(row, f));
            if (!t) continue;
            if (first && *first != *t) part().joins.push_back({*first, *t});
            if (!first) first = t;
        }
    }

    void face(const Row& row) {
        for (const RowId side : row.block) {
            const Row line = b.design.rows[side];
            std::uint16_t position = 0;
            for (const FieldId fid : line.fields) {
                const graph::Field f = b.design.fields[fid];
                ++position;
                const auto t = existing(f.text, field_span(line, f));
                if (!t) continue;
                const auto before =
                    std::find_if(part().face.begin(), part().face.end(),
                                 [&](const auto& place) { return place.terminal == *t; });
                if (before != part().face.end()) {
                    b.report.error("design.stated-twice", field_span(line, f),
                                   fmt::format("terminal {} has two places in the face of {}",
                                               b.text(f.text), name()));
                    continue;
                }
                part().face.push_back({line.property, position, *t});
            }
        }
    }

    void polarised(const Row& row) {
        Part& p = part();
        p.polarised_stated = true;
        p.polarised = !row.fields.empty();
        for (const FieldId fid : row.fields) {
            const graph::Field f = b.design.fields[fid];
            const auto t = existing(f.text, field_span(row, f));
            if (!t) continue;
            bool any = false;
            for (auto& pole : p.poles) {
                if (pole.aux || (pole.a != *t && pole.b != *t)) continue;
                pole.current_in = static_cast<std::int8_t>(pole.a == *t ? 1 : -1);
                any = true;
            }
            if (!any)
                b.report.error(
                    "design.unknown-terminal", field_span(row, f),
                    fmt::format("terminal {} of {} is in no pole", b.text(f.text), name()));
        }
    }

    void jumpers(const Row& row) {
        part().jumpers_stated = true;
        for (const FieldId fid : row.fields) {
            const graph::Field f = b.design.fields[fid];
            const auto one = existing(f.text, field_span(row, f));
            const auto two = existing(f.second, field_span(row, f));
            if (one && two) part().supplied_jumpers.push_back({*one, *two});
        }
    }

    const Property* property_of(const Row& row, const std::vector<Property>& known) {
        for (const Property& p : known) {
            if (p.name == b.text(row.property)) return &p;
        }
        return nullptr;
    }

    template <class Do>
    void each(base::Range<RowId> rows, const std::vector<Property>& known, Do what) {
        for (const RowId r : rows) {
            const Row row = b.design.rows[r];
            if (const Property* p = property_of(row, known); p != nullptr && !p->declares.empty())
                what(row, *p);
        }
    }

    void own_terminals(base::Range<RowId> rows) {
        for (const std::string& label : kind.terminals) {
            const std::uint16_t t = add_terminal(b.symbol(label), 0xffff, part().span);
            if (std::find(kind.protective.begin(), kind.protective.end(), label) !=
                kind.protective.end())
                part().terminals[t].protective = true;
        }
        if (kind.counted_terminals.empty()) return;
        const RowId row = b.design.row(rows, kind.counted_terminals);
        if (!row) return;
        const graph::Field count = b.design.fields[b.design.rows[row].fields[0]];
        if (count.low > static_cast<double>(most_terminals)) {
            b.report.error("design.limit", field_span(b.design.rows[row], count),
                           fmt::format("a part has at most {} terminals", most_terminals));
            doubtful = true;
            return;
        }
        const bool protective = !part().terminals.empty() && part().terminals[0].protective;
        for (std::uint32_t i = 1; i <= static_cast<std::uint32_t>(count.low); ++i) {
            const std::uint16_t t =
                add_terminal(b.symbol(std::to_string(i)), 0xffff, b.design.rows[row].span);
            part().terminals[t].protective = protective;
        }
    }

    // ---- ports ----
    void port(NodeIndex statement) {
        const NodeIndex word = v.child(statement, NodeKind::word);
        const NodeIndex head = v.first(statement);
        if (word == no_node || head == no_node || v.kind(head) == NodeKind::junk) {
            doubtful = true;
            if (v.child(statement, NodeKind::ref) != no_node && word == no_node &&
                v.child(statement, NodeKind::junk) == no_node) {
                b.report.error("design.misplaced", v.head(statement),
                               "in a part a port states its role: port pv is array { … }");
            }
            return;
        }
        const KindId role = b.kinds.find("role", v.text(word));
        if (!role) {
            std::vector<std::string_view> roles;
            for (const Kind& k : b.kinds.all()) {
                if (k.group == "role") roles.emplace_back(k.name);
            }
            b.report.error("design.unknown-kind", v.span(word),
                           fmt::format("{} is no role of a port{}", quoted(v.text(word)),
                                       meant(base::nearest(v.text(word), roles))),
                           "roles are " + list(roles));
            doubtful = true;
            return;
        }
        Index index;
        std::string_view text = v.text(head);
        const NodeIndex brackets = port_index(statement, head);
        if (brackets != no_node) {
            index = read_index(b, v, brackets, {});
            text = text.substr(0, std::min<std::size_t>(text.size(), text.find('[')));
            if (!index.good) {
                doubtful = true;
                return;
            }
            if (index.count() > most_ports) {
                b.report.error("design.limit", v.span(brackets),
                               fmt::format("a part has at most {} ports of a name", most_ports));
                doubtful = true;
                return;
            }
        }
        const Symbol port_name = b.symbol(text);
        for (const auto& before : part().ports) {
            if (before.name != port_name ||
                (index.stated && (before.index < index.low || before.index > index.high)))
                continue;
            b.report.error("design.duplicate-name", v.span(head),
                           fmt::format("port {} is declared twice", quoted(text)), before.span,
                           "first declared here");
            return;
        }
        const Kind& r = b.kinds[role];
        const BlockRows rows =
            read_block(b, v, v.child(statement, NodeKind::block), r.properties, r.name, {});
        note_spoilt(rows);
        for (std::uint32_t k = 0; k < index.count(); ++k) {
            graph::PortTemplate port;
            port.name = port_name;
            port.index = index.stated ? index.at(k) : 0;
            port.role = b.symbol(r.name);
            port.rows = rows.rows;
            port.span = v.span(head);
            fill_port(port, r, std::string(text) + (index.stated ? std::to_string(port.index) : ""),
                      rows);
        }
    }

    NodeIndex port_index(NodeIndex statement, NodeIndex head) {
        if (const NodeIndex inner = v.child(head, NodeKind::index); inner != no_node) return inner;
        return v.child(statement, NodeKind::index);
    }

    void fill_port(graph::PortTemplate port, const Kind& role, const std::string& text,
                   const BlockRows& rows) {
        const auto number = static_cast<std::uint16_t>(part().ports.size());
        each(rows.rows, role.properties, [&](const Row& row, const Property& p) {
            if (p.declares != "plus" && p.declares != "minus") return add_terminals(row, p, number);
            const graph::Field f = b.design.fields[row.fields[0]];
            const std::uint16_t t = add_terminal(f.text, number, field_span(row, f));
            (p.declares == "plus" ? port.plus : port.minus) = t;
            part().terminals[t].sign = static_cast<std::int8_t>(p.declares == "plus" ? 1 : -1);
        });
        for (const Property& p : role.properties) {
            const bool plus = p.declares == "plus", minus = p.declares == "minus";
            std::uint16_t& end = plus ? port.plus : port.minus;
            if ((!plus && !minus) || end != no_terminal) continue;
            if (std::find(rows.spoilt.begin(), rows.spoilt.end(), &p) != rows.spoilt.end())
                continue;
            end = add_terminal(b.symbol(text + (plus ? '+' : '-')), number, port.span);
        }
        part().ports.push_back(port);
    }

    void note_spoilt(const BlockRows& rows) {
        for (const Property* p : rows.spoilt) {
            part().unread.push_back(b.symbol(p->name));
            if (!p->declares.empty() || p->name == kind.counted_terminals) doubtful = true;
        }
    }

    void needed(base::Range<RowId> rows, const BlockRows& read) {
        std::vector<std::string_view> missing;
        const Property* first = nullptr;
        for (const Property& p : kind.properties) {
            if (!p.needed || b.design.row(rows, p.name) ||
                std::find(read.spoilt.begin(), read.spoilt.end(), &p) != read.spoilt.end())
                continue;
            if (first == nullptr) first = &p;
            missing.emplace_back(p.name);
            if (!p.declares.empty() || p.name == kind.counted_terminals) doubtful = true;
        }
        if (first == nullptr) return;
        b.report.error("design.needed-property", part().span,
                       fmt::format("{} states no {}, which {} needs", name(),
                                   list(missing, "and no"), with_article(kind.name)),
                       fmt::format("as in: {}", first->example));
    }

    void read(NodeIndex statement) {
        const NodeIndex block = v.child(statement, NodeKind::block);
        const BlockRows read =
            read_block(b, v, block, kind.properties, kind.name, {}, {NodeKind::port});
        part().rows = read.rows;
        note_spoilt(read);
        own_terminals(read.rows);
        static constexpr auto makes = [](const Property& p) {
            return p.declares == "terminal" || p.declares == "protective" || p.declares == "pole" ||
                   p.declares == "guard" || p.declares == "aux";
        };
        each(read.rows, kind.properties, [&](const Row& row, const Property& p) {
            if (makes(p)) add_terminals(row, p, 0xffff);
        });
        if (block != no_node) {
            for (const NodeIndex item : v.children(block)) {
                if (v.kind(item) == NodeKind::port) port(item);
                if (v.kind(item) == NodeKind::junk) doubtful = true;
            }
        }
        if (v.child(statement, NodeKind::junk) != no_node) doubtful = true;
        if (!doubtful || block != no_node) needed(read.rows, read);
        each(read.rows, kind.properties, [&](const Row& row, const Property& p) {
            if (p.declares == "join") join(row);
            else if (p.declares == "face") face(row);
            else if (p.declares == "polarised") polarised(row);
            else if (p.declares == "jumpers") jumpers(row);
        });
        if (doubtful) b.doubtful_parts.insert(id);
    }
};

void unknown_kind(Build& b, const View& v, NodeIndex word) {
    std::vector<std::string_view> kinds;
    for (const Kind& k : b.kinds.all()) {
        if (k.group == "part") kinds.emplace_back(k.name);
    }
    const std::string_view near = base::nearest(v.text(word), kinds);
    b.report.error("design.unknown-kind", v.span(word),
                   fmt::format("{} is no kind of part{}", quoted(v.text(word)), meant(near)),
                   near.empty() ? "kinds are " + list(kinds, "and", kinds.size())
                                : fmt::format("write {} if that is meant", near));
}

}  // namespace

PartId own_part(Build& b, KindId block, Symbol name, Span span) {
    Part part;
    part.name = name;
    part.kind = block;
    part.span = span;
    const PartId id = b.design.parts.add(std::move(part));
    if (b.design.parts[id].kind) PartReader{b, b.views.front(), id, b.kind(id)}.own_terminals({});
    return id;
}

void read_parts(Build& b) {
    struct Declared {
        Statement at;
        PartId id;
    };
    std::vector<Declared> declared;
    for (const Statement s : b.parts) {
        const View& v = b.view(s);
        const NodeIndex name = v.child(s.node, NodeKind::name);
        if (name == no_node) continue;
        const Symbol symbol = b.symbol(v, name);
        if (const Binding before = b.names.find(symbol, none)) {
            duplicate(b, symbol, v.span(name), before);
            continue;
        }
        const NodeIndex word = v.child(s.node, NodeKind::word);
        const KindId kind = word == no_node ? KindId() : b.kinds.find("part", v.text(word));
        if (!kind) {
            if (word != no_node) unknown_kind(b, v, word);
            b.names.poison(symbol, none);
            continue;
        }
        Part part;
        part.name = symbol;
        part.kind = kind;
        part.span = v.span(name);
        const PartId id = b.design.parts.add(std::move(part));
        b.names.bind(symbol, none, {Means::part, {}, id.value});
        declared.push_back({s, id});
    }
    for (const Declared& d : declared)
        PartReader{b, b.view(d.at), d.id, b.kind(d.id)}.read(d.at.node);
}

}  // namespace ferrule::resolve
