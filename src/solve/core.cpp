#include "solve/core.hpp"

#include <Eigen/SparseCholesky>

#include <cmath>
#include <limits>

namespace ferrule::solve {

namespace {

constexpr int refinements = 12;
constexpr double settled = 1e-14;      // change of the volts by one more refinement, of the largest: as good as it gets
constexpr double good_enough = 1e-10;  // more than this after the last one: cannot be judged

}  // namespace

struct Core::Equations {
    const Elimination& e;
    std::vector<std::uint32_t> place;  // per node: its place in e.core_nodes
    std::vector<std::uint32_t> part;   // per place
    std::vector<std::uint32_t> roots;  // per part: a node
    std::vector<std::uint32_t> row;    // per place: its row; none for roots
    Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Lower, Eigen::AMDOrdering<int>> factors;
    bool factored = false;
    Eigen::Index rows = 0;

    explicit Equations(const Elimination& elimination) : e(elimination) {
        const auto n = static_cast<std::uint32_t>(e.core_nodes.size());
        if (n == 0) return;
        place.assign(e.core_nodes.back() + 1, none);
        for (std::uint32_t i = 0; i < n; ++i) place[e.core_nodes[i]] = i;
        find_parts(n);
        std::vector<Eigen::Triplet<double>> entries;
        entries.reserve(e.core_ends.size() * 3);
        std::vector<double> diagonal(n, 0);
        for (const std::uint32_t end : e.core_ends) {
            const std::uint32_t a = at(end), b = at(e.partner(end));
            const double g = e.siemens(end);
            diagonal[a] += g;
            diagonal[b] += g;
            if (row[a] == none || row[b] == none) continue;
            entries.emplace_back(std::max(row[a], row[b]), std::min(row[a], row[b]), -g);
        }
        for (std::uint32_t i = 0; i < n; ++i) {
            if (row[i] != none) entries.emplace_back(row[i], row[i], diagonal[i]);
        }
        Eigen::SparseMatrix<double> matrix(rows, rows);
        matrix.setFromTriplets(entries.begin(), entries.end());
        factors.compute(matrix);
        factored = factors.info() == Eigen::Success;
    }

    [[nodiscard]] std::uint32_t at(std::uint32_t end) const { return place[e.node_of(end)]; }

    void find_parts(std::uint32_t n) {
        std::vector<std::uint32_t> leader(n);
        for (std::uint32_t i = 0; i < n; ++i) leader[i] = i;
        auto find = [&](std::uint32_t x) {
            while (leader[x] != x) x = leader[x] = leader[leader[x]];
            return x;
        };
        for (const std::uint32_t end : e.core_ends) {
            const std::uint32_t a = find(at(end)), b = find(at(e.partner(end)));
            leader[std::max(a, b)] = std::min(a, b);
        }
        part.assign(n, none);
        row.assign(n, none);
        for (std::uint32_t i = 0; i < n; ++i) {
            const std::uint32_t first = find(i);
            if (first == i) {
                part[i] = static_cast<std::uint32_t>(roots.size());
                roots.push_back(e.core_nodes[i]);
            } else {
                part[i] = part[first];
                row[i] = static_cast<std::uint32_t>(rows++);
            }
        }
    }
};

Core::Core(const Elimination& e) : equations_(std::make_unique<Equations>(e)) {}
Core::~Core() = default;

bool Core::empty() const { return equations_->roots.empty(); }
const std::vector<std::uint32_t>& Core::roots() const { return equations_->roots; }

std::uint32_t Core::part_of(std::uint32_t node) const {
    const Equations& q = *equations_;
    return node >= q.place.size() || q.place[node] == none ? none : q.part[q.place[node]];
}

void Core::solve(const std::vector<double>& injected, std::vector<double>& volt, std::vector<double>& out) const {
    if (empty()) return;
    const Equations& q = *equations_;
    const std::size_t n = q.e.core_nodes.size();
    std::vector<long double> v(n, 0), rest(n);
    std::vector<double> change(q.roots.size(), std::numeric_limits<double>::infinity()), largest(q.roots.size(), 0);
    Eigen::VectorXd right(q.rows);
    for (int round = 0; round < refinements && q.factored; ++round) {
        for (std::size_t i = 0; i < n; ++i) rest[i] = injected[q.e.core_nodes[i]];
        for (const std::uint32_t end : q.e.core_ends) {
            const std::uint32_t a = q.at(end), b = q.at(q.e.partner(end));
            const long double i = static_cast<long double>(q.e.siemens(end)) * (v[a] - v[b]);
            rest[a] -= i;
            rest[b] += i;
        }
        for (std::size_t i = 0; i < n; ++i) {
            if (q.row[i] != none) right[q.row[i]] = static_cast<double>(rest[i]);
        }
        const Eigen::VectorXd step = q.factors.solve(right);
        std::vector<double> moved(q.roots.size(), 0);
        largest.assign(q.roots.size(), 0);
        for (std::size_t i = 0; i < n; ++i) {
            if (q.row[i] == none) continue;
            v[i] += step[q.row[i]];
            // A NaN sticks: fmax would lose it.
            double& m = moved[q.part[i]];
            const double s = std::fabs(step[q.row[i]]);
            if (!(s <= m)) m = s;
            largest[q.part[i]] = std::fmax(largest[q.part[i]], std::fabs(static_cast<double>(v[i])));
        }
        bool all = true;
        for (std::size_t p = 0; p < q.roots.size(); ++p) {
            change[p] = largest[p] > 0 ? moved[p] / largest[p] : moved[p];
            all = all && change[p] <= settled;
        }
        if (all) break;
    }
    for (std::size_t i = 0; i < n; ++i) {
        const bool good = change[q.part[i]] <= good_enough;
        volt[q.e.core_nodes[i]] = good ? static_cast<double>(v[i]) : std::numeric_limits<double>::quiet_NaN();
        if (!good) v[i] = std::numeric_limits<long double>::quiet_NaN();
    }
    for (const std::uint32_t end : q.e.core_ends) {
        const std::uint32_t far = q.e.partner(end);
        out[end] = static_cast<double>(static_cast<long double>(q.e.siemens(end)) * (v[q.at(end)] - v[q.at(far)]));
        out[far] = -out[end];
    }
}

}  // namespace ferrule::solve
