// One conductor statement of a design read again, after an edit of that statement alone.
#pragma once

#include <optional>
#include <vector>

#include "findings/finding.hpp"
#include "graph/design.hpp"
#include "resolve/loader.hpp"
#include "syntax/tree.hpp"
#include "text/source.hpp"

namespace ferrule::resolve {

struct Wires {
    std::vector<graph::Conductor> conductors;
    std::vector<findings::Finding> findings;  // of these conductors themselves
};

// A statement that stands outside of runs, repeats and assemblies, in a design that has no assemblies and of which nothing else was found
// that names could hang on. Nothing: it has to do with more than its own two ends (marks, cores, openings, runs, claims), or something in
// it could not be read. The design stays as it is but for words that it did not know.
[[nodiscard]] std::optional<Wires> wire_again(graph::Design& design, const text::Sources& sources, Loader& loader, text::FileId file, syntax::NodeIndex statement);
// Has a conductor to do with no more than its own two ends?
[[nodiscard]] bool stands_alone(const graph::Conductor& conductor);

}  // namespace ferrule::resolve
