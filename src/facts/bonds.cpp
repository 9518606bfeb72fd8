#include "facts/bonds.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::TerminalId;
using graph::ThingClass;
using graph::ThingId;

constexpr double play = 1e-6;  // relative; against the rounding of units

bool is_earth_bar(const Analysis& a, ThingId t) { return a.d.things[t].cls == ThingClass::device && a.part(t).kind == "earth-bar"; }
bool is_electrode(const Analysis& a, ThingId t) { return a.d.things[t].cls == ThingClass::device && a.part(t).kind == "electrode"; }

}  // namespace

Bonds::Bonds(const Facts& facts, const Analysis& a, const Carrying* carrying)
    : a_(a), mm2_(a.d.units->find("mm2")), frames_(a.d.names.find("frames")), rounded_(a.standard.table("circular-mils")), devices_(a.standard.table("bonding-sizes")) {
    for (const graph::RowId row : a.d.site_rows) {
        if (a.d.word(a.d.rows[row].property) != "lightning-protection") continue;
        const graph::Field* f = a.d.field(row, "answer");
        lightning_ = f != nullptr && a.d.word(f->text) == "yes";
    }
    alike_ = a.standard.number("aluminium-resistivity") / a.standard.number("copper-resistivity");
    equal_most_ = a_.standard.number("protective-equal-most");
    half_above_ = a_.standard.number("protective-half-above");
    alone_least_ = a_.standard.number("protective-alone-least");
    aluminium_least_ = a_.standard.number("protective-aluminium-least");
    read_sizes();
    find_needs(facts, carrying);
    hang();
    for (Bond& b : all_) {
        if (b.electrode) size_electrode(b);
        else size(b);
    }
}

void Bonds::read_sizes() {
    const auto take = [this](std::vector<double>& sizes, std::string_view table, std::string_view column) {
        const tables::FigureTable* t = a_.standard.table(table);
        const int at = t == nullptr ? -1 : t->column(column);
        if (at < 0) return;
        for (const auto& row : t->rows) {
            const double size = row[static_cast<std::size_t>(at)].number;
            if (!std::isnan(size)) sizes.push_back(size);
        }
    };
    take(metric_, "resistance-20", "size");
    take(gauge_, "resistance-75", "size");
    take(gauge_, "bonding-sizes", "copper");
    take(gauge_, "bonding-sizes", "aluminium");
    for (std::vector<double>* sizes : {&metric_, &gauge_}) {
        std::sort(sizes->begin(), sizes->end());
        sizes->erase(std::unique(sizes->begin(), sizes->end(), [](double x, double y) { return y - x <= play * y; }), sizes->end());
    }
}

// Metal is told apart by the thing it is: frames clamped to bonded rails are their place.
ThingId Bonds::node(std::uint32_t terminal) const {
    const ThingId id = a_.owner(terminal);
    const graph::Thing& t = a_.d.things[id];
    if (t.cls != ThingClass::string || !t.where || !frames_) return id;
    const graph::Field* how = a_.d.field(a_.d.row(t.rows, frames_), "how");
    return how != nullptr && a_.d.word(how->text) == "clamped" ? t.where : id;
}

bool Bonds::metric(std::uint32_t conductor) const {
    const units::UnitId unit = a_.d.conductors[ConductorId(conductor)].area_unit;
    return !unit || unit == mm2_;
}

bool Bonds::aluminium(const Bond& b) const { return a_.d.word(a_.d.conductors[ConductorId(b.conductor)].material) == "aluminium"; }

// What metal asks because this conductor of a circuit could touch it.
BondNeed Bonds::of_circuit(std::uint32_t row, double device, bool assumed, double needed, bool array) const {
    BondNeed n;
    n.conductor = row;
    n.section = a_.d.conductors[ConductorId(row)].area;
    if (devices_ != nullptr) {
        n.by = BondNeed::By::device;
        n.device = device;
        n.assumed = assumed;
        const std::optional<double> copper = devices_->band(device, "copper"), aluminium = devices_->band(device, "aluminium");
        n.unknown = !copper || !aluminium;
        if (n.unknown) return n;
        n.copper = *copper;
        n.aluminium = *aluminium;
        // Enlarged conductors take the bond with them, in proportion; those of arrays do not.
        if (!array && n.section > needed * (1 + play)) n.ratio = rounded(n.section) / rounded(needed);
        n.floor = n.copper;
        return n;
    }
    n.by = BondNeed::By::section;
    n.unknown = std::isnan(n.section);
    if (n.unknown) return n;
    n.copper = n.section <= equal_most_ ? n.section : n.section <= half_above_ * (1 + play) ? equal_most_ : n.section / 2;
    n.floor = std::min(n.copper, alone_least_);
    n.aluminium = std::max(n.copper * alike_, aluminium_least_);
    return n;
}

