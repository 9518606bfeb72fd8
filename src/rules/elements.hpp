// The elements of an aggregate one by one, and the row that a path leads to: for whoever asks why a
// row came out as it did. Internal to the room.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "rules/evaluate.hpp"

namespace ferrule::rules {

// The elements of an aggregate in the first row of the scope.
inline std::span<const std::uint32_t> elements_of(Evaluator& f, const Node& aggregate) {
    const Block& lists = f.last(f.formula().child(aggregate, 0));
    const auto list = lists.lists[0];
    if (list.first >= id_absent) return {};
    return std::span(lists.pool->pool).subspan(list.first, list.count);
}

// Calls visit(scope) for one element with the expression evaluated over it.
template <class Visit>
void with_element(Evaluator& f, const Node& aggregate, const Scope& outer, std::uint32_t element,
                  Visit visit) {
    const std::uint32_t first = 0;
    Scope inner;
    inner.table = f.formula().nodes[f.formula().child(aggregate, 0)].type.table;
    inner.count = 1;
    inner.rows = std::span(&element, 1);
    inner.outer = &outer;
    inner.outer_at = std::span(&first, 1);
    f.eval(f.formula().child(aggregate, 1), inner);
    visit(inner);
}

// Calls visit(scope) for up to `most` elements for which wanted() holds once the expression has
// been evaluated.
template <class Wanted, class Visit>
void some_elements(Evaluator& f, const Node& aggregate, const Scope& outer, std::size_t most,
                   Wanted wanted, Visit visit) {
    const auto elements = elements_of(f, aggregate);
    const std::vector<std::uint32_t> copy(elements.begin(), elements.end());
    for (const std::uint32_t element : copy) {
        if (most == 0) return;
        with_element(f, aggregate, outer, element, [&](const Scope& inner) {
            if (!wanted()) return;
            --most;
            visit(inner);
        });
    }
}

// Evaluated anew: a column over consecutive rows never asked its row node.
inline std::uint32_t subject_row(Evaluator& f, const Node& n, const Scope& scope) {
    return f.eval(f.formula().child(n, 0), scope).ids[0];
}

}  // namespace ferrule::rules
