// Columns of heat, altitude, light and surge protection, and of what lies together in a run.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr std::string_view normal_air = "IEC 60947-1|normal service conditions|from memory";
constexpr std::string_view normal_height = "IEC 61439-2|normal service conditions|";

constexpr TableSpec surroundings_tables[]{
    {"surge-mode", "one way a surge protector is connected: between two poles, or between a pole and earth"},
};

constexpr Spec surroundings_specs[]{
    Spec{"site", "albedo-most", N, "share", "the largest share of light that the ground under a string of one-sided modules throws back"},
    Spec{"site", "brightest", S1, "place", "the place with that ground"},
    Spec{"site", "over-snow", F, "", "the array is on a facade, and snow lies"},

    Spec{"string", "bifaciality", N, "share", "power of the back of its modules as a share of their front; the largest of its modules; 0 for one-sided modules"},
    Spec{"string", "albedo", N, "share", "share of the light that the ground of its place throws back; the usual one where the place does not say"},
    Spec{"string", "screening-factor", N, "", "irradiance factor with the light from behind: that for the front + gain x bifaciality x albedo; a screening value", practice},
    Spec{"string", "flush", F, "", "mounted close to a roof or wall: `mount flush`, or on a facade; raised where the array is in the open"},

    Spec{"enclosure", "in-sun", F, "", "its place is in the sun, and no hood shades it"},
    Spec{"enclosure", "heat-stated", F, "", "something in it states its heat (`loss`)"},
    Spec{"enclosure", "heat", N, "power", "heat given off inside: `loss` of what stands in it, that of contacts and fuses with the square of their current"},
    Spec{"enclosure", "surface", N, "area", "its outer surface, all six faces", {}, "m2"},
    Spec{"enclosure", "sun-rise", N, "temperature", "how much warmer the sun makes the air inside; a screening value", practice, "K"},
    Spec{"enclosure", "air-around", N, "temperature", "the hottest air around it: that of its place, or in the box it is in"},
    Spec{"enclosure", "air-inside", N, "temperature", "the hottest air inside: declared, or air-around + sun-rise + heat / (cooling x surface)", practice},
    Spec{"enclosure", "air-inside-least", N, "temperature", "the same with what is known: it is at least this warm", practice},
    Spec{"enclosure", "declared", F, "", "the temperature inside is declared (`inside`)"},
    Spec{"enclosure", "stands", N, "temperature", "the least of the highest temperatures that the devices in it may have around them"},
    Spec{"enclosure", "weakest", S1, "device", "that device"},

    Spec{"device", "air", N, "temperature", "the hottest air around it: in its box as far as it is known, else at its place"},
    Spec{"device", "air-outside", N, "temperature", "declared for the inside of its box, else the hottest air of its place: what is certain"},
    Spec{"device", "air-coldest", N, "temperature", "the coldest air of its place; outdoors that of the site where the place does not say"},
    Spec{"device", "kept-warm", F, "", "its place is heated"},
    Spec{"device", "stands-hottest", N, "temperature", "the hottest air its data sheet allows"},
    Spec{"device", "stands-coldest", N, "temperature", "the coldest air its data sheet allows"},
    Spec{"device", "altitude-known", F, "", "its ratings are known at the altitude of the site", normal_height},
    Spec{"device", "altitude-voltage-factor", N, "share", "what its rated voltage is multiplied by at the altitude of the site", normal_height},
    Spec{"device", "altitude-current-factor", N, "share", "what its rated current is multiplied by at the altitude of the site", normal_height},

    Spec{"broken-circuit", "air", N, "temperature", "the hottest air around the switch, sun included"},
    Spec{"broken-circuit", "in-sun", F, "", "the sun shines on the switch or its box"},
    Spec{"broken-circuit", "air-stated", F, "", "the data sheet says what it carries in that air: by a row `at` a temperature, by `derate`, or by its `ambient`", normal_air},
    Spec{"broken-circuit", "air-current", N, "current", "rated current at a row that stands the voltage, in the air around the switch", normal_air},
    Spec{"broken-circuit", "altitude-voltage", N, "voltage", "rated voltage at the altitude of the site", normal_height},
    Spec{"broken-circuit", "altitude-current", N, "current", "rated current at the altitude of the site", normal_height},

    Spec{"switch", "supply-marked", F, "", "its data sheet says which terminals are meant for the supply (`line`)"},
    Spec{"switch", "fed-at-load", F, "", "the supply arrives at other terminals, and what it feeds is on those"},
    Spec{"switch", "arrives", S1, "conductor", "then: the conductor that brings the supply"},
    Spec{"switch", "warned-both-sides", F, "", "a label on it warns that both sides may be live"},
    Spec{"switch", "fuses-inside", F, "", "fuse links are fitted in it"},

    Spec{"surge-mode", "device", S1, "device", "the surge protector"},
    Spec{"surge-mode", "mode", W, "", "pole to pole, or pole to earth"},
    Spec{"surge-mode", "between", W, "", "its two terminals"},
    Spec{"surge-mode", "voltage", N, "voltage", "the highest direct voltage that stands there; to earth the whole voltage of the circuit, as after a first earth fault, unless that pole is earthed", voc_clause},
    Spec{"surge-mode", "proper-voltage", N, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks"},
    Spec{"surge-mode", "continuous", N, "voltage", "the highest direct voltage the protector may stand at for ever in this mode", "IEC 61643-31||from memory"},

    Spec{"conductor", "in-weather", F, "", "an array conductor outdoors, outside boxes and conduit, where the sun reaches it"},
    Spec{"conductor", "in-wet-conduit", F, "", "an array conductor in conduit outdoors"},
    Spec{"conductor", "weatherproof", F, "", "its cable is made for that: by `outdoor`, or by its type code", "nec-2023|690.31(C)(1)|from memory;IEC 62930|scope|"},
    Spec{"conductor", "weather", W, "", "the place whose weather reaches it"},
    Spec{"conductor", "poles-apart", F, "", "its run holds one pole of its circuit, and another run the other", "iec-62548|cl. 7.3|from memory;nec-2023|300.3(B)|from memory"},
    Spec{"conductor", "companion", S1, "conductor", "then: a conductor of the other pole, in another run"},

    Spec{"run", "shared", F, "", "in one conduit or tray it holds array conductors and another system, not divided"},
    Spec{"run", "array-conductor", S1, "conductor", "its first array conductor"},
    Spec{"run", "other-conductor", S1, "conductor", "its first conductor of another system"},
    Spec{"run", "other-system", W, "", "that system: alternating current, battery or signals"},
    Spec{"run", "cables", N, "", "cables in it, protective ones included; a cable of several cores is one"},
    Spec{"run", "fill", N, "share", "share of the bore of its conduit that the cables take", "nec-2023|Chapter 9 Table 1|from memory"},
    Spec{"run", "fill-most", N, "share", "what that many cables may take", "NFPA 70-2023|Chapter 9 Table 1|from memory"},
    Spec{"run", "bore-least", N, "length", "the least bore of a conduit that would do", {}, "mm"},
    Spec{"run", "bore-needed", N, "length", "that, rounded up to 0.1 mm", {}, "mm"},
    Spec{"run", "conduit-that-does", W, "", "the smallest conduit of the usual sizes that would do"},
};

}  // namespace

Columns surroundings_columns() { return {surroundings_tables, surroundings_specs}; }

}  // namespace ferrule::facts
