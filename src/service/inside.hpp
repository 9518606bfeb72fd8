// What stands in an assembly, as its text has it: there may be no instance of it yet, and while it is written it may not be right.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "service/workspace.hpp"
#include "syntax/tree.hpp"

namespace ferrule::service {

struct Member {
    std::string_view name;
    graph::ThingClass cls = graph::ThingClass::device;
    std::string_view part;           // or assembly that it is one of; the class for what has none of its own
    std::uint32_t low = 0, high = 0;  // its indices, as far as they stand there in plain numbers; 0: none
};

struct Inside {
    std::vector<Member> members;
    std::vector<std::string> ports;  // in1+, in2+, out+

    [[nodiscard]] const Member* find(std::string_view name) const;
};

[[nodiscard]] Inside inside(const View& view, syntax::NodeIndex assembly);
// Of this name, in whichever file of the design.
[[nodiscard]] std::optional<Inside> inside(const Design& design, std::string_view assembly);

}  // namespace ferrule::service
