// site, part, string, group.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/ports.hpp"
#include "facts/shortest_way.hpp"

namespace ferrule::facts {

namespace {

using findings::Related;
using graph::ThingId;

void voltage_column(Filler& fill, const Shared& a, std::string_view name, Voltage which) {
    Column& c = fill.column(name);
    c.working = [a, which](std::uint32_t row) {
        return voltage_working(a->d, a->parts, a->net.sources[row], a->strings[row], a->climate, a->standard, which);
    };
    c.missing = [a, which](std::uint32_t row) {
        const Lack l = voltage_lack(a->d, a->parts, a->net.sources[row], a->climate, which);
        return Missing{l.what, l.where};
    };
    const bool hot = which == Voltage::voc_hottest || which == Voltage::vmp_hottest;
    c.assumed = [a, hot](std::uint32_t) { return hot ? a->assumed_hottest_cell() : std::vector<std::string>{}; };
    c.rests_on = [a](std::uint32_t row) {
        std::vector<Related> out;
        const graph::Thing& t = a->d.things[a->net.sources[row].thing];
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            const graph::Part& part = a->d.parts[a->d.groups[g].part];
            out.push_back({part.span, fmt::format("the data sheet of {}", a->d.word(part.name))});
        }
        return out;
    };
}

void part_figure(Filler& fill, const Shared& a, std::string_view name, const std::string& property) {
    fill.column(name).missing = [a, property](std::uint32_t row) {
        const graph::Thing& t = a->d.things[a->net.sources[row].thing];
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            const graph::Part& part = a->d.parts[a->d.groups[g].part];
            if (property == "isc" && a->parts[a->d.groups[g].part.value].module.isc_doubtful) {
                return Missing{fmt::format("a credible `isc` of {}", a->d.word(part.name)), part.span};
            }
            if (!a->d.states(part.rows, property)) return Missing{fmt::format("`{}` of {}", property, a->d.word(part.name)), part.span};
        }
        return Missing{fmt::format("`{}` of its modules", property), t.span};
    };
}

Missing system_voltage_lack(const Analysis& a, std::uint32_t string) {
    const Chain* chain = a.chains.at(string);
    if (chain != nullptr) {
        for (const std::uint32_t i : chain->strings) {
            if (std::isnan(a.emf[i])) string = i;
        }
    }
    const Lack l = voltage_lack(a.d, a.parts, a.net.sources[string], a.climate, Voltage::voc_coldest);
    return {l.what, l.where};
}

void fill_site(Facts& facts, const Shared& a) {
    Filler fill(facts, "site", 1);
    Table& t = fill.table();
    t.name = [a](std::uint32_t) { return a->d.site_title ? std::string(a->d.word(a->d.site_title)) : std::string("the site"); };
    t.place = [a](std::uint32_t) { return a->d.site_span; };
    t.thing = [](std::uint32_t) { return no_row; };
    t.circuit = [](std::uint32_t) { return no_row; };
    t.properties = [a](std::uint32_t) { return a->d.site_rows; };
    fill.numbers("strings")[0] = a->net.strings;
    std::uint32_t highest = no_row;
    for (std::uint32_t i = 0; i < a->net.strings; ++i) {
        if (highest == no_row || !(a->system_voltage(i) <= a->system_voltage(highest))) highest = i;
        if (std::isnan(a->system_voltage(i))) break;
    }
    if (highest != no_row) {
        fill.numbers("highest-voltage")[0] = a->system_voltage(highest);
        fill.subjects("highest")[0] = highest;
        fill.column("highest-voltage").working = [a, highest](std::uint32_t) { return a->system_voltage_working(highest); };
        fill.column("highest-voltage").missing = [a, highest](std::uint32_t) { return system_voltage_lack(*a, highest); };
    }
    fill.flags("has-battery")[0] = a->battery_sources.empty() ? 0 : 1;
    const std::string_view where = a->d.text(a->d.site_rows, "array", "where");
    bool on_building = where == "roof" || where == "facade" || where == "in-building";
    auto indoors = [&](ThingId thing) {
        const ThingId place = place_of(a->d, thing);
        return place && a->d.states(a->d.things[place].rows, "indoors");
    };
    for (const std::uint32_t k : a->inputs) on_building = on_building || indoors(a->net.ports[k].device);
    fill.flags("on-building")[0] = on_building ? 1 : 0;
    fill.numbers("electrodes")[0] = static_cast<double>(a->earthing.electrodes.size());
    fill.numbers("electrode-groups")[0] = a->earthing.electrode_groups;
}

