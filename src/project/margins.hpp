// The room that is left below every limit of the rules, and how far the design may go until it is used up: degrees colder or
// hotter, metres longer, modules more or fewer. Each distance is found by computing the facts of a changed design and asking the
// rule itself, one step inside and one step outside; there is no second formula that could disagree with it.
//
// One changed design answers for all limits at once. Cost: some dozens of runs of the facts, bounded by limits::margin_*.
#pragma once

#include <string>
#include <vector>

#include "project/check.hpp"
#include "project/knowledge.hpp"
#include "render/margins.hpp"

namespace ferrule::project {

struct MarginsResult {
    render::Margins margins;
    std::vector<std::string> unknown;  // names that no subject with a limit has
};

// A name is that of a subject or of the thing it belongs to; no names: all.
[[nodiscard]] MarginsResult margins(const Study& study, const Knowledge& knowledge, const std::vector<std::string>& names);

}  // namespace ferrule::project
