// all, any, count, sum, min, max: the elements of the lists of many rows are laid end to end, the
// expression is run over them in one go, and each row takes its share. A list that many rows share
// is worked out once.
#include <algorithm>
#include <cmath>

#include "rules/evaluate.hpp"

namespace ferrule::rules {

namespace {

constexpr std::uint32_t elements_at_once = 16 * block_rows;

// What one list comes to: a number, or a flag in `flag`; a number that is NaN says in `flag` why.
struct Sum {
    double number = graph::unknown;
    std::uint8_t flag = flag_unknown;
};

Sum flags_of(Op op, std::span<const std::uint8_t> flags) {
    std::uint32_t yes = 0, no = 0, unknown = 0;
    for (const std::uint8_t f : flags) {
        yes += f == 1 ? 1 : 0;
        no += f == 0 ? 1 : 0;
        unknown +=
            f == flag_unknown ? 1 : 0;  // elements the expression does not apply to are passed over
    }
    Sum s;
    if (op == Op::all) s.flag = no > 0 ? 0 : unknown > 0 ? flag_unknown : 1;
    if (op == Op::any) s.flag = yes > 0 ? 1 : unknown > 0 ? flag_unknown : 0;
    if (op == Op::count && unknown == 0) s.number = yes;
    return s;
}

Sum numbers_of(Op op, std::span<const double> numbers, std::span<const std::uint8_t> absent) {
    Sum s;
    double total = op == Op::sum ? 0 : graph::unknown;
    bool none_yet = true;
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        if (!absent.empty() && absent[i] != 0) continue;
        if (std::isnan(numbers[i])) return s;
        if (op == Op::sum) total += numbers[i];
        else if (none_yet) total = numbers[i];
        else total = op == Op::minimum ? std::min(total, numbers[i]) : std::max(total, numbers[i]);
        none_yet = false;
    }
    s.number = total;
    if (none_yet && op != Op::sum) s.flag = flag_absent;  // the least of nothing
    return s;
}

}  // namespace

void Evaluator::aggregate(const Node& n, Slot& slot, const Scope& scope) {
    const std::uint32_t count = scope.count;
    const std::uint32_t list_at = formula_.child(n, 0);
    const Node& list_node = formula_.nodes[list_at];
    const Block& lists = eval(list_at, scope);
    const bool flag = n.type.kind == facts::Type::flag;
    if (flag) {
        slot.flags.resize(count);
    } else {
        slot.numbers.resize(count);
        slot.absent.resize(count);
    }
    const auto put = [&](std::uint32_t i, const Sum& s) {
        if (flag) {
            slot.flags[i] = s.flag;
        } else {
            slot.numbers[i] = s.number;
            slot.absent[i] = std::isnan(s.number) && s.flag == flag_absent ? 1 : 0;
        }
    };
    const auto finish = [&] {
        if (flag) {
            slot.block.flags = slot.flags;
        } else {
            slot.block.numbers = slot.numbers;
            slot.block.absent = slot.absent;
        }
    };
    const bool alone = n.children == 1;
    const std::uint32_t each = alone ? none : formula_.child(n, 1);
    // Shared lists come by a path (string.group.strings); they may be kept if the expression looks
    // at nothing outside.
    const bool shared = !alone && formula_.nodes[each].reach <= 0 &&
                        formula_.nodes[formula_.child(list_node, 0)].op != Op::row;

    std::uint32_t i = 0;
    while (i < count) {
        // Rows i to last, whose elements are worked out together.
        slot.element_rows.clear();
        slot.element_outer.clear();
        std::uint32_t last = i;
        for (; last < count && (last == i || slot.element_rows.size() < elements_at_once); ++last) {
            const auto list = lists.lists[last];
            if (list.first >= id_absent || alone) continue;
            if (shared) {
                const std::uint64_t key = std::uint64_t{list.first} << 32U | list.count;
                if (!slot.known.try_emplace(key, graph::unknown, flag_unknown).second) continue;
            }
            const auto* begin = lists.pool->pool.data() + list.first;
            slot.element_rows.insert(slot.element_rows.end(), begin, begin + list.count);
            slot.element_outer.insert(slot.element_outer.end(), list.count, last);
        }
        Block values;
        if (!slot.element_rows.empty()) {
            Scope inner;
            inner.table = list_node.type.table;
            inner.count = static_cast<std::uint32_t>(slot.element_rows.size());
            inner.rows = slot.element_rows;
            inner.outer = &scope;
            inner.outer_at = slot.element_outer;
            values = eval(each, inner);
        }
        std::size_t at = 0;
        for (; i < last; ++i) {
            const auto list = lists.lists[i];
            Sum s;
            if (list.first == id_absent) {
                s.flag = flag_absent;
            } else if (list.first == id_unknown) {
                s.flag = flag_unknown;
            } else if (alone) {
                s.number = list.count;
            } else {
                const std::uint64_t key = std::uint64_t{list.first} << 32U | list.count;
                const bool here = !shared || (list.count > 0 && at < slot.element_outer.size() &&
                                              slot.element_outer[at] == i);
                if (here || list.count == 0) {
                    const bool flags = formula_.nodes[each].type.kind == facts::Type::flag;
                    s = flags
                            ? flags_of(n.op, list.count == 0 ? std::span<const std::uint8_t>()
                                                             : values.flags.subspan(at, list.count))
                            : numbers_of(n.op,
                                         list.count == 0 ? std::span<const double>()
                                                         : values.numbers.subspan(at, list.count),
                                         values.absent.empty() || list.count == 0
                                             ? std::span<const std::uint8_t>()
                                             : values.absent.subspan(at, list.count));
                    at += list.count;
                    if (shared) slot.known[key] = {s.number, s.flag};
                } else {
                    const auto& before = slot.known.at(key);
                    s = {before.first, before.second};
                }
            }
            put(i, s);
        }
    }
    finish();
}

}  // namespace ferrule::rules
