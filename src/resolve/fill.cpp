#include "resolve/fill.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "resolve/blocks.hpp"
#include "resolve/fields.hpp"
#include "resolve/lookup.hpp"
#include "resolve/quantity.hpp"
#include "resolve/refs.hpp"

namespace ferrule::resolve {

using graph::Row;
using graph::Thing;

namespace {

constexpr int most_entries = 4096;  // of one box

bool names_things(const graph::Shape& s) {
    if (s.op == graph::Shape::Op::field &&
        (s.accepts == graph::Accepts::thing || s.accepts == graph::Accepts::terminal))
        return true;
    return std::any_of(s.children.begin(), s.children.end(), names_things);
}

bool names_things(const std::vector<graph::Property>& properties) {
    return std::any_of(properties.begin(), properties.end(), [](const graph::Property& p) {
        return names_things(p.shape) || names_things(p.block);
    });
}

constexpr Wanted somewhere{.what = "a place or an enclosure",
                           .things = bit(ThingClass::place) | bit(ThingClass::enclosure),
                           .parts = false,
                           .assemblies = false,
                           .kind = {}};

struct Filler {
    Build& b;

    void whereabouts(const Pending& p, const View& v, NodeIndex where) {
        const NodeIndex ref = v.child(where, NodeKind::ref);
        if (ref == no_node) return;
        const Path path = read_path(b, v, ref, p.scope);
        if (!path.good) return;
        const std::uint32_t n = path.length();
        if (n != 1 && n != p.count) {
            b.report.error("design.range", path.span(),
                           fmt::format("{} are {} places for {} things: they run in step",
                                       quoted(v.text(ref)), n, p.count));
            return;
        }
        ThingId there;
        for (std::uint32_t k = 0; k < p.count; ++k) {
            if (k == 0 || n != 1) there = thing_at(b, path, k, p.scope, somewhere);
            b.design.things[ThingId(p.first.value + k)].where = there;
        }
    }

    void block(const Pending& p, const View& v, NodeIndex node) {
        const ThingClass cls = b.design.things[p.first].cls;
        const KindId kind = b.block_kinds[static_cast<std::size_t>(cls)];
        const BlockRows rows =
            cls == ThingClass::run
                ? read_block_of(b, v, node, kind, p.scope,
                                {NodeKind::conductor, NodeKind::bond, NodeKind::earth,
                                 NodeKind::jumper, NodeKind::repeat})
                : read_block_of(b, v, node, kind, p.scope);
        for (std::uint32_t k = 0; k < p.count; ++k) {
            const ThingId id(p.first.value + k);
            b.design.things[id].rows = rows.rows;
            if (cls == ThingClass::enclosure) entries(id, rows);
            if (cls == ThingClass::device) free_labels(id, rows.rows);
        }
        if (cls == ThingClass::run) ways(rows.rows);
    }

    // A run goes through places, and on through other runs.
    void ways(base::Range<RowId> rows) {
        for (const RowId r : rows) {
            const Row row = b.design.rows[r];
            const bool through = row.property == b.words.through;
            if (!through && row.property != b.words.via) continue;
            for (const FieldId fid : row.fields) {
                const graph::Field& f = b.design.fields[fid];
                const Thing& t = b.design.things[ThingId(f.target)];
                if (through ? somewhere.things & bit(t.cls) : t.cls == ThingClass::run) continue;
                b.report.error("design.wrong-kind", {row.span.file, f.begin, f.end},
                               fmt::format("{} is no {}", b.design.name(ThingId(f.target)),
                                           through ? "place" : "run"),
                               t.span, "declared here");
            }
        }
    }

    const graph::Property* declaring_entry(const Row& row) {
        const KindId box = b.block_kinds[static_cast<std::size_t>(ThingClass::enclosure)];
        const graph::Property* p = box ? b.kinds[box].property(b.text(row.property)) : nullptr;
        return p != nullptr && p->declares == "entry" ? p : nullptr;
    }

