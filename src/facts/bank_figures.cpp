#include "facts/bank_figures.hpp"

#include <algorithm>
#include <cmath>

namespace ferrule::facts {

namespace {

using graph::ThingId;

constexpr double tiny = 1e-6;  // V

// Unknown when one of them is.
double larger(double a, double b) { return std::isnan(a) || std::isnan(b) ? graph::unknown : std::max(a, b); }
double smaller(double a, double b) { return std::isnan(a) || std::isnan(b) ? graph::unknown : std::min(a, b); }

// The smallest (largest) of `of(x)` over a range, unknown when one is; the sum likewise by itself.
template <class Range, class Of>
double least_in(const Range& range, Of of) {
    double x = std::numeric_limits<double>::infinity();
    for (const auto& r : range) x = smaller(x, of(r));
    return x;
}
template <class Range, class Of>
double most_in(const Range& range, Of of) {
    double x = -std::numeric_limits<double>::infinity();
    for (const auto& r : range) x = larger(x, of(r));
    return x;
}
template <class Range, class Of>
double sum(const Range& range, Of of) {
    double x = 0;
    for (const auto& r : range) x += of(r);
    return x;
}

class Adder {
public:
    Adder(const Analysis& a, const std::vector<BatteryData>& batteries) : a_(a), batteries_(batteries) {}

    BankFigures of(const Bank& bank) const {
        BankFigures f;
        using Stage = Bank::Stage;
        using Chain = std::vector<Stage>;
        // Volts of a chain: each stage stands at its strongest (weakest) battery. Amperes: each stage gives the sum of its batteries.
        const auto chain_volts = [&](const Chain& chain, double BatteryData::*v, bool largest) {
            return sum(chain, [&](const Stage& s) {
                return largest ? most_in(s, [&](std::uint32_t i) { return at(i).*v; }) : least_in(s, [&](std::uint32_t i) { return at(i).*v; });
            });
        };
        const auto amperes = [&](double BatteryData::*x) {
            return sum(bank.chains, [&](const Chain& chain) {
                return least_in(chain, [&](const Stage& s) { return sum(s, [&](std::uint32_t i) { return at(i).*x; }); });
            });
        };
        f.nominal = most_in(bank.chains, [&](const Chain& c) { return chain_volts(c, &BatteryData::nominal, true); });
        f.most = most_in(bank.chains, [&](const Chain& c) { return chain_volts(c, &BatteryData::most, true); });
        f.least = most_in(bank.chains, [&](const Chain& c) { return chain_volts(c, &BatteryData::least, true); });
        f.limit = least_in(bank.chains, [&](const Chain& c) { return chain_volts(c, &BatteryData::most, false); });
        f.capacity = amperes(&BatteryData::capacity);
        f.charge = amperes(&BatteryData::charge);
        f.discharge = amperes(&BatteryData::discharge);
        f.peak = amperes(&BatteryData::peak);
        f.short_circuit = sum(bank.chains, [&](const Chain& chain) {
            return most_in(chain, [&](const Stage& s) { return sum(s, [&](std::uint32_t i) { return at(i).short_circuit; }); });
        });
        f.in_series = most_in(bank.chains, [&](const Chain& chain) {
            return sum(chain, [&](const Stage& s) { return most_in(s, [&](std::uint32_t i) { return at(i).blocks; }); });
        });
        const std::vector<std::uint32_t> all = bank.batteries();
        f.first = all.front();
        if (std::isnan(f.limit)) by_cells(bank, f);
        spreads(bank, all, f);
        chemistry(all, f);
        climate(all, f);
        presets(bank, f);
        for (const std::uint32_t i : all) {
            if (a_.banks.own_fuse[i] == 0 && f.unprotected == none) f.unprotected = i;
        }
        for (const std::uint32_t k : bank.ports) {
            f.takes += a_.demand.ports[k].takes;
            if (a_.net.ports[k].role == Port::Role::battery) f.gives += a_.demand.ports[k].gives;
        }
        for (const std::uint32_t k : bank.ports) f.surge = std::fmax(f.surge, f.takes + surge_of(k) - a_.demand.ports[k].takes);
        return f;
    }

private:
    [[nodiscard]] const BatteryData& at(std::uint32_t source) const { return batteries_[source - a_.net.strings]; }

    [[nodiscard]] double surge_of(std::uint32_t port) const {
        const PortDemand& x = a_.demand.ports[port];
        return a_.d.number(a_.d.part_of(a_.net.ports[port].device).rows, "surge", "power") / (x.efficiency.value * x.voltage.value);
    }

