#include "graph/same.hpp"

#include <algorithm>
#include <cstring>
#include <functional>

namespace ferrule::graph {

bool same_number(double a, double b) { return std::memcmp(&a, &b, sizeof a) == 0; }

namespace {

template <class Ts, class Same>
bool each(const Ts& a, const Ts& b, Same same) {
    return a.size() == b.size() && std::equal(a.begin(), a.end(), b.begin(), same);
}

template <class IdT>
bool same(base::Range<IdT> a, base::Range<IdT> b) { return a.first == b.first && a.count == b.count; }

bool same(const Field& a, const Field& b) {
    return a.name == b.name && a.type == b.type && a.unit == b.unit && same_number(a.low, b.low) && same_number(a.high, b.high) && a.text == b.text && a.second == b.second && a.target == b.target;
}
bool same(const Row& a, const Row& b) { return a.property == b.property && same(a.fields, b.fields) && same(a.block, b.block); }

bool same(const TerminalTemplate& a, const TerminalTemplate& b) {
    return a.label == b.label && a.sign == b.sign && a.aux == b.aux && a.protective == b.protective && a.port == b.port;
}
bool same(const PoleTemplate& a, const PoleTemplate& b) {
    return a.a == b.a && a.b == b.b && a.closed_in == b.closed_in && a.current_in == b.current_in && a.aux == b.aux && a.opens == b.opens;
}
bool same(const PortTemplate& a, const PortTemplate& b) {
    return a.name == b.name && a.index == b.index && a.role == b.role && a.plus == b.plus && a.minus == b.minus && same(a.rows, b.rows);
}
bool same(const Part::FacePlace& a, const Part::FacePlace& b) { return a.side == b.side && a.position == b.position && a.terminal == b.terminal; }

bool same(const Part& a, const Part& b) {
    const auto alike = [](const auto& x, const auto& y) { return same(x, y); };
    return a.name == b.name && a.kind == b.kind && same(a.rows, b.rows) && each(a.terminals, b.terminals, alike) && each(a.poles, b.poles, alike) && a.joins == b.joins &&
           each(a.ports, b.ports, alike) && a.supplied_jumpers == b.supplied_jumpers && a.jumpers_stated == b.jumpers_stated && each(a.face, b.face, alike) &&
           a.polarised_stated == b.polarised_stated && a.polarised == b.polarised && a.by_label == b.by_label && a.unread == b.unread;
}

bool same(const Thing& a, const Thing& b) {
    return a.name == b.name && a.index == b.index && a.cls == b.cls && a.part == b.part && a.where == b.where && a.owner == b.owner && a.first_terminal == b.first_terminal &&
           same(a.rows, b.rows) && a.first_group == b.first_group && a.groups == b.groups && a.first_fitted == b.first_fitted && a.fitted == b.fitted && a.handle == b.handle;
}

bool same(const Conductor& a, const Conductor& b) {
    return a.a == b.a && a.b == b.b && a.role == b.role && a.copper_stated == b.copper_stated && a.core == b.core && a.mark == b.mark && a.cable == b.cable &&
           a.named_cable == b.named_cable && same_number(a.area, b.area) && a.area_unit == b.area_unit && a.material == b.material && a.colour == b.colour &&
           a.run == b.run && a.first_via == b.first_via && a.vias == b.vias && a.end_a == b.end_a && a.end_b == b.end_b &&
           a.end_part_a == b.end_part_a && a.end_part_b == b.end_part_b && a.first_entry == b.first_entry && a.entries == b.entries;
}

bool same(const PositionClaim& a, const PositionClaim& b) {
    return a.conductor == b.conductor && a.device == b.device && a.side == b.side && a.position == b.position && a.landed == b.landed;
}
bool same(const Entry& a, const Entry& b) {
    return a.enclosure == b.enclosure && a.name == b.name && a.index == b.index && a.face == b.face && a.fitting == b.fitting && a.row == b.row;
}
bool same(const EntryUse& a, const EntryUse& b) { return a.entry == b.entry && a.conductor == b.conductor && a.cable == b.cable; }
bool same(const Label& a, const Label& b) { return a.text == b.text && a.on == b.on && same(a.rows, b.rows); }
bool same(const Sequence& a, const Sequence& b) { return a.title == b.title && same(a.rows, b.rows); }
bool same(const Group& a, const Group& b) { return a.part == b.part; }

bool same_names(const Design& a, const Design& b) {
    if (a.names.size() != b.names.size()) return false;
    for (std::size_t i = 0; i < a.names.size(); ++i) {
        if (a.names.text(Symbol(i)) != b.names.text(Symbol(i))) return false;
    }
    return true;
}

}  // namespace

bool same_statements(const Design& a, const Design& b) {
    const auto alike = [](const auto& x, const auto& y) { return same(x, y); };
    return a.kinds == b.kinds && a.units == b.units && same_names(a, b) && static_cast<bool>(a.site_span) == static_cast<bool>(b.site_span) && a.site_title == b.site_title && same(a.site_rows, b.site_rows) && a.site_unread == b.site_unread && each(a.rows, b.rows, alike) &&
           each(a.fields, b.fields, alike) && each(a.parts, b.parts, alike) && each(a.things, b.things, alike) && each(a.terminals, b.terminals, std::equal_to<>()) &&
           each(a.conductors, b.conductors, alike) && each(a.groups, b.groups, alike) && a.fitted == b.fitted && a.vias == b.vias && each(a.entries, b.entries, alike) &&
           each(a.entry_uses, b.entry_uses, alike) && each(a.claims, b.claims, alike) && each(a.labels, b.labels, alike) && each(a.steps, b.steps, alike) &&
           each(a.readings, b.readings, alike) && a.jumpers_stated == b.jumpers_stated && a.left_open == b.left_open;
}

bool same_but_figures(const Conductor& a, const Conductor& b) { return same(a, b); }

bool same_figures(const Design& a, const Design& b) {
    return each(a.conductors, b.conductors, [](const Conductor& x, const Conductor& y) { return same_number(x.length, y.length) && same_number(x.rated_voltage, y.rated_voltage); }) &&
           each(a.groups, b.groups, [](const Group& x, const Group& y) { return x.count == y.count; });
}

}  // namespace ferrule::graph
