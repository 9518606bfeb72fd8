// Manual pages and shell completions, made from the same table as `--help`.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace ferrule::cli {

struct OptionText {
    std::string name;    // "--format"; "PATH" for what stands without a name
    std::string value;   // "FILE", "text|json"; "" for a flag
    std::string about;
    std::vector<std::string> choices;
    bool file = false, folder = false, rule = false;  // what completes its value
    bool positional = false;
};
struct CommandText {
    std::string name;
    std::string about;
    std::string example;
    std::vector<OptionText> options;
};

// Name and content below share/: man/man1/ferrule.1, man/man1/ferrule-check.1, …, the three shells' completions.
[[nodiscard]] std::vector<std::pair<std::string, std::string>> manual_files(const std::vector<CommandText>& commands, const std::string& version);

}  // namespace ferrule::cli
