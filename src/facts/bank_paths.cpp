// The ways to the batteries of a bank: a search by resistance from the port that moves the most current, over what is closed.
#include <algorithm>
#include <cmath>
#include <queue>
#include <unordered_map>

#include "facts/bank_figures.hpp"

namespace ferrule::facts {

namespace {

// All searches together visit so many terminals at most: a design with more of them than a person wires by hand is left unknown.
constexpr std::size_t most_visits = 1'000'000;

struct BankWay {
    double ohms = 0;
    bool lacks = false;             // its resistance is not known
    std::uint32_t lacking = none;   // a conductor on it without one
};

class Searcher {
public:
    Searcher(const Analysis& a, const std::vector<double>& resistance) : a_(a), resistance_(resistance) {}

    Paths find() {
        out_.ohms.assign(a_.battery_sources.size(), graph::unknown);
        out_.lacking.assign(a_.battery_sources.size(), none);
        for (const Bank& bank : a_.banks.banks) {
            if (bank.parallel() > 1 && !bank.laddered() && !bank.reversed) bank_ways(bank);
        }
        return std::move(out_);
    }

private:
    void bank_ways(const Bank& bank) {
        const std::uint32_t port = strongest(bank);
        if (port == none) return;
        std::vector<std::uint32_t> firsts, lasts, whose;
        for (const auto& chain : bank.chains) {
            const std::size_t width = chain.front().size();
            for (std::size_t m = 0; m < width; ++m) {
                firsts.push_back(a_.net.sources[chain.front()[m]].plus);
                lasts.push_back(a_.net.sources[chain.back()[m]].minus);
                whose.push_back(chain.front()[m]);
            }
        }
        const std::vector<BankWay> plus = ways(a_.net.ports[port].plus, firsts), minus = ways(a_.net.ports[port].minus, lasts);
        if (plus.empty() || minus.empty()) return;
        std::size_t k = 0;
        for (const auto& chain : bank.chains) {
            BankWay links;
            for (std::size_t s = 1; s < chain.size(); ++s) {
                const auto link = ways(a_.net.sources[chain[s - 1].front()].minus, {a_.net.sources[chain[s].front()].plus}, false);
                if (link.empty()) return;
                add(links, link.front());
            }
            for (std::size_t m = 0; m < chain.front().size(); ++m, ++k) {
                BankWay all = links;
                add(all, plus[k]);
                add(all, minus[k]);
                const std::uint32_t row = whose[k] - a_.net.strings;
                out_.ohms[row] = all.lacks ? graph::unknown : all.ohms;
                out_.lacking[row] = all.lacking;
            }
        }
    }

    static void add(BankWay& to, const BankWay& x) {
        to.ohms += x.ohms;
        to.lacks = to.lacks || x.lacks;
        if (to.lacking == none) to.lacking = x.lacking;
    }

    [[nodiscard]] std::uint32_t strongest(const Bank& bank) const {
        std::uint32_t best = none;
        double most = -1;
        for (const std::uint32_t k : bank.ports) {
            const PortDemand& x = a_.demand.ports[k];
            const double moves = std::fmax(0, std::fmax(x.takes, a_.net.ports[k].role == Port::Role::battery ? x.gives : 0));
            if (moves > most) {
                most = moves;
                best = k;
            }
        }
        return best;
    }

    // From each of `to` to where the ways of all of them have met, or (not `shared`) to `from` itself. Empty if one is not reached.
    std::vector<BankWay> ways(std::uint32_t from, const std::vector<std::uint32_t>& to, bool shared = true) {
        struct Seen {
            double ohms = 0;
            std::uint32_t by = none;  // edge
            bool done = false;
        };
        using Next = std::pair<double, std::uint32_t>;
        std::unordered_map<std::uint32_t, Seen> seen{{from, {}}};
        std::priority_queue<Next, std::vector<Next>, std::greater<>> queue;
        queue.emplace(0.0, from);
        std::size_t left = to.size();
        while (!queue.empty() && left != 0 && visits_ < most_visits) {
            const std::uint32_t t = queue.top().second;
            queue.pop();
            Seen& here = seen[t];
            if (here.done) continue;
            here.done = true;
            const double ohms = here.ohms;
            left -= static_cast<std::size_t>(std::count(to.begin(), to.end(), t));
            for (std::uint32_t k = a_.net.first[t]; k < a_.net.first[t + 1]; ++k) {
                const std::uint32_t e = a_.net.at[k];
                if (!a_.net.edges[e].closed) continue;
                ++visits_;
                const std::uint32_t u = a_.net.other(e, t);
                const double there = ohms + std::fmax(0, weight(e));  // unknown counts nothing here, and is told below
                const auto [at, is_new] = seen.try_emplace(u, Seen{there, e, false});
                if (!is_new && (at->second.done || at->second.ohms <= there)) continue;
                at->second = {there, e, false};
                queue.emplace(there, u);
            }
        }
        if (left != 0) return {};
        // How many of the ways pass each terminal: where all do, the current is not parted yet.
        std::unordered_map<std::uint32_t, std::size_t> passed;
        for (const std::uint32_t t : to) {
            for (std::uint32_t v = t;; v = a_.net.other(seen[v].by, v)) {
                ++passed[v];
                if (v == from) break;
            }
        }
        std::vector<BankWay> out(to.size());
        for (std::size_t i = 0; i < to.size(); ++i) {
            for (std::uint32_t v = to[i]; v != from && !(shared && passed[v] == to.size()); v = a_.net.other(seen[v].by, v)) {
                const double w = weight(seen[v].by);
                if (std::isnan(w)) {
                    out[i].lacks = true;
                    if (out[i].lacking == none) out[i].lacking = a_.net.edges[seen[v].by].conductor;
                } else {
                    out[i].ohms += w;
                }
            }
        }
        return out;
    }

    [[nodiscard]] double weight(std::uint32_t edge) const {
        const std::uint32_t c = a_.net.edges[edge].conductor;
        return c == none ? 0 : resistance_[c];
    }

    const Analysis& a_;
    const std::vector<double>& resistance_;
    Paths out_;
    std::size_t visits_ = 0;
};

}  // namespace

Paths bank_paths(const Analysis& a, const std::vector<double>& resistance) { return Searcher(a, resistance).find(); }

}  // namespace ferrule::facts
