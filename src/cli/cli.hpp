// The commands. Returns the exit status: 0 no error found, 1 at least one, 2 the job could not be done.
#pragma once

namespace ferrule::cli {

[[nodiscard]] int run(int argc, const char* const* argv);

}  // namespace ferrule::cli
