#include "project/amend.hpp"

#include <algorithm>
#include <iterator>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "facts/facts.hpp"
#include "facts/figures.hpp"
#include "findings/places.hpp"
#include "graph/places.hpp"
#include "graph/same.hpp"
#include "resolve/change_count.hpp"
#include "resolve/wire_again.hpp"

namespace ferrule::project {

namespace {

using graph::ConductorId;

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

bool within(const text::Span& place, const text::Span& of) { return of.begin < of.end && place.file == of.file && place.begin >= of.begin && place.end <= of.end; }

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

// The conductors of a statement. Nothing: one has to do with more than its two ends.
std::optional<std::vector<ConductorId>> conductors_of(const graph::Design& d, text::Span statement) {
    std::vector<ConductorId> all;
    for (const ConductorId c : d.conductors.ids()) {
        if (d.conductors[c].span != statement) continue;
        if (!resolve::stands_alone(d.conductors[c])) return std::nullopt;
        all.push_back(c);
    }
    const auto claimed = [&](const graph::PositionClaim& p) { return std::find(all.begin(), all.end(), p.conductor) != all.end(); };
    if (!all.empty() && std::any_of(d.claims.begin(), d.claims.end(), claimed)) return std::nullopt;
    return all;
}

// Where a statement's conductors go among those of the whole design, in the order of the text. Nothing: that is not plain.
std::optional<std::uint32_t> place_among(const graph::Design& d, text::Span statement) {
    std::uint32_t before = 0;
    for (const ConductorId c : d.conductors.ids()) {
        const text::Span s = d.conductors[c].span;
        if (s.file != statement.file || (s.begin < statement.begin && before != c.value)) return std::nullopt;
        if (s.begin < statement.begin) ++before;
    }
    return before;
}

// Others in the place of some conductors that stand together.
void put_in(graph::Design& d, std::uint32_t at, std::uint32_t taken, const std::vector<graph::Conductor>& come) {
    const auto more = static_cast<std::uint32_t>(come.size()) - taken;  // modulo 2^32
    base::IdVector<ConductorId, graph::Conductor> all;
    all.reserve(d.conductors.size() + come.size());
    for (std::uint32_t c = 0; c < at; ++c) all.add(d.conductors[ConductorId(c)]);
    for (const graph::Conductor& one : come) all.add(one);
    for (auto c = at + taken; c < d.conductors.size(); ++c) all.add(d.conductors[ConductorId(c)]);
    d.conductors = std::move(all);
    for (graph::PositionClaim& p : d.claims) {
        if (p.conductor.value >= at) p.conductor = ConductorId(p.conductor.value + more);
    }
    for (graph::EntryUse& u : d.entry_uses) {
        if (u.conductor && u.conductor.value >= at) u.conductor = ConductorId(u.conductor.value + more);
    }
}

// Findings that stand whatever becomes of a conductor or of a line that cannot be read, where no name hangs on that.
bool stands(const findings::Finding& f) {
    return f.rule == "design.near-names" || f.rule == "design.standard" || f.rule == "design.unknown-statement" || f.rule.starts_with("syntax.");
}

Amended amend_statement(Study& study, findings::Report& report, const text::Sources& sources, Loader& loader, const Edited& edited) {
    graph::Design& d = study.design;
    const syntax::Alike& same_as = edited.same;
    const text::FileId file = edited.tree.file;
    const syntax::Tree& tree = loader.tree(file);
    const text::Span was = same_as.was == 0 ? text::Span() : edited.tree.span(same_as.was), is = same_as.is == 0 ? text::Span() : tree.span(same_as.is);
    report = {};
    std::erase_if(study.findings, [&](const findings::Finding& f) { return within(f.span, same_as.lines_before); });
    if (study.doubted || d.things.empty() || !std::all_of(study.findings.begin(), study.findings.end(), stands)) return Amended::no;
    std::optional<std::vector<ConductorId>> of = same_as.was == 0 ? std::vector<ConductorId>() : conductors_of(d, was);
    if (!of) return Amended::no;
    std::optional<resolve::Rewired> wires =
        resolve::wire_again(d, sources, loader, study.files, {edited.tree, edited.text}, same_as.was, {tree, sources[file].bytes()}, same_as.is);
    if (!wires || wires->was.conductors.size() != of->size()) return Amended::no;

    for (const ConductorId c : *of) d.conductors[c].span = d.conductors[c].span_a = d.conductors[c].span_b = {};
    const std::uint32_t taken = static_cast<std::uint32_t>(of->size());
    if (!move(study, report, same_as.moved)) return Amended::no;
    std::vector<facts::NewFigures> figures;
    bool same = true;  // the conductors, but for figures: what their cables state is what it was
    if (taken == wires->is.conductors.size()) {
        for (std::uint32_t i = 0; i < taken; ++i) {
            graph::Conductor& c = d.conductors[(*of)[i]];
            const graph::Conductor& now = wires->is.conductors[i];
            same = same && graph::same_but_figures(c, now);
            if (!graph::same_number(c.length, now.length) || !graph::same_number(c.rated_voltage, now.rated_voltage)) figures.push_back({(*of)[i], c.length, c.rated_voltage});
            c = now;
        }
    } else {
        const std::optional<std::uint32_t> at = taken != 0 ? std::optional(of->front().value) : place_among(d, is);
        if (!at) return Amended::no;
        put_in(d, *at, taken, wires->is.conductors);
        same = false;
    }
    for (const graph::ThingId t : wires->was.left_open) {
        const auto at = std::find(d.left_open.begin(), d.left_open.end(), t);
        if (at != d.left_open.end()) d.left_open.erase(at);
    }
    d.left_open.insert(d.left_open.end(), wires->is.left_open.begin(), wires->is.left_open.end());
    study.doubted = wires->is.doubted;
    std::copy_if(tree.findings.begin(), tree.findings.end(), std::back_inserter(study.findings), [&](const findings::Finding& f) { return within(f.span, same_as.lines_now); });
    std::move(wires->is.findings.begin(), wires->is.findings.end(), std::back_inserter(study.findings));

    std::optional<facts::Difference> since;
    if (same && wires->was.left_open == wires->is.left_open) since = figures.empty() ? facts::Difference::none() : facts::change_figures(study.facts, figures);
    if (since) study.remembered.since = std::move(*since);
    else compute_anew(study, same);
    return Amended::judged_anew;
}

}  // namespace

Amended amend(Study& study, findings::Report& report, text::Sources& sources, Loader& loader, const Edited& edited) {
    if (edited.same.number != 0) return amend_count(study, report, sources, loader, edited);
    if (edited.same.was != 0 || edited.same.is != 0) return amend_statement(study, report, sources, loader, edited);
    return move(study, report, edited.same.moved) ? Amended::moved : Amended::no;
}

}  // namespace ferrule::project
