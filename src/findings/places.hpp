// Every place of a design's text that a finding holds. An acceptance from outside stands in a text of its own.
#pragma once

#include "findings/finding.hpp"

namespace ferrule::findings {

// Calls visit(text::Span&) for each.
template <class Visit>
void each_place(Finding& f, const Visit& visit) {
    visit(f.span);
    for (Related& r : f.related) visit(r.span);
    for (Edit& e : f.edits) visit(e.span);
    if (f.accepted && !f.accepted->external) visit(f.accepted->span);
}

template <class Visit>
void each_place(Report& report, const Visit& visit) {
    for (Finding& f : report.findings) each_place(f, visit);
    for (Undecided& u : report.undecided) visit(u.span);
}

}  // namespace ferrule::findings
