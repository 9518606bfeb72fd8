// What was asked for on the command line, as plain data. Only arguments.cpp knows the library that reads it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "cli/manual.hpp"

namespace ferrule::cli {

enum class Command : std::uint8_t { check, values, tidy, explain, rules, serve, steps };
enum class Format : std::uint8_t { text, json, sarif, junit, github, gitlab };
enum class Colour : std::uint8_t { when_terminal, always, never };

struct Arguments {
    Command command = Command::check;
    std::vector<std::string> paths;   // "-" is standard input
    std::vector<std::string> names;   // values: of these things; explain: these words
    bool margins = false;             // values: the room below every limit instead
    std::string step;                 // tree, graph or facts
    std::string stdin_name;           // the name and folder standard input is given
    std::string standard;             // overrides the site's
    std::vector<std::string> rule_folders;
    std::string only;                 // one rule
    std::string output;               // a file beside the text on the terminal
    std::string acceptances;          // a file of acceptances
    std::string known, write_known;   // lists of known findings
    std::string changed;              // only what differs from this commit, and what that affects
    bool staged = false;              // the files as they are staged for the next commit
    bool show_settings = false;
    std::string pages;                // explain: a folder for the pages of the rules
    std::string manual;               // explain: a folder for manual pages and completions
    Format format = Format::text;
    Colour colour = Colour::when_terminal;
    bool strict = false;              // warnings fail too
    bool working = false;             // the arithmetic of every finding
    bool check_only = false;          // tidy: only tell
};

struct ArgumentsResult {
    Arguments arguments;
    bool ready = false;  // false: print the text and end with this status
    int status = 0;
    std::string text;
};

// Every command as --help tells it.
[[nodiscard]] std::vector<CommandText> command_table();

// Reads the command line; `--help` and `--version` are answers, not errors. Never throws.
[[nodiscard]] ArgumentsResult read_arguments(int argc, const char* const* argv);

}  // namespace ferrule::cli
