// From a name to where it is declared, to all places it stands, and to another name.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "service/workspace.hpp"

namespace ferrule::service {

// A name somewhere in a design.
struct Place {
    const Design* design = nullptr;
    text::Span span;
    bool declares = false;
};

// The name under the cursor: its own place, and the place of its declaration.
struct Named {
    text::Span here;
    text::Span declared;
    std::string label;  // of a terminal that no data sheet names: it comes with the part, and `declared` is the part
};
[[nodiscard]] std::optional<Named> named_at(const View& view, std::uint32_t offset);

// Every place of that name in the design, the declaration first, then in the order of the files.
[[nodiscard]] std::vector<Place> places_of(const Design& design, text::Span declared, std::string_view label = {});

// Why a name may not be changed, or its place. Labels of terminals belong to data sheets and are renamed there alone.
[[nodiscard]] std::variant<text::Span, std::string> renamable(const View& view, std::uint32_t offset);

// What is wrong with a new name, or nothing: its form, a reserved word, a name that stands already.
[[nodiscard]] std::optional<std::string> unfit(const View& view, std::string_view name);

}  // namespace ferrule::service