void Bonds::demand(ThingId thing, const BondNeed& need) {
    BondNeed& n = needs_[thing.value];
    if (need.weight() > n.weight() * (1 + play) || (need.unknown && n.by == BondNeed::By::nothing)) n = need;
}

void Bonds::find_needs(const Facts& facts, const Carrying* carrying) {
    needs_.resize(a_.d.things.size());
    const Table& t = *facts.table("conductor");
    const std::vector<double>& continuous = t.column("continuous-current")->numbers;
    const std::vector<double>& current = t.column("current")->numbers;
    const std::vector<double>& voltage = t.column("proper-voltage")->numbers;
    const std::vector<std::uint32_t>& guarded = t.column("protected-by")->subjects;
    const std::vector<double>& let_through = t.column("let-through")->numbers;
    const std::vector<double>& rating = facts.table("fuse")->column("rating")->numbers;
    const tables::FigureTable* sizes = a_.standard.table("fuse-sizes");
    const double low = a_.standard.number("extra-low-voltage");
    BondNeed frames;
    frames.by = BondNeed::By::frames;
    frames.copper = a_.standard.number(lightning_ ? "bonding-lightning-size" : "bonding-least-size");
    frames.floor = lightning_ ? frames.copper : a_.standard.number("bonding-floor-size");
    frames.aluminium = std::max(frames.copper * alike_, aluminium_least_);
    const bool array_side = devices_ != nullptr;
    for (std::uint32_t r = 0; r < a_.d.conductors.size(); ++r) {
        const std::uint32_t e = a_.edge_of[r];
        const graph::Conductor& c = a_.d.conductors[ConductorId(r)];
        if (e == none || c.role != graph::ConductorRole::power) continue;
        const Feed& feed = a_.feeds.of(e);
        const Analysis::Side side = a_.side_of(e, feed);
        if (side == Analysis::Side::neither) continue;
        const bool array = side == Analysis::Side::array;
        if (!array && !array_side && !(voltage[r] > low)) continue;  // a battery at extra-low voltage asks for no protective conductor
        // A string's own fuse counts though it need not cut anything down.
        const std::uint32_t fuse = guarded[r] == no_row && array && feed.one < a_.own_fuse.size() ? a_.own_fuse[feed.one] : guarded[r];
        double device = fuse == no_row ? graph::unknown : rating[fuse];
        // The devices of a bank's batteries cut a fault down together.
        const bool several = fuse == no_row && !array && let_through[r] > 0;
        if (several) device = let_through[r];
        const bool assumed = fuse == no_row && !several;
        if (assumed && array && sizes != nullptr) device = sizes->next_size("size", continuous[r] * (1 - play)).value_or(graph::unknown);
        if (assumed && !array && array_side) continue;  // nothing is ahead of it: that is a finding of its own
        double needed = graph::unknown;
        if (!array && carrying != nullptr) needed = smallest_size(*carrying, ConductorId(r), c, {current[r], continuous[r], graph::unknown, device});
        BondNeed need = of_circuit(r, device, assumed, needed, array);
        need.several = several;
        for (const TerminalId end : {c.a, c.b}) {
            const ThingId at = a_.owner(end.value);
            if (a_.d.things[at].cls == ThingClass::string) {
                const ThingId metal = node(end.value);
                if (array_side) {
                    demand(metal, need);
                    continue;
                }
                frames.conductor = r;
                demand(metal, frames);
                continue;
            }
            demand(at, need);
            for (ThingId box = a_.d.things[at].where; box && a_.d.things[box].cls == ThingClass::enclosure; box = a_.d.things[box].where) demand(box, need);
        }
    }
    // The largest conductor of a direct-current system whose pole is earthed.
    std::vector<std::uint8_t> earthed(a_.circuits.circuit_count, 0);
    for (const EarthLink& l : a_.earthing.links) {
        const std::uint32_t circuit = a_.circuit_of(l.terminal);
        if (circuit != no_row && circuit < earthed.size() && a_.system_row[circuit] != no_row) earthed[circuit] = 1;
    }
    for (std::uint32_t r = 0; r < a_.d.conductors.size(); ++r) {
        const graph::Conductor& c = a_.d.conductors[ConductorId(r)];
        if (a_.edge_of[r] == none || c.role != graph::ConductorRole::power) continue;
        const std::uint32_t circuit = a_.circuit_of(c.a.value);
        if (circuit != no_row && circuit < earthed.size() && earthed[circuit] != 0 && c.area > earthed_largest_) earthed_largest_ = c.area;
    }
}