    void entries(ThingId box, const BlockRows& read) {
        for (const graph::Property* p : read.spoilt) {
            if (p->declares == "entry") b.doubtful_boxes.insert(box);
        }
        const auto first = static_cast<std::uint32_t>(b.design.entries.size());
        for (const RowId r : read.rows) {
            const Row row = b.design.rows[r];
            if (declaring_entry(row) == nullptr) continue;
            graph::Entry e;
            e.enclosure = box;
            e.row = r;
            e.span = row.span;
            double low = 0, high = 0;
            for (const FieldId fid : row.fields) {
                const graph::Field& f = b.design.fields[fid];
                if (f.type == graph::Accepts::label) {
                    e.name = f.text;
                    e.span = {row.span.file, f.begin, f.end};
                    if (!std::isnan(f.low)) low = f.low, high = f.high;
                } else if (f.type == graph::Accepts::word) {
                    e.face = f.text;
                } else if (f.type == graph::Accepts::part) {
                    e.fitting = PartId(f.target);
                }
            }
            if (high - low + static_cast<double>(b.design.entries.size() - first) >= most_entries) {
                b.report.error("design.limit", e.span,
                               fmt::format("a box has at most {} entries", most_entries));
                b.doubtful_boxes.insert(box);
                continue;
            }
            const auto before = std::find_if(
                b.design.entries.begin() + first, b.design.entries.end(),
                [&](const graph::Entry& other) {
                    return other.name == e.name && other.index >= low && other.index <= high;
                });
            if (before != b.design.entries.end()) {
                b.report.error(
                    "design.duplicate-name", e.span,
                    fmt::format("{} has two entries {}", b.design.name(box), b.text(e.name)),
                    before->span, "first declared here");
                continue;
            }
            for (double i = low; i <= high; ++i) {
                e.index = static_cast<std::uint32_t>(i);
                b.design.entries.push_back(e);
            }
        }
        const auto count = static_cast<std::uint32_t>(b.design.entries.size()) - first;
        if (count != 0) b.entries_of.emplace(box, std::pair{first, count});
    }

    // `spare 7, 8`, `outside 2`: labels of the device's own part.
    void free_labels(ThingId device, base::Range<RowId> rows) {
        for (const RowId r : rows) {
            const Row row = b.design.rows[r];
            if (row.property != b.words.spare && row.property != b.words.outside) continue;
            for (const FieldId fid : row.fields) {
                const graph::Field f = b.design.fields[fid];
                for (const Symbol label : {f.text, f.second}) {
                    if (label && !b.design.terminal(device, label))
                        unknown_terminal(b, device, {row.span.file, f.begin, f.end}, b.text(label));
                }
            }
        }
    }

    // `cable K1 is YY-4G6 12 m`: its length is a property like any other.
    void cable(const Pending& p, const View& v) {
        const NodeIndex is = v.child(p.at.node, NodeKind::is);
        std::vector<Row> rows;
        for (NodeIndex n = is == no_node ? v.node(p.at.node).next : v.node(is).next;
             n < v.node(p.at.node).next; n = v.node(n).next) {
            const NodeKind kind = v.kind(n);
            if (kind == NodeKind::junk || kind == NodeKind::text) continue;
            const Quantity q = kind == NodeKind::quantity ? read_quantity(b, v, n) : Quantity();
            if (kind == NodeKind::quantity && !q) continue;
            if (kind != NodeKind::quantity || b.units[q.unit].dimension_name != "length") {
                b.report.error("design.tail", v.span(n),
                               fmt::format("{} says nothing about a named cable: its length may "
                                           "stand here, and a text",
                                           quoted(v.text(n))));
                continue;
            }
            graph::Field f;
            f.name = b.words.length;
            f.type = graph::Accepts::quantity;
            f.unit = q.unit;
            f.low = f.high = q.value;
            f.begin = v.node(n).begin;
            f.end = v.node(n).end;
            Row row;
            row.property = b.words.length;
            row.span = v.span(n);
            row.fields = keep_fields(b.design, {f});
            rows.push_back(row);
        }
        const auto kept = keep_rows(b.design, rows);
        for (std::uint32_t k = 0; k < p.count; ++k)
            b.design.things[ThingId(p.first.value + k)].rows = kept;
    }

