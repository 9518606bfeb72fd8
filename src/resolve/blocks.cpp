#include "resolve/blocks.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/nearest.hpp"
#include "resolve/fields.hpp"
#include "resolve/lookup.hpp"
#include "resolve/shape_match.hpp"
#include "resolve/shape_words.hpp"

namespace ferrule::resolve {

using graph::Property;
using graph::Row;

namespace {

const Property* find_property(const std::vector<Property>& known, std::string_view word) {
    for (const Property& p : known) {
        if (p.name == word) return &p;
    }
    return nullptr;
}

struct BlockReader {
    Build& b;
    const View& v;
    const std::vector<Property>& known;
    std::string_view whose;
    Scope scope;
    std::vector<Row> rows;
    BlockRows out;
    std::vector<const Property*> stated;
    std::vector<Span> first_places;

    [[nodiscard]] std::string owner() const {
        return whose.ends_with('s') ? std::string(whose) : with_article(whose);
    }

    void unknown_property(NodeIndex word) {
        std::vector<std::string_view> names;
        for (const Property& p : known) names.emplace_back(p.name);
        const std::string_view text = v.text(word);
        const std::string_view near = base::nearest(text, names);
        findings::Finding f =
            error("design.unknown-property", v.span(word),
                  fmt::format("{} is no property of {}{}", quoted(text), owner(), meant(near)));
        if (!near.empty()) {
            const Property* meant_one = find_property(known, near);
            f.remedy = fmt::format("write {} if that is meant: {}", near, meant_one->example);
            out.spoilt.push_back(meant_one);
        } else {
            f.remedy = names.empty() ? "nothing may stand in these braces"
                                     : "it has " + list(names, "and", 24);
        }
        b.report.add(std::move(f));
    }

    // False: it may be stated once only and has been.
    bool once(const Property& p, Span line) {
        for (std::size_t i = 0; i < stated.size(); ++i) {
            if (stated[i] != &p) continue;
            if (!p.many)
                b.report.error("design.stated-twice", line,
                               fmt::format("{} is stated twice", p.name), first_places[i],
                               "first stated here");
            return p.many;
        }
        stated.push_back(&p);
        first_places.push_back(line);
        return true;
    }

    void property(NodeIndex line) {
        const NodeIndex word = v.first(line);
        if (word == no_node || v.kind(word) == NodeKind::junk) return;
        const Property* p = find_property(known, v.text(word));
        if (p == nullptr) return unknown_property(word);
        Row row;
        row.property = b.symbol(p->name);
        row.span = v.head(line);
        if (!once(*p, row.span)) return;
        const Atoms atoms = read_atoms(v, line, v.node(word).next, b.units);
        if (atoms.junk || !fill(row, *p, atoms.all)) {
            out.spoilt.push_back(p);
            return;
        }
        if (const NodeIndex block = v.child(line, NodeKind::block); block != no_node) {
            if (p->block.empty()) {
                b.report.error("design.property-shape",
                               v.span(v.node(block).begin, v.node(block).begin + 1),
                               fmt::format("{} takes no braces", p->name),
                               fmt::format("as in: {}", p->example));
            } else {
                BlockRows inner = read_block(b, v, block, p->block, p->name, scope);
                row.block = inner.rows;
                if (!inner.spoilt.empty()) out.spoilt.push_back(p);
            }
        }
        rows.push_back(row);
    }

    bool fill(Row& row, const Property& p, const std::vector<Atom>& written) {
        ShapeMatch match(b.units, written);
        const std::vector<Atom>* atoms = &written;
        std::vector<Atom> split;
        if (!match.fits(p.shape)) {
            // `upper 1 N 2 A`: in a list of labels what looks like a current is two labels
            const bool any = std::any_of(written.begin(), written.end(), [](const Atom& a) {
                return a.kind == NodeKind::quantity;
            });
            if (any) split = split_quantities(v, written);
            ShapeMatch again(b.units, split);
            if (!any || !again.fits(p.shape)) {
                b.report.add(misfit(b, v, row.span, p, written, match));
                return false;
            }
            match = again;
            atoms = &split;
        }
        const FieldsRead read = read_fields(b, v, scope, *atoms, match.captures(), p.below_zero ? Sign::any : p.above_zero ? Sign::above_zero : Sign::of_dimension);
        if (!read.good) return false;
        row.fields = keep_fields(b.design, read.fields);
        return true;
    }
};

}  // namespace

base::Range<FieldId> keep_fields(graph::Design& d, const std::vector<graph::Field>& fields) {
    const auto first = static_cast<std::uint32_t>(d.fields.size());
    for (const graph::Field& f : fields) d.fields.add(f);
    return {first, static_cast<std::uint32_t>(fields.size())};
}

base::Range<RowId> keep_rows(graph::Design& d, const std::vector<graph::Row>& rows) {
    const auto first = static_cast<std::uint32_t>(d.rows.size());
    for (const graph::Row& r : rows) d.rows.add(r);
    return {first, static_cast<std::uint32_t>(rows.size())};
}

BlockRows read_block(Build& b, const View& v, NodeIndex block, const std::vector<Property>& known,
                     std::string_view whose, Scope scope, Allowed allowed) {
    if (block == no_node) return {};
    BlockReader reader{b, v, known, whose, scope, {}, {}, {}, {}};
    for (const NodeIndex item : v.children(block)) {
        const NodeKind kind = v.kind(item);
        if (kind == NodeKind::property) {
            reader.property(item);
        } else if (kind != NodeKind::junk &&
                   std::find(allowed.begin(), allowed.end(), kind) == allowed.end()) {
            misplaced(b, v, item, fmt::format("in the braces of {}", reader.owner()));
        }
    }
    reader.out.rows = keep_rows(b.design, reader.rows);
    return std::move(reader.out);
}

BlockRows read_block_of(Build& b, const View& v, NodeIndex block, KindId kind, Scope scope,
                        Allowed allowed) {
    if (block == no_node || !kind) return {};
    return read_block(b, v, block, b.kinds[kind].properties, b.kinds[kind].name, scope, allowed);
}

void misplaced(Build& b, const View& v, NodeIndex statement, std::string_view where) {
    std::string_view text = v.text(statement);
    const bool wire = v.kind(statement) == NodeKind::conductor;
    const std::uint32_t begin = v.node(statement).begin;
    const std::size_t word = std::min(text.find_first_of(" \t\r\n{;"), text.size());
    b.report.error(
        "design.misplaced",
        wire ? v.head(statement) : v.span(begin, begin + static_cast<std::uint32_t>(word)),
        wire ? fmt::format("a conductor cannot stand {}", where)
             : fmt::format("{} cannot stand {}", quoted(text.substr(0, word)), where),
        "write it outside of these braces; is a } missing above?");
}

}  // namespace ferrule::resolve
