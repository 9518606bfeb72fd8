// How a judgement of a conductor came about, in words; made only when somebody looks.
#include <fmt/core.h>

#include <cmath>

#include "facts/carrying.hpp"

namespace ferrule::facts {

namespace {

using graph::Conductor;
using graph::ConductorId;
using graph::ThingClass;
using graph::ThingId;

std::string factor_text(const Bounds& b) {
    return b.exact() ? units::show_number(b.low) : fmt::format("{} to {}", units::show_number(b.low), units::show_number(b.high));
}

}  // namespace

std::string Carrying::size_text(double area, const Conductor& c) const {
    const units::Units& u = *a_.d.units;
    if (&sizes(c) == &metric_) return u.show(area, mm2_);
    const units::UnitId awg = u.find("AWG"), kcmil = u.find("kcmil");
    return u.show(area, area > gauge_limit_ ? kcmil : awg);
}

std::string Carrying::ambient_text(const Passage& p) const {
    const std::string air = a_.show(p.kelvin - (p.roof ? roof_adder_ : 0), "degC");
    const std::string where = !p.ambient.known()    ? "assumed"
                              : p.ambient.of_site   ? "the site's hottest air, at " + a_.d.name(ThingId(p.ambient.thing))
                                                    : "at " + a_.d.name(ThingId(p.ambient.thing));
    if (!p.roof) return fmt::format("air {} ({})", air, where);
    return fmt::format("air {} ({}) + {} close above a roof in the sun = {}", air, where, a_.show(roof_adder_, "K"), a_.show(p.kelvin, "degC"));
}

std::vector<std::string> Carrying::working(ConductorId id, double continuous, bool with_factors) const {
    std::vector<std::string> lines;
    const Conductor& c = a_.d.conductors[id];
    const Judgement j = judge(id, c.area, continuous);
    const Passage& p = j.worst;
    const CableData& own = cable(c);
    if (std::isnan(c.area) || p.method == Method::unlisted) return lines;
    const bool al = aluminium(c), known = own.cls != AmpacityTables::no_class;
    auto amps = [this](const Bounds& b) {
        if (b.exact()) return a_.show(b.low, "A");
        if (b.high == no_limit) return fmt::format("at least {}", a_.show(b.low, "A"));
        return fmt::format("{} to {}", a_.show(b.low, "A"), a_.show(b.high, "A"));
    };
    const AmpacityTables::Row* row = tables_.listed(p.method, known ? own.cls : std::uint8_t{0}, al, c.area);
    if (row != nullptr) {
        const bool same = std::fabs(row->area - c.area) <= 1e-6 * c.area;
        const units::UnitId awg = a_.d.units->find(row->area > gauge_limit_ ? "kcmil" : "AWG");
        const std::string listed = tables_.by_raceway() ? a_.d.units->show(row->area, awg) : a_.d.units->show(row->area, mm2_);
        lines.push_back(fmt::format("{}{} {}, {}, {}: {} ({})", listed, same ? "" : fmt::format(", the largest listed size not above {},", size_text(c.area, c)),
                                    al ? "aluminium" : "copper",
                                    known ? a_.show(own.temperature, "degC") + " insulation" : std::string("insulation not stated"), in_words(p.method),
                                    amps(p.table), tables_.clause(p.method, *row)));
    }
    if (!with_factors) return lines;
    lines.push_back(fmt::format("{}: factor {} ({})", ambient_text(p), factor_text(p.ambient_factor), tables_.ambient_clause(p.method)));
    if (p.grouping.low != 1) {
        const std::uint32_t count = tables_.by_raceway() ? p.loaded : p.circuits;
        lines.push_back(fmt::format("{} {} in {}: factor {} ({})", count, tables_.by_raceway() ? "loaded conductors" : "circuits",
                                    p.run ? a_.d.name(p.run) : std::string("its cable"), factor_text(p.grouping), tables_.grouping_clause()));
    } else if (p.apart && p.loaded > 1) {
        lines.push_back(fmt::format("{} is short or keeps its cables apart: no factor for the {} loaded conductors in it", a_.d.name(p.run), p.loaded));
    }
    if (p.grouping.low == 1) {
        lines.push_back(fmt::format("{} x {} = {}", amps(p.table), factor_text(p.ambient_factor), amps(p.ampacity)));
    } else {
        lines.push_back(fmt::format("{} x {} x {} = {}", amps(p.table), factor_text(p.ambient_factor), factor_text(p.grouping), amps(p.ampacity)));
    }
    return lines;
}

std::vector<std::string> Carrying::terminal_working(ConductorId id, double continuous) const {
    const Conductor& c = a_.d.conductors[id];
    const Judgement j = judge(id, c.area, continuous);
    if (!j.at || std::isnan(c.area)) return {};
    const std::string value = j.terminal.exact() ? a_.show(j.terminal.low, "A") : fmt::format("{} to {}", a_.show(j.terminal.low, "A"), a_.show(j.terminal.high, "A"));
    std::string clause;
    if (const tables::Figure* f = a_.standard.figure("terminal-temperature-small")) clause = fmt::format(" ({})", f->source.clause);
    return {fmt::format("terminal {} {} {}: {} at that temperature{}", a_.d.name(j.at), j.terminal_assumed ? "counts for" : "is listed for",
                        a_.show(j.terminal_temperature, "degC"), value, clause)};
}

std::vector<std::string> Carrying::assumed(ConductorId id, double continuous, double need) const {
    std::vector<std::string> lines;
    const Conductor& c = a_.d.conductors[id];
    if (std::isnan(c.area)) return lines;
    const Judgement j = judge(id, c.area, continuous);
    const Passage& p = j.worst;
    if (!p.ambient.known()) {
        lines.push_back(fmt::format("air of {} round {}, as no run, place or box on its way states an ambient", a_.show(default_ambient_, "degC"), a_.d.name(id)));
    }
    if (p.open && !tables_.by_raceway() && !pv_cable_method(p.method)) {
        lines.push_back(fmt::format("{} lies clipped to a surface, as no run of it states conduit, tray or spacing", a_.d.name(id)));
    }
    if (roof_adder_ > 0 && p.run && layings_.sunlit(p.ambient) && a_.d.text(a_.d.site_rows, "array", "where") == "roof") {
        const Laying& l = layings_[p.run];
        if (l.kind == Laying::Kind::conduit && std::isnan(l.above_roof) && !l.sun_no) {
            lines.push_back(fmt::format("conduit of {} at least {} above the roof, as it states no `above-roof`: closer to it {} would be added", a_.d.name(p.run), a_.show(roof_distance_, "mm"),
                                        a_.show(roof_adder_, "K")));
        }
    }
    for (std::string& line : assumed_insulation(id, continuous, need)) lines.push_back(std::move(line));
    return lines;
}

std::vector<std::string> Carrying::assumed_insulation(ConductorId id, double continuous, double need) const {
    std::vector<std::string> lines;
    const Conductor& c = a_.d.conductors[id];
    if (std::isnan(c.area)) return lines;
    const Judgement j = judge(id, c.area, continuous);
    if (j.ampacity.exact()) return lines;
    if (j.without == Without::insulation && tables_.classes() != 0) {
        const std::string name = c.cable ? std::string(a_.d.word(a_.d.parts[c.cable].name)) : a_.d.name(id);
        const auto last = static_cast<std::uint8_t>(tables_.classes() - 1);
        if (j.ampacity.low >= need) {
            lines.push_back(fmt::format("insulation of {} for {}, the lowest there is, as none is stated: even that is enough", name, a_.show(tables_.class_temperature(0), "degC")));
        } else if (j.ampacity.high < need) {
            lines.push_back(fmt::format("insulation of {} for {}, as none is stated: even that is not enough", name, a_.show(tables_.class_temperature(last), "degC")));
        }
    }
    return lines;
}

Lack Carrying::lack(ConductorId id, double continuous) const {
    const Conductor& c = a_.d.conductors[id];
    const Judgement j = judge(id, c.area, continuous);
    const bool part = static_cast<bool>(c.cable);
    const std::string name = part ? std::string(a_.d.word(a_.d.parts[c.cable].name)) : a_.d.name(id);
    const text::Span at = part ? a_.d.parts[c.cable].span : c.span;
    const text::Span run = j.worst.run ? a_.d.things[j.worst.run].span : c.span;
    switch (j.without) {
        case Without::section: return {fmt::format("the section of {}", a_.d.name(id)), c.span};
        case Without::insulation:
            return part ? Lack{fmt::format("`insulation` of {}", name), at} : Lack{fmt::format("the insulation of {} (a cable part that states it)", name), at};
        case Without::cool_insulation:
            return {fmt::format("a table for the insulation of {}, {}", name, a_.show(cable(c).temperature, "degC")), at};
        case Without::metal: return {fmt::format("a table for aluminium under {}", a_.standard.cited), c.span};
        case Without::buried: return {fmt::format("a table for cables in the ground under {}", a_.standard.cited), run};
        case Without::size: return {fmt::format("a size of {} in the tables of {}", size_text(c.area, c), a_.standard.cited), c.span};
        case Without::grouping: return {fmt::format("a factor for {} circuits together", j.worst.circuits), run};
        case Without::nothing: break;
    }
    return {"the current it carries", c.span};
}

}  // namespace ferrule::facts