void fill_parts(Facts& facts, const Shared& a) {
    Filler fill(facts, "part", a->d.parts.size());
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return std::string(a->d.word(a->d.parts[graph::PartId(row)].name)); };
    t.place = [a](std::uint32_t row) { return a->d.parts[graph::PartId(row)].span; };
    t.thing = [](std::uint32_t) { return no_row; };
    t.circuit = [](std::uint32_t) { return no_row; };
    t.properties = [a](std::uint32_t row) { return a->d.parts[graph::PartId(row)].rows; };
    auto& instances = fill.numbers("instances");
    instances.assign(instances.size(), 0);
    for (std::uint32_t p = 0; p < t.rows; ++p) fill.set_word("kind", p, a->parts[p].kind);
    for (const graph::Thing& thing : a->d.things) {
        instances[thing.part.value] += 1;
        for (std::uint32_t g = thing.first_group; g < thing.first_group + thing.groups; ++g) instances[a->d.groups[g].part.value] += a->d.groups[g].count;
        for (std::uint32_t k = thing.first_fitted; k < thing.first_fitted + thing.fitted; ++k) instances[a->d.fitted[k].value] += 1;
    }
}

void name_strings(Table& t, const Shared& a) {
    t.name = [a](std::uint32_t row) { return a->d.name(a->net.sources[row].thing); };
    t.place = [a](std::uint32_t row) { return a->d.things[a->net.sources[row].thing].span; };
    t.thing = [a](std::uint32_t row) { return a->net.sources[row].thing.value; };
    t.circuit = [a](std::uint32_t row) { return a->circuit_of(a->net.sources[row].plus); };
    t.properties = [a](std::uint32_t row) { return a->d.things[a->net.sources[row].thing].rows; };
    t.part_properties = [a](std::uint32_t row) {
        const graph::Thing& thing = a->d.things[a->net.sources[row].thing];
        return a->d.parts[a->d.groups[thing.first_group].part].rows;
    };
}

// What the input of a group feeds back into it, as its maker says; 0 if nobody says, or there is none.
double fed_back(const Analysis& a, std::uint32_t group) {
    const std::uint32_t k = a.group_input[group];
    if (k == none) return 0;
    const Port& p = a.net.ports[k];
    const double back = a.d.number(a.d.part_of(p.device).ports[p.port].rows, "backfeed", "current");
    return std::isnan(back) ? 0 : back;
}

