#include "grammar/words.hpp"
#include "syntax/tree.hpp"

namespace ferrule::syntax {

std::span<const std::string_view> keywords() {
    return grammar::keyword_list;
}
std::span<const std::string_view> joining_words() {
    return grammar::joining_list;
}

std::string_view word(NodeKind kind) {
    static constexpr std::string_view words[] = {
        "file",      "edition",  "site",      "include",  "place",  "part",         "string",
        "enclosure", "device",   "run",       "cable",    "jumper", "bond",         "earth",
        "gang",      "label-on", "steps",     "assembly", "port",   "repeat",       "except",
        "accept",    "reading",  "conductor", "property", "junk",   "block",        "declared",
        "is",        "with",     "where",     "group",    "refs",   "pairing",      "none",
        "supplied",  "rule",     "ref",       "quantity", "index",  "sum",          "difference",
        "product",   "name",     "word",      "mark",     "label",  "number",       "unit",
        "text",      "date",     "time",      "pair",     "dots",   "signed-label",
    };
    static_assert(std::size(words) == static_cast<std::size_t>(NodeKind::signed_label) + 1);
    return words[static_cast<std::size_t>(kind)];
}

}  // namespace ferrule::syntax
