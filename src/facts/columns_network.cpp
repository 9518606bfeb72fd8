// Columns of the solved network: volts, amperes, drop, losses, faults.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr std::string_view table_8 = "nec-2023|Chapter 9 Table 8|;iec-62548|IEC 60228|";
constexpr std::string_view fault_clause = "nec-2023|110.9|;iec-62548|IEC 60364-4-43|from memory";

constexpr TableSpec network_tables[]{
    {"point", "a terminal of a DC circuit (none are listed of a design with more than 20,000)"},
};

constexpr Spec network_specs[]{
    Spec{"conductor", "resistance", N, "resistance", "its resistance at the temperature it is reckoned at: ohm per length of its size, metal and strands x length", table_8, "mohm"},
    Spec{"conductor", "conductor-temperature", N, "temperature", "the temperature it is reckoned at: that of the standard's table, else what its insulation allows, 90 degC at most", practice},
    Spec{"conductor", "flow", N, "current", "the current in it in full sun (each string gives imp); in a battery's circuit at full demand or full charge, whichever is more"},
    Spec{"conductor", "drop", N, "voltage", "flow x resistance"},
    Spec{"conductor", "loss", N, "power", "flow^2 x resistance"},

    Spec{"string", "drop", N, "voltage", "voltage lost in full sun over both conductors, contacts and fuses between it and its input"},
    Spec{"string", "drop-share", N, "share", "drop / its operating voltage at 25 degC"},
    Spec{"string", "path-resistance", N, "resistance", "resistance of the way to its input and back, cables, contacts, fuses and plugs", table_8, "mohm"},
    Spec{"string", "drop-size", N, "area", "the smallest listed size of its own conductors with which drop-share is within the standard's `array-drop-note`, when all of them that are thinner are of it and all else stays"},
    Spec{"string", "drop-advice", W, "", "which conductors of which size would keep within that, and what then is the next limit"},
    Spec{"string", "drop-conductor", S1, "conductor", "the conductor on its way that loses most"},

    Spec{"input", "operating-voltage", N, "voltage", "the voltage at its terminals in full sun at 25 degC"},
    Spec{"input", "power", N, "power", "the power that arrives there"},

    Spec{"battery-port", "drop", N, "voltage", "voltage lost in cables, contacts and fuses between the batteries and it at full demand or full charge, whichever is more"},
    Spec{"battery-port", "drop-share", N, "share", "drop / the nominal voltage of the batteries"},
    Spec{"battery-port", "drop-size", N, "area", "the smallest listed size of all cables on its way with which drop-share is within the standard's `battery-drop-note`, when all that are thinner are of it"},
    Spec{"battery-port", "drop-advice", W, "", "which cables of which size would keep within that, and what then is the next limit"},
    Spec{"battery-port", "drop-conductor", S1, "conductor", "the conductor on its way that loses most"},

    Spec{"battery", "shares-current", N, "current", "what it gives at full demand of all ports, by its resistance and that of its cables"},

    Spec{"site", "array-power", N, "power", "what arrives at all inputs in full sun at 25 degC"},
    Spec{"site", "loss", N, "power", "heat in the cables, contacts and fuses of the array in full sun"},
    Spec{"site", "loss-share", N, "share", "loss / (array-power + loss)"},
    Spec{"site", "loss-year", N, "energy", "order of magnitude of that loss in a year: loss x full-sun hours x loss factor", practice, "kWh"},

    Spec{"fuse", "prospective", N, "current", "the largest current that can flow through it into a short on either side, to the other pole at the device or else where it is worst in the same place; from every source, without the device's own resistance, batteries behind their resistance and that of their cables, cold (20 degC), as that gives the largest current", fault_clause},
    Spec{"switch", "prospective", N, "current", "the same of its contacts", fault_clause},
    Spec{"switch", "battery-side", F, "", "one of its contacts is in a battery's circuit"},
    Spec{"switch", "conditional", F, "", "its data sheet says what it withstands behind a fuse of some class (`withstands … behind`)"},
    Spec{"switch", "fused-before", F, "", "then: a fuse of that class stands between it and every battery"},
    Spec{"device", "prospective", N, "current", "the largest current into a short between one of its terminals and the other pole, there or where it is worst in the same place, with cold cables", fault_clause},

    Spec{"dc-system", "first-fault-current", N, "current", "what flows when a pole that is not earthed first touches earth: nothing when no pole is earthed, else what the sources give through the earth link"},
    Spec{"dc-system", "first-fault-voltage", N, "voltage", "the largest voltage between a pole and earth that can stand then", voc_clause},
    Spec{"dc-system", "second-fault-current", N, "current", "what flows when the other pole then touches earth as well"},

    Spec{"point", "device", S1, "device", "the device"},
    Spec{"point", "voltage-operating", N, "voltage", "in full sun; of a battery's circuit at full demand; against the - of the first source of its circuit"},
    Spec{"point", "voltage-open", N, "voltage", "with nothing drawn: strings at the coldest temperature, batteries at their highest voltage; against the same", voc_clause},
    Spec{"point", "short-circuit-current", N, "current", "into a short between it and the other pole, at the device or where it is worst in the same place, with cold cables", fault_clause},
};

}  // namespace

Columns network_columns() { return {network_tables, network_specs}; }

}  // namespace ferrule::facts