void explain_strings(Filler& fill, const Shared& a) {
    voltage_column(fill, a, "voc-stc", Voltage::voc_stc);
    voltage_column(fill, a, "voc-coldest", Voltage::voc_coldest);
    voltage_column(fill, a, "system-voltage", Voltage::voc_coldest);
    fill.column("system-voltage").working = [a](std::uint32_t row) { return a->system_voltage_working(row); };
    fill.column("system-voltage").missing = [a](std::uint32_t row) { return system_voltage_lack(*a, row); };
    voltage_column(fill, a, "voc-hottest", Voltage::voc_hottest);
    voltage_column(fill, a, "vmp-coldest", Voltage::vmp_coldest);
    voltage_column(fill, a, "vmp-hottest", Voltage::vmp_hottest);
    for (const auto& [column, property] : {std::pair{"isc", "isc"}, {"imp-least", "imp"}, {"imp-most", "imp"}, {"max-fuse", "max-fuse"}, {"max-system", "max-system"}}) {
        part_figure(fill, a, column, property);
    }
    fill.column("isc-max").working = [a](std::uint32_t row) {
        const StringData& s = a->strings[row];
        return std::vector{fmt::format("{}: isc {} x {} (irradiance factor{}) = {}", a->d.name(a->net.sources[row].thing), a->show(s.isc, "A"),
                                       units::show_number(a->climate.irradiance), a->climate.irradiance_stated ? " of the site" : "",
                                       a->show(s.isc * a->climate.irradiance, "A"))};
    };
    const double factor = a->climate.reverse;
    const auto reverse_working = [a, factor](std::uint32_t row, bool fault) {
        const std::uint32_t g = a->circuits.group_of[row];
        if (g == none) return std::vector<std::string>{};
        const std::size_t count = a->circuits.groups[g].count();
        const double others = a->group_isc(g) - a->strings[row].isc;
        std::string text = fmt::format("{}: {} other strings in parallel give {}", a->d.name(a->net.sources[row].thing), count - 1, a->show(others, "A"));
        if (fault && factor != 1) text += fmt::format(" x {} = {}", units::show_number(factor), a->show(others * factor, "A"));
        std::vector lines{text};
        const double back = fed_back(*a, g);
        if (back > 0) lines.push_back(fmt::format("{} feeds back {}", a->d.name(a->net.ports[a->group_input[g]].device), a->show(back, "A")));
        return lines;
    };
    fill.column("reverse-current").working = [reverse_working](std::uint32_t row) { return reverse_working(row, false); };
    fill.column("reverse-fault-current").working = [reverse_working](std::uint32_t row) { return reverse_working(row, true); };
    fill.column("fuse-rating").missing = [a](std::uint32_t row) {
        const std::uint32_t f = a->own_fuse[row];
        if (f == no_row) return Missing{"a fuse of its own", a->d.things[a->net.sources[row].thing].span};
        const ThingId device(a->fuses[f].device);
        return Missing{fmt::format("the link in {}", a->d.name(device)), a->d.things[device].span};
    };
}

// What follows from the modules alone.
void fill_string_figures(Filler& fill, const Analysis& a) {
    constexpr std::pair<const char*, double StringData::*> figures[] = {
        {"voc-stc", &StringData::voc_stc},         {"voc-coldest", &StringData::voc_coldest}, {"voc-hottest", &StringData::voc_hottest},
        {"vmp-coldest", &StringData::vmp_coldest}, {"vmp-hottest", &StringData::vmp_hottest}, {"isc", &StringData::isc},
        {"imp-least", &StringData::imp_least},     {"imp-most", &StringData::imp_most},       {"max-fuse", &StringData::max_fuse},
        {"max-system", &StringData::max_system},
    };
    for (const auto& [name, figure] : figures) {
        std::vector<double>& column = fill.numbers(name);
        for (std::uint32_t i = 0; i < a.net.strings; ++i) column[i] = a.strings[i].*figure;
    }
    auto& modules = fill.numbers("modules");
    auto& isc_max = fill.numbers("isc-max");
    auto& system = fill.numbers("system-voltage");
    auto& beside = fill.flags("chain-beside");
    auto& electronics = fill.flags("electronics");
    auto& blocks = fill.flags("blocks-backfeed");
    auto& part = fill.subjects("part");
    std::vector<std::uint32_t> kinds;
    for (std::uint32_t i = 0; i < a.net.strings; ++i) {
        const StringData& s = a.strings[i];
        const graph::Thing& thing = a.d.things[a.net.sources[i].thing];
        modules[i] = s.modules;
        isc_max[i] = s.isc * a.climate.irradiance;
        system[i] = a.system_voltage(i);
        const Chain* chain = a.chains.at(i);
        fill.add_list("chain", i, chain == nullptr ? std::vector<std::uint32_t>{} : chain->strings);
        beside[i] = chain != nullptr && chain->beside && chain->strings.front() == i ? 1 : 0;
        electronics[i] = s.electronics ? 1 : 0;
        blocks[i] = s.electronics && a.d.text(a.d.parts[s.electronics].rows, "blocks-backfeed", "answer") == "yes" ? 1 : 0;
        part[i] = a.d.groups[thing.first_group].part.value;
        kinds.clear();
        for (std::uint32_t g = thing.first_group; g < thing.first_group + thing.groups; ++g) {
            const std::uint32_t p = a.d.groups[g].part.value;
            if (std::find(kinds.begin(), kinds.end(), p) == kinds.end()) kinds.push_back(p);
        }
        fill.add_list("parts", i, kinds);
    }
}

