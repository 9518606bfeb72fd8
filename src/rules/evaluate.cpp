#include "rules/evaluate.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ferrule::rules {

Selection::Selection(const Scope& scope, std::span<const std::uint8_t> flags, std::uint8_t out) : scope_(scope) {
    for (std::uint32_t i = 0; i < scope.count; ++i) {
        if (flags[i] == out) continue;
        at_.push_back(i);
        rows_.push_back(scope.row(i));
        if (scope.outer != nullptr) outer_at_.push_back(scope.outer_at[i]);
    }
    scope_.count = static_cast<std::uint32_t>(rows_.size());
    scope_.rows = rows_;
    scope_.outer_at = outer_at_;
}

Evaluator::Evaluator(const Formula& formula, Bound& bound, Effort effort)
    : formula_(formula), bound_(bound), effort_(effort), slots_(formula.nodes.size()) {}

const Block& Evaluator::eval(std::uint32_t node, const Scope& scope) {
    Slot& slot = slots_[node];
    if (formula_.nodes[node].reach >= 0) {
        compute(node, scope);
        return slot.block;
    }
    // The same for every row: worked out once, then spread as far as it is asked for.
    if (slot.uniform_rows == 0) {
        Scope one;
        one.count = 1;
        compute(node, one);
        slot.uniform_rows = 1;
    }
    if (slot.uniform_rows < scope.count) spread(node, std::max(scope.count, block_rows));
    return slot.block;
}

bool Evaluator::unknown(std::uint32_t node) const {
    const Block& b = slots_[node].block;
    switch (formula_.nodes[node].type.kind) {
        case facts::Type::number:
            return std::isnan(b.numbers[0]) && (b.absent.empty() || b.absent[0] == 0);
        case facts::Type::flag:
            return b.flags[0] == flag_unknown;
        case facts::Type::subjects:
            return b.lists[0].first == id_unknown;
        default:
            return b.ids[0] == id_unknown;
    }
}

bool Evaluator::absent(std::uint32_t node) const {
    const Block& b = slots_[node].block;
    switch (formula_.nodes[node].type.kind) {
        case facts::Type::number:
            return !b.absent.empty() && b.absent[0] != 0;
        case facts::Type::flag:
            return b.flags[0] == flag_absent;
        case facts::Type::subjects:
            return b.lists[0].first == id_absent;
        default:
            return b.ids[0] == id_absent;
    }
}

void Evaluator::spread(std::uint32_t node, std::uint32_t count) {
    Slot& s = slots_[node];
    const Block one = s.block;
    const auto fill = [count](auto& into, auto from) {
        if (from.empty()) return from;
        const auto value = from.front();
        into.assign(count, value);
        return decltype(from)(into);
    };
    s.block.numbers = fill(s.numbers, one.numbers);
    s.block.absent = fill(s.absent, one.absent);
    s.block.flags = fill(s.flags, one.flags);
    s.block.ids = fill(s.ids, one.ids);
    s.block.lists = fill(s.lists, one.lists);
    s.uniform_rows = count;
}

void Evaluator::compute(std::uint32_t node, const Scope& scope) {
    const Node& n = formula_.nodes[node];
    Slot& slot = slots_[node];
    slot.block = {};
    switch (n.op) {
        case Op::number:
            slot.numbers.assign(1, n.number);
            slot.block.numbers = slot.numbers;
            break;
        case Op::word:
            slot.ids.assign(1, bound_.word(formula_.names[n.name]));
            slot.block.ids = slot.ids;
            break;
        case Op::site: {
            const facts::Table* site = bound_.table(n.type.table);
            slot.ids.assign(1, site == nullptr || site->rows == 0 ? id_unknown : 0);
            slot.block.ids = slot.ids;
            break;
        }
        case Op::row:
            row_ids(n, slot, scope);
            break;
        case Op::column:
            column(n, slot, scope);
            break;
        case Op::property:
            property(n, slot, scope);
            break;
        case Op::figure:
            figure(n, slot, scope);
            break;
        case Op::band:
        case Op::at:
        case Op::next_size:
            look_up(n, slot, scope);
            break;
        case Op::negate:
        case Op::absolute:
        case Op::add:
        case Op::subtract:
        case Op::multiply:
        case Op::divide:
        case Op::least:
        case Op::greatest:
            arithmetic(n, slot, scope);
            break;
        case Op::equal:
        case Op::unequal:
        case Op::less:
        case Op::less_equal:
        case Op::greater:
        case Op::greater_equal:
            compare(n, slot, scope);
            break;
        case Op::in_list:
            in_list(n, slot, scope);
            break;
        case Op::logic_not:
        case Op::logic_and:
        case Op::logic_or:
            logic(n, slot, scope);
            break;
        case Op::choose:
            choose(n, slot, scope);
            break;
        case Op::known:
            known(n, slot, scope);
            break;
        case Op::all:
        case Op::any:
        case Op::count:
        case Op::sum:
        case Op::minimum:
        case Op::maximum:
            aggregate(n, slot, scope);
            break;
    }
}

