// The text of an invented rule, for tests of what house rules come to.
#pragma once

#include <string>
#include <string_view>

#include <fmt/format.h>

namespace ferrule::tests {

inline std::string house_rule(std::string_view id, std::string_view about, std::string_view when, std::string_view require) {
    return fmt::format(R"toml(
id = "{}"
title = "No conductor is too long"
severity = "warning"
about = "{}"
when = "{}"
require = "{}"
message = "too long"
remedy = "move it"
why = "an invented demand"
[[source]]
status = "common practice, no source"
[[example]]
verdict = "fails"
marks = ["A"]
design = "edition 1"
[[example]]
verdict = "passes"
design = "edition 1"
)toml", id, about, when, require);
}

}  // namespace ferrule::tests
