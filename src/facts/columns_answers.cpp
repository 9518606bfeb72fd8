// Columns that answer: what would do, and what then is the next limit.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr Spec answers_specs[]{
    Spec{"string", "modules-most", N, "", "the largest number of its modules in series for which every voltage limit holds that it meets: its input, its modules, the place, and "
         "the switches, fuses, connectors and cables on its two conductors", voc_clause},
    Spec{"string", "modules-least", N, "", "the least number of its modules with which it stays in the tracking range and starts its converter when hot",
         "||common practice, no source"},
    Spec{"string", "modules-limit", W, "", "how many modules do, which limit is met first, and what is the next"},
    Spec{"string", "modules-out", W, "", "what to do about a voltage that is too high: how many modules to take out, and what is then the next limit"},
    Spec{"string", "modules-in", W, "", "what to do about a voltage that is too low: how many modules to add, and how many the cold allows"},
    Spec{"broken-circuit", "answer", W, "", "which row of its data sheet would pass and with how many contacts in series, else the least voltage and current a switch needs here",
         "IEC 60947-3:2020|Annex D|from memory"},
};

}  // namespace

Columns answers_columns() { return {{}, answers_specs}; }

}  // namespace ferrule::facts