// Hangs the metal on the earth by the thickest conductors: a fault's current takes the way back through these. Each of them serves
// all metal beyond it; one that is beside them serves the lesser of its two ends.
void Bonds::hang() {
    struct Link { std::uint32_t u, v, bond; };
    std::vector<Link> links;
    for (const ConductorId id : a_.d.conductors.ids()) {
        const graph::Conductor& c = a_.d.conductors[id];
        if (!Network::protective(a_.d, c) || !a_.d.terminal(c.a).protective || !a_.d.terminal(c.b).protective) continue;
        const ThingId u = node(c.a.value), v = node(c.b.value);
        if (u == v) continue;
        Bond b;
        b.conductor = id.value;
        b.exposed = exposed(c);
        if (is_electrode(a_, v)) b.electrode = v;
        else if (is_electrode(a_, u)) b.electrode = u;
        links.push_back({u.value, v.value, static_cast<std::uint32_t>(all_.size())});
        all_.push_back(b);
    }
    std::vector<std::uint32_t> order(links.size());
    for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
    const auto area = [&](std::uint32_t i) {
        const double x = a_.d.conductors[ConductorId(all_[links[i].bond].conductor)].area;
        return std::isnan(x) ? 0 : x;
    };
    std::stable_sort(order.begin(), order.end(), [&](std::uint32_t x, std::uint32_t y) { return area(x) > area(y); });
    const auto things = static_cast<std::uint32_t>(a_.d.things.size());
    UnionFind sets(things);
    std::vector<std::uint8_t> in_tree(links.size(), 0);
    std::vector<std::uint32_t> degree(things + 1, 0);
    for (const std::uint32_t i : order) {
        in_tree[i] = sets.join(links[i].u, links[i].v) ? 1 : 0;
        if (in_tree[i] == 0) continue;
        ++degree[links[i].u];
        ++degree[links[i].v];
    }
    std::vector<std::uint32_t> first(things + 1, 0), at(2 * links.size());
    for (std::uint32_t t = 0; t < things; ++t) first[t + 1] = first[t] + degree[t];
    std::vector<std::uint32_t> end(first.begin(), first.end() - 1);
    for (std::uint32_t i = 0; i < links.size(); ++i) {
        if (in_tree[i] == 0) continue;
        at[end[links[i].u]++] = i;
        at[end[links[i].v]++] = i;
    }
    // Roots: electrodes, then earth bars, then whatever has most conductors.
    std::vector<std::uint32_t> roots;
    for (std::uint32_t t = 0; t < things; ++t) {
        if (degree[t] != 0) roots.push_back(t);
    }
    const auto rank = [&](std::uint32_t t) { return is_electrode(a_, ThingId(t)) ? 0 : is_earth_bar(a_, ThingId(t)) ? 1 : 2; };
    std::stable_sort(roots.begin(), roots.end(), [&](std::uint32_t x, std::uint32_t y) {
        return rank(x) != rank(y) ? rank(x) < rank(y) : degree[x] > degree[y];
    });
    std::vector<std::uint32_t> parent(things, none), reached;  // parent: a link
    std::vector<std::uint8_t> seen(things, 0);
    for (const std::uint32_t root : roots) {
        if (seen[root] != 0) continue;
        seen[root] = 1;
        std::size_t next = reached.size();
        reached.push_back(root);
        for (; next < reached.size(); ++next) {
            const std::uint32_t t = reached[next];
            for (std::uint32_t k = first[t]; k < first[t + 1]; ++k) {
                const Link& l = links[at[k]];
                const std::uint32_t o = l.u == t ? l.v : l.u;
                if (seen[o] != 0) continue;
                seen[o] = 1;
                parent[o] = at[k];
                reached.push_back(o);
            }
        }
    }
    for (std::size_t i = reached.size(); i-- > 0;) {
        const std::uint32_t t = reached[i];
        if (parent[t] == none) continue;
        const Link& l = links[parent[t]];
        demand(ThingId(l.u == t ? l.v : l.u), needs_[t]);
        all_[l.bond].need = needs_[t];
    }
    for (std::uint32_t i = 0; i < links.size(); ++i) {
        if (in_tree[i] != 0) continue;
        const BondNeed& u = needs_[links[i].u];
        const BondNeed& v = needs_[links[i].v];
        all_[links[i].bond].need = u.weight() <= v.weight() ? u : v;
    }
    // The way from a bar to its electrode is no way back to a source.
    for (const Link& l : links) {
        Bond& b = all_[l.bond];
        if (!b.electrode) continue;
        const ThingId other(b.electrode.value == l.u ? l.v : l.u);
        if (is_earth_bar(a_, other) || is_electrode(a_, other)) b.need = {};
    }
}

