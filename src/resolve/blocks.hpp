// What stands between braces, held to the table of kinds, as rows of the design.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <string_view>
#include <vector>

#include "resolve/build.hpp"

namespace ferrule::resolve {

struct BlockRows {
    base::Range<RowId> rows;
    std::vector<const graph::Property*> spoilt;  // stated, but not kept: reported
};

// The statements that may stand in a block besides properties; the caller reads them.
using Allowed = std::initializer_list<NodeKind>;

// `block` may be no_node: no rows. `whose` is the kind it belongs to ("module", "place").
[[nodiscard]] BlockRows read_block(Build& b, const View& v, NodeIndex block,
                                   const std::vector<graph::Property>& known,
                                   std::string_view whose, Scope scope, Allowed allowed = {});

// The rows of a block that is no part's.
[[nodiscard]] BlockRows read_block_of(Build& b, const View& v, NodeIndex block, KindId kind,
                                      Scope scope, Allowed allowed = {});

// Keeps what was made; a row's fields, and a block's rows, stand side by side.
[[nodiscard]] base::Range<FieldId> keep_fields(graph::Design& d,
                                               const std::vector<graph::Field>& fields);
[[nodiscard]] base::Range<RowId> keep_rows(graph::Design& d, const std::vector<graph::Row>& rows);

// "`device` stands outside of braces" and the like.
void misplaced(Build& b, const View& v, NodeIndex statement, std::string_view where);

}  // namespace ferrule::resolve
