#include "solve/elimination.hpp"

namespace ferrule::solve {

namespace {

constexpr std::uint32_t small = 8;   // up to so many branches a node is compared branch by branch
constexpr int rounds = 24;           // passes over the larger ones

}  // namespace

Elimination::Elimination(std::uint32_t nodes, const std::vector<Branch>& branches)
    : first_(std::size_t{nodes} + 2, 0), length_(nodes, 0), degree_(nodes, 0), done_(nodes, 0), called_(nodes, 0) {
    const auto ends = static_cast<std::uint32_t>(branches.size() * 2);
    node_.resize(ends);
    partner_.resize(ends);
    siemens_.resize(ends);
    gone_.assign(ends, 0);
    at_.resize(ends);
    steps_.reserve(nodes + branches.size() / 8);
    for (std::uint32_t e = 0; e < branches.size(); ++e) {
        for (const std::uint32_t end : {2 * e, 2 * e + 1}) {
            node_[end] = end % 2 == 0 ? branches[e].a : branches[e].b;
            partner_[end] = end ^ 1U;
            siemens_[end] = branches[e].siemens;
            ++first_[node_[end] + 2];
        }
    }
    for (std::size_t i = 2; i < first_.size(); ++i) first_[i] += first_[i - 1];
    for (std::uint32_t end = 0; end < ends; ++end) at_[first_[node_[end] + 1]++] = end;
    for (std::uint32_t n = 0; n < nodes; ++n) length_[n] = degree_[n] = first_[n + 1] - first_[n];
    for (std::uint32_t n = nodes; n-- > 0;) call(n);
    drain();

    std::vector<std::uint32_t> seen(nodes, none);
    for (int round = 0; round < rounds; ++round) {
        bool any = false;
        for (std::uint32_t n = 0; n < nodes; ++n) {
            if (done_[n] != 0 || degree_[n] <= small) continue;
            tidy(n);
            for (std::uint32_t k = first_[n]; k < first_[n] + length_[n]; ++k) {
                const std::uint32_t end = at_[k], far = node_[partner_[end]];
                // The end that led there last: maybe another node's, from an earlier round, or paired with something else since.
                const std::uint32_t before = seen[far];
                if (before != none && before != end && node_[before] == n && gone_[before] == 0 && node_[partner_[before]] == far) {
                    merge(before, end);
                    any = true;
                } else {
                    seen[far] = end;
                }
            }
            call(n);
        }
        if (!any) break;
        drain();
    }
    for (std::uint32_t n = 0; n < nodes; ++n) {
        if (done_[n] != 0) continue;
        core_nodes.push_back(n);
        tidy(n);
        for (std::uint32_t k = first_[n]; k < first_[n] + length_[n]; ++k) {
            if (at_[k] < partner_[at_[k]]) core_ends.push_back(at_[k]);
        }
    }
}

void Elimination::call(std::uint32_t n) {
    if (degree_[n] > small || called_[n] != 0 || done_[n] != 0) return;
    called_[n] = 1;
    work_.push_back(n);
}

void Elimination::drain() {
    while (!work_.empty()) {
        const std::uint32_t n = work_.back();
        work_.pop_back();
        called_[n] = 0;
        if (done_[n] == 0) look_at(n);
    }
}

// Takes ends that are gone out of the node's list.
void Elimination::tidy(std::uint32_t n) {
    if (length_[n] == degree_[n]) return;
    std::uint32_t kept = first_[n];
    for (std::uint32_t k = first_[n]; k < first_[n] + length_[n]; ++k) {
        if (gone_[at_[k]] == 0) at_[kept++] = at_[k];
    }
    length_[n] = kept - first_[n];
}

void Elimination::merge(std::uint32_t kept, std::uint32_t dropped) {
    Step s;
    s.kind = Step::Kind::parallel;
    s.near_x = kept;
    s.far_x = partner_[kept];
    s.near_y = dropped;
    s.far_y = partner_[dropped];
    s.x = siemens_[kept];
    s.y = siemens_[dropped];
    steps_.push_back(s);
    siemens_[s.near_x] = siemens_[s.far_x] = s.x + s.y;
    gone_[s.near_y] = gone_[s.far_y] = 1;
    --degree_[node_[s.near_y]];
    --degree_[node_[s.far_y]];
    call(node_[s.far_y]);
}

void Elimination::look_at(std::uint32_t n) {
    tidy(n);
    const std::uint32_t* const list = at_.data() + first_[n];
    for (std::uint32_t i = 0; i < length_[n]; ++i) {
        if (gone_[list[i]] != 0) continue;
        for (std::uint32_t k = i + 1; k < length_[n]; ++k) {
            if (gone_[list[k]] == 0 && node_[partner_[list[i]]] == node_[partner_[list[k]]]) merge(list[i], list[k]);
        }
    }
    tidy(n);
    if (degree_[n] > 2) return;
    Step s;
    s.node = n;
    done_[n] = 1;
    if (degree_[n] >= 1) {
        s.kind = Step::Kind::leaf;
        s.near_x = list[0];
        s.far_x = partner_[s.near_x];
        s.x = siemens_[s.near_x];
    }
    if (degree_[n] == 1) {
        gone_[s.far_x] = 1;
        --degree_[node_[s.far_x]];
        call(node_[s.far_x]);
    } else if (degree_[n] == 2) {
        s.kind = Step::Kind::series;
        s.near_y = list[1];
        s.far_y = partner_[s.near_y];
        s.y = siemens_[s.near_y];
        partner_[s.far_x] = s.far_y;
        partner_[s.far_y] = s.far_x;
        siemens_[s.far_x] = siemens_[s.far_y] = s.x * (s.y / (s.x + s.y));
        call(node_[s.far_x]);
        call(node_[s.far_y]);
    }
    steps_.push_back(s);
}

void Elimination::forward(std::vector<double>& injected) const {
    for (const Step& s : steps_) {
        if (s.kind == Step::Kind::leaf) {
            injected[node_[s.far_x]] += injected[s.node];
        } else if (s.kind == Step::Kind::series) {
            injected[node_[s.far_x]] += injected[s.node] * (s.x / (s.x + s.y));
            injected[node_[s.far_y]] += injected[s.node] * (s.y / (s.x + s.y));
        }
    }
}

void Elimination::backward(const std::vector<double>& injected, std::vector<double>& volt, std::vector<double>& out) const {
    for (std::size_t i = steps_.size(); i-- > 0;) {
        const Step& s = steps_[i];
        switch (s.kind) {
            case Step::Kind::root: volt[s.node] = 0; break;
            case Step::Kind::leaf:
                out[s.near_x] = injected[s.node];
                out[s.far_x] = -out[s.near_x];
                volt[s.node] = volt[node_[s.far_x]] + out[s.near_x] / s.x;
                break;
            case Step::Kind::series:
                out[s.far_x] -= injected[s.node] * (s.x / (s.x + s.y));
                out[s.far_y] -= injected[s.node] * (s.y / (s.x + s.y));
                out[s.near_x] = -out[s.far_x];
                out[s.near_y] = -out[s.far_y];
                volt[s.node] = s.x > s.y ? volt[node_[s.far_x]] + out[s.near_x] / s.x : volt[node_[s.far_y]] + out[s.near_y] / s.y;
                break;
            case Step::Kind::parallel:
                out[s.near_y] = out[s.near_x] * (s.y / (s.x + s.y));
                out[s.near_x] *= s.x / (s.x + s.y);
                out[s.far_y] = -out[s.near_y];
                out[s.far_x] = -out[s.near_x];
                break;
        }
    }
}

}  // namespace ferrule::solve