void Evaluator::row_ids(const Node& n, Slot& slot, const Scope& scope) {
    if (n.level == 0 && !scope.rows.empty()) {
        slot.block.ids = scope.rows.first(scope.count);
        return;
    }
    slot.ids.resize(scope.count);
    if (n.level == 0) {
        std::iota(slot.ids.begin(), slot.ids.end(), scope.first);
    } else {
        for (std::uint32_t i = 0; i < scope.count; ++i) {
            const Scope* s = &scope;
            std::uint32_t at = i;
            for (std::uint8_t level = 0; level < n.level; ++level) {
                at = s->outer_at[at];
                s = s->outer;
            }
            slot.ids[i] = s->row(at);
        }
    }
    slot.block.ids = slot.ids;
}

void Evaluator::column(const Node& n, Slot& slot, const Scope& scope) {
    const facts::Column* c = bound_.column(n.table, n.column);
    const std::uint32_t subject = formula_.child(n, 0);
    const Node& subject_node = formula_.nodes[subject];
    const std::uint32_t count = scope.count;
    const bool run =
        c != nullptr && subject_node.op == Op::row && subject_node.level == 0 && scope.rows.empty();
    if (run && n.type.kind == facts::Type::number) {
        slot.block.numbers = std::span(c->numbers).subspan(scope.first, count);
        return;
    }
    if (run && n.type.kind == facts::Type::flag) {
        slot.block.flags = std::span(c->flags).subspan(scope.first, count);
        return;
    }
    const std::span<const std::uint32_t> ids = eval(subject, scope).ids;
    const auto gather = [&](auto& into, auto unknown, auto absent, auto value) {
        into.resize(count);
        for (std::uint32_t i = 0; i < count; ++i) {
            const std::uint32_t id = ids[i];
            into[i] = id == id_absent                    ? absent
                      : id == id_unknown || c == nullptr ? unknown
                                                         : value(id);
        }
    };
    switch (n.type.kind) {
        case facts::Type::number: {
            bool any_absent = false;
            slot.numbers.resize(count);
            for (std::uint32_t i = 0; i < count; ++i) {
                const std::uint32_t id = ids[i];
                slot.numbers[i] = id >= id_absent || c == nullptr ? graph::unknown : c->numbers[id];
                any_absent = any_absent || id == id_absent;
            }
            slot.block.numbers = slot.numbers;
            if (any_absent) {
                slot.absent.resize(count);
                for (std::uint32_t i = 0; i < count; ++i)
                    slot.absent[i] = ids[i] == id_absent ? 1 : 0;
                slot.block.absent = slot.absent;
            }
            break;
        }
        case facts::Type::flag:
            gather(slot.flags, flag_unknown, flag_absent,
                   [&](std::uint32_t id) { return c->flags[id]; });
            slot.block.flags = slot.flags;
            break;
        case facts::Type::word:
            gather(slot.ids, id_unknown, id_absent,
                   [&](std::uint32_t id) { return c->words[id].value; });
            slot.block.ids = slot.ids;
            break;
        case facts::Type::subject: {
            const std::uint32_t if_none =
                c != nullptr && c->not_applicable_is_false ? id_absent : id_unknown;
            gather(slot.ids, id_unknown, id_absent, [&](std::uint32_t id) {
                const std::uint32_t to = c->subjects[id];
                return to == facts::no_row ? if_none : to;
            });
            slot.block.ids = slot.ids;
            break;
        }
        case facts::Type::subjects:
            gather(slot.lists, facts::Column::List{id_unknown, 0},
                   facts::Column::List{id_absent, 0},
                   [&](std::uint32_t id) { return c->lists[id]; });
            slot.block.lists = slot.lists;
            slot.block.pool = c;
            break;
    }
}

