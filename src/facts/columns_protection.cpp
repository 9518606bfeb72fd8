// Columns of overcurrent devices, what they let pass and what they protect.
#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

constexpr std::string_view continuous_clause = "nec-2023|690.8(B)(1), 706.30|;iec-62548|cl. 7.3|from memory";

constexpr std::string_view guard_clause = "nec-2023|240.4, 690.9(A)|from memory;IEC 60364-4-43||from memory";

constexpr Spec protection_specs[] = {
    Spec{"conductor", "continuous-current", N, "current", "that current with the standard's factor for duty without end", continuous_clause},
    Spec{"conductor", "fault-current", N, "current", "the largest current that can be driven through it without end in a fault: what its sources give, cut down by every fuse and breaker on the way", guard_clause},
    Spec{"conductor", "let-through", N, "current", "of that, what fuses and breakers let pass: the sum of the ratings on the way; a short tap counts as guarded by the device at its end", "nec-2023|240.4, 240.21(B)(1)|from memory;IEC 60364-4-43|433.2|from memory"},
    Spec{"conductor", "short-tap", F, "", "it is so short that it may lie ahead of the device at its end, which is smaller than what comes before; unknown when its length is", "nec-2023|240.21(B)(1)|from memory;IEC 60364-4-43|433.2|from memory"},
    Spec{"conductor", "protected-by", S1, "fuse", "the one fuse or breaker that cuts it down; none when several share it", guard_clause},
    Spec{"conductor", "own-device", F, "", "that device carries the same current as it, in the same or in the other pole; else it guards more than this conductor"},
    Spec{"conductor", "unprotected", F, "", "a battery can drive current through it with no fuse or breaker between", "nec-2023|706.31|"},
    Spec{"conductor", "backfeed", N, "current", "what the array inputs on it feed back"},
    Spec{"conductor", "supplies", S1, "device", "the converter or load that it lands on"},
    Spec{"conductor", "supplied-bare", F, "", "a battery drives current through it into that device with no fuse or breaker between"},
    Spec{"conductor", "fuse-earthed", F, "", "so it is though one stands in the other pole: that is earthed on the battery's side of it, so that a fault to earth goes past", "nec-2023|240.22|from memory"},

    Spec{"fuse", "continuous-current", N, "current", "that current with the standard's factor for duty without end", continuous_clause},
    Spec{"fuse", "string-fuse", F, "", "it is in the circuit of one string"},
    Spec{"fuse", "shared-by-strings", F, "", "strings without fuses of their own share it, and it keeps other strings in parallel off them"},
    Spec{"fuse", "above-least", F, "", "the standard wants a rating above `least`, not only as much", "iec-62548|cl. 6.5|"},
    Spec{"fuse", "least", N, "current", "the least rating allowed: duty without end, or the standard's factor on isc; listed for its full current without end: no factor", "nec-2023|690.9(B)(1)|;iec-62548|cl. 6.5|"},
    Spec{"fuse", "most", N, "current", "the largest rating that the modules and every conductor it protects allow"},
    Spec{"fuse", "modules-most", N, "current", "what the modules allow; of a device that strings share, less what the other strings behind it add", "iec-62548|cl. 6.5|from memory;nec-2023|690.9(A)|from memory"},
    Spec{"fuse", "weakest", S1, "conductor", "the conductor it protects that allows least"},
    Spec{"fuse", "window-most", N, "current", "the upper end of the standard's window", "iec-62548|cl. 6.5|"},
    Spec{"fuse", "least-size", N, "current", "the smallest standard size that is large enough", "nec-2023|240.6(A)|"},
    Spec{"fuse", "size-that-passes", N, "current", "that size, if it is not too large either", "nec-2023|240.6(A)|"},
    Spec{"fuse", "advice", W, "", "which size to fit, or why none does"},
    Spec{"fuse", "breaking", N, "current", "the largest short-circuit current it breaks at the voltage of its circuit; a figure for a lower voltage says nothing", "nec-2023|110.9|from memory"},
    Spec{"fuse", "side-by-side", N, "", "fuse ways and breaker poles in its box, itself included"},
    Spec{"fuse", "heat-factor", N, "share", "what is left of its rating in the air of its place, and beside its neighbours where the data sheet says so", {}, "%"},
    Spec{"fuse", "carries-hot", N, "current", "what it carries there without end"},
    Spec{"fuse", "parallel", N, "", "strings in parallel with the one it is for"},
    Spec{"fuse", "usual-rating", N, "current", "the rating that most fuses of the strings in parallel have"},
    Spec{"fuse", "odd", F, "", "it has another rating, and its string the same isc"},
    Spec{"fuse", "stoppable", F, "", "with every load-break switch open it carries nothing"},
    Spec{"fuse", "length-to-others", N, "length", "length of the conductors between it and where the other strings join"},

    Spec{"string", "fuse-least", N, "current", "the least rating of a fuse of its own", "nec-2023|690.9(B)(1)|;iec-62548|cl. 6.5|"},
    Spec{"string", "fuse-size", N, "current", "the smallest standard size that is large enough, if its modules allow it"},
    Spec{"string", "fuse-advice", W, "", "which size to fit, with which conductors if its own are too thin for it, or why none does"},
    Spec{"string", "reverse-guarded", N, "current", "what fuses and breakers on the way let the others drive back through it; unknown where none is"},

    Spec{"device", "isc", N, "current", "short-circuit current of the array sources that feed it, without factors"},

    Spec{"battery", "unguarded-length", N, "length", "from its terminal to the farthest point that no fuse or breaker guards"},
    Spec{"battery", "guarded", F, "", "a fuse or breaker stands in its conductors"},
    Spec{"battery", "through-wall", F, "", "that length leads into another place"},
    Spec{"battery", "lead", S1, "conductor", "the conductor at the end of that length"},
};

}  // namespace

Columns protection_columns() { return {{}, protection_specs}; }

}  // namespace ferrule::facts
