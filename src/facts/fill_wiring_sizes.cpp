// conductor: the smallest size that would do where the present one does not, and what then is the next limit. After the overcurrent
// devices, whose ratings it has to agree with.
#include <fmt/core.h>

#include <cmath>
#include <unordered_map>

#include "facts/wiring.hpp"

namespace ferrule::facts {

namespace {

using graph::Conductor;
using graph::ConductorId;
using graph::ConductorRole;
using graph::TerminalId;

// Not known, or enough.
bool enough(double has, double need) { return !(has < need); }

struct Sized {
    double area = graph::unknown;
    Judgement judgement;
    double carries = graph::unknown;
};

bool will_do(const Carrying& k, ConductorId id, const Conductor& c, double area, const Demands& d, Sized& sized) {
    sized.area = area;
    sized.judgement = k.judge(id, area, d.continuous);
    const Judgement& j = sized.judgement;
    sized.carries = std::fmin(j.ampacity.low, j.terminal.low);
    return enough(j.table.low, d.continuous) && enough(j.ampacity.low, d.current) && enough(j.ampacity.low, d.reverse) && enough(j.terminal.low, d.continuous) &&
           (!k.tables().by_raceway() || enough(j.terminal.low, d.reverse)) &&
           enough(k.device_most(k.aluminium(c), area, k.tables().by_raceway() ? sized.carries : j.ampacity.low, d.parallel), d.device);
}

// "10 AWG carries 34.8 A; then the terminals of Q1, which take up to 16 mm2, are the next limit".
std::string outlook(const Analysis& a, const Carrying& k, const Conductor& c, const Sized& s) {
    const std::string size = k.size_text(s.area, c);
    std::string text = fmt::format("{} carries {}", size, a.show(s.judgement.ampacity.low, "A"));
    double tightest = no_limit;
    std::string who, size_taken;
    for (const bool b : {false, true}) {
        const TerminalId t = b ? c.b : c.a;
        const graph::PartId plug = b ? c.end_part_b : c.end_part_a;
        if (!plug && a.d.things[a.d.terminals[t]].cls != graph::ThingClass::device) continue;
        const TerminalData& data = plug ? k.takes().of(plug) : k.takes().at(t);
        const Takes::Range range = k.takes().range(data, 1);
        if (range.high == 0 || range.high >= tightest) continue;
        tightest = range.high;
        size_taken = a.d.units->show(range.high, range.high_unit);
        who = plug ? std::string(a.d.word(a.d.parts[plug].name)) : a.d.name(a.d.terminals[t]);
    }
    if (tightest < s.area * (1 - 1e-6)) return text + fmt::format("; {} takes only up to {} and has to change as well", who, size_taken);
    if (s.judgement.at && s.judgement.terminal.low < s.judgement.ampacity.low) {
        return text + fmt::format("; then {} is the next limit, which at {} counts for {}", a.d.name(s.judgement.at), a.show(s.judgement.terminal_temperature, "degC"),
                                  a.show(s.judgement.terminal.low, "A"));
    }
    if (tightest < no_limit) return text + fmt::format("; then {}, which takes up to {}, is the next limit", who, size_taken);
    return text;
}

}  // namespace

double smallest_size(const Carrying& k, ConductorId conductor, const Conductor& c, const Demands& d) {
    Sized sized;
    for (const double area : k.sizes(c)) {
        if (will_do(k, conductor, c, area, d, sized)) return area;
    }
    return graph::unknown;
}

void fill_sizes(Facts& facts, const Shared& a) {
    const std::shared_ptr<const Carrying> k = make_carrying(facts, a);
    Filler fill(facts, "conductor");
    Table& t = fill.table();
    const auto& current = t.column("current")->numbers;
    const auto& continuous = t.column("continuous-current")->numbers;
    const auto& reverse = t.column("reverse-current")->numbers;
    const auto& table = t.column("table-ampacity")->numbers;
    const auto& ampacity = t.column("ampacity")->numbers;
    const auto& terminal = t.column("terminal-ampacity")->numbers;
    auto& most = fill.numbers("device-most");
    const auto& parallel = t.column("parallel")->numbers;
    const auto& let_through = t.column("let-through")->numbers;
    const auto& size = t.column("fits-size")->flags;
    const auto& metal = t.column("fits-metal")->flags;
    const auto& part = t.column("misfit-part")->subjects;
    const auto& protected_by = t.column("protected-by")->subjects;
    const auto& in_line = t.column("device-in-line")->flags;
    const auto& own = t.column("own-device")->flags;
    const auto& fault = t.column("fault-current")->numbers;
    const auto& source = t.column("source")->words;
    const base::Symbol array = facts.words.intern("array");
    const std::vector<double>& rating = facts.table("fuse")->column("rating")->numbers;
    auto& needed_area = fill.numbers("needed-area");
    auto& needed = fill.column("needed").words;
    auto& like = fill.subjects("like");
    auto& row_units = fill.column("needed-area").row_units;
    row_units.resize(t.rows);
    const units::UnitId mm2 = a->d.units->find("mm2"), awg = a->d.units->find("AWG"), kcmil = a->d.units->find("kcmil");
    const double gauge_limit = a->d.units->to_si(-3, awg) * (1 + 1e-6);
    std::unordered_map<std::uint64_t, std::uint32_t> first;
    std::unordered_map<std::uint32_t, std::uint32_t> largest;  // of those that are alike: which needs the largest size
    for (std::uint32_t r = 0; r < t.rows; ++r) {
        const ConductorId id(r);
        const Conductor& c = a->d.conductors[id];
        if (std::isnan(most[r]) && let_through[r] > 0 && !std::isnan(c.area)) {
            const Judgement j = k->judge(id, c.area, continuous[r]);
            const bool limited = j.at && k->tables().by_raceway();
            const auto device = [&](double amps, double terminals) { return k->device_most(k->aluminium(c), c.area, limited ? std::fmin(amps, terminals) : amps, parallel[r]); };
            most[r] = settled({device(j.ampacity.low, j.terminal.low), device(j.ampacity.high, j.terminal.high)}, let_through[r]);
        }
        Demands d{current[r], continuous[r], graph::unknown, graph::unknown, parallel[r]};
        const std::uint32_t fuse = protected_by[r];
        if (fuse != no_row) d.device = rating[fuse] / parallel[r];
        else if (in_line[r] == 0 && current[r] > 0) d.reverse = reverse[r];
        // Behind a fuse that it shares, the strings beside it add theirs.
        if (fuse != no_row && own[r] == 0 && source[r] == array) d.reverse = fault[r];
        const bool misfits = size[r] == 0 || metal[r] == 0;
        const bool thin = ampacity[r] < d.current || table[r] < d.continuous || terminal[r] < d.continuous || ampacity[r] < d.reverse ||
                          (k->tables().by_raceway() && terminal[r] < d.reverse) || most[r] < d.device;
        if (!thin && !misfits) continue;
        std::uint64_t key = (c.run ? c.run.value : 0xffffffffU) * 0x9e3779b97f4a7c15ULL;
        const auto mix = [&key](std::uint64_t x) { key = (key ^ x) * 0x9e3779b97f4a7c15ULL; key ^= key >> 29U; };
        mix(c.cable ? c.cable.value : 0xffffffffU);
        mix(std::hash<double>{}(c.area));
        mix(std::hash<float>{}(static_cast<float>(current[r])));  // sums of the same in another order are equal
        mix(part[r]);
        like[r] = first.try_emplace(key, r).first->second;
        if (!thin) continue;
        Sized sized;
        bool found = false;
        for (const double s : k->sizes(c)) {
            if (!(s > c.area * (1 + 1e-6))) continue;
            found = will_do(*k, id, c, s, d, sized);
            if (found) break;
        }
        if (!found) continue;
        needed_area[r] = sized.area;
        row_units[r] = !c.area_unit || c.area_unit == mm2 ? mm2 : sized.area > gauge_limit ? kcmil : awg;
        needed[r] = facts.words.intern(outlook(*a, *k, c, sized));
        std::uint32_t& top = largest.try_emplace(like[r], r).first->second;
        if (needed_area[r] > needed_area[top]) top = r;
    }
    // What is told as one is advised as one: the size that suits them all, also the one of them that a device protects.
    for (std::uint32_t r = 0; r < t.rows; ++r) {
        const auto top = like[r] == no_row || std::isnan(needed_area[r]) ? largest.end() : largest.find(like[r]);
        if (top == largest.end()) continue;
        needed_area[r] = needed_area[top->second];
        row_units[r] = row_units[top->second];
        needed[r] = needed[top->second];
    }
}

}  // namespace ferrule::facts