bool Bonds::exposed(const graph::Conductor& c) const {
    if (c.core != 0 || c.named_cable) return false;
    for (std::uint32_t i = 0; i < c.vias; ++i) {
        const auto rows = a_.d.things[a_.d.vias[c.first_via + i]].rows;
        if (a_.d.states(rows, "conduit") || a_.d.states(rows, "buried")) return false;
    }
    bool outdoors = false;
    for (const TerminalId end : {c.a, c.b}) {
        const ThingId thing = a_.owner(end.value);
        const ThingId place = a_.d.things[thing].cls == ThingClass::place ? thing : place_of(a_.d, thing);
        if (!place) continue;
        const auto rows = a_.d.things[place].rows;
        outdoors = outdoors || (a_.d.states(rows, "outdoors") && a_.d.text(rows, "outdoors", "exposure") != "sheltered");
    }
    if (!outdoors) return false;
    // Inside one box nothing is exposed.
    const auto box = [this](TerminalId t) {
        const ThingId id = a_.owner(t.value);
        if (a_.d.things[id].cls == ThingClass::enclosure) return id;
        const ThingId where = a_.d.things[id].where;
        return where && a_.d.things[where].cls == ThingClass::enclosure ? where : ThingId();
    };
    const ThingId a = box(c.a), b = box(c.b);
    return !(a && a == b);
}

// A section as the standard's own list rounds it.
double Bonds::rounded(double area) const {
    if (rounded_ == nullptr) return area;
    const int size = rounded_->column("size"), section = rounded_->column("section");
    for (const auto& row : rounded_->rows) {
        if (std::abs(row[static_cast<std::size_t>(size)].number - area) <= play * area) return row[static_cast<std::size_t>(section)].number;
    }
    return area;
}

void Bonds::size(Bond& b) const {
    const BondNeed& n = b.need;
    if (n.by == BondNeed::By::nothing || n.unknown) return;
    const bool alu = aluminium(b);
    b.least = alu ? n.aluminium : n.copper;
    if (n.ratio > 1) {
        b.grown = rounded(b.least) * n.ratio;
        b.least = b.grown;
        if (!metric(b.conductor)) {
            for (const double s : gauge_) {
                if (rounded(s) < b.grown * (1 - play / 1000)) continue;
                b.least = s;
                break;
            }
        }
    }
    if (n.by == BondNeed::By::device) {
        b.least = std::fmin(b.least, n.section);  // it need not be thicker than its circuit's conductors
        b.least = std::fmax(b.least, a_.standard.number("bonding-least-size"));
    }
    const double bare = a_.standard.number("bonding-exposed-least-size");
    if (b.exposed && bare > b.least) b.least = bare;
    b.floor = devices_ != nullptr || alu ? b.least : n.floor;
}

void Bonds::size_electrode(Bond& b) const {
    const bool alu = aluminium(b);
    const auto figure = [this](std::string_view name) { return a_.standard.number(name); };
    double least = figure(alu ? "electrode-least-aluminium" : "electrode-least-copper");
    if (devices_ == nullptr) {
        if (lightning_) least = std::fmax(least, figure("electrode-lightning-size"));
        if (alu) least = std::fmax(least * alike_, figure("protective-aluminium-least"));
    } else {
        double most = figure(alu ? "electrode-most-aluminium" : "electrode-most-copper");
        std::string_view type = a_.d.text(a_.d.things[b.electrode].rows, "type", "type");
        if (type.empty()) type = a_.d.text(a_.d.part_of(b.electrode).rows, "type", "type");
        if (type == "rod" || type == "plate") most = figure(alu ? "electrode-rod-most-aluminium" : "electrode-rod-most-copper");
        else if (type == "foundation" && !alu) most = figure("electrode-concrete-most-copper");
        else if (type == "ring" && !alu) most = figure("electrode-ring-most-copper");
        least = std::fmax(least, std::fmin(earthed_largest_, most));
        if (b.exposed) least = std::fmax(least, figure("bonding-exposed-least-size"));
    }
    // Metal that has no other way back: its fault current returns through the electrode's conductor.
    size(b);
    b.electrode_least = std::fmax(least, b.least);
    b.least = b.floor = graph::unknown;
}

