// What would do: how many modules a string may have, which contacts a switch would need. Words are made once for each class of
// strings or circuits that have the same figures, not once a row.
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <unordered_map>

#include <fmt/core.h>

#include "facts/analysis.hpp"
#include "facts/ratings.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

constexpr double tolerance = 1e-9;  // of a comparison in a rule
constexpr double infinite = std::numeric_limits<double>::infinity();

// A limit of a string's voltage.
enum class Bound : std::uint8_t { none, input, module, place, a_switch, fuse, cable, connector, device };
struct LowestLimit {
    double volts = infinite;
    Bound which = Bound::none;
    void take(double stands, Bound what) {
        if (stands < volts) *this = {stands, what};
    }
};

std::string phrase(Bound which, const std::string& volts) {
    switch (which) {
        case Bound::input: return fmt::format("the {} that the input may see", volts);
        case Bound::module: return fmt::format("the {} that the modules are made for", volts);
        case Bound::place: return fmt::format("the {} allowed at this place", volts);
        case Bound::a_switch: return fmt::format("the {} of a switch on its way", volts);
        case Bound::fuse: return fmt::format("the {} of a fuse on its way", volts);
        case Bound::cable: return fmt::format("the {} of a cable on its way", volts);
        case Bound::connector: return fmt::format("the {} of a connector on its way", volts);
        case Bound::device: return fmt::format("the {} of a device on its way", volts);
        case Bound::none: break;
    }
    return "no limit that is stated";
}

// The lowest rating on each net, of what stands on the array's conductors.
std::vector<LowestLimit> ratings_on_nets(const Facts& facts, const Analysis& a) {
    std::vector<LowestLimit> lowest(a.net.on.count);
    const auto at = [&](std::uint32_t terminal, double volts, Bound what) {
        if (terminal != none && !std::isnan(volts)) lowest[a.net.on[terminal]].take(volts, what);
    };
    const base::Symbol array = facts.words.find("array");
    const Table& conductors = *facts.table("conductor");
    const std::vector<double>& rated = conductors.column("rated-voltage")->numbers;
    const std::vector<base::Symbol>& source = conductors.column("source")->words;
    for (std::uint32_t r = 0; r < conductors.rows; ++r) {
        if (source[r] != array || !a.d.conductors[graph::ConductorId(r)].a) continue;
        at(a.d.conductors[graph::ConductorId(r)].a.value, rated[r], Bound::cable);
    }
    const Table& fuses = *facts.table("fuse");
    const std::vector<double>& of_fuses = fuses.column("voltage-rating")->numbers;
    const std::vector<base::Symbol>& fuse_source = fuses.column("source")->words;
    for (std::uint32_t r = 0; r < fuses.rows; ++r) {
        if (fuse_source[r] == array) at(a.net.edges[a.fuses[r].edge].a, of_fuses[r], Bound::fuse);
    }
    const std::vector<double>& of_matings = facts.table("mating")->column("rated-voltage")->numbers;
    for (std::uint32_t r = 0; r < of_matings.size(); ++r) at(a.boxes.matings[r].terminal, of_matings[r], Bound::connector);
    const std::vector<double>& of_switches = facts.table("broken-circuit")->column("rated-voltage")->numbers;
    for (std::uint32_t r = 0; r < of_switches.size(); ++r) {
        const BrokenCircuit& b = a.switches.circuits[r];
        if (b.battery || std::isnan(of_switches[r])) continue;
        for (const std::uint32_t net : {b.net_plus, b.net_minus}) {
            if (net != none) lowest[net].take(of_switches[r], Bound::a_switch);
        }
    }
    // Bars, diodes and surge protectors stand between conductors; everything else is judged above.
    const Table& devices = *facts.table("device");
    const std::vector<double>& of_devices = devices.column("rated-voltage")->numbers;
    const std::vector<double>& standing_at = devices.column("circuit-voltage")->numbers;
    std::vector<std::uint8_t> standing(a.parts.size(), 0);
    for (std::size_t p = 0; p < a.parts.size(); ++p) {
        standing[p] = a.parts[p].kind == "busbar" || a.parts[p].kind == "diode" || a.parts[p].kind == "surge-protector" ? 1 : 0;
    }
    for (std::uint32_t r = 0; r < devices.rows; ++r) {
        const graph::Thing& t = a.d.things[a.devices[r]];
        if (standing[t.part.value] == 0) continue;
        // On a negative that array and battery share, what lies in the battery's circuit alone limits no string.
        if (t.first_terminal && standing_at[r] < a.circuits.net_voltage[a.net.on[t.first_terminal.value]] * (1 - tolerance)) continue;
        for (std::uint32_t i = 0; i < a.d.parts[t.part].terminals.size(); ++i) at(t.first_terminal.value + i, of_devices[r], Bound::device);
    }
    return lowest;
}

