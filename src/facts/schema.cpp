// The seam written down: every table and column that analyses fill and rules may ask for. One line a column. The text
// is what `explain` prints; the citation is the clause the figure follows, with how sure it is.
#include <array>
#include <cassert>
#include <string_view>

#include "facts/table.hpp"

namespace ferrule::facts {

namespace {

struct Spec {
    std::string_view table, name;
    Type type;
    std::string_view unit_or_target;  // numbers: dimension name, "" for a plain number; subjects: the table
    std::string_view about;
    std::string_view clauses = {};    // "standard|clause|status;…"
};

constexpr Type n = Type::number, f = Type::flag, w = Type::word, s = Type::subject, S = Type::subjects;

struct TableSpec {
    std::string_view subject, about;
};

constexpr std::array<TableSpec, 28> tables{{
    {"site", "the site: one row"},
    {"part", "a data sheet (a `part` statement)"},
    {"string", "a string of PV modules"},
    {"group", "strings in parallel: those whose two ends meet on the same two nets with every switch on"},
    {"input", "one array port of a controller or inverter"},
    {"switch", "an isolator, breaker or residual-current device"},
    {"broken-circuit", "one circuit that one switch breaks"},
    {"pole", "one main pole of a switch"},
    {"position", "a terminal of a switch or port, in one position of the switches of its circuit: all combinations of up to 12 switches, beyond that all on, all off and one off; for designs of up to 200 switches"},
    {"device", "a device"},
    {"fuse", "one fuse way, or one pole of a breaker, in a DC circuit"},
    {"conductor", "a conductor, jumper, bond or earthing conductor"},
    {"mating", "two connector halves that meet"},
    {"enclosure", "a box"},
    {"entry", "one opening of a box"},
    {"metal", "a piece of metal that a person can touch: a string's frames, a box, a device's case, a place's metal"},
    {"electrode", "an earth electrode"},
    {"earth-bar", "an earth bar"},
    {"dc-system", "everything on one side of all converters that is joined galvanically, sources included"},
    {"terminal", "a terminal on which more than one conductor lands"},
    {"short", "a loop that joins the two ends of a source"},
    {"reversal", "a source or an input that is the wrong way round"},
    {"landing", "a claim about where a terminal sits (`at Q1 upper 3`)"},
    {"label-claim", "what one label says its switch isolates: one row for each piece of equipment and each source it names"},
    {"lockout", "a device that a `steps` block locks"},
    {"battery", "a battery, or a string of cells or blocks"},
    {"battery-port", "the battery side of a controller or inverter"},
    {"named-cable", "a cable of several cores that was given a name"},
}};

constexpr std::string_view voc_clause =
    "nec-2023|690.7(A)|;iec-62548|cl. 7.2|from memory";
constexpr std::string_view isc_clause =
    "nec-2023|690.8(A)(1)(a)|;iec-62548|maximum circuit current|from memory";

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

    Spec{"switch", "device", s, "device", "the device"},
    Spec{"switch", "kind", w, "", "isolator, breaker or rcd"},
    Spec{"switch", "circuits", n, "", "circuits it breaks"},
    Spec{"switch", "in-dc", f, "", "a DC source reaches it"},
    Spec{"switch", "in-array", f, "", "an array source reaches it"},
    Spec{"switch", "dc-rated", f, "", "its data sheet has a `rated` row (for DC)"},
    Spec{"switch", "ac-rated", f, "", "its data sheet has a `rated-ac` row"},
    Spec{"switch", "no-path", f, "", "a source arrives and a conductor leaves, and nothing joins them when it is on"},
    Spec{"switch", "unfed", s, "conductor", "the conductor that leaves it and is not fed"},
    Spec{"switch", "links", s, "conductor", "the first of the links that are fitted in it"},
    Spec{"switch", "mispaired", f, "", "the circuits on its + poles are not the circuits on its - poles"},
    Spec{"switch", "jumpers-undecided", f, "", "three poles or more, and no `jumper` statement says what is fitted"},
    Spec{"switch", "breaks-load", f, "", "made to open under load: its kind is, and neither its category nor its data sheet says otherwise"},
    Spec{"switch", "shorts", f, "", "with it on, a loop through its body joins the two ends of a source"},
    Spec{"switch", "short", s, "short", "that loop"},
    Spec{"switch", "reversal", s, "reversal", "the reversal at this switch: polarity changes sides there"},