double Bonds::next_size(std::uint32_t conductor, double area) const {
    const std::vector<double>& sizes = metric(conductor) ? metric_ : gauge_;
    const auto at = std::lower_bound(sizes.begin(), sizes.end(), area * (1 - play));
    return at == sizes.end() ? graph::unknown : *at;
}

// "6 mm2"; "10 AWG", or kcmil when it is no gauge.
std::string Bonds::size_text(std::uint32_t conductor, double area) const {
    if (metric(conductor)) return a_.show(area, "mm2");
    const double next = next_size(conductor, area);
    const tables::FigureTable* listed = a_.standard.table("resistance-75");
    const std::optional<double> gauge = listed == nullptr ? std::nullopt : listed->next_size("size", area * (1 - play));
    const std::string text = a_.show(area, "AWG");
    const bool whole = gauge && std::abs(next - area) <= play * area && text.find('.') == std::string::npos && text.find('-') == std::string::npos;
    return whole ? text : a_.show(area, "kcmil");
}

std::vector<std::string> Bonds::working(const Bond& b) const {
    const BondNeed& n = b.need;
    std::vector<std::string> steps;
    if (n.by == BondNeed::By::nothing || n.unknown) return steps;
    const bool alu = aluminium(b);
    const std::string circuit = a_.d.name(ConductorId(n.conductor));
    const auto size = [&](double area) { return size_text(b.conductor, area); };
    switch (n.by) {
        case BondNeed::By::device: {
            steps.push_back(n.assumed   ? fmt::format("{} has no overcurrent device: one of {} is assumed", circuit, a_.show(n.device, "A"))
                            : n.several ? fmt::format("the devices ahead of {} let {} pass together", circuit, a_.show(n.device, "A"))
                                        : fmt::format("the device ahead of {}: {}", circuit, a_.show(n.device, "A")));
            const std::optional<double> listed = devices_->band(n.device, alu ? "aluminium" : "copper");
            if (listed) steps.push_back(fmt::format("{}: {}", devices_->source.clause, size(*listed)));
            if (listed && n.ratio > 1) {
                steps.push_back(fmt::format("its circuit's conductors are {} where {} would do: {} x {} / {} = {:.2f} kcmil", a_.show(rounded(n.section), "kcmil"),
                                            a_.show(rounded(n.section) / n.ratio, "kcmil"), a_.show(rounded(*listed), "kcmil"), a_.show(rounded(n.section), "kcmil"),
                                            a_.show(rounded(n.section) / n.ratio, "kcmil"), a_.d.units->from_si(b.grown, a_.d.units->find("kcmil"))));
                steps.push_back(fmt::format("the next size: {}", size(b.least)));
            }
            if (listed && std::fmax(*listed, b.grown) > n.section * (1 + play)) {
                steps.push_back(fmt::format("not thicker than its circuit's conductors: {}", size(n.section)));
            }
            break;
        }
        case BondNeed::By::frames:
            steps.push_back(fmt::format("frames and rails of arrays{}: {}", lightning_ ? ", tied to lightning protection" : "", size(alu ? n.aluminium : n.copper)));
            break;
        case BondNeed::By::section:
            steps.push_back(fmt::format("{} has {}: {}", circuit, a_.show(n.section, "mm2"), size(alu ? n.aluminium : n.copper)));
            break;
        case BondNeed::By::nothing: break;
    }
    if (b.exposed && b.least == a_.standard.number("bonding-exposed-least-size")) steps.push_back(fmt::format("outdoors in no conduit: at least {}", size(b.least)));
    return steps;
}

std::vector<std::string> Bonds::electrode_working(const Bond& b) const {
    std::vector<std::string> steps;
    if (!b.electrode) return steps;
    if (devices_ != nullptr && earthed_largest_ > 0) {
        steps.push_back(fmt::format("largest conductor of the system whose pole is earthed: {}", size_text(b.conductor, earthed_largest_)));
    }
    steps.push_back(fmt::format("to {}: {}", a_.d.name(b.electrode), size_text(b.conductor, b.electrode_least)));
    return steps;
}

}  // namespace ferrule::facts