double location_limit(const Facts& facts, const Analysis& a) {
    const Table& site = *facts.table("site");
    if (site.rows == 0 || site.column("on-building")->flags[0] != 1) return a.standard.number("max-voltage-ground");
    const std::string_view building = a.d.text(a.d.site_rows, "building", "type");
    if (building == "dwelling") return a.standard.number("max-voltage-dwelling");
    if (building.empty()) return graph::unknown;
    return a.standard.number(building == "none" ? "max-voltage-ground" : "max-voltage-building");
}

// What a string is judged by; strings with the same share their words.
struct StringClass {
    std::uint32_t part = none, count = 0;
    LowestLimit first, next;       // the two lowest limits of the cold voltage
    double floor = 0;         // V at the operating point, hot; 0: none is stated
    double start = 0;         // V open circuit, hot; 0: none is stated
    double cold = 0, hot = 0, open = 0;  // V of one module: voc coldest, vmp hottest, voc hottest
    friend bool operator<(const StringClass& x, const StringClass& y) {
        const auto key = [](const StringClass& c) {
            return std::tuple(c.part, c.count, c.first.volts, c.first.which, c.next.volts, c.next.which, c.floor, c.start, std::isnan(c.hot), std::isnan(c.open));
        };
        return key(x) < key(y);
    }
};

struct StringAnswer {
    double most = graph::unknown, least = graph::unknown;
    base::Symbol limit, out, in;
};

double fits(double limit, double each) { return std::floor(limit * (1 + tolerance) / each); }
double needs(double floor, double each) { return !(each > 0) ? graph::unknown : std::max(1.0, std::ceil(floor * (1 - tolerance) / each)); }

std::string modules(double n) { return fmt::format("{:.0f} module{}", n, n == 1 ? "" : "s"); }

StringAnswer answer(const Analysis& a, const StringClass& c, Words& words) {
    StringAnswer x;
    const bool bounded = c.first.which != Bound::none && c.cold > 0;
    if (bounded) x.most = fits(c.first.volts, c.cold);
    const double by_floor = c.floor > 0 ? needs(c.floor, c.hot) : 1, by_start = c.start > 0 ? needs(c.start, c.open) : 1;
    x.least = std::isnan(by_floor) || std::isnan(by_start) ? graph::unknown : std::max(by_floor, by_start);
    const auto volts = [&](double v) { return a.show(v, "V"); };
    const bool floor_first = by_floor >= by_start;
    const std::string lower = x.least <= 1 ? std::string()
                              : floor_first ? fmt::format("the tracking floor of {}", volts(c.floor))
                                            : fmt::format("the start voltage of {}", volts(c.start));
    const std::string upper = phrase(c.first.which, volts(c.first.volts));
    const bool misfit = bounded && x.least > x.most;
    std::string limit, out = "take modules out of the string", in = "put more modules in series, as far as the cold allows";
    if (misfit) {
        limit = out = in = fmt::format("no number of these modules fits: {} stay{} below {}, {} need {}", modules(x.most), x.most == 1 ? "s" : "", upper,
                                       lower, modules(x.least));
    } else if (bounded) {
        const std::string next = std::isfinite(c.next.volts) && fits(c.next.volts, c.cold) > x.most
                                     ? fmt::format(", then {}", phrase(c.next.which, volts(c.next.volts)))
                                     : std::string();
        limit = fmt::format("{} at most: {} stand at {} when coldest, below {}; one more at {}{}", modules(x.most), x.most == 1 ? "it" : "they", volts(x.most * c.cold), upper,
                            volts((x.most + 1) * c.cold), next);
        if (!lower.empty()) limit += fmt::format("; {} at least, for {}", modules(x.least), lower);
        if (c.count <= x.most) {
            out = "no module need come out";
        } else if (x.most >= 1) {
            out = fmt::format("take {} out ({:.0f} of these stay{} below {}; then {} is the next limit)", modules(c.count - x.most), x.most, x.most == 1 ? "s" : "", upper,
                              lower.empty() ? fmt::format("one module more, at {},", volts((x.most + 1) * c.cold)) : lower);
        } else {
            out = "not even one of these modules stays below " + upper;
        }
        if (c.count >= x.least) in = "no module need be added";
        if (!std::isnan(x.least) && c.count < x.least) {
            in = fmt::format("put {} more in series ({:.0f} of these reach {} when hot; up to {:.0f} stay below {} when coldest)", modules(x.least - c.count), x.least, lower,
                             x.most, upper);
        }
    } else if (!std::isnan(x.least) && c.count < x.least) {
        in = fmt::format("put {} more in series ({:.0f} of these reach {} when hot), as far as the cold allows", modules(x.least - c.count), x.least, lower);
    }
    if (!limit.empty()) x.limit = words.intern(limit);
    x.out = words.intern(out);
    x.in = words.intern(in);
    return x;
}

