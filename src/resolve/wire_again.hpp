// One conductor statement of a design, or a line that cannot be read, resolved again after an edit of that alone.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "findings/finding.hpp"
#include "graph/design.hpp"
#include "resolve/loader.hpp"
#include "resolve/written.hpp"
#include "text/source.hpp"

namespace ferrule::resolve {

struct Wires {
    std::vector<graph::Conductor> conductors;
    std::vector<findings::Finding> findings;
    std::vector<graph::ThingId> left_open;  // what it adds to Design::left_open
    bool doubted = false;                   // it names something unknown that a line that cannot be read may declare
};
struct Rewired { Wires was, is; };

// A statement that stands outside of runs, repeats and assemblies, in a design that has no assemblies and in which every name is known.
// `before` and `now` are the texts of one file, `was` and `is` the statement in them; 0: there is none. Nothing: it has to do with more than
// its own ends (marks, cores, openings, runs, claims). The design stays as it is but for words that it did not know; what it takes over
// from this is the caller's business.
[[nodiscard]] std::optional<Rewired> wire_again(graph::Design& design, const text::Sources& sources, Loader& loader, std::span<const text::FileId> files,
                                                Text before, syntax::NodeIndex was, Text now, syntax::NodeIndex is);
// Has a conductor to do with no more than its own two ends?
[[nodiscard]] bool stands_alone(const graph::Conductor& conductor);

}  // namespace ferrule::resolve
