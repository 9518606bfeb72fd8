#include "project/amend.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "facts/facts.hpp"
#include "facts/lengths.hpp"
#include "findings/places.hpp"
#include "graph/places.hpp"
#include "graph/same.hpp"
#include "resolve/change_count.hpp"
#include "resolve/wire_again.hpp"

namespace ferrule::project {

namespace {

// Every place in the study and its report is moved. False: of some it is not known where to.
bool move(Study& study, findings::Report& report, const text::Moved& moved) {
    bool known = true;
    const auto visit = [&](text::Span& place) {
        known &= moved.knows(place);
        place = moved(place);
    };
    findings::each_place(report, visit);
    for (findings::Finding& f : study.findings) findings::each_place(f, visit);
    graph::each_place(study.design, visit);
    return known;
}

bool within(const text::Span& place, const text::Span& of) { return place.file == of.file && place.begin >= of.begin && place.end <= of.end; }

// Has the reader said anything about the statement that holds a node?
bool spoken_of(Study& study, const syntax::Tree& tree, syntax::NodeIndex node) {
    text::Span statement;
    for (const syntax::NodeIndex top : syntax::children(tree, 0)) {
        if (top <= node) statement = tree.span(top);
    }
    bool spoken = false;
    for (findings::Finding& f : study.findings) {
        findings::each_place(f, [&](const text::Span& s) { spoken |= s.file == statement.file && s.begin <= statement.end && s.end >= statement.begin; });
    }
    return spoken;
}

void compute_anew(Study& study, bool same_statements) {
    study.replaced = std::make_unique<Study>();
    study.replaced->facts = std::move(study.facts);
    facts::Renewed now = facts::compute_again(study.design, *study.standard, study.replaced->facts, same_statements);
    study.facts = std::move(now.facts);
    study.remembered.since = std::move(now.since);
}

Amended amend_count(Study& study, findings::Report& report, text::Sources& sources, Loader& loader, const Edited& edited) {
    const syntax::NodeIndex number = edited.same.number;
    const text::FileId file = edited.tree.file;
    report = {};
    if (spoken_of(study, edited.tree, number) || !resolve::change_count(study.design, {edited.tree, edited.text}, {loader.tree(file), sources[file].bytes()}, number)) return Amended::no;
    if (!move(study, report, edited.same.moved)) return Amended::no;
    compute_anew(study, true);
    return Amended::judged_anew;
}

// The conductors of a statement, each with nothing to do but with its two ends; empty if that is not so, or there are none.
std::vector<graph::ConductorId> conductors_of(const graph::Design& d, text::Span statement) {
    std::vector<graph::ConductorId> all;
    for (const graph::ConductorId c : d.conductors.ids()) {
        if (d.conductors[c].span != statement) continue;
        if (!resolve::stands_alone(d.conductors[c])) return {};
        all.push_back(c);
    }
    const auto claimed = [&](const graph::PositionClaim& p) { return std::find(all.begin(), all.end(), p.conductor) != all.end(); };
    return std::any_of(d.claims.begin(), d.claims.end(), claimed) ? std::vector<graph::ConductorId>() : all;
}

// Findings that stand whatever becomes of a conductor, and that leave no name in doubt.
bool stands(const findings::Finding& f) { return f.rule == "design.near-names" || f.rule == "design.standard"; }

Amended amend_wire(Study& study, findings::Report& report, const text::Sources& sources, Loader& loader, const Edited& edited) {
    graph::Design& d = study.design;
    const text::Span statement = edited.tree.span(edited.same.wire);
    report = {};
    std::erase_if(study.findings, [&](const findings::Finding& f) { return within(f.span, statement); });
    const std::vector<graph::ConductorId> of = conductors_of(d, statement);
    if (of.empty() || !std::all_of(study.findings.begin(), study.findings.end(), stands)) return Amended::no;
    const std::optional<resolve::Wires> wires = resolve::wire_again(d, sources, loader, statement.file, edited.same.wire);
    if (!wires || wires->conductors.size() != of.size()) return Amended::no;
    for (const graph::ConductorId c : of) d.conductors[c].span_a = d.conductors[c].span_b = statement;
    if (!move(study, report, edited.same.moved)) return Amended::no;
    std::copy(wires->findings.begin(), wires->findings.end(), std::back_inserter(study.findings));
    std::vector<facts::NewLength> lengths;
    bool same = true;
    for (std::size_t i = 0; i < of.size(); ++i) {
        graph::Conductor& c = d.conductors[of[i]];
        const graph::Conductor& now = wires->conductors[i];
        same = same && graph::same_but_length(c, now);
        if (c.length != now.length && !(std::isnan(c.length) && std::isnan(now.length))) lengths.push_back({of[i], c.length});
        c = now;
    }
    std::optional<facts::Difference> since;
    if (same) since = lengths.empty() ? facts::Difference::none() : facts::change_lengths(study.facts, lengths);
    if (since) study.remembered.since = std::move(*since);
    else compute_anew(study, same);
    return Amended::judged_anew;
}

}  // namespace

Amended amend(Study& study, findings::Report& report, text::Sources& sources, Loader& loader, const Edited& edited) {
    if (edited.same.number != 0) return amend_count(study, report, sources, loader, edited);
    if (edited.same.wire != 0) return amend_wire(study, report, sources, loader, edited);
    return move(study, report, edited.same.moved) ? Amended::moved : Amended::no;
}

}  // namespace ferrule::project