    Spec{"broken-circuit", "switch", s, "device", "the device"},
    Spec{"broken-circuit", "strings", S, "string", "the strings that feed it"},
    Spec{"broken-circuit", "input", s, "input", "the input behind it"},
    Spec{"broken-circuit", "source", w, "", "array or battery"},
    Spec{"broken-circuit", "voltage", n, "voltage", "what the contacts have to break: the largest open-circuit voltage between its two conductors", voc_clause},
    Spec{"broken-circuit", "proper-voltage", n, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"broken-circuit", "current", n, "current", "short-circuit current of all sources that feed it, with the irradiance factor", isc_clause},
    Spec{"broken-circuit", "continuous-current", n, "current", "that current with the standard's factor for continuous duty", "nec-2023|690.8(B)(1)|"},
    Spec{"broken-circuit", "poles-plus", n, "", "contacts one after the other in the + conductor"},
    Spec{"broken-circuit", "poles-minus", n, "", "contacts one after the other in the - conductor"},
    Spec{"broken-circuit", "poles-in-series", n, "", "contacts the broken current passes one after the other: + and - together"},
    Spec{"broken-circuit", "poles-least", n, "", "the smaller of the two groups of contacts; if one conductor is not switched, the other's"},
    Spec{"broken-circuit", "paralleled", n, "", "contacts side by side in one conductor; 1 when there are none"},
    Spec{"broken-circuit", "rated-voltage", n, "voltage", "the largest voltage the data sheet gives for contacts in series, not more of them than there are; never extrapolated", "IEC 60947-3:2020|Annex D|from memory"},
    Spec{"broken-circuit", "rated-voltage-least", n, "voltage", "the same for the smaller group alone", "IEC 60947-3:2020|Annex D|from memory"},
    Spec{"broken-circuit", "rated-current", n, "current", "the largest current the data sheet gives at a row that stands the voltage", "IEC 60947-3:2020|Annex D|from memory"},
    Spec{"broken-circuit", "rated-row", w, "", "the row of the data sheet that applies, as written"},
    Spec{"broken-circuit", "parallel-current", n, "current", "the current the data sheet gives for contacts in parallel"},
    Spec{"broken-circuit", "has-rating", f, "", "the data sheet has a row for contacts in series that applies"},
    Spec{"broken-circuit", "has-parallel-rating", f, "", "the data sheet has a row for contacts in parallel"},
    Spec{"broken-circuit", "first-fault", f, "", "one earth fault can take one group of contacts out of the loop: the converter is not isolated, or a pole is earthed", "iec-62548|cl. 7.3|from memory"},
    Spec{"broken-circuit", "joined-when-off", w, "", "conductors that stay joined with this switch off: none, plus, minus, both"},
    Spec{"broken-circuit", "bypassed-by", s, "conductor", "the jumper or conductor that joins them"},
    Spec{"broken-circuit", "circuits", n, "", "circuits in this switch"},
    Spec{"broken-circuit", "multi-source", f, "", "two or more strings in parallel, or a battery, can feed it"},
    Spec{"broken-circuit", "category-known", f, "", "the data sheet states a utilisation category"},
    Spec{"broken-circuit", "category", w, "", "the categories, as written"},
    Spec{"broken-circuit", "category-breaks-load", f, "", "a category that covers opening under load", "IEC 60947-3:2020||"},
    Spec{"broken-circuit", "category-single-string", f, "", "only DC-PV1: single strings without reverse current and overcurrent", "IEC 60947-3:2020||"},
    Spec{"broken-circuit", "category-not-pv", f, "", "no PV category, only DC-21, DC-22 or DC-23", "IEC 60947-3:2020||"},
    Spec{"broken-circuit", "category-resistive", f, "", "only DC-21: resistive loads", "IEC 60947-3:2020||"},
    Spec{"broken-circuit", "paralleled-by", s, "conductor", "a jumper that puts contacts side by side"},
    Spec{"broken-circuit", "solidly-earthed-side", w, "", "which of its conductors is earthed: none, plus, minus"},

