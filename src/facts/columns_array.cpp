// Columns of the array: the site, data sheets, strings, groups of strings, inputs.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr TableSpec tables[]{
    {"site", "the site: one row"},
    {"part", "a data sheet (a `part` statement)"},
    {"string", "a string of PV modules"},
    {"group", "strings in parallel: those whose two ends meet on the same two nets with every switch on"},
    {"input", "one array port of a controller or inverter"},
    {"place", "a place"},
    {"run", "a run"},
};

constexpr Spec specs[]{
    Spec{"site", "strings", n, "", "how many strings the design has"},
    Spec{"site", "highest-voltage", n, "voltage", "the largest cold open-circuit voltage of any string", voc_clause},
    Spec{"site", "highest", s, "string", "the string with that voltage"},
    Spec{"site", "has-battery", f, "", "there is a battery"},
    Spec{"site", "on-building", f, "", "array circuits are on or in a building: `array` is roof, facade or in-building, or the place of an input is indoors"},
    Spec{"site", "electrodes", n, "", "how many earth electrodes there are"},
    Spec{"site", "electrode-groups", n, "", "how many groups of electrodes are not tied to each other"},

    Spec{"part", "kind", w, "", "its kind"},
    Spec{"part", "instances", n, "", "how many things of the design are this part; modules in strings count once a module"},

    Spec{"string", "modules", n, "", "modules in series"},
    Spec{"string", "part", s, "part", "its module (the first, if it mixes them)"},
    Spec{"string", "parts", S, "part", "the modules it is made of, each part once"},
    Spec{"string", "on", s, "place", "the place it stands on"},
    Spec{"string", "voc-stc", n, "voltage", "open-circuit voltage at 25 degC: the sum over its modules"},
    Spec{"string", "voc-coldest", n, "voltage", "open-circuit voltage at the coldest temperature: the sum of voc x (1 + coefficient x (coldest - 25 degC)); lacking a coefficient, voc x the factor of the standard's table; capped by its electronics", voc_clause},
    Spec{"string", "voc-hottest", n, "voltage", "open-circuit voltage at the hottest cell temperature", "||common practice, no source"},
    Spec{"string", "vmp-coldest", n, "voltage", "operating voltage at the coldest temperature", "||common practice, no source"},
    Spec{"string", "vmp-hottest", n, "voltage", "operating voltage at the hottest cell temperature", "||common practice, no source"},
    Spec{"string", "isc", n, "current", "short-circuit current at 25 degC: the largest of its modules"},
    Spec{"string", "isc-max", n, "current", "short-circuit current with the irradiance factor", isc_clause},
    Spec{"string", "imp-least", n, "current", "the least operating current among its modules"},
    Spec{"string", "imp-most", n, "current", "the largest operating current among its modules"},
    Spec{"string", "max-fuse", n, "current", "the least `max-fuse` among its modules"},
    Spec{"string", "max-system", n, "voltage", "the least `max-system` among its modules"},
    Spec{"string", "electronics", f, "", "a module-converter sits on each module"},
    Spec{"string", "input", s, "input", "the input both its ends reach with every switch on"},
    Spec{"string", "group", s, "group", "the strings it is in parallel with, itself included"},
    Spec{"string", "parallel", n, "", "how many strings are in parallel, itself included"},
    Spec{"string", "reverse-current", n, "current", "what the other parallel strings, and an input that can feed back, can drive into it: the sum of their isc", "iec-62548|cl. 6.5|;nec-2023|690.9(A)|"},
    Spec{"string", "reverse-fault-current", n, "current", "the same with the standard's factor", "nec-2023|690.9(A)|from memory;iec-62548|cl. 6.5|"},
    Spec{"string", "fused", f, "", "a fuse or breaker of its own stands between it and the others"},
    Spec{"string", "fuse", s, "fuse", "that fuse (the smallest, if there are several)"},
    Spec{"string", "fuse-rating", n, "current", "the rating of that fuse"},
    Spec{"string", "fuse-side", w, "", "which conductor its own fuses are in: plus, minus, both, none"},
    Spec{"string", "ends-landed", n, "", "how many of its two ends have a conductor"},
    Spec{"string", "closed-on-itself", f, "", "its + and - are joined by conductors alone, whatever the switches do"},
    Spec{"string", "reversed", f, "", "it is the wrong way round against the strings in parallel with it, or against its input"},
    Spec{"string", "spare", f, "", "said to be spare, not connected"},
    Spec{"string", "reversal", s, "reversal", "its reversal, when it is reversed"},
    Spec{"string", "blocks-backfeed", f, "", "its module-converters let no current back into it"},
    Spec{"string", "reaches", f, "", "with every switch on, both its ends reach something to feed: a converter, a battery or a load"},
    Spec{"string", "astray", f, "", "its + reaches the + of one input and its - the - of another"},
    Spec{"string", "stray", s, "conductor", "then: the conductor at its - end"},
    Spec{"string", "lowest-limit", w, "", "which limit of its own voltage it breaks, the lowest if there are two: input, module or none"},

    Spec{"group", "strings", S, "string", "the strings"},
    Spec{"group", "count", n, "", "how many"},
    Spec{"group", "voc-most", n, "voltage", "the largest of their cold open-circuit voltages", voc_clause},
    Spec{"group", "voc-least", n, "voltage", "the least of them", voc_clause},
    Spec{"group", "spread", n, "", "(voc-most - voc-least) / voc-most"},
    Spec{"group", "weakest", s, "string", "the string with the least voltage"},
    Spec{"group", "strongest", s, "string", "the string with the largest voltage"},
    Spec{"group", "odd", s, "string", "the string that differs from most of the others; between two, the one with the least voltage"},
    Spec{"group", "input", s, "input", "the input they feed"},
    Spec{"group", "diodes", f, "", "every string has a blocking diode of its own"},

    Spec{"input", "device", s, "device", "the controller or inverter"},
    Spec{"input", "strings", S, "string", "the strings that reach it with both ends"},
    Spec{"input", "voltage", n, "voltage", "the largest cold open-circuit voltage at its terminals", voc_clause},
    Spec{"input", "vmp-hottest", n, "voltage", "the least hot operating voltage of its strings; in series they add up", "||common practice, no source"},
    Spec{"input", "vmp-coldest", n, "voltage", "the largest cold operating voltage of its strings; in series they add up", "||common practice, no source"},
    Spec{"input", "voc-hottest", n, "voltage", "the least hot open-circuit voltage of its strings; in series they add up", "||common practice, no source"},
    Spec{"input", "isc-max", n, "current", "the sum of isc-max of its strings; of strings in series, that of the strongest", isc_clause},
    Spec{"input", "fed", f, "", "at least one string reaches it with both ends"},
    Spec{"input", "half-fed", f, "", "a string reaches one of its terminals only"},
    Spec{"input", "reversed", f, "", "its + is reached by the - of its strings"},
    Spec{"input", "shorted", f, "", "its two terminals are one net with every switch on"},
    Spec{"input", "crossed", f, "", "the strings at its + are not the strings at its -"},
    Spec{"input", "switched", w, "", "which of its conductors the load-break switches part from every source: both, plus, minus, none"},
    Spec{"input", "switches", n, "", "handles of load-break switches between it and its strings"},
    Spec{"input", "one-handle", f, "", "one handle parts both its conductors"},
    Spec{"input", "watched", f, "", "something detects earth faults: the converter or an insulation monitor on its circuit"},
    Spec{"input", "ground-fault", w, "", "none, detects or interrupts"},
    Spec{"input", "pole-earthed", f, "", "one of its poles is earthed"},
    Spec{"input", "isolated", f, "", "galvanically separated from its output (property `isolated`)"},
    Spec{"input", "earthed-side", w, "", "which of its poles is earthed: none, plus, minus"},
    Spec{"input", "longest", s, "string", "the string with the largest cold open-circuit voltage"},
    Spec{"input", "shortest", s, "string", "the string with the least hot operating voltage"},
    Spec{"input", "unswitched", s, "conductor", "when only one conductor is switched: the one that runs past the switches"},
    Spec{"input", "nearest-switch", s, "device", "a load-break switch on its way"},
    Spec{"input", "stray", s, "conductor", "when crossed: a conductor on one of its terminals whose strings are not those of the other"},
    Spec{"input", "reversal", s, "reversal", "the reversal of this input, when it is reversed"},
};

}  // namespace

Columns array_columns() { return {tables, specs}; }

}  // namespace ferrule::facts
