// Columns of the solved network: conductor, string, input, battery-port, battery, site.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <span>
#include <utility>

#include "facts/fill_network.hpp"
#include "facts/takes.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;

const std::vector<std::string> silent_contacts{"contacts, fuses and plugs that state no `contact` or `loss` count as 0 ohm"};

std::vector<std::string> silent(const SharedSolved& s) { return s->resist.contacts_silent ? silent_contacts : std::vector<std::string>{}; }

void put_conductors(Facts& facts, const Analysis& a, const Solved& s, std::span<const std::uint32_t> rows) {
    Filler fill(facts, "conductor");
    auto& resistance = fill.numbers("resistance");
    auto& flow = fill.numbers("flow");
    auto& drop = fill.numbers("drop");
    auto& loss = fill.numbers("loss");
    for (const std::uint32_t r : rows) {
        resistance[r] = s.resist.conductor[r];
        const std::uint32_t e = a.edge_of[r];
        if (e == none) continue;
        flow[r] = std::fabs(s.flow[e]);
        drop[r] = flow[r] == 0 ? 0 : flow[r] * s.resist.conductor[r];
        loss[r] = flow[r] * drop[r];
    }
}

void fill_conductor(Facts& facts, const Shared& a, const SharedSolved& s) {
    Filler fill(facts, "conductor");
    auto& temperature = fill.numbers("conductor-temperature");
    std::vector<double> of_part(a->d.parts.size(), graph::unknown);
    for (std::uint32_t r = 0; r < temperature.size(); ++r) {
        const graph::PartId cable = a->d.conductors[ConductorId(r)].cable;
        double& known = of_part[cable ? cable.value : 0];
        if (!cable) temperature[r] = s->resist.temperature(r);
        else temperature[r] = std::isnan(known) ? known = s->resist.temperature(r) : known;
    }
    const auto missing = [a, s](std::uint32_t row) {
        if (std::isnan(s->resist.conductor[row])) {
            const Lack l = s->resist.lack(row);
            return Missing{l.what, l.where};
        }
        return Missing{"what every port of its circuit takes, and one way for the current alone", a->d.conductors[ConductorId(row)].span};
    };
    for (const char* c : {"resistance", "drop", "loss", "flow"}) fill.column(c).missing = missing;
    fill.column("resistance").working = [s](std::uint32_t row) { return s->resist.working(row); };
    fill.column("resistance").assumed = [s](std::uint32_t row) { return s->resist.assumed(row); };
    fill.column("drop").assumed = fill.column("loss").assumed = fill.column("resistance").assumed;
    const auto working = [a, s](std::uint32_t row) {
        const std::uint32_t e = a->edge_of[row];
        if (e == none || std::isnan(s->resist.conductor[row])) return std::vector<std::string>{};
        const double i = std::fabs(s->flow[e]);
        return std::vector{fmt::format("{} x {} = {}", a->show(i, "A"), a->show(s->resist.conductor[row], "mohm"), a->show(i * s->resist.conductor[row], "V"))};
    };
    fill.column("drop").working = working;
    fill.column("loss").working = [working, a, s](std::uint32_t row) {
        std::vector<std::string> lines = working(row);
        const std::uint32_t e = a->edge_of[row];
        if (!lines.empty()) lines.push_back(fmt::format("x {}", a->show(std::fabs(s->flow[e]), "A")));
        return lines;
    };
}

// The conductors on a way from a terminal to its end.
template <class F>
void along(const Analysis& a, const Solved& s, std::uint32_t terminal, F f) {
    for (std::uint32_t t = terminal; t != none && s.ways.edge[t] != none; t = a.net.other(s.ways.edge[t], t)) {
        const std::uint32_t c = a.net.edges[s.ways.edge[t]].conductor;
        if (c != none) f(c, s.ways.edge[t]);
    }
}

// The conductors a drop is lost in, and what would keep it within a limit.
class DropWay {
public:
    DropWay(const Analysis& a, const Solved& s) : a_(a), s_(s) {}

