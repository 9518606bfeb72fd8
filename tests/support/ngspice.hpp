// The circuit simulator ngspice (package `ngspice`) as a second opinion: circuits as netlists, its operating point read back.
// Many circuits go into one process.
#pragma once

#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include <fmt/format.h>

#include "solve/solver.hpp"

namespace support {

namespace solve = ferrule::solve;

// Of a circuit of this size the nodes that 0 ohm joins are one node of the netlist, and the currents there are not asked for.
inline bool large(const solve::Circuit& c) { return c.nodes > 20000; }

// Each node is named cK_nN, the reference of an island 0. A resistance of 0 ohm is a source of 0 V, which shows its current.
inline std::string netlist(const std::vector<const solve::Circuit*>& circuits) {
    std::string text = "* written by a test\n.options reltol=1e-12 vntol=1e-15 abstol=1e-18 savecurrents\n";
    for (std::size_t k = 0; k < circuits.size(); ++k) {
        const solve::Circuit& c = *circuits[k];
        const solve::Solver solver(c);
        const solve::Solution x = solver.solve();
        std::unordered_set<std::uint32_t> grounded;  // islands whose reference was met
        std::vector<std::string> name(c.nodes);
        std::vector<std::uint32_t> first(solver.islands(), solve::none);
        for (const solve::Source& s : c.sources) {
            const std::uint32_t i = solver.island(s.minus);
            if (solver.island(s.plus) == i && first[i] == solve::none) first[i] = s.minus;
        }
        for (std::uint32_t n = 0; n < c.nodes; ++n) {
            if (first[solver.island(n)] == solve::none) first[solver.island(n)] = n;
        }
        for (std::uint32_t n = 0; n < c.nodes; ++n) name[n] = first[solver.island(n)] == n ? "0" : fmt::format("c{}_n{}", k, n);
        // One that closes a loop of 0 ohm is left out: ngspice knows no share of the current either.
        if (large(c)) {
            std::vector<std::string> of(c.nodes);
            for (std::uint32_t n = 0; n < c.nodes; ++n) {
                std::string& one = of[solver.metal(n)];
                if (one.empty() || name[n] == "0") one = name[n] == "0" ? name[n] : fmt::format("c{}_n{}", k, solver.metal(n));
            }
            for (std::uint32_t n = 0; n < c.nodes; ++n) name[n] = of[solver.metal(n)];
        }
        std::vector<std::uint32_t> leader(c.nodes);
        for (std::uint32_t n = 0; n < c.nodes; ++n) leader[n] = n;
        auto find = [&](std::uint32_t n) {
            while (leader[n] != n) n = leader[n] = leader[leader[n]];
            return n;
        };
        for (std::size_t e = 0; e < c.resistances.size(); ++e) {
            const solve::Resistance& r = c.resistances[e];
            if (r.ohm < solve::least_ohm) {
                if (large(c) || find(r.a) == find(r.b)) continue;
                leader[find(r.a)] = find(r.b);
            }
            if (r.ohm < solve::least_ohm) text += fmt::format("v{}_{} {} {} 0\n", k, e, name[r.a], name[r.b]);
            else text += fmt::format("r{}_{} {} {} {:.17g}\n", k, e, name[r.a], name[r.b], r.ohm);
        }
        for (std::size_t s = 0; s < c.sources.size(); ++s) {
            const solve::Source& r = c.sources[s];
            if (r.plus == r.minus) continue;
            if (r.ampere != 0) text += fmt::format("i{}_{} {} {} {:.17g}\n", k, s, name[r.minus], name[r.plus], r.ampere);
            if (r.siemens > 0) text += fmt::format("rs{}_{} {} {} {:.17g}\n", k, s, name[r.plus], name[r.minus], 1 / r.siemens);
        }
    }
    return text;
}

struct Spice {
    std::unordered_map<std::string, double> values;
    bool ran = false;
    [[nodiscard]] double at(const std::string& name) const {
        const auto i = values.find(name);
        return i == values.end() ? std::nan("") : i->second;
    }
    [[nodiscard]] double volt(std::size_t k, std::size_t node) const {
        const auto i = values.find(fmt::format("v(c{}_n{})", k, node));
        return i == values.end() ? 0 : i->second;  // the reference
    }
    [[nodiscard]] double through(std::size_t k, std::size_t e, bool zero) const {
        return at(zero ? fmt::format("i(v{}_{})", k, e) : fmt::format("i(@r{}_{}[i])", k, e));
    }
};

inline Spice run_spice(const std::string& folder, const std::string& name, const std::vector<const solve::Circuit*>& circuits) {
    const std::string base = (folder.ends_with('/') ? folder : folder + "/") + name;  // ngspice reads a comment behind //
    std::ofstream(base + ".cir") << netlist(circuits) << fmt::format(".control\nset filetype=ascii\nset numdgt=16\nop\nwrite {}.raw\nquit\n.endc\n.end\n", base);
    std::remove((base + ".raw").c_str());
    Spice spice;
    if (std::system(fmt::format("ngspice -b {0}.cir > {0}.log 2>&1", base).c_str()) != 0) return spice;
    std::ifstream in(base + ".raw");
    if (!in) return spice;
    // Variables: a line each with number, name, kind; Values: "0\tvalue", then a value a line.
    std::vector<std::string> names;
    std::string line;
    while (std::getline(in, line) && line.rfind("Variables:", 0) != 0) {}
    while (std::getline(in, line) && line.rfind("Values:", 0) != 0) {
        const std::size_t a = line.find('\t', 1), b = line.find('\t', a + 1);
        names.push_back(line.substr(a + 1, b - a - 1));
    }
    for (std::size_t i = 0; i < names.size() && std::getline(in, line); ++i) {
        spice.values[names[i]] = std::strtod(line.substr(line.rfind('\t') + 1).c_str(), nullptr);
    }
    spice.ran = spice.values.size() == names.size();
    return spice;
}

}  // namespace support