    Spec{"pole", "switch", s, "device", "the device"},
    Spec{"pole", "in-circuit", f, "", "current passes it when on"},
    Spec{"pole", "bridged", f, "", "its two terminals are joined with the switch off"},
    Spec{"pole", "bridged-by", s, "conductor", "a jumper or conductor that joins them"},
    Spec{"pole", "dead-branch", f, "", "a jumper joins it to a circuit but no current passes it"},
    Spec{"pole", "live-tail", f, "", "a conductor joins one of its terminals to a source and nothing is on the other"},
    Spec{"pole", "spare", f, "", "said to be spare"},
    Spec{"pole", "protective", f, "", "a bond or earthing conductor lands on it"},
    Spec{"pole", "backwards", f, "", "polarised, and current enters at the wrong terminal"},
    Spec{"pole", "jumper", s, "conductor", "the jumper on it"},
    Spec{"pole", "landing", s, "conductor", "a conductor that lands on it"},
    Spec{"pole", "circuit-landing", s, "conductor", "for a dead branch: the conductor that is landed short of the end of the series"},

    Spec{"position", "device", s, "device", "the device"},
    Spec{"position", "state", w, "", "the positions of the switches"},
    Spec{"position", "plus", w, "", "the sources whose + reaches it"},
    Spec{"position", "minus", w, "", "the sources whose - reaches it"},
    Spec{"position", "live", f, "", "a source reaches it"},
    Spec{"position", "mixed", f, "", "+ and - of one source reach it"},

    Spec{"device", "part", s, "part", "its data sheet"},
    Spec{"device", "kind", w, "", "its kind"},
    Spec{"device", "on", s, "place", "the place it stands in, through its box"},
    Spec{"device", "box", s, "enclosure", "the box it is in"},
    Spec{"device", "landed", n, "", "ends of conductors on it, bonds and jumpers included"},
    Spec{"device", "circuit-voltage", n, "voltage", "the largest open-circuit voltage between any two of its terminals, or from one to earth after a first earth fault", voc_clause},
    Spec{"device", "proper-voltage", n, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"device", "rated-voltage", n, "voltage", "the DC voltage its data sheet gives (rated, continuous)"},
    Spec{"device", "current", n, "current", "short-circuit current of all array sources that feed it, with the irradiance factor", isc_clause},
    Spec{"device", "screws", f, "", "a conductor lands on a terminal that its data sheet does not call a spring clamp or crimped"},
    Spec{"device", "torque-stated", f, "", "a torque is stated for its terminals"},
    Spec{"device", "in-dc", f, "", "a DC source reaches it"},
    Spec{"device", "in-array", f, "", "an array source reaches it"},

    Spec{"fuse", "device", s, "device", "the holder or breaker"},
    Spec{"fuse", "link", s, "part", "the link in it (for a breaker, its own data sheet)"},
    Spec{"fuse", "has-link", f, "", "a link is fitted (`with`), or it is a breaker"},
    Spec{"fuse", "rating", n, "current", "rated current"},
    Spec{"fuse", "voltage-rating", n, "voltage", "the lesser DC voltage of link and holder"},
    Spec{"fuse", "dc-rated", f, "", "link and holder state a DC voltage"},
    Spec{"fuse", "class", w, "", "the class of the link, as written"},
    Spec{"fuse", "circuit-voltage", n, "voltage", "what it may have to break: the largest open-circuit voltage of its circuit", voc_clause},
    Spec{"fuse", "proper-voltage", n, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"fuse", "circuit-current", n, "current", "short-circuit current through it towards the load, with the irradiance factor", isc_clause},
    Spec{"fuse", "source", w, "", "array, battery or none"},
    Spec{"fuse", "strings", S, "string", "the strings behind it; one: it protects that string alone"},
    Spec{"fuse", "side", w, "", "plus or minus"},

