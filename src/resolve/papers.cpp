#include "resolve/papers.hpp"

#include <fmt/format.h>

#include "resolve/blocks.hpp"
#include "resolve/fields.hpp"
#include "resolve/quantity.hpp"
#include "resolve/refs.hpp"
#include "resolve/shape_match.hpp"

namespace ferrule::resolve {

using graph::Accepts;
using graph::Field;
using graph::Row;

namespace {

struct PaperReader {
    Build& b;
    const View& v;
    Scope scope;

    Symbol title(NodeIndex statement) {
        const NodeIndex text = v.child(statement, NodeKind::text);
        return b.symbol(text == no_node ? std::string() : unescape(v.text(text)));
    }

    // `places`: what stands on a thing may be named for it.
    std::vector<ThingId> things(NodeIndex statement, bool places = false) {
        std::vector<ThingId> all;
        const NodeIndex refs = v.child(statement, NodeKind::refs);
        if (refs == no_node) return all;
        for (const NodeIndex ref : v.children(refs)) {
            if (v.kind(ref) != NodeKind::ref) continue;
            const Path path = read_path(b, v, ref, scope);
            for (std::uint32_t k = 0; path.good && k < path.length(); ++k) {
                if (const ThingId t = places ? owner_at(b, path, k, scope) : thing_at(b, path, k, scope, a_thing)) all.push_back(t);
            }
        }
        return all;
    }

    // ---- readings: a thing or a terminal at the head of the line, then whatever was found ----
    Field field(std::string_view name, Accepts type, NodeIndex node) {
        Field f;
        f.name = b.symbol(name);
        f.type = type;
        f.begin = v.node(node).begin;
        f.end = v.node(node).end;
        return f;
    }

    // A name that is known is the thing; a word in small letters is a word; anything else is an
    // unknown name.
    void named(NodeIndex node, std::string_view name, std::vector<Field>& fields, ThingId& device) {
        const NodeIndex first = v.kind(node) == NodeKind::ref ? v.first(node) : no_node;
        const bool plain = first == no_node || v.node(first).next == v.node(node).next;
        const std::string_view text = v.text(node);
        const Symbol symbol = b.symbol(plain ? text : v.text(first));
        const Binding found = b.names.find(symbol, scope.instance);
        const bool small = !text.empty() && text[0] >= 'a' && text[0] <= 'z';
        if (plain && ((!found && small && name != "head") || first == no_node)) {
            if (first == no_node && name == "head") {
                const Binding thing = look_up(b, symbol, v.span(node), scope.instance, a_thing);
                if (thing.means == Means::thing) {
                    Field f = field(name, Accepts::thing, node);
                    f.target = thing.id;
                    f.text = symbol;
                    device = ThingId(thing.id);
                    fields.push_back(f);
                }
                return;
            }
            Field f = field("word", Accepts::word, node);
            f.text = symbol;
            fields.push_back(f);
            return;
        }
        const Path path = read_path(b, v, node, scope);
        for (std::uint32_t k = 0; path.good && k < path.length(); ++k) {
            const Either e = either_at(b, path, k, scope);
            if (!e.thing) return;
            Field f = field(name, e.terminal ? Accepts::terminal : Accepts::thing, node);
            f.target = e.terminal ? e.terminal.value : e.thing.value;
            f.text = symbol;
            if (path.count > 0 && !e.terminal) return;
            fields.push_back(f);
            device = e.thing;
        }
    }

    void pair(NodeIndex node, std::vector<Field>& fields, ThingId device) {
        Field f = field("pair", Accepts::pair, node);
        const std::string_view text = v.text(node);
        const std::size_t hyphen = text.find('-');
        f.text = b.symbol(text.substr(0, hyphen));
        f.second = b.symbol(text.substr(hyphen + 1));
        for (const Symbol label : {f.text, f.second}) {
            if (device && !b.design.terminal(device, label))
                return unknown_terminal(b, device, v.span(node), b.text(label));
        }
        fields.push_back(f);
    }

    base::Range<RowId> readings(NodeIndex block) {
        std::vector<Row> rows;
        if (block == no_node) return {};
        for (const NodeIndex line : v.children(block)) {
            if (v.kind(line) == NodeKind::junk) continue;
            if (v.kind(line) != NodeKind::property) {
                misplaced(b, v, line, "in a reading");
                continue;
            }
            rows.push_back(reading(line));
        }
        return keep_rows(b.design, rows);
    }

    Row reading(NodeIndex line) {
        Row row;
        row.span = v.head(line);
        std::vector<Field> fields;
        ThingId device;
        NodeIndex at = v.first(line);
        if (at == no_node) return row;
        row.property = b.symbol(v, at);
        if (v.text(at) != "state") named(at, "head", fields, device);
        for (at = v.node(at).next; at < v.node(line).next && v.kind(at) != NodeKind::block;
             at = v.node(at).next) {
            const std::string_view text = v.text(at);
            switch (v.kind(at)) {
                case NodeKind::ref: {
                    ThingId other;
                    named(at, "thing", fields, other);
                    break;
                }
                case NodeKind::pair:
                    pair(at, fields, device);
                    break;
                case NodeKind::quantity: {
                    const Quantity q = read_quantity(b, v, at, Sign::any);  // a meter shows what is reversed
                    Field f = field("value", Accepts::quantity, at);
                    f.unit = q.unit;
                    f.low = f.high = q.value;
                    if (q) fields.push_back(f);
                    break;
                }
                case NodeKind::number: {
                    Field f = field("number", Accepts::number, at);
                    const auto n = read_number(b, text, v.span(at));
                    if (n) f.low = f.high = *n;
                    fields.push_back(f);
                    break;
                }
                case NodeKind::junk:
                    break;
                default: {
                    Field f =
                        field(v.kind(at) == NodeKind::text ? "text" : "word",
                              v.kind(at) == NodeKind::text ? Accepts::text : Accepts::word, at);
                    f.text =
                        b.symbol(v.kind(at) == NodeKind::text ? unescape(text) : std::string(text));
                    fields.push_back(f);
                }
            }
        }
        if (device && fields.size() > 2) stands(device, fields);
        row.fields = keep_fields(b.design, fields);
        row.block = readings(v.child(line, NodeKind::block));
        return row;
    }

