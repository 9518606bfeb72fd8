#include "facts/strings.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ferrule::facts {

namespace {

using graph::Design;

constexpr double stc = 298.15;  // K: 25 degC, the cell temperature of standard test conditions (IEC 61215)

double unit_number(const Design& d, std::string_view name) {
    const graph::Kinds::Default* def = d.kinds->find_default(name);
    return def != nullptr ? def->value : graph::unknown;
}

double relative_vmp(const ModuleData& m) {
    return std::isnan(m.vmp_relative) && std::isnan(m.vmp_absolute) ? m.pmax_relative : m.vmp_relative;
}

std::string show(const Design& d, double si, std::string_view unit) { return d.units->show(si, d.units->find(unit)); }

std::string plain(double v, int digits = 4) { return units::show_number(v, digits); }

}  // namespace

Climate read_climate(const Design& d, const tables::Standard& standard) {
    Climate c;
    c.coldest = d.number(d.site_rows, "coldest", "temperature");
    c.hottest = d.number(d.site_rows, "hottest", "temperature");
    c.hottest_cell = d.number(d.site_rows, "hottest-cell", "temperature");
    if (std::isnan(c.hottest_cell) && !std::isnan(c.hottest)) {
        c.hottest_cell = c.hottest + unit_number(d, "hottest-cell");
        c.hottest_cell_assumed = true;
    }
    c.irradiance = d.number(d.site_rows, "irradiance-factor", "factor");
    c.irradiance_stated = !std::isnan(c.irradiance);
    if (!c.irradiance_stated) c.irradiance = standard.number("pv-current-factor");
    if (std::isnan(c.irradiance)) c.irradiance = unit_number(d, "irradiance-factor");
    const double continuous = standard.number("continuous-factor");
    if (!std::isnan(continuous)) c.continuous = continuous;
    const double reverse = standard.number("reverse-current-factor");
    if (!std::isnan(reverse)) c.reverse = reverse;
    // Where the site's sun is brighter than the standard takes it to be, what drives back is too.
    if (c.irradiance_stated && !(c.irradiance <= standard.number("pv-current-factor"))) c.reverse = std::max(c.reverse, c.irradiance);
    return c;
}

double module_voc(const ModuleData& m, double t, const tables::Standard* table) {
    if (!std::isnan(m.voc_relative)) return m.voc * (1 + m.voc_relative * (t - stc));
    if (!std::isnan(m.voc_absolute)) return m.voc + m.voc_absolute * (t - stc);
    if (table == nullptr || !m.silicon || m.coefficient_doubtful) return graph::unknown;
    const tables::FigureTable* factors = table->table("voc-temperature-factor");
    if (factors == nullptr) return graph::unknown;
    if (const auto factor = factors->band(t, "factor")) return m.voc * *factor;
    if (t > stc) return m.voc;  // warmer than the table: not above the rated voltage
    return graph::unknown;
}

double module_vmp(const ModuleData& m, double t) {
    if (!std::isnan(m.vmp_absolute)) return m.vmp + m.vmp_absolute * (t - stc);
    return m.vmp * (1 + relative_vmp(m) * (t - stc));
}

