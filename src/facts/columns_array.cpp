// Columns of the array: the site, data sheets, strings, groups of strings, inputs.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr TableSpec array_tables[]{
    {"site", "the site: one row"},
    {"part", "a data sheet (a `part` statement)"},
    {"string", "a string of PV modules"},
    {"group", "strings in parallel: those whose two ends meet on the same two nets with every switch on"},
    {"input", "one array port of a controller or inverter"},
    {"place", "a place"},
    {"run", "a run"},
};

constexpr Spec array_specs[]{
    Spec{"site", "strings", N, "", "how many strings the design has"},
    Spec{"site", "highest-voltage", N, "voltage", "the largest cold open-circuit voltage of any string, with those in series with it", voc_clause},
    Spec{"site", "highest", S1, "string", "the string with that voltage"},
    Spec{"site", "has-battery", F, "", "there is a battery"},
    Spec{"site", "on-building", F, "", "array circuits are on or in a building: `array` is roof, facade or in-building, or the place of an input is indoors"},
    Spec{"site", "electrodes", N, "", "how many earth electrodes there are"},
    Spec{"site", "electrode-groups", N, "", "how many groups of electrodes are not tied to each other"},

    Spec{"part", "kind", W, "", "its kind"},
    Spec{"part", "instances", N, "", "how many things of the design are this part; modules in strings count once a module"},

    Spec{"string", "modules", N, "", "modules in series"},
    Spec{"string", "part", S1, "part", "its module (the first, if it mixes them)"},
    Spec{"string", "parts", S, "part", "the modules it is made of, each part once"},
    Spec{"string", "on", S1, "place", "the place it stands on"},
    Spec{"string", "voc-stc", N, "voltage", "open-circuit voltage at 25 degC: the sum over its modules"},
    Spec{"string", "voc-coldest", N, "voltage", "open-circuit voltage at the coldest temperature: the sum of voc x (1 + coefficient x (coldest - 25 degC)); lacking a coefficient, voc x the factor of the standard's table; capped by its electronics", voc_clause},
    Spec{"string", "system-voltage", N, "voltage", "the cold open-circuit voltage of it and of all strings in series with it", voc_clause},
    Spec{"string", "chain", S, "string", "the strings one after the other that it belongs to, itself included; none if it stands alone"},
    Spec{"string", "chain-beside", F, "", "it is the first of strings in series that lie in parallel with others"},
    Spec{"string", "voc-hottest", N, "voltage", "open-circuit voltage at the hottest cell temperature", "||common practice, no source"},
    Spec{"string", "vmp-coldest", N, "voltage", "operating voltage at the coldest temperature", "||common practice, no source"},
    Spec{"string", "vmp-hottest", N, "voltage", "operating voltage at the hottest cell temperature", "||common practice, no source"},
    Spec{"string", "isc", N, "current", "short-circuit current at 25 degC: the largest of its modules"},
    Spec{"string", "isc-max", N, "current", "short-circuit current with the irradiance factor", isc_clause},
    Spec{"string", "imp-least", N, "current", "the least operating current among its modules"},
    Spec{"string", "imp-most", N, "current", "the largest operating current among its modules"},
    Spec{"string", "max-fuse", N, "current", "the least `max-fuse` among its modules"},
    Spec{"string", "max-system", N, "voltage", "the least `max-system` among its modules"},
    Spec{"string", "electronics", F, "", "a module-converter sits on each module"},
    Spec{"string", "input", S1, "input", "the input both its ends reach with every switch on"},
    Spec{"string", "group", S1, "group", "the strings it is in parallel with, itself included"},
    Spec{"string", "parallel", N, "", "how many strings are in parallel, itself included"},
    Spec{"string", "reverse-current", N, "current", "what the other parallel strings, and an input that can feed back, can drive into it: the sum of their isc", "iec-62548|cl. 6.5|;nec-2023|690.9(A)|"},
    Spec{"string", "reverse-fault-current", N, "current", "the same with the standard's factor", "nec-2023|690.9(A)|from memory;iec-62548|cl. 6.5|"},
    Spec{"string", "fused", F, "", "a fuse or breaker of its own stands between it and the others"},
    Spec{"string", "fuse", S1, "fuse", "that fuse (the smallest, if there are several)"},
    Spec{"string", "fuse-rating", N, "current", "the rating of that fuse"},
    Spec{"string", "fuse-side", W, "", "which conductor its own fuses are in: plus, minus, both, none"},
    Spec{"string", "ends-landed", N, "", "how many of its two ends have a conductor"},
    Spec{"string", "closed-by", S1, "conductor", "the link or the one conductor on the way from its + to its -"},
    Spec{"string", "closed-on-itself", F, "", "its + and - are joined by conductors alone, whatever the switches do"},
    Spec{"string", "reversed", F, "", "it is the wrong way round against the strings in parallel with it, or against its input"},
    Spec{"string", "spare", F, "", "said to be spare, not connected"},
    Spec{"string", "reversal", S1, "reversal", "its reversal, when it is reversed"},
    Spec{"string", "blocks-backfeed", F, "", "its module-converters let no current back into it"},
    Spec{"string", "reaches", F, "", "with every switch on, both its ends reach something to feed: a converter, a battery or a load"},
    Spec{"string", "astray", F, "", "its + reaches the + of one input and its - the - of another"},
    Spec{"string", "stray", S1, "conductor", "then: the conductor at its - end"},
    Spec{"string", "lowest-limit", W, "", "which limit of its own voltage it breaks, the lowest if there are two: input, module or none"},

    Spec{"group", "strings", S, "string", "the strings"},
    Spec{"group", "count", N, "", "how many"},
    Spec{"group", "voc-most", N, "voltage", "the largest of their cold open-circuit voltages", voc_clause},
    Spec{"group", "voc-least", N, "voltage", "the least of them", voc_clause},
    Spec{"group", "spread", N, "", "(voc-most - voc-least) / voc-most"},
    Spec{"group", "weakest", S1, "string", "the string with the least voltage"},
    Spec{"group", "strongest", S1, "string", "the string with the largest voltage"},
    Spec{"group", "odd", S1, "string", "the string that differs from most of the others; between two, the one with the least voltage"},
    Spec{"group", "input", S1, "input", "the input they feed"},
    Spec{"group", "diodes", F, "", "every string has a blocking diode of its own"},

    Spec{"input", "device", S1, "device", "the controller or inverter"},
    Spec{"input", "strings", S, "string", "the strings that reach it with both ends"},
    Spec{"input", "voltage", N, "voltage", "the largest cold open-circuit voltage at its terminals", voc_clause},
    Spec{"input", "vmp-hottest", N, "voltage", "the least hot operating voltage of its strings; in series they add up", "||common practice, no source"},
    Spec{"input", "vmp-coldest", N, "voltage", "the largest cold operating voltage of its strings; in series they add up", "||common practice, no source"},
    Spec{"input", "voc-hottest", N, "voltage", "the least hot open-circuit voltage of its strings; in series they add up", "||common practice, no source"},
    Spec{"input", "isc-max", N, "current", "the sum of isc-max of its strings; of strings in series, that of the strongest", isc_clause},
    Spec{"input", "fed", F, "", "at least one string reaches it with both ends"},
    Spec{"input", "half-fed", F, "", "a string reaches one of its terminals only"},
    Spec{"input", "reversed", F, "", "its + is reached by the - of its strings"},
    Spec{"input", "shorted", F, "", "its two terminals are one net with every switch on"},
    Spec{"input", "shorted-by", S1, "conductor", "then: a link that joins them, or else the conductor that lands where the other pole belongs"},
    Spec{"input", "crossed", F, "", "the strings at its + are not the strings at its -"},
    Spec{"input", "switched", W, "", "which of its conductors the load-break switches part from every source: both, plus, minus, none"},
    Spec{"input", "switches", N, "", "handles of load-break switches between it and its strings"},
    Spec{"input", "one-handle", F, "", "one handle parts both its conductors"},
    Spec{"input", "watched", F, "", "something detects earth faults: the converter or an insulation monitor on its circuit"},
    Spec{"input", "ground-fault", W, "", "none, detects or interrupts"},
    Spec{"input", "pole-earthed", F, "", "one of its poles is earthed"},
    Spec{"input", "isolated", F, "", "galvanically separated from its output (property `isolated`)"},
    Spec{"input", "earthed-side", W, "", "which of its poles is earthed: none, plus, minus"},
    Spec{"input", "longest", S1, "string", "the string with the largest cold open-circuit voltage"},
    Spec{"input", "shortest", S1, "string", "the string with the least hot operating voltage"},
    Spec{"input", "unswitched", S1, "conductor", "when only one conductor is switched: the one that runs past the switches"},
    Spec{"input", "nearest-switch", S1, "device", "a load-break switch on its way"},
    Spec{"input", "stray", S1, "conductor", "when crossed: a conductor on one of its terminals whose strings are not those of the other"},
    Spec{"input", "reversal", S1, "reversal", "the reversal of this input, when it is reversed"},
};

}  // namespace

Columns array_columns() { return {array_tables, array_specs}; }

}  // namespace ferrule::facts