    // `Q1 off 1-2 open`: what is told of a switch's contacts is told of a position that its handle has.
    void stands(ThingId device, const std::vector<Field>& fields) {
        const Field& word = fields[1];
        if (fields[0].type != Accepts::thing || word.type != Accepts::word || fields[2].type != Accepts::pair) return;
        if (b.design.kind_of(device).conducts != "contact") return;
        const std::string_view said = b.text(word.text);
        if (said == "on" || said == "off") return;
        std::string known = "off, on";
        const graph::Part& part = b.design.part_of(device);
        const RowId positions = b.design.row(part.rows, "positions");
        if (positions) {
            known.clear();
            for (const graph::FieldId f : b.design.rows[positions].fields) {
                const std::string_view position = b.text(b.design.fields[f].text);
                if (position == said) return;
                known += (known.empty() ? "" : ", ") + std::string(position);
            }
        }
        b.report.error("design.property-shape", v.span(word.begin, word.end),
                       fmt::format("the handle of {} has no position {}; it has {}", b.design.name(device), said, known));
    }

    // ---- accepts ----
    void accept(NodeIndex statement) {
        const NodeIndex rule = v.child(statement, NodeKind::rule_id);
        if (rule == no_node) return;
        graph::Accept a;
        a.rule = b.symbol(v, rule);
        a.on = things(statement, true);  // findings speak of MPPT.pv, BOX.G[1]: they count as the thing they are on
        a.span = v.head(statement);
        const bool named = v.child(statement, NodeKind::refs) != no_node;
        NodeIndex n = v.node(rule).next;
        for (; n < v.node(statement).next && v.kind(n) != NodeKind::block; n = v.node(n).next) {
            if (v.kind(n) == NodeKind::refs || v.kind(n) == NodeKind::junk) continue;
            const NodeIndex value = v.node(n).next;
            const std::string_view word = v.text(n);
            std::string* const to = word == "because" ? &a.because
                                    : word == "until" ? &a.until
                                    : word == "by"    ? &a.by
                                                      : nullptr;
            const NodeKind wanted = word == "until" ? NodeKind::date : NodeKind::text;
            const bool more = value < v.node(statement).next && v.kind(value) != NodeKind::block;
            if (to == &a.until && more && v.kind(value) != wanted) {
                b.report.error("design.tail", v.span(value), fmt::format("{} is no date", quoted(v.text(value))),
                               "a date is written year-month-day with two digits each, YYYY-MM-DD, as in: until 2027-06-30");
                return;
            }
            if (to == nullptr || value >= v.node(statement).next || v.kind(value) != wanted) {
                b.report.error("design.tail", v.span(n),
                               fmt::format("{} does not fit into an accept", quoted(word)),
                               "as in: because \"REASON\" until 2027-06-30 by \"WHO\"");
                return;
            }
            *to = wanted == NodeKind::text ? unescape(v.text(value)) : std::string(v.text(value));
            n = value;
        }
        if (const NodeIndex block = v.child(statement, NodeKind::block); block != no_node) {
            const auto rows =
                read_block_of(b, v, block, b.kinds.find("block", "accept"), scope).rows;
            for (const RowId r : rows) {
                const Row& row = b.design.rows[r];
                if (row.fields.empty()) continue;
                const std::string_view text = b.text(b.design.fields[row.fields[0]].text);
                if (row.property == b.words.because) a.because = text;
                if (row.property == b.words.until) a.until = text;
                if (row.property == b.words.by) a.by = text;
            }
        }
        if (a.because.empty()) {
            b.report.error("design.needed-property", v.span(rule),
                           "an accept says why, and this one does not",
                           "write: because \"REASON\"");
            return;
        }
        if (named && a.on.empty()) return;  // its things are not known: it must not hold everywhere
        b.design.accepts.push_back(std::move(a));
    }
};

}  // namespace

void read_paper(Build& b, Statement s, Scope scope) {
    const View& v = b.view(s);
    PaperReader reader{b, v, scope};
    const NodeIndex block = v.child(s.node, NodeKind::block);
    switch (v.kind(s.node)) {
        case NodeKind::label_on: {
            graph::Label label;
            label.text = reader.title(s.node);
            label.on = reader.things(s.node);
            label.rows = read_block_of(b, v, block, b.kinds.find("block", "label"), scope).rows;
            label.span = v.head(s.node);
            b.design.labels.push_back(std::move(label));
            return;
        }
        case NodeKind::steps: {
            graph::Sequence steps;
            steps.title = reader.title(s.node);
            steps.rows = read_block_of(b, v, block, b.kinds.find("block", "steps"), scope).rows;
            steps.span = v.head(s.node);
            b.design.steps.push_back(steps);
            return;
        }
        case NodeKind::reading: {
            graph::Sequence reading;
            reading.title = reader.title(s.node);
            reading.rows = reader.readings(block);
            reading.span = v.head(s.node);
            b.design.readings.push_back(reading);
            return;
        }
        case NodeKind::accept:
            return reader.accept(s.node);
        default:
            return;
    }
}

}  // namespace ferrule::resolve
