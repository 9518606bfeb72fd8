// The circuits that the program makes of every example site, in every state it solves, against ngspice: node voltages and branch
// currents, and the current into a short at the terminals of the batteries' circuits.
#include <algorithm>
#include <filesystem>
#include <set>

#include <gtest/gtest.h>

#include "facts/analysis.hpp"
#include "facts/solved.hpp"
#include "helper_plant.hpp"
#include "support/compare_ngspice.hpp"

namespace {

namespace fs = std::filesystem;
using namespace ferrule;

std::vector<std::string> sites() {
    std::vector<std::string> files;
    for (const char* folder : {"/examples", "/tests/planted"}) {
        for (const auto& entry : fs::directory_iterator(std::string(FERRULE_SOURCE_DIR) + folder)) {
            if (entry.path().extension() == ".fer") files.push_back(entry.path().string());
        }
    }
    std::sort(files.begin(), files.end());
    return files;
}

TEST(Network, EveryExampleSiteInEveryStateAgainstNgspice) {
    std::vector<solve::Circuit> circuits;
    std::vector<std::string> names;
    struct Shorted { std::size_t circuit; double ampere; std::string where; };
    std::vector<Shorted> shorts;
    std::set<std::string> seen;
    text::Sources sources;
    const project::Knowledge known = project::learn(sources, base::disk(), {});
    for (const std::string& path : sites()) {
        project::Loader loader(sources, base::disk());
        const auto opened = loader.open(path);
        const auto* file = std::get_if<text::FileId>(&opened);
        ASSERT_NE(file, nullptr) << path;
        const auto study = project::study(sources, loader, *file, known, {});
        const auto& a = *static_cast<const facts::Basis*>(study->facts.basis.get())->analysis;
        const facts::Solved solved(a);
        const std::string site = fs::path(path).stem().string();
        for (facts::Solved::State& state : solved.states(a)) {
            seen.insert(state.name);
            names.push_back(site + ", " + state.name);
            circuits.push_back(std::move(state.circuit));
        }
        const facts::Faults faults = facts::find_faults(a, solved.resist, true);
        std::size_t count = 0;
        for (std::uint32_t t = 0; t < a.net.terminals && count < 24; ++t) {
            if (faults.node.empty() || faults.node[t] == facts::none || faults.against[t] == facts::none || !(faults.at[t] > 0)) continue;
            const std::uint32_t island = a.circuits.island[a.net.on[t]];
            const auto whole = std::find_if(faults.circuits.begin(), faults.circuits.end(), [&](const auto& x) { return x.first == island; });
            solve::Circuit c = whole->second;
            c.resistances.push_back({faults.node[t], faults.node[faults.against[t]], 0});
            shorts.push_back({circuits.size(), faults.at[t], site + ", " + a.d.name(graph::TerminalId(t))});
            names.push_back(site + ", short at " + a.d.name(graph::TerminalId(t)));
            circuits.push_back(std::move(c));
            ++count;
        }
    }
    EXPECT_EQ(seen.size(), 4U);
    std::vector<const solve::Circuit*> batch;
    for (const auto& c : circuits) batch.push_back(&c);
    EXPECT_GT(support::compare("example_sites", names, batch), 10000U);
    EXPECT_GT(shorts.size(), 20U);
    for (const Shorted& s : shorts) {
        const double through = std::fabs(solve::Solver(circuits[s.circuit]).solve().through.back());
        EXPECT_NEAR(through, s.ampere, 1e-6 * s.ampere) << s.where;
    }
}

}  // namespace
