// Columns of heat, altitude, light and surge protection, and of what lies together in a run.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr std::string_view practice = "||common practice, no source";
constexpr std::string_view normal_air = "IEC 60947-1|normal service conditions|from memory";
constexpr std::string_view normal_height = "IEC 61439-2|normal service conditions|";

constexpr TableSpec tables[]{
    {"surge-mode", "one way a surge protector is connected: between two poles, or between a pole and earth"},
};

constexpr Spec specs[]{
    Spec{"site", "albedo-most", n, "share", "the largest share of light that the ground under a string of one-sided modules throws back"},
    Spec{"site", "brightest", s, "place", "the place with that ground"},
    Spec{"site", "over-snow", f, "", "the array is on a facade, and snow lies"},

    Spec{"string", "bifaciality", n, "share", "power of the back of its modules as a share of their front; the largest of its modules; 0 for one-sided modules"},
    Spec{"string", "albedo", n, "share", "share of the light that the ground of its place throws back; the usual one where the place does not say"},
    Spec{"string", "screening-factor", n, "", "irradiance factor with the light from behind: that for the front + gain x bifaciality x albedo; a screening value", practice},
    Spec{"string", "flush", f, "", "mounted close to a roof or wall: `mount flush`, or on a facade; raised where the array is in the open"},

    Spec{"enclosure", "in-sun", f, "", "its place is in the sun, and no hood shades it"},
    Spec{"enclosure", "heat-stated", f, "", "something in it states its heat (`loss`)"},
    Spec{"enclosure", "heat", n, "power", "heat given off inside: `loss` of what stands in it, that of contacts and fuses with the square of their current"},
    Spec{"enclosure", "surface", n, "area", "its outer surface, all six faces", {}, "m2"},
    Spec{"enclosure", "sun-rise", n, "temperature", "how much warmer the sun makes the air inside; a screening value", practice, "K"},
    Spec{"enclosure", "air-around", n, "temperature", "the hottest air around it: that of its place, or in the box it is in"},
    Spec{"enclosure", "air-inside", n, "temperature", "the hottest air inside: declared, or air-around + sun-rise + heat / (cooling x surface)", practice},
    Spec{"enclosure", "air-inside-least", n, "temperature", "the same with what is known: it is at least this warm", practice},
    Spec{"enclosure", "declared", f, "", "the temperature inside is declared (`inside`)"},
    Spec{"enclosure", "stands", n, "temperature", "the least of the highest temperatures that the devices in it may have around them"},
    Spec{"enclosure", "weakest", s, "device", "that device"},

    Spec{"device", "air", n, "temperature", "the hottest air around it: in its box as far as it is known, else at its place"},
    Spec{"device", "air-outside", n, "temperature", "declared for the inside of its box, else the hottest air of its place: what is certain"},
    Spec{"device", "air-coldest", n, "temperature", "the coldest air of its place; outdoors that of the site where the place does not say"},
    Spec{"device", "kept-warm", f, "", "its place is heated"},
    Spec{"device", "stands-hottest", n, "temperature", "the hottest air its data sheet allows"},
    Spec{"device", "stands-coldest", n, "temperature", "the coldest air its data sheet allows"},
    Spec{"device", "altitude-known", f, "", "its ratings are known at the altitude of the site", normal_height},
    Spec{"device", "altitude-voltage-factor", n, "share", "what its rated voltage is multiplied by at the altitude of the site", normal_height},
    Spec{"device", "altitude-current-factor", n, "share", "what its rated current is multiplied by at the altitude of the site", normal_height},

    Spec{"broken-circuit", "air", n, "temperature", "the hottest air around the switch, sun included"},
    Spec{"broken-circuit", "in-sun", f, "", "the sun shines on the switch or its box"},
    Spec{"broken-circuit", "air-stated", f, "", "the data sheet says what it carries in that air: by a row `at` a temperature, by `derate`, or by its `ambient`", normal_air},
    Spec{"broken-circuit", "air-current", n, "current", "rated current at a row that stands the voltage, in the air around the switch", normal_air},
    Spec{"broken-circuit", "altitude-voltage", n, "voltage", "rated voltage at the altitude of the site", normal_height},
    Spec{"broken-circuit", "altitude-current", n, "current", "rated current at the altitude of the site", normal_height},

    Spec{"switch", "supply-marked", f, "", "its data sheet says which terminals are meant for the supply (`line`)"},
    Spec{"switch", "fed-at-load", f, "", "the supply arrives at other terminals, and what it feeds is on those"},
    Spec{"switch", "arrives", s, "conductor", "then: the conductor that brings the supply"},
    Spec{"switch", "warned-both-sides", f, "", "a label on it warns that both sides may be live"},
    Spec{"switch", "fuses-inside", f, "", "fuse links are fitted in it"},

    Spec{"surge-mode", "device", s, "device", "the surge protector"},
    Spec{"surge-mode", "mode", w, "", "pole to pole, or pole to earth"},
    Spec{"surge-mode", "between", w, "", "its two terminals"},
    Spec{"surge-mode", "voltage", n, "voltage", "the highest direct voltage that stands there; to earth the whole voltage of the circuit, as after a first earth fault, unless that pole is earthed", voc_clause},
    Spec{"surge-mode", "proper-voltage", n, "voltage", "the voltage its circuit would have if every string kept to the lowest limit it breaks"},
    Spec{"surge-mode", "continuous", n, "voltage", "the highest direct voltage the protector may stand at for ever in this mode", "IEC 61643-31||from memory"},

    Spec{"conductor", "in-weather", f, "", "an array conductor outdoors, outside boxes and conduit, where the sun reaches it"},
    Spec{"conductor", "in-wet-conduit", f, "", "an array conductor in conduit outdoors"},
    Spec{"conductor", "weatherproof", f, "", "its cable is made for that: by `outdoor`, or by its type code", "nec-2023|690.31(C)(1)|from memory;IEC 62930|scope|"},
    Spec{"conductor", "weather", w, "", "the place whose weather reaches it"},
    Spec{"conductor", "poles-apart", f, "", "its run holds one pole of its circuit, and another run the other", "iec-62548|cl. 7.3|from memory;nec-2023|300.3(B)|from memory"},
    Spec{"conductor", "companion", s, "conductor", "then: a conductor of the other pole, in another run"},

    Spec{"run", "shared", f, "", "in one conduit or tray it holds array conductors and another system, not divided"},
    Spec{"run", "array-conductor", s, "conductor", "its first array conductor"},
    Spec{"run", "other-conductor", s, "conductor", "its first conductor of another system"},
    Spec{"run", "other-system", w, "", "that system: alternating current, battery or signals"},
    Spec{"run", "cables", n, "", "cables in it, protective ones included; a cable of several cores is one"},
    Spec{"run", "fill", n, "share", "share of the bore of its conduit that the cables take", "nec-2023|Chapter 9 Table 1|from memory"},
    Spec{"run", "fill-most", n, "share", "what that many cables may take", "NFPA 70-2023|Chapter 9 Table 1|from memory"},
    Spec{"run", "bore-least", n, "length", "the least bore of a conduit that would do", {}, "mm"},
    Spec{"run", "conduit-that-does", w, "", "the smallest conduit of the usual sizes that would do"},
};

}  // namespace

Columns surroundings_columns() { return {tables, specs}; }

}  // namespace ferrule::facts
