// Every bound the program keeps, in one place. Passing one yields a finding that names it; none of them
// is ever met by an honest design of a small system, nor by a utility block of 100,000 strings.
#pragma once

#include <cstddef>
#include <cstdint>

namespace ferrule::base::limits {

inline constexpr std::size_t file_bytes = 64U << 20U;         // one design file
inline constexpr std::size_t include_depth = 16;              // files within files
inline constexpr std::size_t block_depth = 64;                // braces within braces
inline constexpr std::size_t line_bytes = 64U << 10U;         // one line
inline constexpr std::size_t name_bytes = 128;                // one name
inline constexpr std::size_t text_bytes = 4096;               // one text between quotes
inline constexpr std::size_t number_digits = 15;              // digits of a number (all that a double keeps)
inline constexpr std::size_t things = 4'000'000;              // devices, strings, … after expansion
inline constexpr std::size_t conductors = 8'000'000;          // conductors after expansion
inline constexpr std::int64_t repeat_count = 1'000'000;       // turns of one repeat
inline constexpr std::size_t repeat_work = 16'000'000;        // statements carried out in all repeats and assemblies
inline constexpr std::size_t findings_shown_per_rule = 1000;  // further ones are counted, not listed
inline constexpr std::size_t toml_key_parts = 64;             // a.b.c… in a table file
inline constexpr std::size_t formula_depth = 64;              // brackets within brackets in a rule
inline constexpr std::size_t switch_combinations = 12;        // switching devices of one circuit tried in every position
inline constexpr std::size_t switch_sources = 8'000'000;      // sources listed at all switches together …
inline constexpr std::size_t switch_sources_each = 256;       // … and at each one after that
inline constexpr std::size_t position_rows = 40'000;          // positions times terminals and sources, to try all positions of a circuit
inline constexpr std::size_t position_sources = 20'000'000;   // positions times terminals times sources, to list a circuit's positions at all
inline constexpr std::size_t position_devices = 200;          // switching devices of a design whose positions are listed at all
inline constexpr double margin_kelvin = 100;                  // how much colder or hotter a site is tried for the margins
inline constexpr double margin_metres = 1000;                 // how much longer a run or conductor
inline constexpr std::int64_t margin_modules = 100;           // how many modules more in a string
inline constexpr std::size_t margin_statements = 10'000;      // strings, and runs and conductors, whose size may be tried; further ones are counted
inline constexpr std::size_t margin_limits = 2'000;           // limits whose distance is tried, the nearest first
inline constexpr std::size_t margin_work = 5'000'000;         // designs tried times things and conductors in them
inline constexpr std::size_t short_circuit_terminals = 2000;  // terminals of batteries' circuits shorted one by one, cables included
inline constexpr std::size_t alone_conductors = 500;           // up to so many, a design is not worth a second thread
inline constexpr std::size_t points = 20'000;                 // terminals of a design whose volts are listed
inline constexpr std::size_t words_kept = 500'000;            // words of facts that are taken along from edit to edit

}  // namespace ferrule::base::limits
