// The loops of the operators. Unknown numbers are NaN and spread by themselves; "not applicable" is
// marked beside them.
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "rules/evaluate.hpp"

namespace ferrule::rules {

namespace {

constexpr double tolerance = 1e-9;

// Rows: a; columns: b; both false, true, unknown, absent. `and` holds absent before unknown, `or`
// unknown before absent.
constexpr std::uint8_t F = 0, T = 1, U = flag_unknown, N = flag_absent;
constexpr std::array<std::uint8_t, 16> and_table{F, F, F, F, F, T, U, N, F, U, U, N, F, N, N, N};
constexpr std::array<std::uint8_t, 16> or_table{F, T, U, N, T, T, T, T, U, T, U, U, N, T, U, N};
constexpr std::array<std::uint8_t, 4> not_table{T, F, U, N};

// Finite even beside what is without limit, so that nothing else is equal to that.
double slack(double a, double b) {
    return tolerance * std::min(std::max(std::fabs(a), std::fabs(b)), std::numeric_limits<double>::max());
}

template <class Holds>
void compare_numbers(const double* a, const double* b, std::uint8_t* into, std::uint32_t count,
                     Holds holds) {
    for (std::uint32_t i = 0; i < count; ++i) {
        const double x = a[i], y = b[i];
        into[i] = std::isnan(x) || std::isnan(y) ? U : static_cast<std::uint8_t>(holds(x, y));
    }
}

}  // namespace

std::uint8_t logic_and(std::uint8_t a, std::uint8_t b) {
    return and_table[static_cast<std::size_t>(a) * 4 + b];
}
std::uint8_t logic_or(std::uint8_t a, std::uint8_t b) {
    return or_table[static_cast<std::size_t>(a) * 4 + b];
}
std::uint8_t logic_not(std::uint8_t a) {
    return not_table[a];
}
bool nearly_equal(double a, double b) {
    return std::fabs(a - b) <= slack(a, b);
}

void Evaluator::arithmetic(const Node& n, Slot& slot, const Scope& scope) {
    const std::uint32_t count = scope.count;
    slot.numbers.resize(count);
    bool marked = false;
    const auto mark = [&](const Block& b) {
        if (b.absent.empty()) return;
        if (!marked) slot.absent.assign(count, 0);
        marked = true;
        for (std::uint32_t i = 0; i < count; ++i) slot.absent[i] = slot.absent[i] | b.absent[i];
    };
    const Block& first = eval(formula_.child(n, 0), scope);
    const double* a = first.numbers.data();
    double* into = slot.numbers.data();
    mark(first);
    if (n.op == Op::negate) {
        for (std::uint32_t i = 0; i < count; ++i) into[i] = -a[i];
    } else if (n.op == Op::absolute) {
        for (std::uint32_t i = 0; i < count; ++i) into[i] = std::fabs(a[i]);
    } else if (n.op == Op::least || n.op == Op::greatest) {
        std::copy_n(a, count, into);
        for (std::uint32_t k = 1; k < n.children; ++k) {
            const Block& next = eval(formula_.child(n, k), scope);
            const double* b = next.numbers.data();
            mark(next);
            for (std::uint32_t i = 0; i < count; ++i) {
                if (std::isnan(into[i]) || std::isnan(b[i])) into[i] = graph::unknown;
                else
                    into[i] = n.op == Op::least ? std::min(into[i], b[i]) : std::max(into[i], b[i]);
            }
        }
    } else {
        const Block& second = eval(formula_.child(n, 1), scope);
        const double* b = second.numbers.data();
        mark(second);
        switch (n.op) {
            case Op::add:
                for (std::uint32_t i = 0; i < count; ++i) into[i] = a[i] + b[i];
                break;
            case Op::subtract:
                for (std::uint32_t i = 0; i < count; ++i) into[i] = a[i] - b[i];
                break;
            case Op::multiply:
                for (std::uint32_t i = 0; i < count; ++i) into[i] = a[i] * b[i];
                break;
            default:  // a division by nothing has no answer
                for (std::uint32_t i = 0; i < count; ++i)
                    into[i] = b[i] == 0 ? graph::unknown : a[i] / b[i];
                break;
        }
    }
    slot.block.numbers = slot.numbers;
    if (marked) slot.block.absent = slot.absent;
}

// The row's own word beside words that stand in the formula: the answer does not depend on who asks, and many do.
const std::vector<std::uint8_t>* Evaluator::words_said(const Node& n) {
    const Node& left = formula_.nodes[formula_.child(n, 0)];
    if (left.op != Op::column || left.type.kind != facts::Type::word) return nullptr;
    const Node& subject = formula_.nodes[formula_.child(left, 0)];
    const facts::Column* column = bound_.column(left.table, left.column);
    if (subject.op != Op::row || subject.level != 0 || column == nullptr) return nullptr;
    std::vector<std::uint32_t> words;
    for (std::uint32_t k = 1; k < n.children; ++k) {
        const Node& right = formula_.nodes[formula_.child(n, k)];
        if (right.op != Op::word) return nullptr;
        words.push_back(bound_.word(formula_.names[right.name]));
    }
    return &bound_.says(*column, words);
}

bool Evaluator::says_words(const Node& n, Slot& slot, const Scope& scope) {
    if (effort_ == Effort::whole || scope.count == 1) return false;
    if (slot.says == nullptr) slot.says = words_said(n);
    if (slot.says == nullptr) return false;
    const std::vector<std::uint8_t>& flags = *slot.says;
    if (scope.rows.empty() && n.op != Op::unequal) {
        slot.block.flags = std::span(flags).subspan(scope.first, scope.count);
        return true;
    }
    slot.flags.resize(scope.count);
    for (std::uint32_t i = 0; i < scope.count; ++i) slot.flags[i] = flags[scope.row(i)];
    if (n.op == Op::unequal) {
        for (std::uint8_t& f : slot.flags) f = not_table[f];
    }
    slot.block.flags = slot.flags;
    return true;
}

void Evaluator::compare(const Node& n, Slot& slot, const Scope& scope) {
    if (says_words(n, slot, scope)) return;
    const std::uint32_t count = scope.count;
    const Block& left = eval(formula_.child(n, 0), scope);
    const Block& right = eval(formula_.child(n, 1), scope);
    slot.flags.resize(count);
    std::uint8_t* into = slot.flags.data();
    const Type& type = formula_.nodes[formula_.child(n, 0)].type;
    switch (type.kind) {
        case facts::Type::number: {
            const double *a = left.numbers.data(), *b = right.numbers.data();
            switch (n.op) {
                case Op::equal:
                    compare_numbers(a, b, into, count, [](double x, double y) {
                        return std::fabs(x - y) <= slack(x, y);
                    });
                    break;
                case Op::unequal:
                    compare_numbers(a, b, into, count, [](double x, double y) {
                        return !(std::fabs(x - y) <= slack(x, y));
                    });
                    break;
                case Op::less:
                    compare_numbers(a, b, into, count,
                                    [](double x, double y) { return x < y - slack(x, y); });
                    break;
                case Op::less_equal:
                    compare_numbers(a, b, into, count,
                                    [](double x, double y) { return x <= y + slack(x, y); });
                    break;
                case Op::greater:
                    compare_numbers(a, b, into, count,
                                    [](double x, double y) { return x > y + slack(x, y); });
                    break;
                default:
                    compare_numbers(a, b, into, count,
                                    [](double x, double y) { return x >= y - slack(x, y); });
                    break;
            }
            for (const Block* side : {&left, &right}) {
                for (std::uint32_t i = 0; !side->absent.empty() && i < count; ++i) {
                    if (side->absent[i] != 0) into[i] = N;
                }
            }
            break;
        }
        case facts::Type::flag:
            for (std::uint32_t i = 0; i < count; ++i) {
                const std::uint8_t a = left.flags[i], b = right.flags[i];
                into[i] = a == N || b == N ? N
                          : a == U || b == U
                              ? U
                              : static_cast<std::uint8_t>((a == b) == (n.op == Op::equal));
            }
            break;
        default:
            for (std::uint32_t i = 0; i < count; ++i) {
                const std::uint32_t a = left.ids[i], b = right.ids[i];
                into[i] = a == id_absent || b == id_absent ? N
                          : a == id_unknown || b == id_unknown
                              ? U
                              : static_cast<std::uint8_t>((a == b) == (n.op == Op::equal));
            }
            break;
    }
    slot.block.flags = slot.flags;
}

void Evaluator::in_list(const Node& n, Slot& slot, const Scope& scope) {
    if (says_words(n, slot, scope)) return;
    const std::uint32_t count = scope.count;
    slot.flags.assign(count, F);
    const facts::Type kind = formula_.nodes[formula_.child(n, 0)].type.kind;
    for (std::uint32_t k = 1; k < n.children; ++k) {
        const Block& left = eval(formula_.child(n, 0), scope);
        const Block& right = eval(formula_.child(n, k), scope);
        for (std::uint32_t i = 0; i < count; ++i) {
            std::uint8_t same = F;
            if (kind == facts::Type::number) {
                const double a = left.numbers[i], b = right.numbers[i];
                const bool gone = (!left.absent.empty() && left.absent[i] != 0) ||
                                  (!right.absent.empty() && right.absent[i] != 0);
                same = gone ? N
                       : std::isnan(a) || std::isnan(b)
                           ? U
                           : static_cast<std::uint8_t>(nearly_equal(a, b));
            } else if (kind == facts::Type::flag) {
                const std::uint8_t a = left.flags[i], b = right.flags[i];
                same = a == N || b == N   ? N
                       : a == U || b == U ? U
                                          : static_cast<std::uint8_t>(a == b);
            } else {
                const std::uint32_t a = left.ids[i], b = right.ids[i];
                same = a == id_absent || b == id_absent     ? N
                       : a == id_unknown || b == id_unknown ? U
                                                            : static_cast<std::uint8_t>(a == b);
            }
            slot.flags[i] = logic_or(slot.flags[i], same);
        }
    }
    slot.block.flags = slot.flags;
}

void Evaluator::logic(const Node& n, Slot& slot, const Scope& scope) {
    const std::uint32_t count = scope.count;
    const Block& left = eval(formula_.child(n, 0), scope);
    slot.flags.resize(count);
    std::uint8_t* into = slot.flags.data();
    if (n.op == Op::logic_not) {
        for (std::uint32_t i = 0; i < count; ++i) into[i] = not_table[left.flags[i]];
        slot.block.flags = slot.flags;
        return;
    }
    const auto& table = n.op == Op::logic_and ? and_table : or_table;
    const std::uint8_t settled = n.op == Op::logic_and ? F : T;  // whatever stands on the right
    const std::span<const std::uint8_t> flags = left.flags.first(count);
    const auto open = effort_ == Effort::whole || count == 1 ? count : count - std::count(flags.begin(), flags.end(), settled);
    if (open > count / 2) {
        const Block& right = eval(formula_.child(n, 1), scope);
        for (std::uint32_t i = 0; i < count; ++i)
            into[i] = table[static_cast<std::size_t>(left.flags[i]) * 4 + right.flags[i]];
    } else {
        std::fill_n(into, count, settled);
        if (open > 0) {
            const Selection some(scope, flags, settled);
            const Block& right = eval(formula_.child(n, 1), some.scope());
            for (std::uint32_t k = 0; k < some.scope().count; ++k)
                into[some.at()[k]] = table[static_cast<std::size_t>(flags[some.at()[k]]) * 4 + right.flags[k]];
        }
    }
    slot.block.flags = slot.flags;
}

void Evaluator::choose(const Node& n, Slot& slot, const Scope& scope) {
    const std::uint32_t count = scope.count;
    const auto condition = eval(formula_.child(n, 0), scope).flags;
    const Block& yes = eval(formula_.child(n, 1), scope);
    const Block& no = eval(formula_.child(n, 2), scope);
    if (n.type.kind == facts::Type::number) {
        slot.numbers.resize(count);
        slot.absent.resize(count);
        for (std::uint32_t i = 0; i < count; ++i) {
            const std::uint8_t c = condition[i];
            const Block& from = c == T ? yes : no;
            slot.numbers[i] = c >= U ? graph::unknown : from.numbers[i];
            slot.absent[i] =
                c == N || (c < U && !from.absent.empty() && from.absent[i] != 0) ? 1 : 0;
        }
        slot.block.numbers = slot.numbers;
        slot.block.absent = slot.absent;
    } else if (n.type.kind == facts::Type::flag) {
        slot.flags.resize(count);
        for (std::uint32_t i = 0; i < count; ++i) {
            slot.flags[i] = condition[i] >= U   ? condition[i]
                            : condition[i] == T ? yes.flags[i]
                                                : no.flags[i];
        }
        slot.block.flags = slot.flags;
    } else {
        slot.ids.resize(count);
        for (std::uint32_t i = 0; i < count; ++i) {
            slot.ids[i] = condition[i] == U   ? id_unknown
                          : condition[i] == N ? id_absent
                          : condition[i] == T ? yes.ids[i]
                                              : no.ids[i];
        }
        slot.block.ids = slot.ids;
    }
}

void Evaluator::known(const Node& n, Slot& slot, const Scope& scope) {
    const std::uint32_t count = scope.count;
    const Node& asked = formula_.nodes[formula_.child(n, 0)];
    const Block& b = eval(formula_.child(n, 0), scope);
    slot.flags.resize(count);
    for (std::uint32_t i = 0; i < count; ++i) {
        bool is = false;
        switch (asked.type.kind) {
            case facts::Type::number:
                is = !std::isnan(b.numbers[i]);
                break;
            // a property without a field asks whether it is stated at all
            case facts::Type::flag:
                is = asked.op == Op::property ? b.flags[i] == T : b.flags[i] <= T;
                break;
            case facts::Type::subjects:
                is = b.lists[i].first < id_absent;
                break;
            default:
                is = b.ids[i] < id_absent;
                break;
        }
        slot.flags[i] = is ? T : F;
    }
    slot.block.flags = slot.flags;
}

}  // namespace ferrule::rules
