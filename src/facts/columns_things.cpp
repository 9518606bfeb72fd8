// Columns of devices, conductors, boxes, earthing and batteries: what they are and where they stand.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr TableSpec tables[]{
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

constexpr Spec specs[]{
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
    Spec{"fuse", "circuit-current", n, "current", "the largest current it carries without end: of an array isc with the irradiance factor, of a battery's circuit what is taken or given", isc_clause},
    Spec{"fuse", "source", w, "", "array, battery or none"},
    Spec{"fuse", "strings", S, "string", "the strings behind it; one: it protects that string alone"},
    Spec{"fuse", "side", w, "", "plus or minus"},

    Spec{"conductor", "cable", s, "part", "its cable"},
    Spec{"conductor", "role", w, "", "power, bond, earth or jumper"},
    Spec{"conductor", "rated-voltage", n, "voltage", "stated in its line or by its cable"},
    Spec{"conductor", "circuit-voltage", n, "voltage", "the largest open-circuit voltage of its circuit, to the other pole or to earth", voc_clause},
    Spec{"conductor", "proper-voltage", n, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks: a part that stands this much is not to blame for a string that is too long"},
    Spec{"conductor", "current", n, "current", "the largest current it carries without end, its own part when others lie in parallel: of an array isc with the irradiance factor, of a battery's circuit what loads and inverters take or chargers give", isc_clause},
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
    Spec{"mating", "current", n, "current", "the largest current it carries without end", isc_clause},
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
    Spec{"entry", "clamps-least", n, "length", "least diameter its gland seals on", {}, "mm"},
    Spec{"entry", "clamps-most", n, "length", "largest diameter its gland seals on", {}, "mm"},
    Spec{"entry", "cable-least", n, "length", "diameter of the thinnest cable that passes it", {}, "mm"},
    Spec{"entry", "cable-most", n, "length", "diameter of the thickest cable that passes it", {}, "mm"},
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

}  // namespace

Columns things_columns() { return {tables, specs}; }

}  // namespace ferrule::facts
