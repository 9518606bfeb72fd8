// The seam written down, one file a field: every table and column that analyses fill and rules may ask for. One line a column. The
// text is what `explain` prints; the citation is the clause the figure follows, with how sure it is.
#pragma once

#include <span>
#include <string_view>

#include "facts/table.hpp"

namespace ferrule::facts {

struct TableSpec {
    std::string_view subject, about;
};

struct Spec {
    std::string_view table, name;
    Type type;
    std::string_view unit_or_target;  // numbers: dimension name, "" for a plain number; subjects: the table
    std::string_view about;
    std::string_view clauses = {};    // "standard|clause|status;…"
    std::string_view shown_in = {};   // numbers: a unit other than the dimension's usual one
};

// Tables that no earlier file lists, and columns of any table.
struct Columns {
    std::span<const TableSpec> tables;
    std::span<const Spec> specs;
};

inline constexpr Type N = Type::number, F = Type::flag, W = Type::word, S1 = Type::subject, S = Type::subjects;

inline constexpr std::string_view practice = "||common practice, no source";
inline constexpr std::string_view voc_clause = "nec-2023|690.7(A)|;iec-62548|cl. 7.2|from memory";
inline constexpr std::string_view isc_clause = "nec-2023|690.8(A)(1)(a)|;iec-62548|maximum circuit current|from memory";

[[nodiscard]] Columns array_columns();         // site, part, string, group, input
[[nodiscard]] Columns switches_columns();      // switch, broken-circuit, pole, position, short, reversal, landing, label-claim, lockout
[[nodiscard]] Columns things_columns();        // device, fuse, conductor, mating, boxes, earthing, batteries
[[nodiscard]] Columns wiring_columns();        // what conductors carry and may carry; their ends
[[nodiscard]] Columns runs_columns();          // runs, protective conductors, jumpers
[[nodiscard]] Columns protection_columns();    // overcurrent devices and what they let pass
[[nodiscard]] Columns fittings_columns();      // what has to fit each other: link and holder, strands and clamp, leads, module electronics, diodes
[[nodiscard]] Columns network_columns();       // the solved network: volts, amperes, drop, losses, faults
[[nodiscard]] Columns power_columns();         // banks, battery ports, controllers, inverters
[[nodiscard]] Columns surroundings_columns();  // heat, altitude, light, surge protection
[[nodiscard]] Columns answers_columns();       // what would do, and what then is the next limit

}  // namespace ferrule::facts
