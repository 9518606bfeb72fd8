// From trees to the system graph: files joined, names found, properties held to their shapes,
// arrays, repeats and assemblies written out, conductors landed. What cannot be resolved is left
// out of the graph and named by one finding at the place of the mistake; what hangs on it is left
// out in silence. The meaning of a design does not depend on the order of its statements. Linear in
// the text plus what it expands to; bounded by base/limits.hpp.
#pragma once

#include <vector>

#include "findings/finding.hpp"
#include "graph/design.hpp"
#include "graph/kinds.hpp"
#include "resolve/loader.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::resolve {

// A name in the text, and where what it means is declared: the place of its name. For editors.
struct Use {
    text::Span at;        // the name alone, without index or terminal
    text::Span declared;
    bool comes_with = false;  // a terminal that no line names: `declared` is the part it comes with, whose name it is not
};

struct Result {
    graph::Design design;  // refers to the kinds and units given: they must outlive it
    std::vector<findings::Finding> findings;  // of resolving alone; each tree keeps its own
    std::vector<text::FileId> files;          // every file read, the root first
    std::vector<Use> uses;                    // each place once, if they were asked for
    bool doubted = false;                     // a name is unknown that a line that cannot be read may declare
};

[[nodiscard]] Result resolve(const text::Sources& sources, Loader& loader, text::FileId root,
                             const graph::Kinds& kinds, const units::Units& units,
                             bool keep_uses = false);

}  // namespace ferrule::resolve