// Of a string closed on itself: the first link on the way round, or the conductor if there is but one; none if several may be wrong.
std::uint32_t closing(const Analysis& a, const PowerSource& s) {
    std::uint32_t found = no_row, count = 0;
    for (const std::uint32_t e : shortest_way(a.net, s.plus, s.minus, [](const Edge& x) { return x.kind == Edge::Kind::wire; })) {
        const std::uint32_t c = a.net.edges[e].conductor;
        if (c == none) continue;
        if (a.d.conductors[graph::ConductorId(c)].role == graph::ConductorRole::jumper) return c;
        found = c;
        ++count;
    }
    return count == 1 ? found : no_row;
}

// Where it stands and what its two ends reach.
void fill_string_ends(Filler& fill, const Analysis& a, Words& words) {
    auto& on = fill.subjects("on");
    auto& reversal = fill.subjects("reversal");
    auto& landed = fill.numbers("ends-landed");
    auto& spare = fill.flags("spare");
    auto& closed = fill.flags("closed-on-itself");
    auto& closed_by = fill.subjects("closed-by");
    auto& reversed = fill.flags("reversed");
    auto& reaches = fill.flags("reaches");
    auto& astray = fill.flags("astray");
    auto& stray = fill.subjects("stray");
    auto& limit = fill.column("lowest-limit").words;
    const base::Symbol limits[] = {words.intern("none"), words.intern("input"), words.intern("module")};
    for (std::uint32_t i = 0; i < a.net.strings; ++i) {
        const PowerSource& source = a.net.sources[i];
        limit[i] = limits[static_cast<int>(a.lowest_limit[i])];
        spare[i] = a.d.states(a.d.things[source.thing].rows, "spare") ? 1 : 0;
        const ThingId place = place_of(a.d, source.thing);
        if (place) on[i] = a.place_row[place.value];
        landed[i] = (source.plus != none && a.net.landings[source.plus] != 0 ? 1 : 0) + (source.minus != none && a.net.landings[source.minus] != 0 ? 1 : 0);
        astray[i] = a.astray(i) ? 1 : 0;
        if (astray[i] != 0) stray[i] = a.net.landing(source.minus);
        if (a.open_thing[source.thing.value] != 0) landed[i] = 2;  // a line about it could not be read
        reaches[i] = landed[i] < 2 || a.open_circuit[a.circuit_of(source.plus)] != 0 || a.feeding[a.circuit_of(source.plus)] != 0 ? 1 : 0;
        closed[i] = source.plus != none && source.minus != none && a.net.wires[source.plus] == a.net.wires[source.minus] ? 1 : 0;
        if (closed[i] != 0) closed_by[i] = closing(a, source);
        reversed[i] = a.circuits.reversed[i];
        reversal[i] = a.string_reversal[i];
    }
}

