// Every place of the text that a design holds.
#pragma once

#include "graph/design.hpp"

namespace ferrule::graph {

// Calls visit(text::Span&) for each.
template <class Visit>
void each_place(Design& d, Visit visit) {
    visit(d.site_span);
    for (Row& row : d.rows) {
        for (const FieldId f : row.fields) {
            text::Span s{row.span.file, d.fields[f].begin, d.fields[f].end};
            visit(s);
            d.fields[f].begin = s.begin;
            d.fields[f].end = s.end;
        }
        visit(row.span);
    }
    for (Part& p : d.parts) {
        visit(p.span);
        for (TerminalTemplate& t : p.terminals) visit(t.span);
        for (PoleTemplate& pole : p.poles) visit(pole.span);
        for (PortTemplate& port : p.ports) visit(port.span);
    }
    for (Thing& t : d.things) {
        visit(t.span);
        visit(t.statement);
    }
    for (Conductor& c : d.conductors) {
        visit(c.span);
        visit(c.span_a);
        visit(c.span_b);
    }
    for (Group& g : d.groups) visit(g.span);
    for (Entry& e : d.entries) visit(e.span);
    for (EntryUse& u : d.entry_uses) visit(u.span);
    for (PositionClaim& c : d.claims) visit(c.span);
    for (Label& l : d.labels) visit(l.span);
    for (auto* sequences : {&d.steps, &d.readings}) {
        for (Sequence& s : *sequences) visit(s.span);
    }
    for (Accept& a : d.accepts) visit(a.span);
}

}  // namespace ferrule::graph