std::vector<StringData> string_data(const Design& d, const std::vector<PartData>& parts, const Network& network,
                                    const Climate& climate, const tables::Standard& standard) {
    // Per part, not per string: the five voltages of one module.
    struct PerModule {
        bool done = false;
        double voc_coldest = 0, voc_hottest = 0, vmp_coldest = 0, vmp_hottest = 0;
    };
    std::vector<PerModule> cache(parts.size());
    std::vector<StringData> rows(network.strings);
    for (std::uint32_t i = 0; i < network.strings; ++i) {
        const graph::Thing& thing = d.things[network.sources[i].thing];
        StringData& s = rows[i];
        s.voc_stc = s.voc_coldest = s.voc_hottest = s.vmp_coldest = s.vmp_hottest = 0;
        bool first = true;
        for (std::uint32_t g = thing.first_group; g < thing.first_group + thing.groups; ++g) {
            const graph::Group& group = d.groups[g];
            const ModuleData& m = parts[group.part.value].module;
            PerModule& c = cache[group.part.value];
            if (!c.done) {
                c = {true, module_voc(m, climate.coldest, &standard), module_voc(m, climate.hottest_cell, nullptr),
                     module_vmp(m, climate.coldest), module_vmp(m, climate.hottest_cell)};
            }
            const double n = group.count;
            s.modules += group.count;
            s.voc_stc += n * m.voc;
            s.voc_coldest += n * c.voc_coldest;
            s.voc_hottest += n * c.voc_hottest;
            s.vmp_coldest += n * c.vmp_coldest;
            s.vmp_hottest += n * c.vmp_hottest;
            // A figure that one module lacks is not known of the string: NaN stays once it is there.
            auto least = [&](double& to, double v) {
                if (first || std::isnan(v) || v < to) to = v;
            };
            auto most = [&](double& to, double v) {
                if (first || std::isnan(v) || v > to) to = v;
            };
            most(s.isc, m.isc);
            least(s.imp_least, m.imp);
            most(s.imp_most, m.imp);
            least(s.max_fuse, m.max_fuse);
            least(s.max_system, m.max_system);
            first = false;
        }
        const graph::RowId electronics = d.row(thing.rows, "electronics");
        if (const auto* part = d.field(electronics, "electronics")) {
            s.electronics = graph::PartId(part->target);
            const graph::Part& converter = d.parts[s.electronics];
            const double cap = d.number(converter.rows, "max-string", "voltage");
            const double fixed = d.number(converter.rows, "fixed", "voltage");
            s.voc_coldest = cap;
            s.voc_hottest = s.vmp_coldest = s.vmp_hottest = fixed;
            const double out = d.number(converter.rows, "out", "current");
            if (!std::isnan(out)) s.isc = out / climate.irradiance;  // electronics set the current; no sun factor on it
        }
    }
    return rows;
}

double StringData::* figure(Voltage which) {
    switch (which) {
        case Voltage::voc_stc: return &StringData::voc_stc;
        case Voltage::voc_coldest: return &StringData::voc_coldest;
        case Voltage::voc_hottest: return &StringData::voc_hottest;
        case Voltage::vmp_coldest: return &StringData::vmp_coldest;
        case Voltage::vmp_hottest: break;
    }
    return &StringData::vmp_hottest;
}

std::uint32_t with_most(const std::vector<StringData>& strings, const std::vector<std::uint32_t>& of, double StringData::*figure) {
    std::uint32_t found = of.front();
    for (const std::uint32_t i : of) {
        if (std::isnan(strings[found].*figure)) break;
        if (!(strings[i].*figure <= strings[found].*figure)) found = i;
    }
    return found;
}

std::uint32_t with_least(const std::vector<StringData>& strings, const std::vector<std::uint32_t>& of, double StringData::*figure) {
    std::uint32_t found = of.front();
    for (const std::uint32_t i : of) {
        if (std::isnan(strings[found].*figure)) break;
        if (!(strings[i].*figure >= strings[found].*figure)) found = i;
    }
    return found;
}