    void add(std::uint32_t conductor, double amps, bool own) {
        const double drop = std::fabs(amps) * s_.resist.conductor[conductor];
        if (drop > most_ * (1 + 1e-9)) {  // of equals the first
            most_ = drop;
            worst_ = conductor;
        }
        if (!own || !(a_.d.conductors[ConductorId(conductor)].length > 0)) return;
        own_.push_back({conductor, std::fabs(amps)});
        own_drop_ += drop;
    }
    [[nodiscard]] std::uint32_t worst() const { return worst_; }
    // The smallest size of the worst one's kind with which the whole drop is within `limit`, when those of its own that are thinner
    // are of it and all else stays; unknown if there is none.
    [[nodiscard]] double size(double drop, double limit) const {
        if (worst_ == none || own_.empty()) return graph::unknown;
        const WireTables& wires = s_.resist.wires;
        Wire w = s_.resist.wire(worst_);
        for (std::optional<double> area = wires.least_area(w, std::numeric_limits<double>::infinity()); area;) {
            double sum = drop - own_drop_;
            bool thicker = false;
            for (const Lost& l : own_) {
                Wire x = s_.resist.wire(l.conductor);
                const bool grows = *area > x.area * (1 + 1e-9);
                thicker = thicker || grows;
                if (grows) x.area = *area;
                sum += l.amps * (grows ? a_.d.conductors[ConductorId(l.conductor)].length * wires.ohm_per_metre(x) : s_.resist.conductor[l.conductor]);
            }
            if (thicker && sum <= limit) return *area;
            w.area = *area;
            const double less = wires.ohm_per_metre(w) * (1 - 1e-9);
            area = wires.least_area(w, less);
            if (!area && w.strands == Wire::Strands::solid) {  // above the sizes that are listed as solid, those that are stranded
                w.strands = Wire::Strands::stranded;
                area = wires.least_area(w, less);
            }
        }
        return graph::unknown;
    }
    // "ARCH.+ -> Q1.1 and ARCH.- -> Q1.3 of 16 mm2 would keep within 3 %; KQ-S takes only up to 10 mm2 and has to change as well".
    [[nodiscard]] std::string advice(const Takes& takes, double size, const std::string& text, double drop, double share, std::string_view all) const {
        const std::string most = units::show_number(100 * share) + " %";
        if (std::isnan(size)) {
            const double elsewhere = drop - own_drop_;
            if (!(elsewhere > 1e-6)) return fmt::format("no listed size keeps within {}", most);
            return fmt::format("no listed size keeps within {}: {} of it is lost elsewhere than in {}", most, a_.show(elsewhere, "V"), all);
        }
        std::vector<std::uint32_t> thin;
        double least = std::numeric_limits<double>::infinity();
        std::string limit;
        for (const Lost& l : own_) {
            const graph::Conductor& c = a_.d.conductors[ConductorId(l.conductor)];
            if (!(size > c.area * (1 + 1e-9))) continue;
            thin.push_back(l.conductor);
            for (const bool b : {false, true}) {
                const graph::TerminalId t = b ? c.b : c.a;
                const graph::PartId plug = b ? c.end_part_b : c.end_part_a;
                if (!plug && a_.d.things[a_.d.terminals[t]].cls != graph::ThingClass::device) continue;
                const Takes::Range range = takes.range(plug ? takes.of(plug) : takes.at(t), 1);
                if (range.high == 0 || range.high >= least) continue;
                least = range.high;
                limit = fmt::format("{}{}", plug ? std::string(a_.d.word(a_.d.parts[plug].name)) : a_.d.name(a_.d.terminals[t]),
                                    least < size * (1 - 1e-6) ? fmt::format(" takes only up to {} and has to change as well", a_.d.units->show(range.high, range.high_unit))
                                                              : fmt::format(", which takes up to {}, is the next limit", a_.d.units->show(range.high, range.high_unit)));
            }
        }
        std::string names = fmt::format("all {}", all);
        if (thin.size() < own_.size()) {
            names.clear();
            constexpr std::size_t most_named = 4;
            for (std::size_t i = 0; i < thin.size() && i < most_named; ++i) {
                if (i != 0) names += i + 1 == thin.size() ? " and " : ", ";
                names += a_.d.name(ConductorId(thin[i]));
            }
            if (thin.size() > most_named) names += fmt::format(" and {} more", thin.size() - most_named);
        }
        std::string said = fmt::format("{} of {}{} would keep within {}", names, text, thin.size() < own_.size() ? " as well" : "", most);
        if (!limit.empty()) said += (least < size * (1 - 1e-6) ? "; " : "; then ") + limit;
        return said;
    }

private:
    struct Lost {
        std::uint32_t conductor;
        double amps;
    };
    const Analysis& a_;
    const Solved& s_;
    std::vector<Lost> own_;
    double own_drop_ = 0, most_ = -1;
    std::uint32_t worst_ = none;
};