    Spec{"conductor", "cable", s, "part", "its cable"},
    Spec{"conductor", "role", w, "", "power, bond, earth or jumper"},
    Spec{"conductor", "rated-voltage", n, "voltage", "stated in its line or by its cable"},
    Spec{"conductor", "circuit-voltage", n, "voltage", "the largest open-circuit voltage of its circuit, to the other pole or to earth", voc_clause},
    Spec{"conductor", "proper-voltage", n, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"conductor", "current", n, "current", "short-circuit current of the array sources behind it, with the irradiance factor; for a battery its stated short-circuit current", isc_clause},
    Spec{"conductor", "reverse-current", n, "current", "what the array sources on its other side can drive back through it, with the irradiance factor", isc_clause},
    Spec{"conductor", "polarity", w, "", "plus, minus, both (between sources in series) or none"},
    Spec{"conductor", "colour", w, "", "its colour, stated in its line or by its cable"},
    Spec{"conductor", "earthed", f, "", "its pole is earthed"},
    Spec{"conductor", "source", w, "", "array, battery or none"},
    Spec{"conductor", "area", n, "area", "its section"},
    Spec{"conductor", "length", n, "length", "its length"},
    Spec{"conductor", "run", s, "run", "the run it lies in"},
    Spec{"conductor", "shares-net", f, "", "power conductors of other colours are on the same piece of the circuit"},

    Spec{"mating", "family-a", w, "", "the family of one half"},
    Spec{"mating", "family-b", w, "", "the family of the other"},
    Spec{"mating", "half-a", w, "", "pin or socket"},
    Spec{"mating", "half-b", w, "", "pin or socket"},
    Spec{"mating", "rated-voltage", n, "voltage", "the lesser of the two halves' ratings that are stated"},
    Spec{"mating", "rated-current", n, "current", "the lesser of the two halves' ratings that are stated"},
    Spec{"mating", "circuit-voltage", n, "voltage", "the largest open-circuit voltage of its circuit", voc_clause},
    Spec{"mating", "proper-voltage", n, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"mating", "current", n, "current", "short-circuit current through it, forwards or backwards, with the irradiance factor", isc_clause},
    Spec{"mating", "continuous-current", n, "current", "that current with the standard's factor for continuous duty", "nec-2023|690.8(B)(1)|"},
    Spec{"mating", "listed-together", f, "", "one half's data sheet lists the other's family"},
    Spec{"mating", "conductor", s, "conductor", "the conductor that carries one half"},
    Spec{"mating", "part", s, "part", "the connector on the conductor"},
    Spec{"mating", "string", s, "string", "the string whose lead is the other half"},

    Spec{"enclosure", "on", s, "place", "the place it stands in"},
    Spec{"enclosure", "outdoors", f, "", "the place is outdoors"},
    Spec{"enclosure", "exposure", w, "", "indoors, damp, sheltered, exposed, wet (spray, hose, waves or salt) or immersion"},
    Spec{"enclosure", "ingress-stated", f, "", "an ingress code is stated"},
    Spec{"enclosure", "ingress-solids", n, "", "first digit of its IP code", "IEC 60529||"},
    Spec{"enclosure", "ingress-water", n, "", "second digit of its IP code", "IEC 60529||"},
    Spec{"enclosure", "nested", f, "", "it stands inside another box"},
    Spec{"enclosure", "metal", f, "", "its material is a metal"},
    Spec{"enclosure", "entries", n, "", "openings"},

    Spec{"entry", "enclosure", s, "enclosure", "the box"},
    Spec{"entry", "face", w, "", "the face it is in"},
    Spec{"entry", "outdoors", f, "", "the box is outdoors"},
    Spec{"entry", "cables", n, "", "cables that pass it; a cable of several cores is one"},
    Spec{"entry", "holes", n, "", "holes of its gland"},
    Spec{"entry", "fitting", w, "", "none, gland, plug, breather, or the kind of what is fitted"},
    Spec{"entry", "part", s, "part", "the fitting's data sheet"},
    Spec{"entry", "clamps-least", n, "length", "least diameter its gland seals on"},
    Spec{"entry", "clamps-most", n, "length", "largest diameter its gland seals on"},
    Spec{"entry", "cable-least", n, "length", "diameter of the thinnest cable that passes it"},
    Spec{"entry", "cable-most", n, "length", "diameter of the thickest cable that passes it"},
    Spec{"entry", "cable", s, "conductor", "a conductor that passes it"},
    Spec{"entry", "used", f, "", "a cable passes it, or a run's `enters` names it"},