void fill_modules(Facts& facts, const Shared& a) {
    const std::vector<LowestLimit> on_nets = ratings_on_nets(facts, *a);
    const double place = location_limit(facts, *a);
    Filler fill(facts, "string");
    auto& most = fill.numbers("modules-most");
    auto& least = fill.numbers("modules-least");
    auto& limit = fill.column("modules-limit").words;
    auto& out = fill.column("modules-out").words;
    auto& in = fill.column("modules-in").words;
    struct PortLimits {
        bool known = false;
        double most = graph::unknown, floor = graph::unknown, start = graph::unknown;
    };
    std::vector<PortLimits> ports(a->net.ports.size());
    const auto of_port = [&](std::uint32_t k) {
        PortLimits& p = ports[k];
        if (p.known) return p;
        const auto rows = a->d.part_of(a->net.ports[k].device).ports[a->net.ports[k].port].rows;
        p = {true, a->d.number(rows, "max-voltage", "voltage"), graph::unknown, a->d.number(rows, "start", "voltage")};
        if (const graph::Field* f = a->d.field(a->d.row(rows, "tracking"), "voltage")) p.floor = f->low;
        return p;
    };
    std::map<StringClass, StringAnswer> answers;
    StringClass before;
    const StringAnswer* known = nullptr;
    const base::Symbol shorten = facts.words.intern("take modules out of the string"),
                       lengthen = facts.words.intern("put more modules in series, as far as the cold allows");
    for (std::uint32_t i = 0; i < a->net.strings; ++i) {
        const StringData& s = a->strings[i];
        const PowerSource& source = a->net.sources[i];
        const graph::Thing& thing = a->d.things[source.thing];
        out[i] = shorten;
        in[i] = lengthen;
        const std::uint32_t g = a->circuits.group_of[i];
        // Mixed strings, strings held by electronics and strings one after the other have no one number.
        if (thing.groups != 1 || s.electronics || g == none || s.modules == 0 || a->chains.at(i) != nullptr) continue;
        const std::uint32_t k = a->group_input[g];
        StringClass c;
        c.part = a->d.groups[thing.first_group].part.value;
        c.count = s.modules;
        c.cold = s.voc_coldest / s.modules;
        c.hot = s.vmp_hottest / s.modules;
        c.open = s.voc_hottest / s.modules;
        if (std::isnan(c.cold)) continue;
        const auto take = [&](double volts, Bound which) {
            if (std::isnan(volts)) return;
            if (volts < c.first.volts) {
                c.next = c.first;
                c.first = {volts, which};
            } else if (volts > c.first.volts) {
                c.next.take(volts, which);
            }
        };
        if (k != none) {
            const PortLimits p = of_port(k);
            take(p.most, Bound::input);
            if (!std::isnan(p.floor)) c.floor = p.floor;
            if (!std::isnan(p.start)) c.start = p.start;
        }
        take(s.max_system, Bound::module);
        take(place, Bound::place);
        for (const std::uint32_t end : {source.plus, source.minus}) {
            if (end != none) take(on_nets[a->net.on[end]].volts, on_nets[a->net.on[end]].which);
        }
        if (known == nullptr || c < before || before < c) {
            const auto [at, fresh] = answers.try_emplace(c);
            if (fresh) at->second = answer(*a, c, facts.words);
            known = &at->second;
            before = c;
        }
        most[i] = known->most;
        least[i] = known->least;
        limit[i] = known->limit;
        out[i] = known->out;
        in[i] = known->in;
    }
    const auto missing = [a](std::uint32_t row) {
        const PowerSource& source = a->net.sources[row];
        for (const Voltage which : {Voltage::voc_coldest, Voltage::vmp_hottest, Voltage::voc_hottest}) {
            if (!std::isnan(a->strings[row].*figure(which))) continue;
            const Lack l = voltage_lack(a->d, a->parts, source, a->climate, which);
            return Missing{l.what, l.where};
        }
        return Missing{"one kind of module, one string after the other, and an input of its own", a->d.things[source.thing].span};
    };
    for (const char* column : {"modules-most", "modules-least", "modules-limit"}) fill.column(column).missing = missing;
    fill.column("modules-most").working = [a](std::uint32_t row) {
        return voltage_working(a->d, a->parts, a->net.sources[row], a->strings[row], a->climate, a->standard, Voltage::voc_coldest);
    };
}

