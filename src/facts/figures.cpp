#include "facts/figures.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "base/limits.hpp"
#include "facts/analysis.hpp"
#include "facts/columns.hpp"
#include "facts/fill_network.hpp"
#include "facts/protection.hpp"
#include "graph/same.hpp"

namespace ferrule::facts {

namespace {

bool only_resists(const Facts& facts, const Basis& basis, const NewFigures& l) {
    const Analysis& a = *basis.analysis;
    const double is = a.d.conductors[l.conductor].length;
    if (graph::same_number(is, l.length)) return true;
    if (std::isnan(is) != std::isnan(l.length)) return false;
    const std::uint32_t edge = a.edge_of[l.conductor.value];
    const auto links = [&](const EarthLink& e) { return e.conductor == l.conductor.value; };
    if (std::any_of(a.earthing.links.begin(), a.earthing.links.end(), links)) return false;
    if (edge == none) return true;
    if (a.feeds.pieces().parts[edge].bundle != none || facts.table("conductor")->column("bundle")->subjects[l.conductor.value] != no_row) return false;
    // A tap is short up to a length.
    const double tap = a.standard.number("tap-length");
    return std::isnan(tap) || basis.protection->driven->own_guard(edge) == none || (is <= tap) == (l.length <= tap);
}

// What rests on a piece of circuit and on the conductors whose lengths are others.
PieceRows rows_of(const Analysis& a, const Basis& basis, const Piece& piece, std::span<const Solved::Again> lengths) {
    PieceRows rows;
    for (const Solved::Again& l : lengths) rows.conductors.push_back(l.conductor);
    for (const std::uint32_t e : piece.edges) {
        if (a.net.edges[e].conductor != none) rows.conductors.push_back(a.net.edges[e].conductor);
    }
    rows.strings = piece.strings;
    for (const std::uint32_t k : piece.ports) {
        if (a.input_row[k] != no_row) rows.inputs.push_back(a.input_row[k]);
    }
    for (auto* v : {&rows.conductors, &rows.inputs}) {
        std::sort(v->begin(), v->end());
        v->erase(std::unique(v->begin(), v->end()), v->end());
    }
    const std::vector<double>& open = basis.solved->open_circuit_again();
    for (std::size_t k = 0; k < piece.terminals.size(); ++k) {
        const auto at = std::lower_bound(basis.points.begin(), basis.points.end(), piece.terminals[k]);
        if (at == basis.points.end() || *at != piece.terminals[k]) continue;
        rows.points.push_back({static_cast<std::uint32_t>(at - basis.points.begin()), *at, open[k]});
    }
    return rows;
}

}  // namespace

std::optional<Difference> change_figures(Facts& facts, std::span<const NewFigures> figures) {
    const Basis& basis = *std::static_pointer_cast<const Basis>(facts.basis);
    const Analysis& a = *basis.analysis;
    if (facts.words.size() > base::limits::words_kept) return std::nullopt;
    if (!std::all_of(figures.begin(), figures.end(), [&](const NewFigures& l) { return only_resists(facts, basis, l); })) return std::nullopt;
    std::vector<Solved::Again> again;
    std::vector<std::uint32_t> changed;
    bool rated = false;
    for (const NewFigures& l : figures) {
        changed.push_back(l.conductor.value);
        if (!graph::same_number(a.d.conductors[l.conductor].length, l.length)) again.push_back({l.conductor.value, a.edge_of[l.conductor.value]});
        rated = rated || !graph::same_number(a.d.conductors[l.conductor].rated_voltage, l.rated);
    }
    std::sort(changed.begin(), changed.end());
    const std::optional<Piece> piece = basis.solved->set_lengths(a, again);
    if (!piece) return std::nullopt;

    const PieceRows rows = rows_of(a, basis, *piece, again);
    std::vector<std::uint32_t> fuses, points;
    for (const std::uint32_t e : piece->edges) {
        if (basis.protection->fuse_row[e] != none) fuses.push_back(basis.protection->fuse_row[e]);
    }
    for (const PieceRows::Point& p : rows.points) points.push_back(p.row);
    std::vector<Difference::Before> before;
    const auto note = [&](std::string_view table, const std::vector<std::uint32_t>& of, std::initializer_list<std::string_view> columns) {
        for (const std::string_view c : columns) before.push_back(Difference::before(Filler(facts, table).column(c), of));
    };
    note("conductor", changed, {"length", "rated-voltage"});
    note("conductor", rows.conductors, {"resistance", "flow", "drop", "loss"});
    note("string", rows.strings, {"drop", "drop-share", "path-resistance", "drop-size", "drop-advice", "drop-conductor"});
    note("input", rows.inputs, {"operating-voltage", "power"});
    if (facts.table("site")->rows != 0) note("site", {0}, {"array-power", "loss", "loss-share", "loss-year"});
    note("point", points, {"voltage-operating", "voltage-open"});
    note("fuse", fuses, {"length-to-others"});
    if (rated) {
        for (const Spec& spec : answers_columns().specs) note(spec.table, all_of(facts.table(spec.table)->rows), {spec.name});
    }

    std::vector<double>& length = Filler(facts, "conductor").numbers("length");
    std::vector<double>& rated_voltage = Filler(facts, "conductor").numbers("rated-voltage");
    for (const std::uint32_t c : changed) {
        length[c] = a.d.conductors[graph::ConductorId(c)].length;
        rated_voltage[c] = a.d.conductors[graph::ConductorId(c)].rated_voltage;
    }
    std::vector<double>& to_others = Filler(facts, "fuse").numbers("length-to-others");
    for (const std::uint32_t r : fuses) {
        if (!std::isnan(to_others[r])) to_others[r] = length_to_others(a, *basis.protection, a.fuses[r]);
    }
    put_piece(facts, a, *basis.solved, rows);
    if (rated) {
        for (const Spec& spec : answers_columns().specs) Filler(facts, spec.table).blank(spec.name);
        fill_answers(facts, basis.analysis);
    }
    return Difference(before);
}

}  // namespace ferrule::facts