void Evaluator::property(const Node& n, Slot& slot, const Scope& scope) {
    const PropertyColumn& c = bound_.property(n.table, formula_.properties[n.name]);
    const std::span<const std::uint32_t> ids = eval(formula_.child(n, 0), scope).ids;
    const std::uint32_t count = scope.count;
    if (n.type.kind == facts::Type::number) {
        bool any_absent = false;
        slot.numbers.resize(count);
        slot.absent.resize(count);
        for (std::uint32_t i = 0; i < count; ++i) {
            slot.numbers[i] = ids[i] >= id_absent ? graph::unknown : c.numbers[ids[i]];
            slot.absent[i] = ids[i] == id_absent ? 1 : 0;
            any_absent = any_absent || ids[i] == id_absent;
        }
        slot.block.numbers = slot.numbers;
        if (any_absent) slot.block.absent = slot.absent;
    } else if (n.type.kind == facts::Type::word) {
        slot.ids.resize(count);
        for (std::uint32_t i = 0; i < count; ++i)
            slot.ids[i] = ids[i] >= id_absent ? ids[i] : c.words[ids[i]];
        slot.block.ids = slot.ids;
    } else {
        slot.flags.resize(count);
        for (std::uint32_t i = 0; i < count; ++i) {
            slot.flags[i] = ids[i] == id_absent    ? flag_absent
                            : ids[i] == id_unknown ? flag_unknown
                                                   : c.stated[ids[i]];
        }
        slot.block.flags = slot.flags;
    }
}

void Evaluator::figure(const Node& n, Slot& slot, const Scope&) {
    const tables::Figure* f = bound_.standard().figure(formula_.names[n.name]);
    if (n.type.kind == facts::Type::word) {
        slot.ids.assign(1, f == nullptr ? id_unknown : bound_.word(f->word));
        slot.block.ids = slot.ids;
    } else {
        slot.numbers.assign(1, f == nullptr ? graph::unknown : f->value);
        slot.block.numbers = slot.numbers;
    }
}

void Evaluator::look_up(const Node& n, Slot& slot, const Scope& scope) {
    const Block& key = eval(formula_.child(n, 0), scope);
    const tables::FigureTable* t = bound_.standard().table(formula_.names[n.name]);
    const std::string_view value_column =
        n.column == none ? std::string_view() : formula_.names[n.column];
    const std::uint32_t count = scope.count;
    const bool words = n.type.kind == facts::Type::word;
    if (words) slot.ids.assign(count, id_unknown);
    else slot.numbers.assign(count, graph::unknown);
    const auto put = [&](std::uint32_t i, std::optional<double> number) {
        if (number) slot.numbers[i] = *number;
    };
    const bool usable =
        t != nullptr && !t->columns.empty() && (n.column == none || t->column(value_column) >= 0);
    for (std::uint32_t i = 0; usable && i < count; ++i) {
        if (n.op == Op::at) {
            if (key.ids[i] >= id_absent) continue;
            const auto* cell =
                t->at(t->columns.front().name, bound_.word_text(key.ids[i]), value_column);
            if (cell == nullptr) continue;
            if (words) slot.ids[i] = bound_.word(cell->word);
            else slot.numbers[i] = cell->number;
        } else if (!std::isnan(key.numbers[i])) {
            put(i, n.op == Op::band ? t->band(key.numbers[i], value_column)
                                    : t->next_size(t->columns.front().name, key.numbers[i]));
        }
    }
    if (words) {
        for (std::uint32_t i = 0; i < count; ++i) {
            if (key.ids[i] == id_absent) slot.ids[i] = id_absent;
        }
        slot.block.ids = slot.ids;
        return;
    }
    slot.block.numbers = slot.numbers;
    if (n.op == Op::at) {
        slot.absent.resize(count);
        for (std::uint32_t i = 0; i < count; ++i) slot.absent[i] = key.ids[i] == id_absent ? 1 : 0;
        slot.block.absent = slot.absent;
    } else if (!key.absent.empty()) {
        slot.absent.assign(key.absent.begin(), key.absent.begin() + count);
        slot.block.absent = slot.absent;
    }
}

}  // namespace ferrule::rules
