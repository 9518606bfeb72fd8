#include "resolve/wire_again.hpp"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "resolve/build.hpp"
#include "resolve/gather.hpp"
#include "resolve/lookup.hpp"
#include "resolve/wiring.hpp"

namespace ferrule::resolve {

namespace {

// Findings that rest on the statement alone, where all other names are known.
constexpr std::array<std::string_view, 14> own_rules{"design.below-zero", "design.conductor",   "design.length-missing", "design.property-shape",    "design.range",
                                                     "design.stated-twice", "design.tail",      "design.unit-wrong",     "design.unknown-name",      "design.unknown-statement",
                                                     "design.unknown-terminal", "design.unknown-unit", "design.wrong-kind", "design.zero"};

// The names of a finished design without assemblies, as they were when it was resolved.
void bind_all(Build& b) {
    const graph::Design& d = b.design;
    for (const PartId p : d.parts.ids()) {
        if (d.parts[p].span) b.names.bind(d.parts[p].name, none, {Means::part, {}, p.value});
    }
    for (const ThingId t : d.things.ids()) {
        const graph::Thing& thing = d.things[t];
        if (thing.index == 0) {
            b.names.bind(thing.name, none, {Means::thing, thing.cls, t.value});
            continue;
        }
        Binding array = b.names.find(thing.name, none);
        if (!array) {
            array = {Means::array, thing.cls, b.names.add_array()};
            b.names.bind(thing.name, none, array);
        }
        (void)b.names.array(array.id).add(thing.index, t);
    }
}

}  // namespace

bool stands_alone(const graph::Conductor& c) { return !c.mark && !c.named_cable && c.core == 0 && !c.run && c.vias == 0 && c.entries == 0; }

std::optional<Rewired> wire_again(graph::Design& design, const text::Sources& sources, Loader& loader, std::span<const text::FileId> files, Text before,
                                  syntax::NodeIndex was, Text now, syntax::NodeIndex is) {
    const auto owned = [](const graph::Thing& t) { return static_cast<bool>(t.owner); };
    if (std::any_of(design.things.begin(), design.things.end(), owned)) return std::nullopt;
    const std::size_t conductors = design.conductors.size(), vias = design.vias.size(), uses = design.entry_uses.size(), claims = design.claims.size(), open = design.left_open.size();
    const graph::Kinds& kinds = *design.kinds;
    const units::Units& units = *design.units;
    Build b(sources, loader, kinds, units, std::move(design));
    bind_all(b);
    bool good = true;
    const auto wire = [&](Text text, syntax::NodeIndex statement) {
        Wires out;
        if (statement == 0) return out;
        b.maybe.clear();
        b.unknown_reported.clear();
        b.doubted = false;
        for (const text::FileId file : files) {
            if (file != text.tree.file) doubt(b, View(loader.tree(file), sources[file].bytes()));
        }
        b.views.emplace_back(text.tree, text.bytes);
        doubt(b, b.views.back());
        if (text.tree[statement].kind == syntax::NodeKind::property) no_statement(b, b.views.back(), statement);
        else Wiring(b).statement({static_cast<std::uint32_t>(b.views.size() - 1), statement}, {}, nullptr);
        out.findings = b.report.take();
        out.doubted = b.doubted;
        good = good && !b.exhausted && b.design.vias.size() == vias && b.design.entry_uses.size() == uses && b.design.claims.size() == claims;
        for (std::size_t i = conductors; i < b.design.conductors.size(); ++i) {
            out.conductors.push_back(b.design.conductors[ConductorId(i)]);
            good = good && stands_alone(out.conductors.back());
        }
        out.left_open.assign(b.design.left_open.begin() + static_cast<std::ptrdiff_t>(open), b.design.left_open.end());
        b.design.conductors.resize(conductors);
        b.design.vias.resize(vias);
        b.design.entry_uses.resize(uses);
        b.design.claims.resize(claims);
        b.design.left_open.resize(open);
        return out;
    };
    Rewired out{wire(before, was), wire(now, is)};
    design = std::move(b.design);
    design.freeze();  // it may know more words
    const auto own = [](const findings::Finding& f) { return std::find(own_rules.begin(), own_rules.end(), f.rule) != own_rules.end(); };
    if (!good || !std::all_of(out.is.findings.begin(), out.is.findings.end(), own)) return std::nullopt;
    return out;
}

}  // namespace ferrule::resolve
