// Columns of devices, conductors, boxes, earthing and batteries: what they are and where they stand.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr TableSpec things_tables[]{
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
    {"battery", "a battery, or a string of cells or blocks"},
    {"battery-port", "the battery side of a controller or inverter"},
    {"named-cable", "a cable of several cores that was given a name"},
};

constexpr Spec things_specs[]{
    Spec{"device", "part", S1, "part", "its data sheet"},
    Spec{"device", "kind", W, "", "its kind"},
    Spec{"device", "on", S1, "place", "the place it stands in, through its box"},
    Spec{"device", "box", S1, "enclosure", "the box it is in"},
    Spec{"device", "landed", N, "", "ends of conductors on it, bonds and jumpers included"},
    Spec{"device", "circuit-voltage", N, "voltage", "the largest open-circuit voltage between any two of its terminals, or from one to earth after a first earth fault", voc_clause},
    Spec{"device", "proper-voltage", N, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"device", "rated-voltage", N, "voltage", "the DC voltage its data sheet gives (rated, continuous)"},
    Spec{"device", "current", N, "current", "short-circuit current of all array sources that feed it, with the irradiance factor", isc_clause},
    Spec{"device", "screws", F, "", "a conductor lands on a terminal that its data sheet does not call a spring clamp or crimped"},
    Spec{"device", "torque-stated", F, "", "a torque is stated for its terminals"},
    Spec{"device", "in-dc", F, "", "a DC source reaches it"},
    Spec{"device", "in-array", F, "", "an array source reaches it"},

    Spec{"fuse", "device", S1, "device", "the holder or breaker"},
    Spec{"fuse", "link", S1, "part", "the link in it (for a breaker, its own data sheet)"},
    Spec{"fuse", "has-link", F, "", "a link is fitted (`with`), or it is a breaker"},
    Spec{"fuse", "rating", N, "current", "rated current"},
    Spec{"fuse", "voltage-rating", N, "voltage", "the lesser DC voltage of link and holder"},
    Spec{"fuse", "dc-rated", F, "", "link and holder state a DC voltage"},
    Spec{"fuse", "class", W, "", "the class of the link; `gPV` and `PV` read as such however their letters are written"},
    Spec{"fuse", "circuit-voltage", N, "voltage", "what it may have to break: the largest open-circuit voltage of its circuit", voc_clause},
    Spec{"fuse", "proper-voltage", N, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"fuse", "circuit-current", N, "current", "the largest current it carries without end: of an array isc with the irradiance factor, of a battery's circuit what is taken or given", isc_clause},
    Spec{"fuse", "source", W, "", "array, battery or none"},
    Spec{"fuse", "strings", S, "string", "the strings behind it; one: it protects that string alone"},
    Spec{"fuse", "side", W, "", "plus or minus"},

    Spec{"conductor", "cable", S1, "part", "its cable"},
    Spec{"conductor", "role", W, "", "power, bond, earth or jumper"},
    Spec{"conductor", "rated-voltage", N, "voltage", "stated in its line or by its cable"},
    Spec{"conductor", "circuit-voltage", N, "voltage", "the largest open-circuit voltage of its circuit, to the other pole or to earth", voc_clause},
    Spec{"conductor", "proper-voltage", N, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"conductor", "current", N, "current", "the largest current it carries without end, its own part when others lie in parallel: of an array isc with the irradiance factor, of a battery's circuit what loads and inverters take or chargers give", isc_clause},
    Spec{"conductor", "reverse-current", N, "current", "what the array sources on its other side can drive back through it, with the irradiance factor", isc_clause},
    Spec{"conductor", "polarity", W, "", "plus, minus, both (between sources in series) or none"},
    Spec{"conductor", "colour", W, "", "its colour, stated in its line or by its cable"},
    Spec{"conductor", "earthed", F, "", "its pole is earthed"},
    Spec{"conductor", "source", W, "", "array, battery or none"},
    Spec{"conductor", "area", N, "area", "its section"},
    Spec{"conductor", "length", N, "length", "its length"},
    Spec{"conductor", "run", S1, "run", "the run it lies in"},
    Spec{"conductor", "shares-net", F, "", "power conductors of other colours are on the same piece of the circuit"},

    Spec{"mating", "family-a", W, "", "the family of one half"},
    Spec{"mating", "family-b", W, "", "the family of the other"},
    Spec{"mating", "half-a", W, "", "pin or socket"},
    Spec{"mating", "half-b", W, "", "pin or socket"},
    Spec{"mating", "rated-voltage", N, "voltage", "the lesser of the two halves' ratings that are stated"},
    Spec{"mating", "rated-current", N, "current", "the lesser of the two halves' ratings that are stated"},
    Spec{"mating", "circuit-voltage", N, "voltage", "the largest open-circuit voltage of its circuit", voc_clause},
    Spec{"mating", "proper-voltage", N, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"mating", "current", N, "current", "the largest current it carries without end", isc_clause},
    Spec{"mating", "continuous-current", N, "current", "that current with the standard's factor for continuous duty", "nec-2023|690.8(B)(1)|"},
    Spec{"mating", "listed-together", F, "", "one half's data sheet lists the other's family"},
    Spec{"mating", "conductor", S1, "conductor", "the conductor that carries one half"},
    Spec{"mating", "part", S1, "part", "the connector on the conductor"},
    Spec{"mating", "string", S1, "string", "the string whose lead is the other half"},

    Spec{"enclosure", "on", S1, "place", "the place it stands in"},
    Spec{"enclosure", "outdoors", F, "", "the place is outdoors"},
    Spec{"enclosure", "exposure", W, "", "indoors, damp, sheltered, exposed, wet (spray, hose, waves or salt) or immersion"},
    Spec{"enclosure", "ingress-stated", F, "", "an ingress code is stated"},
    Spec{"enclosure", "ingress-solids", N, "", "first digit of its IP code", "IEC 60529||"},
    Spec{"enclosure", "ingress-water", N, "", "second digit of its IP code", "IEC 60529||"},
    Spec{"enclosure", "nested", F, "", "it stands inside another box"},
    Spec{"enclosure", "metal", F, "", "its material is a metal"},
    Spec{"enclosure", "entries", N, "", "openings"},

    Spec{"entry", "enclosure", S1, "enclosure", "the box"},
    Spec{"entry", "face", W, "", "the face it is in"},
    Spec{"entry", "outdoors", F, "", "the box is outdoors"},
    Spec{"entry", "cables", N, "", "cables that pass it; a cable of several cores is one"},
    Spec{"entry", "holes", N, "", "holes of its gland"},
    Spec{"entry", "fitting", W, "", "none, gland, plug, breather, or the kind of what is fitted"},
    Spec{"entry", "part", S1, "part", "the fitting's data sheet"},
    Spec{"entry", "clamps-least", N, "length", "least diameter its gland seals on", {}, "mm"},
    Spec{"entry", "clamps-most", N, "length", "largest diameter its gland seals on", {}, "mm"},
    Spec{"entry", "cable-least", N, "length", "diameter of the thinnest cable that passes it", {}, "mm"},
    Spec{"entry", "cable-most", N, "length", "diameter of the thickest cable that passes it", {}, "mm"},
    Spec{"entry", "cable", S1, "conductor", "a conductor that passes it"},
    Spec{"entry", "used", F, "", "a cable passes it, or a run's `enters` names it"},

    Spec{"metal", "what", W, "", "frames, box, case, place or metalwork"},
    Spec{"metal", "bonded", F, "", "joined to the protective earthing by bonds, clamps or mounting"},
    Spec{"metal", "class-two", F, "", "protection class II"},
    Spec{"metal", "in-dc", F, "", "it holds or carries DC conductors"},

    Spec{"earth-bar", "earthed", F, "", "an earth electrode is tied to it, or the design has none (a vehicle, a boat)"},

    Spec{"electrode", "group", N, "", "number of the group of electrodes it is tied to"},
    Spec{"electrode", "joined", F, "", "tied to the first electrode, or the only one"},

    Spec{"dc-system", "source", W, "", "array, battery or both"},
    Spec{"dc-system", "earth-points", N, "", "places where one of its poles meets earth"},
    Spec{"dc-system", "earth-conductor", S1, "conductor", "the last of those links"},
    Spec{"dc-system", "voltage", N, "voltage", "its largest open-circuit voltage", voc_clause},
    Spec{"dc-system", "watched", F, "", "something detects earth faults"},
    Spec{"dc-system", "strings", S, "string", "its strings"},
    Spec{"dc-system", "inputs", S, "input", "its inputs"},

    Spec{"terminal", "device", S1, "device", "the device"},
    Spec{"terminal", "conductors", N, "", "conductors that land on it, jumpers from outside included"},
    Spec{"terminal", "capacity", N, "", "how many its data sheet allows (`takes`)"},
    Spec{"terminal", "first", S1, "conductor", "the first of them in the text"},
    Spec{"terminal", "last", S1, "conductor", "the last of them in the text"},

    Spec{"battery", "device", S1, "device", "the device, when it is one"},
    Spec{"battery", "voltage-most", N, "voltage", "its highest charging voltage"},
    Spec{"battery", "short-circuit-current", N, "current", "its prospective short-circuit current, as stated"},
    Spec{"battery", "reversed", F, "", "the wrong way round"},
    Spec{"battery", "reversal", S1, "reversal", "its reversal, when it is reversed"},
    Spec{"battery", "short", S1, "short", "a loop that joins its two ends"},

    Spec{"battery-port", "device", S1, "device", "the controller or inverter"},
    Spec{"battery-port", "voltage", N, "voltage", "the highest battery voltage at its terminals"},
    Spec{"battery-port", "landed", N, "", "how many of its two terminals have a conductor"},
    Spec{"battery-port", "shorted", F, "", "its two terminals are one net with every switch on"},
    Spec{"battery-port", "array-on-it", F, "", "an array reaches its +, and no battery does"},
    Spec{"battery-port", "conductor", S1, "conductor", "a conductor on its -"},
    Spec{"battery-port", "fed", F, "", "a battery reaches it with both ends"},

    Spec{"named-cable", "part", S1, "part", "its data sheet"},
    Spec{"named-cable", "cores", N, "", "cores it has"},
    Spec{"named-cable", "cores-used", N, "", "cores that are landed"},
};

}  // namespace

Columns things_columns() { return {things_tables, things_specs}; }

}  // namespace ferrule::facts
