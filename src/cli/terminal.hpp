// Standard output, standard error and standard input, with what can go wrong at them. A closed pipe or a full disk is
// an answer here, never a signal or a silent loss.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "cli/arguments.hpp"

namespace ferrule::cli {

// Why the text could not be written whole; nothing if it was.
[[nodiscard]] std::optional<std::string> write_out(std::string_view text);

// On standard error, as it stands.
void write_error(std::string_view text);

// One message for the person at the terminal: "ferrule: …". Made safe to print.
void complain(std::string_view message);

// Everything on standard input up to `limit` bytes; nothing if it cannot be read or is longer.
[[nodiscard]] std::optional<std::string> read_in(std::size_t limit);

// Whether to colour: what was asked for, else only a terminal that is not dumb, and NO_COLOR empty or not set.
[[nodiscard]] bool coloured(Colour wish);

// From now on writing to a closed pipe is an error to report, not the end of the program.
void survive_closed_pipes();

}  // namespace ferrule::cli
