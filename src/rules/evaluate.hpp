// Runs one formula over runs of rows: each node of the formula becomes one loop over a block of
// values. Buffers are kept between blocks, so that after the first block nothing is allocated.
#pragma once

#include <cstdint>
#include <span>
#include <unordered_map>
#include <vector>

#include "rules/bound.hpp"
#include "rules/formula.hpp"

namespace ferrule::rules {

inline constexpr std::uint32_t block_rows = 1024;

// The values of one node; which member is filled goes by the node's type.
struct Block {
    std::span<const double> numbers;
    std::span<const std::uint8_t>
        absent;  // numbers: 1 where NaN means "not applicable"; empty: nowhere
    std::span<const std::uint8_t> flags;  // 0, 1, flag_unknown, flag_absent
    std::span<const std::uint32_t>
        ids;  // words, or rows of the node's table; id_unknown, id_absent
    std::span<const facts::Column::List>
        lists;  // runs of the column's pool; `first` may be id_unknown or id_absent
    const facts::Column* pool = nullptr;
};

// The rows a formula is run over: consecutive ones, or those listed; within an aggregate, with the
// way outwards.
struct Scope {
    std::uint32_t table = none;
    std::uint32_t count = 0;
    std::uint32_t first = 0;
    std::span<const std::uint32_t> rows;  // if not empty: instead of first, first + 1, …
    const Scope* outer = nullptr;
    std::span<const std::uint32_t> outer_at;  // for each row, its position in the outer scope
    [[nodiscard]] std::uint32_t row(std::uint32_t i) const {
        return rows.empty() ? first + i : rows[i];
    }
};

// Some of the rows of a scope, as a scope of their own.
class Selection {
public:
    // Those whose flag is not `out`.
    Selection(const Scope& scope, std::span<const std::uint8_t> flags, std::uint8_t out);
    Selection(const Selection&) = delete;
    Selection& operator=(const Selection&) = delete;
    [[nodiscard]] const Scope& scope() const { return scope_; }
    [[nodiscard]] std::span<const std::uint32_t> at() const { return at_; }  // their positions in the scope they are of

private:
    std::vector<std::uint32_t> at_, rows_, outer_at_;
    Scope scope_;
};

// Which nodes are sure to have been worked out for every row: all, so that `last` may be asked of each row; or only those that the
// answer needs, which takes less time. A single row is always worked out whole.
enum class Effort : std::uint8_t { whole, answer };

class Evaluator {
public:
    Evaluator(const Formula& formula, Bound& bound, Effort effort = Effort::whole);
    // The values of a node over a scope; valid until the same node is evaluated again.
    const Block& eval(std::uint32_t node, const Scope& scope);
    const Block& eval(const Scope& scope) { return eval(formula_.root_index(), scope); }

    // What the node came to when it was last evaluated (with its parent, over the same scope).
    [[nodiscard]] const Block& last(std::uint32_t node) const { return slots_[node].block; }
    [[nodiscard]] bool unknown(std::uint32_t node) const;  // … in the first row
    [[nodiscard]] bool absent(std::uint32_t node) const;

    [[nodiscard]] const Formula& formula() const { return formula_; }
    [[nodiscard]] Bound& bound() const { return bound_; }

private:
    struct Slot {
        Block block;
        std::vector<double> numbers;
        std::vector<std::uint8_t> absent, flags;
        std::vector<std::uint32_t> ids;
        std::vector<facts::Column::List> lists;
        std::uint32_t uniform_rows = 0;  // how far a uniform value was spread
        const std::vector<std::uint8_t>* says = nullptr;  // comparisons with words: the answer of every row
        std::vector<std::uint32_t> element_rows, element_outer;  // aggregates
        std::unordered_map<std::uint64_t, std::pair<double, std::uint8_t>>
            known;  // aggregates over shared lists
    };

    void compute(std::uint32_t node, const Scope& scope);
    void spread(std::uint32_t node, std::uint32_t count);
    void row_ids(const Node& n, Slot& slot, const Scope& scope);
    void column(const Node& n, Slot& slot, const Scope& scope);
    void property(const Node& n, Slot& slot, const Scope& scope);
    void figure(const Node& n, Slot& slot, const Scope& scope);
    void look_up(const Node& n, Slot& slot, const Scope& scope);
    void arithmetic(const Node& n, Slot& slot, const Scope& scope);
    void compare(const Node& n, Slot& slot, const Scope& scope);
    void in_list(const Node& n, Slot& slot, const Scope& scope);
    void logic(const Node& n, Slot& slot, const Scope& scope);
    void choose(const Node& n, Slot& slot, const Scope& scope);
    void known(const Node& n, Slot& slot, const Scope& scope);
    void aggregate(const Node& n, Slot& slot, const Scope& scope);
    [[nodiscard]] const std::vector<std::uint8_t>* words_said(const Node& n);
    bool says_words(const Node& n, Slot& slot, const Scope& scope);

    const Formula& formula_;
    Bound& bound_;
    Effort effort_;
    std::vector<Slot> slots_;
};

// The logic of four values; see run.hpp.
[[nodiscard]] std::uint8_t logic_and(std::uint8_t a, std::uint8_t b);
[[nodiscard]] std::uint8_t logic_or(std::uint8_t a, std::uint8_t b);
[[nodiscard]] std::uint8_t logic_not(std::uint8_t a);
// Numbers that differ by no more than 1e-9 of the larger are equal.
[[nodiscard]] bool nearly_equal(double a, double b);

}  // namespace ferrule::rules
