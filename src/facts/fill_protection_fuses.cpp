// fuse: how small and how large it may be, which standard size that is, what it breaks, what heat leaves of it, its neighbours.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <unordered_map>

#include "facts/carrying.hpp"
#include "facts/currents.hpp"
#include "facts/protection.hpp"
#include "facts/ratings.hpp"
#include "facts/wiring.hpp"

namespace ferrule::facts {

namespace {

using graph::RowId;
using graph::ThingId;

bool says_yes(const Analysis& a, graph::PartId part, std::string_view property) {
    return part && a.d.text(a.d.parts[part].rows, property, "answer") == "yes";
}

// What the least rating follows from.
struct Least {
    double current = graph::unknown;  // A, without factor
    double duty = 1;                  // the factor for duty without end
    double floor_factor = 0;          // the standard's factor on isc
    double isc = 0;
    bool open = false;                // the standard wants more than that factor, not only as much
    [[nodiscard]] double by_duty() const { return current * duty; }
    [[nodiscard]] double by_isc() const { return floor_factor * isc; }
    [[nodiscard]] bool strict() const { return open && floor_factor > 0 && !(by_duty() > by_isc() * (1 + 1e-9)); }
    [[nodiscard]] double value() const { return std::isnan(by_duty()) || std::isnan(by_isc()) ? graph::unknown : std::max(by_duty(), by_isc()); }
};

// More strings than this behind one device are a sub-array.
constexpr std::uint32_t most_grouped = 64;

// The strings that share this device, have none of their own, and are in parallel with others that it keeps off them.
std::vector<std::uint32_t> grouped(const Analysis& a, std::uint32_t row) {
    const Analysis::FuseWay& w = a.fuses[row];
    if (w.only != none || w.feed.strings < 2 || w.feed.strings > most_grouped || a.side_of(w.edge, w.feed) != Analysis::Side::array) return {};
    std::vector<std::uint32_t> strings = a.feeds.strings(w.edge, most_grouped);
    for (const std::uint32_t i : strings) {
        if (a.own_fuse[i] != no_row || a.strings[i].electronics) return {};
        const std::uint32_t g = a.circuits.group_of[i];
        if (g == none || a.circuits.groups[g].count() <= strings.size()) return {};
    }
    return strings;
}

Least least_of(const Analysis& a, std::uint32_t row, bool is_grouped) {
    const Analysis::FuseWay& w = a.fuses[row];
    Least l;
    l.open = !std::isnan(a.standard.number("fuse-window-open"));
    l.current = carried(a, w.feed);
    const bool listed = says_yes(a, a.fuse_link(w.device), "continuous-duty") || says_yes(a, a.d.things[ThingId(w.device)].part, "continuous-duty");
    const double factor = continuous_factor(a, w.feed);
    l.duty = listed ? 1 : factor;
    if (a.side_of(w.edge, w.feed) != Analysis::Side::array || w.feed.strings == 0) return l;
    if (w.only != none && a.strings[w.only].electronics) return l;  // its output is limited: no sun factor on it
    // A standard whose factor is the one for duty without end waives it for what is listed for that duty.
    if (listed && factor != 1) return l;
    l.floor_factor = a.standard.number(w.only != none ? "string-fuse-least-factor" : is_grouped ? "grouped-fuse-least-factor" : "array-fuse-least-factor");
    if (std::isnan(l.floor_factor)) l.floor_factor = 0;
    l.isc = w.feed.isc * w.feed.share;
    return l;
}

// What the modules of one of the strings behind a shared device leave for it: its neighbours' current comes on top.
double room_for(const Analysis& a, const Analysis::FuseWay& w, std::uint32_t string) {
    const StringData& s = a.strings[string];
    return s.max_fuse - (w.feed.isc - s.isc) * a.climate.reverse;
}

std::vector<std::string> least_text(const Analysis& a, std::uint32_t row) {
    const Least l = least_of(a, row, !grouped(a, row).empty());
    if (l.by_isc() > l.by_duty() * (1 + 1e-12)) {
        return {fmt::format("isc {} x {} ({}) = {}", a.show(l.isc, "A"), units::show_number(l.floor_factor), a.standard.cited, a.show(l.by_isc(), "A"))};
    }
    std::vector<std::string> steps = carried_text(a, a.fuses[row].edge);
    if (l.duty != 1) steps.push_back(fmt::format("{} x {} (duty without end) = {}", a.show(l.current, "A"), units::show_number(l.duty), a.show(l.by_duty(), "A")));
    return steps;
}

// The largest current it breaks at this voltage; unknown if no row of its data sheet reaches that voltage.
double breaks(const Analysis& a, graph::PartId part, double voltage) {
    if (!part || std::isnan(voltage)) return graph::unknown;
    const graph::Symbol breaking = a.d.names.find("breaking");
    double most = graph::unknown;
    for (const RowId row : a.d.parts[part].rows) {
        if (!breaking || a.d.rows[row].property != breaking) continue;
        const graph::Field* current = a.d.field(row, "current");
        const graph::Field* at = a.d.field(row, "voltage");
        const double stands = at != nullptr ? at->high : a.parts[part.value].rated_voltage;
        if (current != nullptr && stands >= voltage) most = std::fmax(most, current->high);
    }
    return most;
}

// The row of `side-by-side` or the like that holds: the first that is not below what is asked for.
double share_at(const Analysis& a, graph::PartId part, std::string_view property, std::string_view key, double asked, bool& any) {
    const graph::Symbol word = part ? a.d.names.find(property) : graph::Symbol();
    double nearest = graph::unknown, factor = graph::unknown;
    if (!word) return factor;
    for (const RowId row : a.d.parts[part].rows) {
        if (a.d.rows[row].property != word) continue;
        const graph::Field *k = a.d.field(row, key), *f = a.d.field(row, "factor");
        if (k == nullptr || f == nullptr) continue;
        any = true;
        if (k->high < asked || k->high >= nearest) continue;
        nearest = k->high;
        factor = f->high;
    }
    return factor;
}

// The conductor of each string alone that allows the least device.
std::vector<std::uint32_t> thinnest_conductors(const Table& conductors, const Analysis& a) {
    const std::vector<double>& most = conductors.column("device-most")->numbers;
    std::vector<std::uint32_t> thinnest(a.net.strings, none);
    if (std::find(a.own_fuse.begin(), a.own_fuse.end(), no_row) == a.own_fuse.end()) return thinnest;
    for (std::uint32_t r = 0; r < conductors.rows; ++r) {
        if (a.edge_of[r] == none || std::isnan(most[r])) continue;
        const std::uint32_t i = a.feeds.of(a.edge_of[r]).alone;
        if (i == none || i >= thinnest.size()) continue;
        if (thinnest[i] == none || most[r] < most[thinnest[i]]) thinnest[i] = r;
    }
    return thinnest;
}

// What a rating has to keep to, A; at an open end it may not be equal.
struct Limits {
    double least = graph::unknown, most = graph::unknown;
    bool above = false, below = false;
    bool operator==(const Limits& o) const {
        return least == o.least && above == o.above && below == o.below && (most == o.most || (std::isnan(most) && std::isnan(o.most)));
    }
};

// The fuse that each string would need, whether it has one or not.
template <class Advise>
void fill_string_sizes(Facts& facts, const Shared& shared, Advise advise) {
    const Analysis& a = *shared;
    Filler fill(facts, "string");
    auto& least = fill.numbers("fuse-least");
    auto& size = fill.numbers("fuse-size");
    auto& advice = fill.column("fuse-advice").words;
    const double factor = a.standard.number("string-fuse-least-factor");
    const bool open = !std::isnan(a.standard.number("fuse-window-open"));
    const Table& conductors = *facts.table("conductor");
    const std::vector<double>& device_most = conductors.column("device-most")->numbers;
    const std::vector<double>& current = conductors.column("current")->numbers;
    const std::vector<double>& continuous = conductors.column("continuous-current")->numbers;
    const std::vector<std::uint32_t> thinnest = thinnest_conductors(conductors, a);
    std::shared_ptr<const Carrying> carrying;
    // One text for equal strings of a run.
    std::map<std::array<double, 5>, base::Symbol> with_conductor;
    for (std::uint32_t i = 0; i < a.net.strings; ++i) {
        const StringData& s = a.strings[i];
        const double duty = s.isc * a.climate.irradiance * a.climate.continuous;
        least[i] = s.electronics || std::isnan(factor) ? duty : std::max(duty, s.isc * factor);
        if (std::isnan(least[i])) continue;
        const bool strict = open && !s.electronics && !(duty > s.isc * factor * (1 + 1e-9));
        double smallest = graph::unknown;
        advice[i] = advise(Limits{least[i], s.max_fuse, strict, false}, smallest, size[i]);
        const std::uint32_t r = thinnest[i];
        if (std::isnan(size[i]) || r == none || a.own_fuse[i] != no_row || !(device_most[r] < size[i] * (1 - 1e-9))) continue;
        const graph::ConductorId id(r);
        const graph::Conductor& c = a.d.conductors[id];
        base::Symbol& text = with_conductor[{size[i], c.area, device_most[r], current[r], static_cast<double>(c.run ? c.run.value : none)}];
        if (!text) {
            if (!carrying) carrying = make_carrying(facts, shared);
            const double area = smallest_size(*carrying, id, c, {current[r], continuous[r], graph::unknown, size[i]});
            text = facts.words.intern(fmt::format("fit {}, with {}: {} may be protected by {} at most", a.show(size[i], "A"),
                                                  std::isnan(area) ? "larger conductors" : fmt::format("conductors of {} at least", carrying->size_text(area, c)),
                                                  carrying->size_text(c.area, c), a.show(device_most[r], "A")));
        }
        advice[i] = text;
    }
}

}  // namespace

void fill_fuse_sizes(Facts& facts, const Shared& a) {
    Filler fill(facts, "fuse");
    const Table& conductors = *facts.table("conductor");
    const std::vector<double>& device_most = conductors.column("device-most")->numbers;
    const std::vector<double>& parallel = conductors.column("parallel")->numbers;
    const std::vector<std::uint32_t>& by = conductors.column("protected-by")->subjects;
    const std::vector<std::uint8_t>& own = conductors.column("own-device")->flags;
    const std::uint32_t n = fill.table().rows;
    auto& least = fill.numbers("least");
    auto& most = fill.numbers("most");
    auto& window = fill.numbers("window-most");
    auto& least_size = fill.numbers("least-size");
    auto& size = fill.numbers("size-that-passes");
    auto& advice = fill.column("advice").words;
    auto& weakest = fill.subjects("weakest");
    auto& string_fuse = fill.flags("string-fuse");
    auto& shared = fill.flags("shared-by-strings");
    auto& above = fill.flags("above-least");
    auto& modules = fill.numbers("modules-most");
    const bool open = !std::isnan(a->standard.number("fuse-window-open"));
    std::vector<double> wire(n, graph::unknown);
    for (std::uint32_t r = 0; r < conductors.rows; ++r) {
        // Of conductors in parallel the device protects the set.
        const double set = device_most[r] * parallel[r];
        if (by[r] == no_row || own[r] == 0 || std::isnan(set) || set >= wire[by[r]]) continue;
        wire[by[r]] = set;
        weakest[by[r]] = r;
    }
    const tables::FigureTable* fuse_sizes = a->standard.table("fuse-sizes");
    const tables::FigureTable* breaker_sizes = a->standard.table("breaker-sizes");
    // One text for equal limits: a plant has thousands of equal fuses.
    std::map<std::pair<double, double>, base::Symbol> said;
    struct Last {
        const tables::FigureTable* sizes = nullptr;
        Limits limits;
        double smallest = graph::unknown, passes = graph::unknown;
        base::Symbol text;
    } last;
    auto advise = [&](const tables::FigureTable& sizes, const Limits& l, double& smallest, double& passes) {
        if (last.sizes == &sizes && last.limits == l) {
            smallest = last.smallest;
            passes = last.passes;
            return last.text;
        }
        const std::optional<double> next = sizes.next_size("size", l.least * (l.above ? 1 + 1e-9 : 1 - 1e-9));
        smallest = next ? *next : graph::unknown;
        const bool fits = next && !(*next > l.most * (l.below ? 1 - 1e-9 : 1 + 1e-9));
        passes = fits ? *next : graph::unknown;
        base::Symbol& text = said[{std::isnan(smallest) ? -1 : smallest, std::isnan(l.most) || fits ? -1 : l.below ? -l.most : l.most}];
        if (!text) text = facts.words.intern(fits ? fmt::format("fit {}", a->show(*next, "A"))
                                  : next ? fmt::format("no standard size does: {} at least, and {} is {}; divide the circuit",
                                                       a->show(*next, "A"), a->show(l.most, "A"), l.below ? "already too much" : "all that is allowed")
                                         : std::string("no standard size is large enough: divide the circuit"));
        last = {&sizes, l, smallest, passes, text};
        return text;
    };
    for (std::uint32_t r = 0; r < n; ++r) {
        const Analysis::FuseWay& w = a->fuses[r];
        const bool array = a->side_of(w.edge, w.feed) == Analysis::Side::array && w.feed.strings != 0;
        string_fuse[r] = array && w.only != none ? 1 : 0;
        const std::vector<std::uint32_t> strings = grouped(*a, r);
        const Least l = least_of(*a, r, !strings.empty());
        least[r] = l.value();
        above[r] = l.strict() ? 1 : 0;
        shared[r] = strings.empty() ? 0 : 1;
        if (array && w.only != none) modules[r] = a->strings[w.only].max_fuse;
        for (const std::uint32_t i : strings) modules[r] = std::fmin(modules[r], room_for(*a, w, i));
        most[r] = std::fmin(wire[r], modules[r]);
        const bool below = open && !strings.empty() && modules[r] == most[r];
        const double factor = array ? a->standard.number(w.only != none ? "string-fuse-most-factor" : "array-fuse-most-factor") : graph::unknown;
        window[r] = strings.empty() ? factor * w.feed.isc * w.feed.share : open ? modules[r] : graph::unknown;
        const bool breaker = a->part(ThingId(w.device)).kind == "breaker";
        const tables::FigureTable* sizes = breaker && breaker_sizes != nullptr ? breaker_sizes : fuse_sizes;
        if (sizes == nullptr || std::isnan(least[r])) continue;
        advice[r] = advise(*sizes, Limits{least[r], most[r], l.strict(), below}, least_size[r], size[r]);
    }
    fill_string_sizes(facts, a, [&](const Limits& l, double& smallest, double& passes) {
        return fuse_sizes == nullptr ? base::Symbol() : advise(*fuse_sizes, l, smallest, passes);
    });
    fill.column("least").working = [a](std::uint32_t row) { return least_text(*a, row); };
    fill.column("least").missing = fill.column("least-size").missing = fill.column("size-that-passes").missing = [a](std::uint32_t row) {
        const text::Span place = a->d.things[ThingId(a->fuses[row].device)].span;
        if (!std::isnan(least_of(*a, row, !grouped(*a, row).empty()).value())) return Missing{"a standard size: none passes, `advice` says why", place};
        return carried_missing(*a, a->fuses[row].edge, place);
    };
    fill.column("modules-most").working = [a](std::uint32_t row) {
        const std::vector<std::uint32_t> strings = grouped(*a, row);
        const Analysis::FuseWay& w = a->fuses[row];
        if (strings.empty()) return std::vector<std::string>{};
        const auto tightest = *std::min_element(strings.begin(), strings.end(), [&](std::uint32_t x, std::uint32_t y) { return room_for(*a, w, x) < room_for(*a, w, y); });
        const double stands = a->strings[tightest].max_fuse;
        return std::vector{fmt::format("its modules stand {}; the other strings behind it add {}: {}", a->show(stands, "A"),
                                       a->show(stands - room_for(*a, w, tightest), "A"), a->show(room_for(*a, w, tightest), "A"))};
    };
    fill.column("modules-most").missing = [a](std::uint32_t row) {
        return Missing{"a limit set by modules: it protects no single strings", a->d.things[ThingId(a->fuses[row].device)].span};
    };
    fill.column("window-most").working = [a](std::uint32_t row) {
        const Analysis::FuseWay& w = a->fuses[row];
        const double factor = a->standard.number(w.only != none ? "string-fuse-most-factor" : "array-fuse-most-factor");
        if (std::isnan(factor) || !grouped(*a, row).empty()) return std::vector<std::string>{};
        const double isc = w.feed.isc * w.feed.share;
        return std::vector{fmt::format("isc {} x {} ({}) = {}", a->show(isc, "A"), units::show_number(factor), a->standard.cited, a->show(isc * factor, "A"))};
    };
    fill.column("most").missing = [a](std::uint32_t row) {
        return Missing{"what the conductors and modules it protects allow", a->d.things[ThingId(a->fuses[row].device)].span};
    };
}

struct ToOthers {
    double length = 0;
    graph::ConductorId lacking;  // the first on the way that states no length
};
static ToOthers way_to_others(const Analysis& a, const Protection& protection, const Analysis::FuseWay& way) {
    const Pieces& p = a.feeds.pieces();
    ToOthers to;
    std::uint32_t at = a.net.other(way.edge, way.feed.near), came = way.edge;
    for (int steps = 0; steps < 16; ++steps) {
        std::uint32_t next = none, count = 0;
        for (std::uint32_t k = a.net.first[at]; k < a.net.first[at + 1]; ++k) {
            const std::uint32_t e = a.net.at[k];
            if (e == came || !a.net.edges[e].closed) continue;
            ++count;
            next = e;
        }
        if (count != 1 || p.parts[next].trunk == none || a.feeds.of(next).alone != way.only) break;
        if (protection.fuse_row[next] != none) return {};  // the other end has one too
        if (a.net.edges[next].conductor != none) {
            const graph::ConductorId c(a.net.edges[next].conductor);
            to.length += a.d.conductors[c].length;
            if (std::isnan(a.d.conductors[c].length) && !to.lacking) to.lacking = c;
        }
        at = a.net.other(next, at);
        came = next;
    }
    return to;
}
double length_to_others(const Analysis& a, const Protection& protection, const Analysis::FuseWay& way) { return way_to_others(a, protection, way).length; }

void fill_fuse_facts(Facts& facts, const Shared& a, const SharedProtection& protection) {
    Filler fill(facts, "fuse");
    const std::uint32_t n = fill.table().rows;
    auto& breaking = fill.numbers("breaking");
    auto& beside = fill.numbers("side-by-side");
    auto& heat = fill.numbers("heat-factor");
    auto& carries = fill.numbers("carries-hot");
    auto& usual = fill.numbers("usual-rating");
    auto& odd = fill.flags("odd");
    auto& stoppable = fill.flags("stoppable");
    auto& parallel = fill.numbers("parallel");
    auto& bus_length = fill.numbers("length-to-others");
    const std::vector<double>& voltage = fill.numbers("circuit-voltage");
    const std::vector<double>& rating = fill.numbers("rating");
    const Column* air = facts.table("device")->column("air");
    const tables::Standard& standard = a->standard;

    // Loaded ways in one box.
    std::unordered_map<std::uint32_t, std::uint32_t> in_box;
    for (std::uint32_t r = 0; r < n; ++r) {
        const ThingId where = a->d.things[ThingId(a->fuses[r].device)].where;
        if (where && a->d.things[where].cls == graph::ThingClass::enclosure) ++in_box[where.value];
    }
    // What still feeds something with every load-break switch open, per net of Network::idle.
    std::vector<std::uint8_t> fed(a->net.idle.count, 0);
    {
        std::unordered_map<std::uint64_t, std::uint8_t> sources;
        auto key = [](std::uint32_t x, std::uint32_t y) { return (static_cast<std::uint64_t>(x) << 32) | y; };
        for (const PowerSource& s : a->net.sources) {
            if (s.plus != none && s.minus != none) sources[key(a->net.idle[s.plus], a->net.idle[s.minus])] = 1;
        }
        for (const Port& p : a->net.ports) {
            if (p.plus == none || p.minus == none) continue;
            if (p.port != 0xffff && a->d.text(a->d.part_of(p.device).ports[p.port].rows, "switch", "kind") == "built-in") continue;
            const std::uint32_t plus = a->net.idle[p.plus], minus = a->net.idle[p.minus];
            if (plus == minus || !sources.contains(key(plus, minus))) continue;
            fed[plus] = fed[minus] = 1;
        }
    }
    // The usual rating among the fuses of strings in parallel, by group and pole.
    std::map<std::pair<std::uint32_t, bool>, std::map<double, std::uint32_t>> ratings;
    auto group_of = [&](std::uint32_t r) { return a->fuses[r].only == none ? none : a->circuits.group_of[a->fuses[r].only]; };
    for (std::uint32_t r = 0; r < n; ++r) {
        const std::uint32_t g = group_of(r);
        if (g != none && !std::isnan(rating[r])) ++ratings[{g, a->fuses[r].feed.plus}][rating[r]];
    }
    const double reference = standard.number("fuse-air");
    for (std::uint32_t r = 0; r < n; ++r) {
        const Analysis::FuseWay& w = a->fuses[r];
        const graph::PartId link = a->fuse_link(w.device);
        const graph::PartId holder = a->d.things[ThingId(w.device)].part;
        breaking[r] = breaks(*a, link, voltage[r]);
        const ThingId where = a->d.things[ThingId(w.device)].where;
        const auto box = where ? in_box.find(where.value) : in_box.end();
        beside[r] = box == in_box.end() ? 1 : box->second;
        const std::uint32_t device = a->device_row[w.device];
        const double t = air != nullptr && device != no_row ? air->numbers[device] : graph::unknown;
        bool ways = false;
        double k_heat = derating(a->d, a->d.parts[holder], t, reference).factor;
        if (link && link != holder) k_heat = std::fmin(k_heat, derating(a->d, a->d.parts[link], t, reference).factor);
        double k_beside = beside[r] == 1 ? 1 : share_at(*a, holder, "side-by-side", "ways", beside[r], ways);
        if (std::isnan(k_beside) && !ways) k_beside = 1;
        heat[r] = k_heat * k_beside;
        carries[r] = rating[r] * heat[r];
        stoppable[r] = fed[a->net.idle[a->net.edges[w.edge].a]] != 0 ? 0 : 1;
        parallel[r] = 1;
        const std::uint32_t g = group_of(r);
        if (g == none) continue;
        parallel[r] = static_cast<double>(a->circuits.groups[g].count());
        const auto& of_group = ratings[{g, w.feed.plus}];
        // Of equally frequent ones the smaller counts as usual.
        const auto top = std::max_element(of_group.begin(), of_group.end(), [](const auto& x, const auto& y) { return x.second < y.second; });
        if (top == of_group.end()) continue;
        usual[r] = top->first;
        odd[r] = !std::isnan(rating[r]) && rating[r] != top->first && std::fabs(a->strings[w.only].isc - a->strings[a->circuits.groups[g].all().front()].isc) < 1e-9 ? 1 : 0;
        if (parallel[r] <= 1) continue;
        bus_length[r] = length_to_others(*a, *protection, w);
    }
    fill.column("length-to-others").missing = [a, protection](std::uint32_t row) {
        const graph::ConductorId c = way_to_others(*a, *protection, a->fuses[row]).lacking;
        if (c) return Missing{fmt::format("the length of {}", a->d.name(c)), a->d.conductors[c].span};
        const graph::PartId link = a->fuse_link(a->fuses[row].device);
        const graph::Part& part = link ? a->d.parts[link] : a->d.part_of(ThingId(a->fuses[row].device));
        return Missing{fmt::format("`rated` of {}", a->d.word(part.name)), part.span};
    };
    fill.column("class").missing = [a](std::uint32_t row) {
        const graph::PartId link = a->fuse_link(a->fuses[row].device);
        const ThingId device(a->fuses[row].device);
        if (!link) return Missing{fmt::format("the link fitted in {} (`with …`)", a->d.name(device)), a->d.things[device].span};
        return Missing{fmt::format("`class` of {}", a->d.word(a->d.parts[link].name)), a->d.parts[link].span};
    };
    fill.column("breaking").missing = [a](std::uint32_t row) {
        const graph::PartId link = a->fuse_link(a->fuses[row].device);
        const ThingId device(a->fuses[row].device);
        if (!link) return Missing{fmt::format("the link fitted in {} (`with …`)", a->d.name(device)), a->d.things[device].span};
        const graph::Part& part = a->d.parts[link];
        return Missing{fmt::format("what {} breaks (`breaking`) at the voltage of its circuit", a->d.word(part.name)), part.span};
    };
    fill.column("heat-factor").missing = fill.column("carries-hot").missing = [a](std::uint32_t row) {
        const ThingId device(a->fuses[row].device);
        const graph::PartId link = a->fuse_link(device.value);
        const graph::Part& part = link ? a->d.parts[link] : a->d.part_of(device);
        return Missing{fmt::format("what {} carries in the air of its place (`derate`)", a->d.word(part.name)), part.span};
    };
    fill.column("heat-factor").assumed = fill.column("carries-hot").assumed = [a, reference](std::uint32_t row) {
        bool rows = false;
        const graph::PartId link = a->fuse_link(a->fuses[row].device);
        share_at(*a, link, "derate", "ambient", 0, rows);
        share_at(*a, a->d.things[ThingId(a->fuses[row].device)].part, "derate", "ambient", 0, rows);
        if (rows) return std::vector<std::string>{};
        return std::vector{fmt::format("its full rating holds up to {}, as its data sheet has no `derate`", a->show(reference, "degC"))};
    };
}

void fill_battery_leads(Facts& facts, const Shared& a, const SharedProtection& p) {
    Filler fill(facts, "battery");
    auto& length = fill.numbers("unguarded-length");
    auto& guarded = fill.flags("guarded");
    auto& walls = fill.flags("through-wall");
    auto& lead = fill.subjects("lead");
    constexpr std::size_t most_visited = 4096;
    const std::vector<std::uint8_t>& bare = facts.table("conductor")->column("unprotected")->flags;
    for (std::uint32_t r = 0; r < a->battery_sources.size(); ++r) {
        const PowerSource& s = a->net.sources[a->battery_sources[r]];
        length[r] = 0;
        // Along conductors that nothing guards, from the end that is not earthed; + when neither is.
        std::uint32_t from = s.plus;
        if (from != none && a->earthing.pole_earthed[a->net.on[from]]) from = s.minus;
        if (from == none) continue;
        std::vector<std::pair<std::uint32_t, double>> stack{{from, 0.0}};
        std::unordered_map<std::uint32_t, std::uint8_t> seen{{from, 1}};
        while (!stack.empty() && seen.size() < most_visited) {
            const auto [at, so_far] = stack.back();
            stack.pop_back();
            for (std::uint32_t k = a->net.first[at]; k < a->net.first[at + 1]; ++k) {
                const std::uint32_t e = a->net.at[k];
                const Edge& edge = a->net.edges[e];
                if (!edge.closed) continue;
                if (p->fuse_row[e] != none) {
                    guarded[r] = 1;
                    continue;
                }
                double here = 0;
                if (edge.conductor != none) {
                    if (bare[edge.conductor] == 0) continue;
                    here = a->d.conductors[graph::ConductorId(edge.conductor)].length;
                    if (lead[r] == no_row) lead[r] = edge.conductor;
                }
                const std::uint32_t to = a->net.other(e, at);
                if (!seen.emplace(to, 1).second) continue;
                const ThingId x = place_of(a->d, a->owner(at)), y = place_of(a->d, a->owner(to));
                if (edge.conductor != none && x && y && x != y) walls[r] = 1;
                const double total = so_far + here;
                if (std::isnan(total) || total > length[r]) {
                    length[r] = total;
                    if (edge.conductor != none) lead[r] = edge.conductor;
                }
                stack.emplace_back(to, total);
            }
        }
    }
    fill.column("unguarded-length").missing = [a](std::uint32_t row) {
        const ThingId thing = a->net.sources[a->battery_sources[row]].thing;
        return Missing{"the length of the conductors at its terminals", a->d.things[thing].span};
    };
}

}  // namespace ferrule::facts