// The strings in parallel with it and what they can drive back through it. After the figures: it asks `blocks-backfeed`.
void fill_string_parallels(Filler& fill, const Analysis& a) {
    const Circuits& c = a.circuits;
    auto& input = fill.subjects("input");
    auto& group = fill.subjects("group");
    auto& parallel = fill.numbers("parallel");
    auto& reverse = fill.numbers("reverse-current");
    auto& reverse_fault = fill.numbers("reverse-fault-current");
    const auto& blocks = fill.flags("blocks-backfeed");
    std::vector<double> sums(c.groups.size(), 0);
    for (const std::uint32_t g : a.groups) sums[g] = a.group_isc(g);
    const double factor = a.climate.reverse;
    for (std::uint32_t i = 0; i < a.net.strings; ++i) {
        parallel[i] = 1;
        reverse[i] = reverse_fault[i] = 0;
        const std::uint32_t g = c.group_of[i];
        if (g == none) continue;
        group[i] = a.group_row[g];
        parallel[i] = static_cast<double>(c.groups[g].count());
        double others = parallel[i] > 1 ? sums[g] - a.strings[i].isc : 0;
        double back = fed_back(a, g);
        if (a.group_input[g] != none) input[i] = a.input_row[a.group_input[g]];
        if (blocks[i] != 0) others = back = 0;
        reverse[i] = others + back;
        reverse_fault[i] = others * factor + back;
    }
}

void fill_string_fuses(Filler& fill, const Analysis& a, Words& words) {
    auto& fuse = fill.subjects("fuse");
    auto& fused = fill.flags("fused");
    auto& rating = fill.numbers("fuse-rating");
    auto& side = fill.column("fuse-side").words;
    const base::Symbol of_sides[] = {words.intern("none"), words.intern("plus"), words.intern("minus"), words.intern("both")};
    std::vector<std::uint8_t> sides(a.net.strings, 0);  // bit 1: in +, bit 2: in -
    for (const Analysis::FuseWay& w : a.fuses) {
        if (w.only != none) sides[w.only] |= w.feed.plus ? 1 : 2;
    }
    for (std::uint32_t i = 0; i < a.net.strings; ++i) {
        side[i] = of_sides[sides[i]];
        const std::uint32_t f = a.own_fuse[i];
        if (f == no_row) continue;
        fused[i] = 1;
        fuse[i] = f;
        rating[i] = a.fuse_rating(a.fuses[f]);
    }
}

void fill_table_of_strings(Facts& facts, const Shared& a) {
    Filler fill(facts, "string", a->net.strings);
    name_strings(fill.table(), a);
    fill_string_figures(fill, *a);
    fill_string_ends(fill, *a, facts.words);
    fill_string_parallels(fill, *a);
    fill_string_fuses(fill, *a, facts.words);
    explain_strings(fill, a);
}

// Of parallel strings the one farthest from the voltage that most have; `low` when there is no most.
std::uint32_t odd_one(const Analysis& a, const std::vector<std::uint32_t>& members, std::uint32_t low) {
    if (members.size() < 3) return low;
    std::vector<double> sorted;
    for (const std::uint32_t i : members) sorted.push_back(a.strings[i].voc_coldest);
    if (std::any_of(sorted.begin(), sorted.end(), [](double v) { return std::isnan(v); })) return low;  // NaN has no order
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2), sorted.end());
    const double usual = sorted[sorted.size() / 2];
    std::uint32_t far = low;
    for (const std::uint32_t i : members) {
        if (std::fabs(a.strings[i].voc_coldest - usual) > std::fabs(a.strings[far].voc_coldest - usual)) far = i;
    }
    return far;
}

bool guarded_by_diode(const Analysis& a, std::uint32_t string) {
    for (const std::uint32_t end : {a.net.sources[string].plus, a.net.sources[string].minus}) {
        if (end == none) continue;
        for (std::uint32_t k = a.net.first[end]; k < a.net.first[end + 1]; ++k) {
            if (a.part(a.owner(a.net.other(a.net.at[k], end))).kind == "diode") return true;
        }
    }
    return false;
}

