// Columns of what has to fit each other: link and holder, fine strands and clamp, the leads of modules, their electronics, diodes.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr Spec fittings_specs[] = {
    Spec{"site", "coldest-unread", F, "", "the site has a `coldest` line that could not be read, which is told by itself"},

    Spec{"fuse", "link-fits", F, "", "the body of the link is of the size that its holder takes"},

    Spec{"conductor", "bare-strands", F, "", "it is of fine strands, and an end stated to be bare is on a terminal that takes those only with something crimped on", "nec-2023|110.14(A)|"},
    Spec{"conductor", "bare-at", W, "", "then: the terminals, and what they ask for"},
    Spec{"conductor", "bare-needs", W, "", "then: what has to be crimped on at the first of them"},
    Spec{"conductor", "bare-part", S1, "part", "then: the data sheet of the first of them"},

    Spec{"conductor", "plug", S1, "part", "the connector on one of its ends whose seal does not grip its cable, else the first whose seal range is stated"},
    Spec{"conductor", "plug-grips", F, "", "the seals of the connectors on its ends grip its cable"},
    Spec{"conductor", "diameter", N, "length", "outer diameter of its cable", {}, "mm"},
    Spec{"conductor", "seal-least", N, "length", "least diameter that the seal of `plug` grips", {}, "mm"},
    Spec{"conductor", "seal-most", N, "length", "largest diameter that it grips", {}, "mm"},
    Spec{"conductor", "ends-swapped", F, "", "its line has the connector on the end that is no module's lead, and something else on the end that is one"},
    Spec{"conductor", "plug-at", W, "", "then: the terminal that the connector would have to go on"},
    Spec{"conductor", "lead-at", W, "", "then: the lead, and what would have to meet its plug"},

    Spec{"mating", "weaker-voltage", S1, "part", "the half that is rated for the lesser voltage: the connector, or the module or lead it meets"},
    Spec{"mating", "weaker-current", S1, "part", "the half that is rated for the lesser current"},

    Spec{"string", "circuit-voltage", N, "voltage", "the largest open-circuit voltage of its circuit", voc_clause},
    Spec{"string", "proper-voltage", N, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"string", "weakest-lead", S1, "part", "of its modules, the one whose leads are rated for the least voltage"},
    Spec{"string", "leads-plugged", F, "", "a conductor at one of its ends names the connector that meets its lead: the two are then judged together"},
    Spec{"string", "converter", S1, "part", "the module-converter on each of its modules"},
    Spec{"string", "module-power", N, "power", "the sum of pmax of its modules"},

    Spec{"device", "diode-backwards", F, "", "a diode that the current of its array would have to cross from cathode to anode"},
    Spec{"device", "diode-lands", W, "", "then: what lands on which of its terminals"},
    Spec{"device", "diode-lead", S1, "conductor", "then: the conductor on that terminal"},
};

}  // namespace

Columns fittings_columns() { return {{}, fittings_specs}; }

}  // namespace ferrule::facts