// "ARCH.+ -> Q1.1, 60 m: 8.93 A x 252.5 mohm = 2.255 V; 3.3 ohm/km at 20 degC …".
std::string lost_text(const Analysis& a, const Solved& s, std::uint32_t conductor, double amps) {
    const ConductorId id(conductor);
    std::string text = fmt::format("{}, {}: {} x {} = {}", a.d.name(id), a.show(a.d.conductors[id].length, "m"), a.show(amps, "A"),
                                   a.show(s.resist.conductor[conductor], "mohm"), a.show(amps * s.resist.conductor[conductor], "V"));
    const std::vector<std::string> how = s.resist.working(conductor);
    if (!how.empty()) text += fmt::format("; {}", how.front());
    return text;
}

units::UnitId size_unit(const Analysis& a, const Solved& s, std::uint32_t conductor) {
    const graph::Conductor& c = a.d.conductors[ConductorId(conductor)];
    return c.area_unit ? c.area_unit : a.d.units->find(s.resist.wires.gauge(c.area) ? "AWG" : "mm2");
}

void put_strings(Facts& facts, const Analysis& a, const Solved& s, std::span<const std::uint32_t> rows) {
    Filler fill(facts, "string");
    auto& drop = fill.numbers("drop");
    auto& share = fill.numbers("drop-share");
    auto& path = fill.numbers("path-resistance");
    auto& size = fill.numbers("drop-size");
    auto& worst = fill.subjects("drop-conductor");
    auto& units = fill.column("drop-size").row_units;
    auto& advice = fill.column("drop-advice").words;
    const units::UnitId usual = a.d.units->find("mm2");
    const Takes takes(a.d);
    const double limit = a.standard.number("array-drop-note");
    units.resize(a.net.strings);
    for (const std::uint32_t i : rows) {
        const Operating& o = s.strings[i];
        drop[i] = s.string_drop[i];
        share[i] = drop[i] / o.vmp;
        size[i] = graph::unknown;
        worst[i] = no_row;
        units[i] = usual;
        advice[i] = {};
        const PowerSource& p = a.net.sources[i];
        if (p.plus == none || p.minus == none) continue;
        if (o.input != none && s.ways.meshed[a.net.on[p.plus]] + s.ways.meshed[a.net.on[p.minus]] == 0) path[i] = s.way_of(a, i);
        if (!(share[i] > limit)) continue;
        DropWay way(a, s);
        for (const std::uint32_t end : {p.plus, p.minus}) {
            along(a, s, end, [&](std::uint32_t c, std::uint32_t e) {
                way.add(c, s.sun[e], std::fabs(s.sun[e]) <= o.ampere * (1 + 1e-9));
            });
        }
        if (way.worst() == none) continue;
        worst[i] = way.worst();
        size[i] = way.size(drop[i], limit * o.vmp);
        units[i] = size_unit(a, s, way.worst());
        advice[i] = facts.words.intern(way.advice(takes, size[i], a.d.units->show(size[i], units[i]), drop[i], limit, "its own conductors"));
    }
}