    Spec{"metal", "what", w, "", "frames, box, case, place or metalwork"},
    Spec{"metal", "bonded", f, "", "joined to the protective earthing by bonds, clamps or mounting"},
    Spec{"metal", "class-two", f, "", "protection class II"},
    Spec{"metal", "in-dc", f, "", "it holds or carries DC conductors"},

    Spec{"earth-bar", "earthed", f, "", "an earth electrode is tied to it, or the design has none (a vehicle, a boat)"},
    Spec{"electrode", "group", n, "", "number of the group of electrodes it is tied to"},
    Spec{"electrode", "joined", f, "", "tied to the first electrode, or the only one"},

    Spec{"dc-system", "source", w, "", "array, battery or both"},
    Spec{"dc-system", "earth-points", n, "", "places where one of its poles meets earth"},
    Spec{"dc-system", "earth-conductor", s, "conductor", "the last of those links"},
    Spec{"dc-system", "voltage", n, "voltage", "its largest open-circuit voltage", voc_clause},
    Spec{"dc-system", "watched", f, "", "something detects earth faults"},
    Spec{"dc-system", "strings", S, "string", "its strings"},
    Spec{"dc-system", "inputs", S, "input", "its inputs"},

    Spec{"terminal", "device", s, "device", "the device"},
    Spec{"terminal", "conductors", n, "", "conductors that land on it, jumpers from outside included"},
    Spec{"terminal", "capacity", n, "", "how many its data sheet allows (`takes`)"},
    Spec{"terminal", "first", s, "conductor", "the first of them in the text"},
    Spec{"terminal", "last", s, "conductor", "the last of them in the text"},

    Spec{"short", "source", w, "", "array or battery"},
    Spec{"short", "state", w, "", "the switch positions in which it happens"},
    Spec{"short", "switch", s, "device", "the switch the loop passes"},
    Spec{"short", "string", s, "string", "the string, when it is one"},
    Spec{"short", "conductor", s, "conductor", "the jumper or conductor that closes the loop"},
    Spec{"short", "through-switch", f, "", "the loop passes a switch"},
    Spec{"short", "loop", w, "", "the loop, terminal by terminal"},
    Spec{"short", "current", n, "current", "the current that then flows: short-circuit current of what is shorted", isc_clause},

    Spec{"reversal", "what", w, "", "string, input, switch or battery"},
    Spec{"reversal", "string", s, "string", "the string"},
    Spec{"reversal", "input", s, "input", "the input"},
    Spec{"reversal", "at", w, "", "the source, or the side of the converter or load, whose + and - are exchanged"},
    Spec{"reversal", "switch", s, "device", "the switch at which polarity changes sides"},
    Spec{"reversal", "conductor", s, "conductor", "the conductor on the wrong terminal"},
    Spec{"reversal", "other", s, "conductor", "its companion"},
    Spec{"reversal", "parallel", n, "", "strings in parallel with it, itself included"},

    Spec{"landing", "conductor", s, "conductor", "the conductor"},
    Spec{"landing", "device", s, "device", "the device"},
    Spec{"landing", "face-known", f, "", "the data sheet says where its terminals sit"},
    Spec{"landing", "agrees", f, "", "the terminal at that place is the one it is landed on"},
    Spec{"landing", "number-given", f, "", "it is landed by number as well"},
    Spec{"landing", "claimed", w, "", "the place claimed: upper 3"},
    Spec{"landing", "there", w, "", "the terminal that sits there"},
    Spec{"landing", "landed", w, "", "the terminal it is landed on"},

    Spec{"label-claim", "switch", s, "device", "the switch the label is on"},
    Spec{"label-claim", "equipment", w, "", "what it says it isolates"},
    Spec{"label-claim", "from", w, "", "from what"},
    Spec{"label-claim", "still-live", f, "", "with this switch off and all others on, that source still reaches it"},
    Spec{"label-claim", "never-joined", f, "", "that source does not reach it by way of this switch even with every switch on"},
    Spec{"label-claim", "listed", f, "", "the label names other switches that have to be off as well (`together-with`); still-live counts with those off"},

    Spec{"lockout", "device", s, "device", "the device"},
    Spec{"lockout", "lockable-off", f, "", "its data sheet says it can be locked in OFF"},
    Spec{"lockout", "switch", f, "", "it is a switch"},

