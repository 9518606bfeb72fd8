// The same grammar without actions: yes or no, no tree. The benchmark measures the parser against
// it. It keeps no limit on depth, so it is for texts that parse() has accepted.
#pragma once

#include <string_view>

namespace ferrule::syntax {

[[nodiscard]] bool recognise(std::string_view text);

}  // namespace ferrule::syntax
