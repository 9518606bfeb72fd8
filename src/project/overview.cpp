#include <fmt/format.h>

#include "project/explain.hpp"

namespace ferrule::project {

namespace {

constexpr std::string_view opening = R"(
A design is a text file whose name ends in .fer. It says what is bought (part), where things stand (place, string,
enclosure, device), which conductor lands on which terminal (run, ->), and what is bonded to what (bond, earth).
`ferrule check FILE` reads it and says what is wrong. A small one, invented, that can be checked as it stands:
)";

constexpr std::string_view shown_design = R"(edition 1                                  # the language edition; the first line of every file

site "Tern shelter" {
    standard  nec-2023                     # whose figures hold: ferrule explain nec-2023
    coldest   -12 degC "the nearest weather station"
    hottest   33 degC
    altitude  120 m
    building  none
    array     ground-mount
}

place YARD    { outdoors exposed }
place SHELTER { indoors dry; ambient -5 degC .. 35 degC }

part PM-110 is module {                    # a data sheet, copied line by line
    pmax 110 W, -0.35 %/K
    voc 24.5 V, -0.28 %/K
    isc 5.8 A, +0.05 %/K
    vmp 20.3 V
    imp 5.42 A
    max-system 600 V
    max-fuse 15 A
    frame none
}
part SW-2P is isolator {
    category DC-PV2
    pole 1-2                               # a contact, and the terminals at its two ends
    pole 3-4
    rated 1 in series 150 V 16 A
    rated 2 in series 300 V 16 A
    polarised no
    takes 1 x 2.5 mm2 .. 10 mm2 copper
    torque 1.2 N.m
    lockable off
}
part CC-100 is controller {
    type mppt
    isolated no
    ground-fault interrupts
    port pv is array { max-voltage 100 V; tracking 20 V .. 92 V; max-isc 20 A; switch none }
    port bat is battery { nominal 12 V; absorb 14.4 V }
    ambient -20 degC .. 50 degC
    takes 1 x 2.5 mm2 .. 10 mm2 copper
    torque 1.2 N.m
}
part PV-4 is cable { section 4 mm2 copper; insulation xlpe 90 degC; outdoor sunlight; rated 1000 V; diameter 5.4 mm }

string SOUTH is 3 x PM-110 on YARD
device Q1 is SW-2P in SHELTER
device MPPT is CC-100 in SHELTER

run ROPE "array to shelter" {
    length 12 m
    through YARD, SHELTER
    SOUTH.+ -> Q1.1    PV-4 red
    SOUTH.- -> Q1.3    PV-4 black
    Q1.2 -> MPPT.pv+   PV-4 red
    Q1.4 -> MPPT.pv-   PV-4 black
}
)";

constexpr std::string_view lines = R"(
How a line is written

A newline or `;` ends a statement; a line goes on only after a comma. # starts a comment. Braces hold properties.
Names start with a letter; the words that open statements (site, part, string …) are no names, but capitals set them
free: SITE is a name. Every quantity carries its unit: 6 mm2, 41.2 V, -9 degC, 2.0 N.m; a range has it at both ends:
5 mm .. 9 mm. THING.TERMINAL is a terminal: Q1.1, MPPT.pv+, SOUTH.-. NAME[1..6] declares six things at once, and
A[1..6].+ -> F[1..6].1 is six conductors. The order of the statements does not matter, but for `edition`.

The statements
)";

constexpr std::string_view closing = R"(
How to go on

  ferrule explain part           a statement: how it is written, what it means, an example
  ferrule explain isolator       a kind: everything its data sheet may state
  ferrule explain isolator rated one property
  ferrule explain mm2            a unit; `ferrule explain area` all units of a dimension
  ferrule explain site           what a site, place, string, enclosure, device, run may state
  ferrule explain nec-2023       a standard and its figures
  ferrule explain string         what is computed for every string; `ferrule values FILE SOUTH` prints it
                                 and `ferrule values FILE --margins` the room left below every limit
  ferrule rules                  what is demanded; `ferrule explain RULE` says why and shows an example
)";


}  // namespace

std::string_view overview_design() { return shown_design; }

void overview(const Knowledge& k, render::Paper& paper) {
    paper.prose(opening.substr(1));
    paper.line();
    paper.verbatim(shown_design);
    paper.prose(lines);
    paper.line();
    for (const graph::StatementText& s : k.kinds.statements) {
        paper.prose(s.shape, 2);
        paper.prose(s.about, 8);
    }
    paper.line();
    paper.line("Kinds of part");
    paper.line();
    std::string kinds, roles, blocks;
    for (const graph::Kind& kind : k.kinds.all()) {
        std::string& list = kind.group == "part" ? kinds : kind.group == "role" ? roles : blocks;
        list += (list.empty() ? "" : ", ") + kind.name;
    }
    paper.prose(kinds, 4);
    paper.line();
    paper.prose(fmt::format("roles of a port: {}", roles), 4);
    paper.prose(fmt::format("blocks with properties of their own: {}", blocks), 4);
    paper.line(closing.substr(0, closing.size() - 1));
}

}  // namespace ferrule::project