    Spec{"battery", "device", s, "device", "the device, when it is one"},
    Spec{"battery", "voltage-most", n, "voltage", "its highest charging voltage"},
    Spec{"battery", "short-circuit-current", n, "current", "its prospective short-circuit current, as stated"},
    Spec{"battery", "reversed", f, "", "the wrong way round"},
    Spec{"battery", "reversal", s, "reversal", "its reversal, when it is reversed"},
    Spec{"battery", "short", s, "short", "a loop that joins its two ends"},

    Spec{"battery-port", "device", s, "device", "the controller or inverter"},
    Spec{"battery-port", "voltage", n, "voltage", "the highest battery voltage at its terminals"},
    Spec{"battery-port", "landed", n, "", "how many of its two terminals have a conductor"},
    Spec{"battery-port", "shorted", f, "", "its two terminals are one net with every switch on"},
    Spec{"battery-port", "array-on-it", f, "", "an array reaches its +, and no battery does"},
    Spec{"battery-port", "conductor", s, "conductor", "a conductor on its -"},
    Spec{"battery-port", "fed", f, "", "a battery reaches it with both ends"},

    Spec{"named-cable", "part", s, "part", "its data sheet"},
    Spec{"named-cable", "cores", n, "", "cores it has"},
    Spec{"named-cable", "cores-used", n, "", "cores that are landed"},
};

void add_citations(Column& column, std::string_view clauses) {
    while (!clauses.empty()) {
        const std::size_t end = clauses.find(';');
        std::string_view one = clauses.substr(0, end);
        clauses = end == std::string_view::npos ? std::string_view() : clauses.substr(end + 1);
        findings::Citation c;
        std::size_t bar = one.find('|');
        c.standard = one.substr(0, bar);
        one = one.substr(bar + 1);
        bar = one.find('|');
        c.clause = one.substr(0, bar);
        c.status = one.substr(bar + 1);
        column.sources.push_back(std::move(c));
    }
}

}  // namespace

Column& Table::add(Column column) {
    by_name.emplace(column.name, static_cast<std::uint32_t>(columns.size()));
    columns.push_back(std::move(column));
    return columns.back();
}

const Column* Table::column(std::string_view wanted) const {
    const auto at = by_name.find(std::string(wanted));
    return at == by_name.end() ? nullptr : &columns[at->second];
}

const Table* Facts::table(std::string_view subject) const {
    for (const Table& t : tables) {
        if (t.subject == subject) return &t;
    }
    return nullptr;
}

Facts schema(const units::Units& units) {
    Facts facts;
    // Tables that hold only properties: a row is a place or a run of the design.
    constexpr std::array<TableSpec, 2> property_tables{{
        {"place", "a place"}, {"run", "a run"}}};
    for (const TableSpec& t : tables) {
        facts.tables.push_back({});
        facts.tables.back().subject = t.subject;
        facts.tables.back().about = t.about;
    }
    for (const TableSpec& t : property_tables) {
        facts.tables.push_back({});
        facts.tables.back().subject = t.subject;
        facts.tables.back().about = t.about;
    }
    for (const Spec& spec : specs) {
        Table* table = nullptr;
        for (Table& t : facts.tables) {
            if (t.subject == spec.table) table = &t;
        }
        assert(table != nullptr && "a column of a table that is not listed");
        Column column;
        column.name = spec.name;
        column.type = spec.type;
        column.about = spec.about;
        if (spec.type == Type::number && !spec.unit_or_target.empty()) {
            const units::DimensionName* d = units.dimension(spec.unit_or_target);
            assert(d != nullptr && "a dimension that grammar/units.toml does not have");
            if (d != nullptr) {
                column.dimension = d->dimension;
                column.shown_in = d->shown_in;
                if (spec.table == "entry") column.shown_in = units.find("mm");  // diameters of cables
            }
        }
        if (spec.type == Type::subject || spec.type == Type::subjects) column.target = spec.unit_or_target;
        column.not_applicable_is_false = spec.type == Type::subject;
        add_citations(column, spec.clauses);
        table->add(std::move(column));
    }
    return facts;
}

}  // namespace ferrule::facts