// Rows of the data sheet that would pass with other contacts in series, or none.
std::string contacts_that_do(const Analysis& a, const BrokenCircuit& b, double ambient, double voltage, double current) {
    const PartData& part = a.part(ThingId(b.device));
    const auto& poles = a.d.part_of(ThingId(b.device)).poles;
    const auto all = static_cast<std::uint32_t>(std::count_if(poles.begin(), poles.end(), [](const graph::PoleTemplate& p) { return !p.aux; }));
    const std::uint32_t now = b.poles_plus + b.poles_minus;
    Contacts contacts = contacts_of(a, b);
    contacts.side_by_side = 1;
    contacts.ambient = ambient;
    for (std::uint32_t n = std::max(now, 1U); n <= all; ++n) {
        contacts.in_series = n;
        contacts.per_conductor = n / 2;
        const Rating r = look_up(part, contacts, voltage);
        if (!(r.voltage * (1 + tolerance) >= voltage) || !(r.current * (1 + tolerance) >= current)) continue;
        const graph::Field* volts = a.d.field(r.current_row, "voltage");
        const double stands = volts == nullptr ? r.voltage : volts->high;
        if (n == now) return fmt::format("its {} contacts in series stand {} at {}", n, a.show(stands, "V"), a.show(r.current, "A"));
        const graph::Field* f = a.d.field(r.current_row, "contacts");
        const double counted = f == nullptr ? n : f->low;
        return fmt::format("put {} of its {} contacts in series, where it has {} now (its row for {:.0f} gives {} and {})", n, all, now, counted, a.show(stands, "V"),
                           a.show(r.current, "A"));
    }
    return {};
}

void fill_switch_answers(Facts& facts, const Shared& a) {
    Filler fill(facts, "broken-circuit");
    auto& words = fill.column("answer").words;
    const std::vector<double>& voltage = fill.numbers("voltage");
    const std::vector<double>& current = fill.numbers("continuous-current");
    // The device's part and contacts, how many stand side by side, its links; volts, amperes, ambient temperature, duty.
    using Class = std::tuple<std::uint32_t, std::uint32_t, std::uint32_t, bool, double, double, double, Duty>;
    std::map<Class, base::Symbol> known;
    std::vector<double> ambient_at(a->places.size(), -1);  // K; 0: not stated
    const auto ambient_of = [&](ThingId device) {
        const ThingId place = place_of(a->d, device);
        if (!place || a->place_row[place.value] == no_row) return 0.0;
        double& at = ambient_at[a->place_row[place.value]];
        if (at < 0) {
            const graph::Field* f = a->d.field(a->d.row(a->d.things[place].rows, "ambient"), "temperature");
            at = f == nullptr || std::isnan(f->high) ? 0 : f->high;
        }
        return at;
    };
    for (std::uint32_t r = 0; r < words.size(); ++r) {
        const BrokenCircuit& b = a->switches.circuits[r];
        if (std::isnan(voltage[r])) continue;
        const bool carried = !std::isnan(current[r]);
        const double amps = carried ? current[r] : 0;
        const double ambient = ambient_of(ThingId(b.device));
        const bool unclear = a->links_unknown(b.device);
        const Class key{a->d.things[ThingId(b.device)].part.value, b.poles_plus + b.poles_minus, b.paralleled, unclear, voltage[r], carried ? amps : -1, ambient, contacts_of(*a, b).duty};
        const auto [at, fresh] = known.try_emplace(key);
        if (fresh) {
            const std::string need = carried ? fmt::format("{} and {}", a->show(voltage[r], "V"), a->show(amps, "A")) : a->show(voltage[r], "V");
            const std::string does = unclear || b.paralleled > 1 ? std::string() : contacts_that_do(*a, b, ambient > 0 ? ambient : graph::unknown, voltage[r], amps);
            at->second = facts.words.intern(!does.empty() ? does : fmt::format("use a switch whose data sheet gives at least {} for the contacts in series", need));
        }
        words[r] = at->second;
    }
}

}  // namespace

void fill_answers(Facts& facts, const Shared& a) {
    fill_modules(facts, a);
    fill_switch_answers(facts, a);
}

}  // namespace ferrule::facts