void fill_string(Facts& facts, const Shared& a, const SharedSolved& s) {
    Filler fill(facts, "string");
    const double limit = a->standard.number("array-drop-note");
    const auto missing = [a, s](std::uint32_t i) {
        const PowerSource& p = a->net.sources[i];
        const graph::Thing& t = a->d.things[p.thing];
        for (const std::uint32_t end : {p.plus, p.minus}) {
            const std::uint32_t c = end == none ? none : s->lacking(*a, end);
            if (c == none) continue;
            const Lack l = s->resist.lack(c);
            return Missing{l.what, l.where};
        }
        if (std::isnan(s->strings[i].vmp)) {
            const graph::Part& part = a->d.parts[a->d.groups[t.first_group].part];
            return Missing{fmt::format("`vmp` and `imp` of {}", a->d.word(part.name)), part.span};
        }
        return Missing{"an input that it and the strings in parallel with it feed the right way round", t.span};
    };
    for (const char* c : {"drop", "drop-share", "path-resistance"}) {
        fill.column(c).missing = missing;
        fill.column(c).assumed = [s](std::uint32_t) { return silent(s); };
    }
    fill.column("drop-size").missing = [a, s, limit](std::uint32_t i) {
        if (s->string_drop[i] <= limit * s->strings[i].vmp) return Missing{"a drop above the limit: the sizes it has will do", a->d.things[a->net.sources[i].thing].span};
        return Missing{"a listed size that is large enough, with the conductors it shares as they are", a->d.things[a->net.sources[i].thing].span};
    };
    const auto working = [a, s](std::uint32_t i) {
        std::vector<std::string> lines;
        const Operating& o = s->strings[i];
        if (std::isnan(s->string_drop[i])) return lines;
        lines.push_back(fmt::format("in full sun it gives {} at {}", a->show(o.ampere, "A"), a->show(o.volt, "V")));
        const PowerSource& p = a->net.sources[i];
        for (const std::uint32_t end : {p.plus, p.minus}) {
            along(*a, *s, end, [&](std::uint32_t c, std::uint32_t e) {
                lines.push_back(lost_text(*a, *s, c, std::fabs(s->sun[e])));
            });
        }
        lines.push_back(fmt::format("{} of {} = {} %", a->show(s->string_drop[i], "V"), a->show(o.vmp, "V"), units::show_number(100 * s->string_drop[i] / o.vmp)));
        return lines;
    };
    fill.column("drop").working = working;
    fill.column("drop-share").working = working;
}

void put_inputs(Facts& facts, const Analysis& a, const Solved& s, std::span<const std::uint32_t> rows) {
    Filler fill(facts, "input");
    auto& volt = fill.numbers("operating-voltage");
    auto& power = fill.numbers("power");
    for (const std::uint32_t r : rows) {
        volt[r] = s.input_volt[a.inputs[r]];
        power[r] = s.input_power[a.inputs[r]];
    }
}

void fill_input(Facts& facts, const Shared& a, const SharedSolved& s) {
    Filler fill(facts, "input");
    const auto missing = [a](std::uint32_t row) {
        return Missing{"`vmp`, `imp` and the length of every conductor of its strings", a->d.things[a->net.ports[a->inputs[row]].device].span};
    };
    fill.column("operating-voltage").missing = fill.column("power").missing = missing;
    fill.column("operating-voltage").assumed = fill.column("power").assumed = [s](std::uint32_t) { return silent(s); };
}

// The conductors between a port and the first bank on its +, with the current in each while most is lost to that port.
std::vector<std::pair<std::uint32_t, double>> battery_way(const Analysis& a, const Solved& s, std::uint32_t port) {
    const Port& p = a.net.ports[port];
    const std::vector<double>& flow = s.drops_charging[port] != 0 ? s.given : s.taken;
    std::vector<std::pair<std::uint32_t, double>> way;
    auto add = [&](std::uint32_t end) {
        along(a, s, end, [&](std::uint32_t c, std::uint32_t e) {
            const auto at = std::find_if(way.begin(), way.end(), [c](const auto& x) { return x.first == c; });
            if (at != way.end()) way.erase(at);  // both go on from here: it lies beside the way
            else way.emplace_back(c, std::fabs(flow[e]));
        });
    };
    add(p.plus);
    add(p.minus);
    for (const std::uint32_t i : a.battery_sources) {
        const PowerSource& b = a.net.sources[i];
        if (b.plus == none || b.minus == none || a.net.on[b.plus] != a.net.on[p.plus]) continue;
        add(b.plus);
        add(b.minus);
        break;
    }
    return way;
}