void explain_groups(Filler& fill, const Shared& a) {
    const auto missing = [a](std::uint32_t row) {
        const Parallel& g = a->circuits.groups[a->groups[row]];
        for (const std::uint32_t i : g.members) {
            if (!std::isnan(a->emf[i])) continue;
            const Lack l = a->emf_lack(i);
            return Missing{l.what, l.where};
        }
        return Missing{"the voltage of its strings", a->d.site_span};
    };
    for (const char* column : {"voc-most", "voc-least", "spread"}) fill.column(column).missing = missing;
    fill.column("voc-most").working = [a](std::uint32_t row) {
        const Parallel& g = a->circuits.groups[a->groups[row]];
        std::vector<std::string> out;
        const bool known = std::none_of(g.members.begin(), g.members.end(), [&](std::uint32_t i) { return std::isnan(a->emf[i]); });
        if (g.members.empty() || !known) return out;
        const auto [most_of, least_of] = std::minmax_element(g.members.begin(), g.members.end(),
                                                             [&](std::uint32_t x, std::uint32_t y) { return a->emf[x] > a->emf[y]; });
        for (const std::uint32_t i : {*most_of, *least_of}) {
            for (std::string& line : voltage_working(a->d, a->parts, a->net.sources[i], a->strings[i], a->climate, a->standard, Voltage::voc_coldest)) {
                if (out.empty() || out.back() != line) out.push_back(std::move(line));
            }
        }
        return out;
    };
}

void fill_groups(Facts& facts, const Shared& a) {
    Filler fill(facts, "group", a->groups.size());
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) {
        const Parallel& g = a->circuits.groups[a->groups[row]];
        const std::uint32_t first = g.members.empty() ? g.reversed.front() : g.members.front();
        const std::size_t count = g.count();
        const std::string name = a->d.name(a->net.sources[first].thing);
        return count == 1 ? name : fmt::format("{} and {} in parallel with it", name, count - 1);
    };
    const auto first_of = [a](std::uint32_t row) {
        const Parallel& g = a->circuits.groups[a->groups[row]];
        return g.members.empty() ? g.reversed.front() : g.members.front();
    };
    t.place = [a, first_of](std::uint32_t row) { return a->d.things[a->net.sources[first_of(row)].thing].span; };
    t.thing = [a, first_of](std::uint32_t row) { return a->net.sources[first_of(row)].thing.value; };
    t.circuit = [a, first_of](std::uint32_t row) { return a->circuit_of(a->net.sources[first_of(row)].plus); };
    auto& count = fill.numbers("count");
    auto& most = fill.numbers("voc-most");
    auto& least = fill.numbers("voc-least");
    auto& spread = fill.numbers("spread");
    auto& input = fill.subjects("input");
    auto& weakest = fill.subjects("weakest");
    auto& strongest = fill.subjects("strongest");
    auto& odd = fill.subjects("odd");
    auto& diodes = fill.flags("diodes");
    for (std::uint32_t r = 0; r < a->groups.size(); ++r) {
        const std::vector<std::uint32_t> all = a->circuits.groups[a->groups[r]].all();
        fill.add_list("strings", r, all);
        count[r] = static_cast<double>(all.size());
        bool every = all.size() > 1;
        const std::uint32_t low = with_least(a->strings, all, &StringData::voc_coldest);
        const std::uint32_t high = with_most(a->strings, all, &StringData::voc_coldest);
        for (const std::uint32_t i : all) every = every && guarded_by_diode(*a, i);
        most[r] = a->strings[high].voc_coldest;
        least[r] = a->strings[low].voc_coldest;
        spread[r] = (most[r] - least[r]) / most[r];
        odd[r] = odd_one(*a, all, low);
        weakest[r] = low;
        strongest[r] = high;
        diodes[r] = every ? 1 : 0;
        if (a->group_input[a->groups[r]] != none) input[r] = a->input_row[a->group_input[a->groups[r]]];
    }
    explain_groups(fill, a);
}

}  // namespace

void fill_strings(Facts& facts, const Shared& a) {
    fill_site(facts, a);
    fill_parts(facts, a);
    fill_table_of_strings(facts, a);
    fill_groups(facts, a);
}

}  // namespace ferrule::facts