    // A battery that states no `max-voltage`, by its cells.
    void by_cells(const Bank& bank, BankFigures& f) const {
        const tables::FigureTable* table = a_.standard.table("cell-voltage");
        if (table == nullptr) return;
        f.limit = least_in(bank.chains, [&](const auto& chain) {
            return sum(chain, [&](const Bank::Stage& s) {
                return least_in(s, [&](std::uint32_t i) {
                    if (!std::isnan(at(i).most)) return at(i).most;
                    const auto* cell = table->at("chemistry", a_.d.word(at(i).chemistry), "most");
                    return cell == nullptr ? graph::unknown : at(i).cells * cell->number;
                });
            });
        });
        f.limit_by_cells = !std::isnan(f.limit);
    }

    // 1 - least / most; 0 for one.
    static double spread(double low, double high) { return (high - low) / high; }

    void spreads(const Bank& bank, const std::vector<std::uint32_t>& all, BankFigures& f) const {
        for (const auto& chain : bank.chains) {
            const auto held = [&](const Bank::Stage& s) { return sum(s, [&](std::uint32_t i) { return at(i).capacity; }); };
            if (chain.size() > 1) f.capacity_spread = larger(f.capacity_spread, spread(least_in(chain, held), most_in(chain, held)));
            for (const Bank::Stage& s : chain) {
                const auto full = [&](std::uint32_t i) { return at(i).most; };
                if (s.size() > 1) f.voltage_spread = larger(f.voltage_spread, spread(least_in(s, full), most_in(s, full)));
                for (const std::uint32_t i : s) f.capacity_spread = larger(f.capacity_spread, at(i).capacity_spread);
            }
        }
        if (bank.chains.size() > 1) {
            const auto full = [&](const auto& chain) {
                return sum(chain, [&](const Bank::Stage& s) { return most_in(s, [&](std::uint32_t i) { return at(i).most; }); });
            };
            f.voltage_spread = larger(f.voltage_spread, spread(least_in(bank.chains, full), most_in(bank.chains, full)));
        }
        // Blocks of one data sheet, and as many of them in series.
        const auto alike = [&](std::uint32_t i, std::uint32_t j) {
            return at(i).part == at(j).part && !(std::fabs(at(i).most - at(j).most) > 1e-9 * at(j).most);
        };
        bool same = true;
        double youngest = graph::unknown, oldest = graph::unknown;
        for (const std::uint32_t i : all) {
            same = same && alike(i, f.first);
            f.ages_stated = f.ages_stated || !std::isnan(at(i).age);
            youngest = std::fmin(youngest, at(i).age);
            if (!(at(i).age <= oldest) && !std::isnan(at(i).age)) {
                oldest = at(i).age;
                f.oldest = i;
            }
        }
        const bool every = std::none_of(all.begin(), all.end(), [&](std::uint32_t i) { return std::isnan(at(i).age); });
        f.age_spread = every ? oldest - youngest : !f.ages_stated || all.size() == 1 ? 0 : graph::unknown;
        // The odd one: of another data sheet than most, or the last that differs from the first.
        if (same) {
            f.odd = f.oldest != none ? f.oldest : f.first;
            return;
        }
        double system = graph::unknown;  // V, of a converter on the bank
        for (const std::uint32_t k : bank.ports) {
            const Port& p = a_.net.ports[k];
            if (p.role == Port::Role::battery && std::isnan(system)) system = a_.d.number(a_.d.part_of(p.device).ports[p.port].rows, "nominal", "voltage");
        }
        // Of two kinds alike in number, the one farther from that, of lead, whose cells make up the voltage (of lithium 15 and 16 are both
        // called 48 V); else the last that differs from the first.
        const auto farther = [&](std::uint32_t i) {
            const double here = std::fabs(at(i).nominal - system), there = std::fabs(at(f.odd).nominal - system);
            return at(i).chemistry != at(f.odd).chemistry || a_.d.word(at(i).chemistry).substr(0, 4) != "lead" || bank.chains.front().size() != 1 || !(here + tiny < there || there + tiny < here) || here > there;
        };
        std::size_t fewest = all.size() + 1;
        for (const std::uint32_t i : all) {
            const auto like = static_cast<std::size_t>(std::count_if(all.begin(), all.end(), [&](std::uint32_t j) { return alike(j, i); }));
            if (like < fewest || (like == fewest && like * 2 == all.size() && farther(i))) {
                fewest = like;
                f.odd = i;
            }
            if (all.size() > 64) break;  // counting each against each is for banks that a person wires
        }
    }

