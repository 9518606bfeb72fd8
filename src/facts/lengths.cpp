#include "facts/lengths.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "base/limits.hpp"
#include "facts/analysis.hpp"
#include "facts/columns.hpp"
#include "facts/protection.hpp"
#include "facts/solved.hpp"

namespace ferrule::facts {

namespace {

bool only_resists(const Facts& facts, const Basis& basis, const NewLength& l) {
    const Analysis& a = *basis.analysis;
    const double is = a.d.conductors[l.conductor].length;
    if (std::isnan(is) != std::isnan(l.was)) return false;
    const std::uint32_t edge = a.edge_of[l.conductor.value];
    if (edge == none) return true;
    if (a.feeds.pieces().parts[edge].bundle != none || facts.table("conductor")->column("bundle")->subjects[l.conductor.value] != no_row) return false;
    // A tap is short up to a length.
    const double tap = a.standard.number("tap-length");
    return std::isnan(tap) || basis.protection->driven->own_guard(edge) == none || (is <= tap) == (l.was <= tap);
}

}  // namespace

std::optional<Difference> change_lengths(Facts& facts, std::span<const NewLength> lengths) {
    const Basis& basis = *std::static_pointer_cast<const Basis>(facts.basis);
    const Analysis& a = *basis.analysis;
    if (a.net.sources.size() != a.net.strings || facts.words.size() > base::limits::words_kept) return std::nullopt;
    if (!std::all_of(lengths.begin(), lengths.end(), [&](const NewLength& l) { return only_resists(facts, basis, l); })) return std::nullopt;
    std::vector<Column*> columns{&Filler(facts, "conductor").column("length"), &Filler(facts, "fuse").column("length-to-others")};
    for (const Spec& spec : network_columns().specs) columns.push_back(&Filler(facts, spec.table).column(spec.name));
    std::vector<std::pair<const Column*, Column>> before;
    for (Column* c : columns) before.emplace_back(c, *c);
    std::vector<double>& length = columns.front()->numbers;
    for (const NewLength& l : lengths) length[l.conductor.value] = a.d.conductors[l.conductor].length;
    std::vector<double>& to_others = columns[1]->numbers;
    for (std::size_t r = 0; r < to_others.size(); ++r) {
        if (!std::isnan(to_others[r])) to_others[r] = length_to_others(a, *basis.protection, a.fuses[r]);
    }
    for (const Spec& spec : network_columns().specs) Filler(facts, spec.table).blank(spec.name);
    fill_network(facts, basis.analysis, Solution(a));
    return Difference(before);
}

}  // namespace ferrule::facts
