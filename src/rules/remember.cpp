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
            const facts::Column* const column = bound_.column(n.table, n.column);
            const facts::Changed& changed = since_.of(column);
            const Node& subject = f.nodes[f.child(n, 0)];
            const bool own = !inside && subject.op == Op::row && subject.level == 0;
            if (changed.all || (!own && !changed.none())) return false;
            out.anything = out.anything || since_.made_anew(column);
            out.rows.insert(out.rows.end(), changed.rows.begin(), changed.rows.end());
        }
        for (std::uint32_t i = 0; i < n.children; ++i) {
            if (!visit(f, f.child(n, i), inside || (aggregates(n.op) && i > 0))) return false;
        }
        return true;
    }

    Touched out;

private:
    const Bound& bound_;
    const facts::Difference& since_;
};

}  // namespace

std::optional<Touched> touched(const Rule& rule, const Bound& bound, const facts::Difference& since) {
    // A table of other rows counts as changed in every column; a rule may ask nothing of its own rows, and still has to judge each.
    const std::uint32_t about = bound.table_index(rule.about);
    const facts::Table* const table = about == none ? nullptr : bound.table(about);
    if (table != nullptr && !table->columns.empty() && since.of(&table->columns.front()).all) return std::nullopt;
    Toucher t(bound, since);
    for (const Formula* f : {&rule.when, &rule.require}) {
        if (!f->empty() && !t.visit(*f, f->root_index(), false)) return std::nullopt;
    }
    std::vector<std::uint32_t>& rows = t.out.rows;
    std::sort(rows.begin(), rows.end());
    rows.erase(std::unique(rows.begin(), rows.end()), rows.end());
    return std::move(t.out);
}

}  // namespace ferrule::rules