void fill_battery_port(Facts& facts, const Shared& a, const SharedSolved& s) {
    Filler fill(facts, "battery-port");
    std::vector<std::uint32_t> ports;
    for (std::uint32_t k = 0; k < a->net.ports.size(); ++k) {
        if (a->net.ports[k].role == Port::Role::battery) ports.push_back(k);
    }
    auto& drop = fill.numbers("drop");
    auto& share = fill.numbers("drop-share");
    auto& size = fill.numbers("drop-size");
    auto& worst = fill.subjects("drop-conductor");
    auto& units = fill.column("drop-size").row_units;
    units.assign(ports.size(), a->d.units->find("mm2"));
    auto& advice = fill.column("drop-advice").words;
    const Takes takes(a->d);
    const double limit = a->standard.number("battery-drop-note");
    for (std::uint32_t r = 0; r < ports.size(); ++r) {
        const Port& p = a->net.ports[ports[r]];
        drop[r] = s->port_drop[ports[r]];
        if (p.plus == none || p.minus == none || std::isnan(drop[r])) continue;
        const double nominal = s->nominal_between(*a, p.plus, p.minus);
        share[r] = drop[r] / nominal;
        if (!(share[r] > limit)) continue;
        DropWay way(*a, *s);
        for (const auto& [c, amps] : battery_way(*a, *s, ports[r])) way.add(c, amps, true);
        if (way.worst() == none) continue;
        worst[r] = way.worst();
        size[r] = way.size(drop[r], limit * nominal);
        units[r] = size_unit(*a, *s, way.worst());
        advice[r] = facts.words.intern(way.advice(takes, size[r], a->d.units->show(size[r], units[r]), drop[r], limit, "cables on its way"));
    }
    const auto missing = [a, ports, s](std::uint32_t row) {
        const Port& p = a->net.ports[ports[row]];
        for (const std::uint32_t end : {p.plus, p.minus}) {
            const std::uint32_t c = end == none ? none : s->lacking(*a, end);
            if (c == none) continue;
            const Lack l = s->resist.lack(c);
            return Missing{l.what, l.where};
        }
        const PortDemand& need = a->demand.ports[ports[row]];
        if (std::isnan(need.takes)) {
            const Lack l = takes_lack(a->d, p, need);
            return Missing{l.what, l.where};
        }
        return Missing{"what every port and load of its circuit takes, and the length of every cable between them and the batteries", a->d.things[p.device].span};
    };
    fill.column("drop").missing = fill.column("drop-share").missing = missing;
    fill.column("drop-size").missing = [a, ports, s, limit](std::uint32_t row) {
        const Port& p = a->net.ports[ports[row]];
        if (p.plus != none && p.minus != none && s->port_drop[ports[row]] <= limit * s->nominal_between(*a, p.plus, p.minus)) {
            return Missing{"a drop above the limit: the sizes it has will do", a->d.things[p.device].span};
        }
        return Missing{"a listed size that is large enough", a->d.things[a->net.ports[ports[row]].device].span};
    };
    fill.column("drop").assumed = fill.column("drop-share").assumed = [s](std::uint32_t) { return silent(s); };
    const auto working = [a, ports, s](std::uint32_t row) {
        const std::uint32_t k = ports[row];
        std::vector<std::string> lines;
        if (std::isnan(s->port_drop[k])) return lines;
        const Port& p = a->net.ports[k];
        const PortDemand& need = a->demand.ports[k];
        if (need.takes > 0) lines.push_back(takes_text(a->d, need));
        if (need.gives > 0) lines.push_back(fmt::format("it gives {}", a->show(need.gives, "A")));
        double cables = 0;
        for (const auto& [c, amps] : battery_way(*a, *s, k)) {
            lines.push_back(lost_text(*a, *s, c, amps));
            cables += amps * s->resist.conductor[c];
        }
        if (s->port_drop[k] - cables > 1e-6) lines.push_back(fmt::format("in contacts, fuses and plugs: {}", a->show(s->port_drop[k] - cables, "V")));
        const double nominal = s->nominal_between(*a, p.plus, p.minus);
        lines.push_back(fmt::format("lost in cables, contacts and fuses, {}: {} of {} = {} %", s->drops_charging[k] != 0 ? "with all that charges at work" : "with all that takes at work", a->show(s->port_drop[k], "V"), a->show(nominal, "V"),
                                    units::show_number(100 * s->port_drop[k] / nominal)));
        return lines;
    };
    fill.column("drop").working = fill.column("drop-share").working = working;

    Filler battery(facts, "battery");
    auto& gives = battery.numbers("shares-current");
    for (std::uint32_t r = 0; r < a->battery_sources.size(); ++r) gives[r] = s->battery_gives[a->battery_sources[r]];
    battery.column("shares-current").missing = [a](std::uint32_t row) {
        return Missing{"what every port of its circuit takes", a->d.things[a->net.sources[a->battery_sources[row]].thing].span};
    };
}

