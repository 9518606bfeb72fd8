#include <algorithm>
#include <cassert>

#include "syntax/actions.hpp"
#include "syntax/first_look.hpp"
#include "syntax/tree.hpp"

namespace ferrule::syntax {

namespace {

using Input = pegtl::memory_input<pegtl::tracking_mode::lazy, pegtl::eol::lf_crlf, const char*>;

// A line of wiring has about one node for every three bytes; what is reserved and never touched
// costs nothing.
constexpr std::size_t bytes_per_node = 2;

}  // namespace

Tree parse(const text::Sources& sources, text::FileId file) {
    const std::string_view bytes = sources[file].bytes();
    Tree tree;
    tree.file = file;
    tree.nodes.reserve(bytes.size() / bytes_per_node + 16);
    FirstLook look = first_look(bytes, file);

    Builder builder(bytes, tree);
    builder.bad_encoding = look.bad_encoding;
    builder.long_lines = look.long_lines;
    const std::uint32_t root = builder.open(NodeKind::file, bytes.data());
    const char* const end = bytes.data() + bytes.size();
    if (look.readable) {
        Input in(bytes.data(), end, "");
        [[maybe_unused]] const bool read = pegtl::parse<grammar::file, build>(in, builder);
        assert(read);
    } else {
        builder.junk(bytes.data(), end);
    }
    builder.close(root, end);
    builder.finish();
    tree.findings.insert(tree.findings.end(), std::make_move_iterator(look.findings.begin()),
                         std::make_move_iterator(look.findings.end()));
    std::stable_sort(tree.findings.begin(), tree.findings.end(),
                     [](const findings::Finding& a, const findings::Finding& b) {
                         return a.span.begin < b.span.begin;
                     });
    return tree;
}

}  // namespace ferrule::syntax