    void chemistry(const std::vector<std::uint32_t>& all, BankFigures& f) const {
        const tables::FigureTable* table = a_.standard.table("chemistry");
        const graph::Symbol first = at(f.first).chemistry;
        double from = graph::unknown;
        bool every = true;
        f.heated = f.cold_cut_off = f.commands = true;
        for (const std::uint32_t i : all) {
            const BatteryData& b = at(i);
            f.mixed = f.mixed || b.mixed || (first && b.chemistry && b.chemistry != first);
            f.heated = f.heated && (b.heater || heated(i));
            f.cold_cut_off = f.cold_cut_off && b.cold_cut_off;
            f.commands = f.commands && b.commands;
            f.charge_to = std::fmin(f.charge_to, b.charge_to);
            double own = b.charge_from;
            const std::string_view word = a_.d.word(b.chemistry);
            if (std::isnan(own) && table != nullptr) {
                const auto* cell = table->at("chemistry", word, "charge-from");
                if (cell != nullptr && !std::isnan(cell->number)) {
                    own = cell->number;
                    f.charge_from_assumed = true;
                }
            }
            every = every && !std::isnan(own);
            from = std::fmax(from, own);
        }
        if (every) f.charge_from = from;
        if (!first || table == nullptr) return;
        const auto* cell = table->at("chemistry", a_.d.word(first), "family");
        f.family = cell == nullptr ? Family::other : cell->word == "lithium" ? Family::lithium : cell->word == "lead" ? Family::lead : Family::other;
    }

    [[nodiscard]] base::Range<graph::RowId> place_rows(std::uint32_t source) const {
        const ThingId place = place_of(a_.d, a_.net.sources[source].thing);
        return place ? a_.d.things[place].rows : base::Range<graph::RowId>{};
    }
    [[nodiscard]] bool heated(std::uint32_t source) const { return a_.d.text(place_rows(source), "heated", "answer") == "yes"; }

    // The air round the batteries: what their place says, or outdoors that of the site.
    void climate(const std::vector<std::uint32_t>& all, BankFigures& f) const {
        f.coldest = std::numeric_limits<double>::infinity();
        f.warmest = -f.coldest;
        for (const std::uint32_t i : all) {
            const auto rows = place_rows(i);
            const graph::Field* ambient = a_.d.field(a_.d.row(rows, "ambient"), "temperature");
            const bool outdoors = a_.d.states(rows, "outdoors");
            f.coldest = smaller(f.coldest, ambient != nullptr ? ambient->low : outdoors ? a_.climate.coldest : graph::unknown);
            f.warmest = larger(f.warmest, ambient != nullptr ? ambient->high : outdoors ? a_.climate.hottest : graph::unknown);
        }
    }

    void presets(const Bank& bank, BankFigures& f) const {
        const tables::FigureTable* table = a_.standard.table("charge-voltage");
        if (table == nullptr) return;
        const std::string_view word = a_.d.word(at(f.first).chemistry);
        const auto* cells = table->at("chemistry", word, "cells");
        if (cells == nullptr) return;
        // Cells in all: as stated, or from the nominal voltage (12 V of battery are so many cells).
        const double stated = sum(bank.chains.front(), [&](const Bank::Stage& s) { return at(s.front()).cells; });
        const double twelves = std::isnan(stated) ? std::round(f.nominal / 12) : stated / cells->number;
        f.preset_absorb = twelves * table->at("chemistry", word, "absorb")->number;
        f.preset_float = twelves * table->at("chemistry", word, "float")->number;
    }

    const Analysis& a_;
    const std::vector<BatteryData>& batteries_;
};

}  // namespace

std::vector<BankFigures> bank_figures(const Analysis& a, const std::vector<BatteryData>& batteries) {
    std::vector<BankFigures> all;
    const Adder add(a, batteries);
    for (const Bank& bank : a.banks.banks) all.push_back(add.of(bank));
    return all;
}

SetPoint set_point(const Analysis& a, const Port& port, std::string_view what, std::string_view field) {
    const graph::RowId row = setting(a.d, port.device, what);
    if (row && a.d.field(row, field) == nullptr) return {graph::unknown, row, true};  // `set equalise off`
    const Stated s = set_or_stated(a.d, port, what, field);
    return {s.value, s.row, false};
}

}  // namespace ferrule::facts
