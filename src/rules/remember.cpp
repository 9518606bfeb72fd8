#include "rules/remember.hpp"

#include <algorithm>

#include "rules/check.hpp"

namespace ferrule::rules {

namespace {

class Toucher {
public:
    Toucher(const Bound& bound, const facts::Difference& since) : bound_(bound), since_(since) {}

    // False: any row may be another. `inside`: what is named is a fact of an aggregate's elements.
    bool visit(const Formula& f, std::uint32_t node, bool inside) {
        const Node& n = f.nodes[node];
        if (n.op == Op::property && !since_.same_statements()) return false;
        if (n.op == Op::column) {
            const facts::Changed& changed = since_.of(bound_.column(n.table, n.column));
            const Node& subject = f.nodes[f.child(n, 0)];
            const bool own = !inside && subject.op == Op::row && subject.level == 0;
            if (changed.all || (!own && !changed.none())) return false;
            rows.insert(rows.end(), changed.rows.begin(), changed.rows.end());
        }
        for (std::uint32_t i = 0; i < n.children; ++i) {
            if (!visit(f, f.child(n, i), inside || (aggregates(n.op) && i > 0))) return false;
        }
        return true;
    }

    std::vector<std::uint32_t> rows;

private:
    const Bound& bound_;
    const facts::Difference& since_;
};

}  // namespace

std::optional<std::vector<std::uint32_t>> touched(const Rule& rule, const Bound& bound, const facts::Difference& since) {
    Toucher t(bound, since);
    for (const Formula* f : {&rule.when, &rule.require}) {
        if (!f->empty() && !t.visit(*f, f->root_index(), false)) return std::nullopt;
    }
    std::sort(t.rows.begin(), t.rows.end());
    t.rows.erase(std::unique(t.rows.begin(), t.rows.end()), t.rows.end());
    return std::move(t.rows);
}

}  // namespace ferrule::rules