    // What is inside an instance of an assembly and says nothing stands where the instance stands.
    void inherit() {
        if (b.instances.empty()) return;
        for (const ThingId id : b.design.things.ids()) {
            Thing& t = b.design.things[id];
            if (!t.owner || t.where) continue;
            if (t.cls == ThingClass::place || t.cls == ThingClass::run ||
                t.cls == ThingClass::cable)
                continue;
            t.where = b.design.things[t.owner].where;
        }
    }

    // A box that stands in itself would send whoever follows it round for ever.
    void circles() {
        for (const ThingId id : b.design.things.ids()) {
            if (b.design.things[id].cls != ThingClass::enclosure) continue;
            int steps = 0;
            ThingId at = b.design.things[id].where;
            while (at && at != id && steps < 64) {
                at = b.design.things[at].where;
                ++steps;
            }
            if (!at) continue;
            b.report.error("design.where", b.design.things[id].span,
                           at == id
                               ? fmt::format("{} stands in itself", b.design.name(id))
                               : fmt::format("{} stands in boxes without end", b.design.name(id)));
            b.design.things[id].where = {};
        }
    }
};

}  // namespace

void read_site(Build& b) {
    for (const Statement s : b.sites) {
        const View& v = b.view(s);
        const NodeIndex title = v.child(s.node, NodeKind::text);
        const Span at = title == no_node ? v.head(s.node) : v.span(title);
        if (b.design.site_span) {
            b.report.error("design.site", at, "a design has one site, and this is a second",
                           b.design.site_span, "the first is here");
            continue;
        }
        b.design.site_span = at;
        b.design.site_title = b.symbol(title == no_node ? std::string() : unescape(v.text(title)));
        const BlockRows read = read_block_of(b, v, v.child(s.node, NodeKind::block),
                                             b.kinds.find("block", "site"), {});
        b.design.site_rows = read.rows;
        for (const graph::Property* p : read.spoilt) b.design.site_unread.push_back(b.symbol(p->name));
    }
}

bool must_wait(const Build& b, ThingClass cls) {
    const KindId kind = b.block_kinds[static_cast<std::size_t>(cls)];
    return kind && names_things(b.kinds[kind].properties);
}

void fill_block(Build& b, const Pending& p, NodeIndex block) {
    Filler{b}.block(p, b.view(p.at), block);
}

void fill_blocks(Build& b) {
    Filler filler{b};
    for (const Pending& p : b.pending) {
        const View& v = b.view(p.at);
        if (const NodeIndex where = v.child(p.at.node, NodeKind::where);
            where != no_node && !p.placed)
            filler.whereabouts(p, v, where);
        if (const NodeIndex block = v.child(p.at.node, NodeKind::block);
            block != no_node && !p.filled)
            filler.block(p, v, block);
        if (b.design.things[p.first].cls == ThingClass::cable) filler.cable(p, v);
    }
    filler.inherit();
    filler.circles();
    // No site: only a design that has something to judge misses it.
    const bool any = std::any_of(
        b.design.things.begin(), b.design.things.end(),
        [](const Thing& t) { return t.cls == ThingClass::string || t.cls == ThingClass::device; });
    if (any && !b.design.site_span && !b.file_missing) {
        const View& root = b.views.front();
        findings::Finding f = warning(
            "design.site",
            root.span(0,
                      std::min<std::uint32_t>(1, static_cast<std::uint32_t>(root.bytes().size()))),
            "no site is stated: neither the standard that counts nor the coldest day is known");
        f.remedy =
            "state it: site \"NAME\" { standard nec-2023; coldest -9 degC; hottest 36 degC }";
        b.report.add(std::move(f));
    }
}

}  // namespace ferrule::resolve