std::vector<std::string> voltage_working(const Design& d, const std::vector<PartData>& parts, const PowerSource& source,
                                         const StringData& data, const Climate& climate, const tables::Standard& standard,
                                         Voltage which) {
    const graph::Thing& thing = d.things[source.thing];
    std::vector<std::string> steps;
    if (std::isnan(data.*figure(which))) return steps;
    const std::string name = d.name(source.thing);
    if (data.electronics && which != Voltage::voc_stc) {
        const graph::Part& converter = d.parts[data.electronics];
        steps.push_back(fmt::format("{}: {} on each module holds the string to {}", name, d.word(converter.name),
                                    show(d, which == Voltage::voc_coldest ? data.voc_coldest : data.vmp_hottest, "V")));
        return steps;
    }
    const bool vmp = which == Voltage::vmp_coldest || which == Voltage::vmp_hottest;
    const bool cold = which == Voltage::voc_coldest || which == Voltage::vmp_coldest;
    const double t = which == Voltage::voc_stc ? stc : cold ? climate.coldest : climate.hottest_cell;
    std::string sum;
    double total = 0;
    for (std::uint32_t g = thing.first_group; g < thing.first_group + thing.groups; ++g) {
        const graph::Group& group = d.groups[g];
        const ModuleData& m = parts[group.part.value].module;
        const double rated = vmp ? m.vmp : m.voc;
        const double relative = vmp ? relative_vmp(m) : m.voc_relative;
        const double absolute = vmp ? m.vmp_absolute : m.voc_absolute;
        std::string term = fmt::format("{} x {}", group.count, show(d, rated, "V"));
        double value = rated;
        if (which == Voltage::voc_stc) {
        } else if (!std::isnan(relative) && (std::isnan(absolute) || !vmp)) {
            term += fmt::format(" x (1 {} {} %/K x ({} - 25) K)", relative < 0 ? "-" : "+", plain(std::fabs(relative) * 100),
                                plain(t - 273.15));
            value = rated * (1 + relative * (t - stc));
        } else if (!std::isnan(absolute)) {
            term = fmt::format("{} x ({} {} {} V/K x ({} - 25) K)", group.count, show(d, rated, "V"), absolute < 0 ? "-" : "+",
                               plain(std::fabs(absolute)), plain(t - 273.15));
            value = rated + absolute * (t - stc);
        } else {
            value = module_voc(m, t, &standard);
            term += fmt::format(" x {} (the {} table's factor at {}, as {} states no coefficient)", plain(value / rated),
                                standard.cited, show(d, t, "degC"), d.word(d.parts[group.part].name));
        }
        total += group.count * value;
        if (!sum.empty()) sum += " + ";
        sum += term;
    }
    static constexpr const char* what[] = {"voc at 25 degC", "voc at the coldest", "voc at the hottest cell",
                                           "vmp at the coldest", "vmp at the hottest cell"};
    steps.push_back(fmt::format("{}: {} = {} = {}", name, what[static_cast<int>(which)], sum, show(d, total, "V")));
    return steps;
}

Lack voltage_lack(const Design& d, const std::vector<PartData>& parts, const PowerSource& source, const Climate& climate,
                  Voltage which) {
    const graph::Thing& thing = d.things[source.thing];
    const bool cold = which == Voltage::voc_coldest || which == Voltage::vmp_coldest;
    const bool hot = which == Voltage::voc_hottest || which == Voltage::vmp_hottest;
    if (cold && std::isnan(climate.coldest)) return {"the site's `coldest` temperature", d.site_span};
    if (hot && std::isnan(climate.hottest_cell)) return {"the site's `hottest` temperature", d.site_span};
    const graph::RowId electronics = d.row(thing.rows, "electronics");
    if (const auto* part = d.field(electronics, "electronics")) {
        const graph::Part& converter = d.parts[graph::PartId(part->target)];
        return {fmt::format("`{}` of {}", cold ? "max-string" : "fixed", d.word(converter.name)), converter.span};
    }
    const bool vmp = which == Voltage::vmp_coldest || which == Voltage::vmp_hottest;
    for (std::uint32_t g = thing.first_group; g < thing.first_group + thing.groups; ++g) {
        const graph::Part& part = d.parts[d.groups[g].part];
        const ModuleData& m = parts[d.groups[g].part.value].module;
        if (std::isnan(vmp ? m.vmp : m.voc)) return {fmt::format("`{}` of {}", vmp ? "vmp" : "voc", d.word(part.name)), part.span};
        if (vmp && std::isnan(relative_vmp(m)) && std::isnan(m.vmp_absolute)) {
            return {fmt::format("the temperature coefficient of `vmp` or `pmax` of {}", d.word(part.name)), part.span};
        }
        if (!vmp && std::isnan(m.voc_relative) && std::isnan(m.voc_absolute)) {
            return {fmt::format("{} temperature coefficient of `voc` of {}", m.coefficient_doubtful ? "a credible" : "the", d.word(part.name)), part.span};
        }
    }
    return {"a figure of its modules", thing.span};
}

}  // namespace ferrule::facts
