// Protective conductors.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr std::string_view bond_clause = "nec-2023|250.122, 690.45|;iec-62548|cl. 7.3|from memory;IEC 60364-5-54|Table 54.2|from memory";
constexpr std::string_view electrode_clause = "nec-2023|250.166|;IEC 60364-5-54|542.3.1|from memory";

constexpr TableSpec runs_tables[] = {
    TableSpec{"bond", "a protective conductor between two pieces of metal, or to an earth electrode"},
};

constexpr Spec runs_specs[] = {
    Spec{"bond", "conductor", S1, "conductor", "that conductor"},
    Spec{"bond", "area", N, "area", "its section"},
    Spec{"bond", "aluminium", F, "", "it is of aluminium"},
    Spec{"bond", "exposed", F, "", "outdoors under no roof, in no conduit, no core of a cable", "nec-2023|250.120(C)|from memory"},
    Spec{"bond", "asked", F, "", "a direct-current circuit could touch the metal behind it, and no electrode is at its end"},
    Spec{"bond", "for", S1, "conductor", "the conductor of a circuit that asks most of it, of those that could touch the metal behind it"},
    Spec{"bond", "device", N, "current", "the overcurrent device ahead of that circuit; of an array's circuit without one, the standard size that one would have", bond_clause},
    Spec{"bond", "assumed", F, "", "there is no such device: it is assumed", "nec-2023|690.45|"},
    Spec{"bond", "grown", N, "area", "what its own least section becomes in proportion to circuit conductors that are thicker than they need be", "nec-2023|250.122(B)|", "kcmil"},
    Spec{"bond", "least", N, "area", "its least section: by that device, grown with circuit conductors that are thicker than they need be (not those of arrays), not more than theirs, and thicker where it is exposed; for frames of arrays under IEC a fixed one, for boxes and cases by the section of the circuit", bond_clause},
    Spec{"bond", "floor", N, "area", "the section below which no reading of the standards is met", bond_clause},
    Spec{"bond", "needed", W, "", "the smallest standard size that is not below it", bond_clause},
    Spec{"bond", "electrode", S1, "device", "the earth electrode that it goes to"},
    Spec{"bond", "to-electrode", F, "", "it goes to one"},
    Spec{"bond", "electrode-least", N, "area", "its least section then: the largest conductor of a direct-current system whose pole is earthed, within the limits for the kind of electrode; thicker where it is exposed or takes lightning current", electrode_clause},
};

}  // namespace

Columns runs_columns() { return {runs_tables, runs_specs}; }

}  // namespace ferrule::facts
