// Columns of what conductors carry, what they may carry, and what their ends take.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr std::string_view table_clause = "nec-2023|Table 310.16, Table 310.17|;iec-62548|cl. 7.3, with IEC 60364-5-52:2009 B.52.2, B.52.3, B.52.10, B.52.12 or EN 50618:2014 Table A.3|from memory";
constexpr std::string_view ambient_clause = "nec-2023|310.15(B)(1), 310.15(B)(2)|;iec-62548|cl. 7.3, with IEC 60364-5-52 B.52.14 or EN 50618:2014 Table A.4|from memory";
constexpr std::string_view grouping_clause = "nec-2023|310.15(C)(1)|;iec-62548|cl. 7.3, with IEC 60364-5-52 B.52.17|from memory";
constexpr std::string_view terminal_clause = "nec-2023|110.14(C)(1)|";
constexpr std::string_view take_clause = "nec-2023|110.14|";

constexpr Spec wiring_specs[] = {
    Spec{"conductor", "method", W, "", "how it is laid as the tables tell it: raceway or free-air (NEC); b1 conduit, c clipped, e several cores in free air, f touching in free air (IEC); free-air, on-surface or side-by-side for PV cable; in the run where it carries least", table_clause},
    Spec{"conductor", "insulation-temperature", N, "temperature", "the highest temperature of its insulation, as its cable states"},
    Spec{"conductor", "ambient", N, "temperature", "the hottest air round it: stated by its run, else the worst of the places the run goes through, else of the places and boxes its ends stand in, else the default; with the addition for a roof in the sun to the air outdoors", ambient_clause},
    Spec{"conductor", "ambient-factor", N, "", "correction for that air", ambient_clause},
    Spec{"conductor", "loaded", N, "", "loaded conductors that share that run, itself included", grouping_clause},
    Spec{"conductor", "grouping-factor", N, "", "correction for them; 1 where the run is short or keeps its cables apart", grouping_clause},
    Spec{"conductor", "table-ampacity", N, "current", "what the table gives for its size, metal, insulation and way of laying, without corrections", table_clause},
    Spec{"conductor", "ampacity", N, "current", "that with both corrections, in the run where it carries least", "nec-2023|690.8(B)(2), 310.15|;iec-62548|cl. 7.3|from memory"},
    Spec{"conductor", "on-terminals", F, "", "a terminal at one of its ends sets a limit of its own: plugs and the ends of strings do not, and under IEC only a stated temperature below that of the insulation does"},
    Spec{"conductor", "terminal-temperature", N, "temperature", "what the cooler of the terminals at its ends is listed for; under NEC 60 degC up to 100 A and 75 degC above where none is stated", terminal_clause},
    Spec{"conductor", "terminal-ampacity", N, "current", "what the table gives for its size at that temperature, without corrections", terminal_clause},
    Spec{"conductor", "device-most", N, "current", "the largest overcurrent device that may protect it: under NEC the next standard size above what it carries (up to 800 A), less for small conductors; of conductors in parallel the part of one in what the set may have", "nec-2023|240.4(B), 240.4(C), 240.4(D)|"},
    Spec{"conductor", "parallel", N, "", "conductors that join the same two pieces of metal, itself included"},
    Spec{"conductor", "bundle", S1, "conductor", "the first of them, when there are several"},
    Spec{"conductor", "parallel-unlike", F, "", "they differ in metal, or by more than a twentieth in section or length"},
    Spec{"conductor", "input", S1, "input", "the array input its circuit reaches"},
    Spec{"conductor", "on-tracker-limit", F, "", "it carries the input's operating limit, but not the array's current"},
    Spec{"conductor", "on-aux", S1, "device", "the switch on whose auxiliary contact it lands, when an end of a string reaches it there"},
    Spec{"conductor", "supplied", F, "", "a link that belongs to the device as supplied"},
    Spec{"conductor", "device-in-line", F, "", "a fuse or breaker carries the same current as it, or its string has one of its own"},
    Spec{"conductor", "rated-current", N, "current", "what its set of links is rated for"},
    Spec{"conductor", "fits-size", F, "", "its section is one that the terminals and plugs at both ends take", take_clause},
    Spec{"conductor", "fits-metal", F, "", "and its metal", take_clause},
    Spec{"conductor", "misfit", W, "", "the ends that do not take it, and what they take"},
    Spec{"conductor", "misfit-part", S1, "part", "the data sheet of the first of these ends"},
    Spec{"conductor", "needed-area", N, "area", "the smallest standard size of the same metal and insulation in the same runs that carries all that is asked of this conductor"},
    Spec{"conductor", "needed", W, "", "that size, what it carries, and what then becomes the next limit"},
    Spec{"conductor", "like", S1, "conductor", "of those that carry too little or do not fit: the first with the same run, section, current and ends"},
};

}  // namespace

Columns wiring_columns() { return {{}, wiring_specs}; }

}  // namespace ferrule::facts
