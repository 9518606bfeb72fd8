#include "facts/currents.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

// More ports than this on one net are summed up in a word.
constexpr std::size_t sources_named = 8;

bool by_battery(const Analysis& a, const Feed& f) { return std::isnan(f.service) || f.service >= f.isc * a.climate.irradiance; }

// The ports on the edge's net and what each takes or gives.
void name_ports(const Analysis& a, std::uint32_t edge, std::vector<std::string>& steps) {
    const std::uint32_t net = a.net.on[a.net.edges[edge].a];
    std::size_t named = 0;
    for (std::uint32_t k = 0; k < a.net.ports.size(); ++k) {
        const Port& p = a.net.ports[k];
        const PortDemand& x = a.demand.ports[k];
        const bool here = (p.plus != none && a.net.on[p.plus] == net) || (p.minus != none && a.net.on[p.minus] == net);
        if (!here || p.role == Port::Role::array || ++named > sources_named) continue;
        if (x.takes > 0) steps.push_back(fmt::format("{}: {}", port_name(a, k), takes_text(a.d, x)));
        if (x.gives > 0) steps.push_back(fmt::format("{}: gives {}", port_name(a, k), a.show(x.gives, "A")));
    }
    if (named > sources_named) steps.push_back(fmt::format("and {} more", named - sources_named));
}

void battery_steps(const Analysis& a, std::uint32_t edge, const Feed& f, std::vector<std::string>& steps) {
    const Feeds::Terms t = a.feeds.terms(edge);
    name_ports(a, edge, steps);
    if (t.series >= std::max(t.to_far, t.to_near)) {
        if (t.series > 0) steps.push_back(fmt::format("between batteries in series: {}", a.show(t.series, "A")));
        return;
    }
    const bool far = t.to_far >= t.to_near;
    const Flow &from = far ? t.near : t.far, &to = far ? t.far : t.near;
    const double share_from = far ? t.share_near : t.share_far, share_to = far ? t.share_far : t.share_near;
    const char* how = t.near.dark_capacity + t.far.dark_capacity != 0 ? "shared alike, as not every capacity is stated" : "by capacity";
    auto part = [&](const char* what, double amperes, double share) {
        steps.push_back(share == 1 ? fmt::format("{} in all {}", what, a.show(amperes, "A"))
                                   : fmt::format("{} in all {} x {} (the batteries' share on that side, {}) = {}", what, a.show(amperes, "A"),
                                                 units::show_number(share), how, a.show(amperes * share, "A")));
    };
    if (from.batteries() != 0 && f.service <= to.takes * share_from * (1 + 1e-9)) part("taken", to.takes, share_from);
    else if (to.batteries() != 0 && f.service <= from.gives * share_to * (1 + 1e-9)) part("given", from.gives, share_to);
    else steps.push_back(fmt::format("the lesser of what one side gives and the other takes: {}", a.show(f.service, "A")));
}

std::string share_text(const Analysis& a, std::uint32_t edge, double whole) {
    const Pieces::Part& p = a.feeds.pieces().parts[edge];
    return fmt::format("one of {} in parallel: {} x {} = {}", p.ways, a.show(whole, "A"), units::show_number(std::round(p.share * 1e4) / 1e4),
                       a.show(whole * p.share, "A"));
}

}  // namespace

double carried(const Analysis& a, const Feed& f) {
    if (!f.live) return graph::unknown;
    const double array = f.isc * a.climate.irradiance;
    const double whole = std::isnan(array) || array > f.service ? array : f.service;
    return whole * f.share;
}

double continuous_factor(const Analysis& a, const Feed& f) {
    if (!by_battery(a, f) || f.service == 0) return a.climate.continuous;
    const double of_inverters = a.standard.number("inverter-input-factor");
    return std::isnan(of_inverters) ? 1 : of_inverters;
}

std::vector<std::string> carried_text(const Analysis& a, std::uint32_t edge) {
    std::vector<std::string> steps;
    if (edge == none) return steps;
    const Feed& f = a.feeds.of(edge);
    if (by_battery(a, f) && f.service != 0) {
        battery_steps(a, edge, f, steps);
        if (f.share != 1) steps.push_back(share_text(a, edge, f.service));
        return steps;
    }
    if (f.strings == 0) return steps;
    const double whole = f.isc * a.climate.irradiance;
    steps.push_back(fmt::format("isc {} in all x {} (irradiance factor) = {}", a.show(f.isc, "A"), units::show_number(a.climate.irradiance), a.show(whole, "A")));
    if (f.share != 1) steps.push_back(share_text(a, edge, whole));
    return steps;
}