void put_site(Facts& facts, const Analysis& a, const Solved& s) {
    if (a.net.strings == 0) return;
    Filler fill(facts, "site");
    fill.numbers("array-power")[0] = s.array_power;
    fill.numbers("loss")[0] = s.array_loss;
    fill.numbers("loss-share")[0] = s.array_loss / (s.array_power + s.array_loss);
    fill.numbers("loss-year")[0] = s.array_loss * a.standard.number("full-sun-hours") * a.standard.number("loss-factor");
}

void fill_site(Facts& facts, const Shared& a, const SharedSolved& s) {
    if (a->net.strings == 0) return;
    Filler fill(facts, "site");
    const double hours = a->standard.number("full-sun-hours"), factor = a->standard.number("loss-factor");
    const auto missing = [a](std::uint32_t) { return Missing{"the drop of every string", a->d.site_span}; };
    for (const char* c : {"array-power", "loss", "loss-share", "loss-year"}) {
        fill.column(c).missing = missing;
        fill.column(c).assumed = [s](std::uint32_t) { return silent(s); };
    }
    fill.column("loss-year").assumed = [a, s, hours, factor](std::uint32_t) {
        std::vector<std::string> lines = silent(s);
        lines.push_back(fmt::format("a year's light as {} of full sun, and {} % of the loss of so many: an order of magnitude", a->show(hours, "h"), units::show_number(factor * 100)));
        return lines;
    };
    fill.column("loss-year").working = [a, s, hours, factor](std::uint32_t) {
        return std::vector{fmt::format("{} x {} x {} % = {}", a->show(s->array_loss, "W"), a->show(hours, "h"), units::show_number(factor * 100),
                                       a->show(s->array_loss * hours * factor, "kWh"))};
    };
}

}  // namespace

std::vector<std::uint32_t> all_of(std::size_t rows) {
    std::vector<std::uint32_t> all(rows);
    std::iota(all.begin(), all.end(), 0U);
    return all;
}

void put_piece(Facts& facts, const Analysis& a, const Solved& s, const PieceRows& rows) {
    put_conductors(facts, a, s, rows.conductors);
    put_strings(facts, a, s, rows.strings);
    put_inputs(facts, a, s, rows.inputs);
    put_site(facts, a, s);
    put_points(facts, a, s, rows.points);
}

void fill_network(Facts& facts, const Shared& a, Solution solution) {
    const SharedSolved s = solution.solved;
    put_piece(facts, *a, *s, {all_of(a->d.conductors.size()), all_of(a->net.strings), all_of(a->inputs.size()), {}});
    fill_conductor(facts, a, s);
    fill_string(facts, a, s);
    fill_input(facts, a, s);
    fill_battery_port(facts, a, s);
    fill_site(facts, a, s);
    fill_faults(facts, a, std::move(solution));
}

}  // namespace ferrule::facts
