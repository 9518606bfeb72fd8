#include "facts/lengths.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "base/limits.hpp"
#include "facts/analysis.hpp"
#include "facts/fill_network.hpp"
#include "facts/protection.hpp"

namespace ferrule::facts {

namespace {

bool only_resists(const Facts& facts, const Basis& basis, const NewLength& l) {
    const Analysis& a = *basis.analysis;
    const double is = a.d.conductors[l.conductor].length;
    if (std::isnan(is) != std::isnan(l.was)) return false;
    const std::uint32_t edge = a.edge_of[l.conductor.value];
    const auto links = [&](const EarthLink& e) { return e.conductor == l.conductor.value; };
    if (std::any_of(a.earthing.links.begin(), a.earthing.links.end(), links)) return false;
    if (edge == none) return true;
    if (a.feeds.pieces().parts[edge].bundle != none || facts.table("conductor")->column("bundle")->subjects[l.conductor.value] != no_row) return false;
    // A tap is short up to a length.
    const double tap = a.standard.number("tap-length");
    return std::isnan(tap) || basis.protection->driven->own_guard(edge) == none || (is <= tap) == (l.was <= tap);
}

// What rests on a piece of circuit and on the conductors whose lengths are others.
PieceRows rows_of(const Analysis& a, const Basis& basis, const Piece& piece, std::span<const NewLength> lengths) {
    PieceRows rows;
    for (const NewLength& l : lengths) rows.conductors.push_back(l.conductor.value);
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

std::optional<Difference> change_lengths(Facts& facts, std::span<const NewLength> lengths) {
    const Basis& basis = *std::static_pointer_cast<const Basis>(facts.basis);
    const Analysis& a = *basis.analysis;
    if (facts.words.size() > base::limits::words_kept) return std::nullopt;
    if (!std::all_of(lengths.begin(), lengths.end(), [&](const NewLength& l) { return only_resists(facts, basis, l); })) return std::nullopt;
    std::vector<Solved::Again> again;
    for (const NewLength& l : lengths) again.push_back({l.conductor.value, a.edge_of[l.conductor.value]});
    const std::optional<Piece> piece = basis.solved->set_lengths(a, again);
    if (!piece) return std::nullopt;

    const PieceRows rows = rows_of(a, basis, *piece, lengths);
    std::vector<std::uint32_t> fuses, points;
    for (const std::uint32_t e : piece->edges) {
        if (basis.protection->fuse_row[e] != none) fuses.push_back(basis.protection->fuse_row[e]);
    }
    for (const PieceRows::Point& p : rows.points) points.push_back(p.row);
    std::vector<Difference::Before> before;
    const auto note = [&](std::string_view table, const std::vector<std::uint32_t>& of, std::initializer_list<std::string_view> columns) {
        for (const std::string_view c : columns) before.push_back(Difference::before(Filler(facts, table).column(c), of));
    };
    note("conductor", rows.conductors, {"length", "resistance", "flow", "drop", "loss"});
    note("string", rows.strings, {"drop", "drop-share", "path-resistance", "drop-size", "drop-advice", "drop-conductor"});
    note("input", rows.inputs, {"operating-voltage", "power"});
    if (facts.table("site")->rows != 0) note("site", {0}, {"array-power", "loss", "loss-share", "loss-year"});
    note("point", points, {"voltage-operating", "voltage-open"});
    note("fuse", fuses, {"length-to-others"});

    std::vector<double>& length = Filler(facts, "conductor").numbers("length");
    for (const NewLength& l : lengths) length[l.conductor.value] = a.d.conductors[l.conductor].length;
    std::vector<double>& to_others = Filler(facts, "fuse").numbers("length-to-others");
    for (const std::uint32_t r : fuses) {
        if (!std::isnan(to_others[r])) to_others[r] = length_to_others(a, *basis.protection, a.fuses[r]);
    }
    put_piece(facts, a, *basis.solved, rows);
    return Difference(before);
}

}  // namespace ferrule::facts