std::vector<std::string> continuous_text(const Analysis& a, std::uint32_t edge) {
    std::vector<std::string> steps = carried_text(a, edge);
    if (edge == none) return steps;
    const Feed& f = a.feeds.of(edge);
    const double factor = continuous_factor(a, f), current = carried(a, f);
    if (factor != 1 && current > 0) {
        steps.push_back(fmt::format("{} x {} (duty without end) = {}", a.show(current, "A"), units::show_number(factor), a.show(current * factor, "A")));
    }
    return steps;
}

Missing carried_missing(const Analysis& a, std::uint32_t edge, text::Span place) {
    if (edge == none) return {"a current in service: it is part of the protective earthing", place};
    const Feed& f = a.feeds.of(edge);
    if (!f.live) return {"what feeds it: neither a source of direct current nor a load is on it", place};
    if (std::isnan(f.service)) {
        const std::uint32_t k = a.feeds.lacking(edge);
        if (k != none) {
            const Lack l = a.demand.ports[k].lacking != nullptr ? takes_lack(a.d, a.net.ports[k], a.demand.ports[k]) : gives_lack(a.d, a.net.ports[k], a.demand.ports[k]);
            return {l.what, l.where};
        }
    }
    for (const std::uint32_t i : a.feeds.strings(edge, sources_named)) {
        if (!std::isnan(a.strings[i].isc)) continue;
        const graph::Thing& t = a.d.things[a.net.sources[i].thing];
        const graph::Part& part = a.d.parts[a.d.groups[t.first_group].part];
        return {fmt::format("`isc` of {}", a.d.word(part.name)), part.span};
    }
    return {"the current of its sources", place};
}

std::vector<std::string> carried_assumed(const Analysis& a, std::uint32_t edge) {
    if (edge == none) return {};
    const Feed& f = a.feeds.of(edge);
    if (f.mesh) return {"its circuit is a mesh: all of the current is taken to go one way round"};
    return {};
}

void explain_current(Filler& fill, const char* current, const std::function<std::uint32_t(std::uint32_t)>& edge,
                     const std::function<text::Span(std::uint32_t)>& place, const Shared& a) {
    fill.column(current).working = [a, edge](std::uint32_t row) { return carried_text(*a, edge(row)); };
    fill.column("continuous-current").working = [a, edge](std::uint32_t row) { return continuous_text(*a, edge(row)); };
    for (const char* column : {current, "continuous-current"}) {
        fill.column(column).missing = [a, edge, place](std::uint32_t row) { return carried_missing(*a, edge(row), place(row)); };
        fill.column(column).assumed = [a, edge](std::uint32_t row) { return carried_assumed(*a, edge(row)); };
    }
}

double driven_back(const Analysis& a, std::uint32_t edge, const Feed& f, const std::vector<double>* groups) {
    if (!(f.back > 0) || f.strings == 0) return f.back;
    constexpr std::size_t most = 64;  // a trunk with more behind it is beyond what one string's fault is about
    const auto of_group = [&](std::uint32_t string) {
        const std::uint32_t g = a.circuits.group_of[string];
        return g == none ? std::numeric_limits<double>::infinity() : groups != nullptr ? (*groups)[g] : a.group_isc(g);
    };
    double together = 0;
    if (f.one != none) {
        together = of_group(f.one);
    } else {
        const std::vector<std::uint32_t> strings = a.feeds.strings(edge, most);
        if (strings.size() == most) return f.back;
        std::vector<std::uint32_t> met;
        for (const std::uint32_t s : strings) {
            const std::uint32_t g = a.circuits.group_of[s];
            if (g == none) return f.back;
            if (std::find(met.begin(), met.end(), g) != met.end()) continue;
            met.push_back(g);
            together += of_group(s);
        }
    }
    return std::isinf(together) ? f.back : std::min(f.back, std::max(0.0, together - f.isc));
}

}  // namespace ferrule::facts
