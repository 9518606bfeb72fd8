// A design in text, taken through the steps of the program, and its facts by name; and the figures that stand in the
// TOML files of this folder.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "facts/network.hpp"
#include "project/check.hpp"
#include "project/knowledge.hpp"
#include "project/loader.hpp"
#include "tables/toml.hpp"

namespace reference {

class Plant {
public:
    explicit Plant(std::string text);

    // A fact of the row that has this name ("EAST"); empty: of the only row. Fails the test if there is none such.
    [[nodiscard]] double number(std::string_view table, std::string_view row, std::string_view column) const;
    [[nodiscard]] bool flag(std::string_view table, std::string_view row, std::string_view column) const;
    [[nodiscard]] std::string word(std::string_view table, std::string_view row, std::string_view column) const;
    [[nodiscard]] std::size_t rows(std::string_view table) const;

    // Are two terminals ("Q1.1", "EAST.+") joined by conductors, links and contacts, sources left out?
    [[nodiscard]] bool joined_on(std::string_view a, std::string_view b) const;
    [[nodiscard]] bool joined_off(std::string_view a, std::string_view b) const;

    // The rules that speak, each once, errors and warnings, in alphabetical order.
    [[nodiscard]] std::vector<std::string> spoken() const;
    // What reading the text itself had to say; a test wants it empty.
    [[nodiscard]] std::string troubles() const;

private:
    [[nodiscard]] std::uint32_t row_of(const ferrule::facts::Table& table, std::string_view row) const;
    [[nodiscard]] std::uint32_t terminal(std::string_view name) const;

    ferrule::text::Sources sources_;
    ferrule::project::Loader loader_;
    ferrule::text::FileId file_;
    std::unique_ptr<ferrule::project::Study> study_;
    ferrule::facts::Network network_;
};

// Is this rule one of those that speak?
[[nodiscard]] bool speaks(const Plant& plant, std::string_view rule);

inline constexpr double inch = 0.0254;                         // m
inline constexpr double circular_mil = 5.067074790974977e-10;  // m2, pi / 4 x (25.4e-6 m)^2

// A figure file of this folder, its root table.
[[nodiscard]] ferrule::tables::Value figures(std::string_view file);

// One number of it; fails the test if there is none.
[[nodiscard]] double real(const ferrule::tables::Value& table, std::string_view key);

// A standard as the program knows it.
[[nodiscard]] const ferrule::tables::Standard& standard(std::string_view id);

// Holds a computed value to a published one and counts it: with FERRULE_PUBLISHED set, a line `published ok NAME …` or
// `published off NAME …` goes to standard output.
void published(std::string_view name, double computed, double expected, double relative_tolerance);
void published(std::string_view name, bool computed, bool expected);

}  // namespace reference
