#include "rules/judge.hpp"

#include <algorithm>
#include <map>
#include <memory>
#include <tuple>
#include <unordered_map>

#include <fmt/core.h>

#include "base/limits.hpp"

namespace ferrule::rules {

namespace {

constexpr std::size_t names_listed = 5;

class Judge {
public:
    Judge(const Rule& rule, const RuleSet& set, Bound& bound,
          const std::vector<const Spoken*>& silent, Acceptances& acceptances, bool negate)
        : rule_(rule),
          set_(set),
          bound_(bound),
          silent_(silent),
          acceptances_(acceptances),
          negate_(negate),
          table_index_(bound.table_index(rule.about)),
          table_(table_index_ == none ? nullptr : bound.table(table_index_)) {}

    Judged run(const Known& known) {
        if (table_ == nullptr) return {};
        if (known.verdict != nullptr && known.touched.rows.empty() && known.verdict->failing.empty() && known.verdict->undecided.empty()) return {};
        Evaluator when(rule_.when, bound_, Effort::answer), require(rule_.require, bound_, Effort::answer);
        Scope scope;
        scope.table = table_index_;
        if (known.verdict == nullptr) {
            for (scope.first = 0; scope.first < table_->rows; scope.first += block_rows) {
                scope.count = std::min(block_rows, table_->rows - scope.first);
                judge_rows(scope, when, require);
            }
        } else {
            const std::span<const std::uint32_t> rows(known.touched.rows);
            for (std::size_t first = 0; first < rows.size(); first += block_rows) {
                scope.rows = rows.subspan(first, std::min<std::size_t>(block_rows, rows.size() - first));
                scope.count = static_cast<std::uint32_t>(scope.rows.size());
                judge_rows(scope, when, require);
            }
            keep(known.verdict->failing, verdict_.failing, known.touched.rows, [](std::uint32_t row) { return row; });
            keep(known.verdict->undecided, verdict_.undecided, known.touched.rows, [](const auto& one) { return one.first; });
        }
        for (const std::uint32_t row : verdict_.failing) fail(row);
        if (left_out_ > 0) count_left_out();
        if (known.verdict != nullptr && !known.touched.anything && silent_.empty()) {
            // The others lack what they lacked.
            for (const Verdict::Lack& l : known.verdict->lacking) {
                const std::size_t so_far = verdict_.lacking.size();
                undecide(l.row, l.in_when, l.in_when ? when : require);
                if (verdict_.lacking.size() > so_far) verdict_.lacking.back().count = l.count;
            }
        } else {
            for (const auto& [row, in_when] : verdict_.undecided) undecide(row, in_when, in_when ? when : require);
        }
        for (std::size_t i = 0; i < result_.undecided.size(); ++i)
            result_.undecided[i].count = verdict_.lacking[i].count;
        result_.verdict = std::move(verdict_);
        return std::move(result_);
    }

private:
    void judge_rows(const Scope& scope, Evaluator& when, Evaluator& require) {
        const std::uint8_t bad = negate_ ? 1 : 0;
        const auto judge = [&](std::uint32_t i, std::uint8_t on, std::uint8_t holds) {
            // `require` that holds either way needs no answer from `when`
            if (on == 1 && holds == bad) verdict_.failing.push_back(scope.row(i));
            else if (on == 1 && holds == flag_unknown) verdict_.undecided.push_back({scope.row(i), false});
            else if (on == flag_unknown && (holds == bad || holds == flag_unknown)) verdict_.undecided.push_back({scope.row(i), true});
        };
        if (rule_.when.empty()) {
            const std::span<const std::uint8_t> holds = require.eval(scope).flags;
            for (std::uint32_t i = 0; i < scope.count; ++i) judge(i, 1, holds[i]);
            return;
        }
        const std::span<const std::uint8_t> applies = when.eval(scope).flags.first(scope.count);
        const auto out = std::count(applies.begin(), applies.end(), 0);
        if (out == scope.count) return;
        if (out < scope.count / 2) {
            const std::span<const std::uint8_t> holds = require.eval(scope).flags;
            for (std::uint32_t i = 0; i < scope.count; ++i) judge(i, applies[i], holds[i]);
        } else {
            const Selection some(scope, applies, 0);
            const std::span<const std::uint8_t> holds = require.eval(some.scope()).flags;
            for (std::uint32_t k = 0; k < some.scope().count; ++k) judge(some.at()[k], applies[some.at()[k]], holds[k]);
        }
    }

    // What was said of the rows that are not touched, in its place among what is said now.
    template <class One, class Row>
    static void keep(const std::vector<One>& before, std::vector<One>& now, const std::vector<std::uint32_t>& touched, Row row) {
        std::vector<One> all;
        all.reserve(before.size() + now.size());
        auto next = now.begin();
        for (const One& one : before) {
            if (std::binary_search(touched.begin(), touched.end(), row(one))) continue;
            while (next != now.end() && row(*next) < row(one)) all.push_back(*next++);
            all.push_back(one);
        }
        all.insert(all.end(), next, now.end());
        now = std::move(all);
    }

    [[nodiscard]] Scope one(std::uint32_t row) const {
        Scope scope;
        scope.table = table_index_;
        scope.first = row;
        scope.count = 1;
        return scope;
    }

    [[nodiscard]] bool silenced(std::uint32_t circuit, std::uint32_t thing) const {
        return std::any_of(silent_.begin(), silent_.end(), [&](const Spoken* s) {
            return (circuit != facts::no_row && s->circuits.count(circuit) > 0) ||
                   (thing != facts::no_row && s->things.count(thing) > 0);
        });
    }

    // A formula's evaluator is made when the first row needs it.
    Evaluator& evaluator(const Formula& formula) {
        auto& at = evaluators_[&formula];
        if (!at) at = std::make_unique<Evaluator>(formula, bound_);
        return *at;
    }

    // The row that a subject formula leads to, as (table, row).
    std::pair<std::uint32_t, std::uint32_t> lead(const Formula& formula, std::uint32_t row) {
        if (formula.empty()) return {table_index_, row};
        const Scope scope = one(row);
        const std::uint32_t id = evaluator(formula).eval(scope).ids[0];
        return id >= id_absent ? std::pair{table_index_, row}
                               : std::pair{formula.root().type.table, id};
    }

    // The line that states the property the rule is about, in the subject's own block or its data sheet.
    text::Span stated_at(std::uint32_t table, std::uint32_t row) const {
        const facts::Table* t = rule_.at_property.empty() ? nullptr : bound_.table(table);
        if (t == nullptr || bound_.design() == nullptr) return {};
        for (const auto* rows : {&t->properties, &t->part_properties}) {
            if (!*rows) continue;
            const graph::RowId found = bound_.design()->row((*rows)(row), rule_.at_property);
            if (found) return bound_.design()->rows[found].span;
        }
        return {};
    }

    void fail(std::uint32_t row) {
        const std::uint32_t thing = table_->thing ? table_->thing(row) : facts::no_row;
        const std::uint32_t circuit = table_->circuit ? table_->circuit(row) : facts::no_row;
        if (silenced(circuit, thing)) return;
        if (circuit != facts::no_row) result_.spoken.circuits.insert(circuit);
        if (thing != facts::no_row) result_.spoken.things.insert(thing);

        findings::Severity severity = rule_.severity;
        if (!rule_.raise.empty() && severity == findings::Severity::warning &&
            evaluator(rule_.raise).eval(one(row)).flags[0] == 1) {
            severity = findings::Severity::error;
        }
        const std::uint32_t acceptance = acceptances_.covering(rule_, thing);
        const auto at = lead(rule_.at, row);
        const text::Span stated = stated_at(at.first, at.second);
        const text::Span span = stated ? stated : place_of(bound_, at.first, at.second);
        // Equal by `group`, if the rule has one; else by place: a repeat of 160 is one finding with
        // a count.
        const auto group = lead(rule_.group, row);
        const bool grouped = !rule_.group.empty() && (group != std::pair{table_index_, row} || evaluator(rule_.group).eval(one(row)).ids[0] == row);
        const Key key = !grouped
                            ? Key{acceptance, severity, none, span.file.value,
                                  std::uint64_t{span.begin} << 32U | span.end}
                            : Key{acceptance, severity, group.first, group.second, 0};
        const auto [known, added] = by_key_.try_emplace(key, result_.findings.size());
        if (!added) {
            findings::Finding& f = result_.findings[known->second];
            ++f.count;
            if (thing != facts::no_row) f.things.push_back(thing);
            if (f.more.size() < names_listed) f.more.push_back(name_of(bound_, table_index_, row));
            return;
        }
        if (result_.findings.size() >= base::limits::findings_shown_per_rule) {
            by_key_.erase(known);
            if (left_out_++ == 0) first_left_out_ = span;
            return;
        }
        findings::Finding f = describe(row, span);
        f.severity = severity;
        if (thing != facts::no_row) f.things.push_back(thing);
        if (acceptance != none) f.accepted = acceptances_.text(acceptance);
        result_.findings.push_back(std::move(f));
    }

    findings::Finding describe(std::uint32_t row, text::Span span) {
        findings::Finding f;
        f.rule = rule_.id;
        f.span = span;
        f.subject = name_of(bound_, table_index_, row);
        const Scope scope = one(row);
        Reasons reasons(bound_);
        Evaluator& require = evaluator(rule_.require);
        require.eval(scope);
        reasons.decided(require, rule_.require.root_index(), scope);
        const auto fill = [&](const Message& message) {
            std::string text;
            for (const Message::Piece& piece : message.pieces) {
                text += piece.words;
                if (piece.hole.empty()) continue;
                Evaluator& hole = evaluator(piece.hole);
                hole.eval(scope);
                const units::UnitId unit = piece.hole.root().type.kind == facts::Type::number
                                               ? reasons.unit_for(hole, scope)
                                               : units::UnitId();
                text += show(hole, piece.hole.root_index(), scope, unit);
            }
            return text;
        };
        f.message = fill(rule_.message);
        f.remedy = fill(rule_.remedy);
        for (const RelatedPlace& place : rule_.related) {
            const std::uint32_t to = evaluator(place.at).eval(scope).ids[0];
            if (to >= id_absent) continue;
            const text::Span where = place_of(bound_, place.at.root().type.table, to);
            if (where && where != span) f.related.push_back({where, fill(place.say)});
        }
        for (const Message* message : {&rule_.message, &rule_.remedy}) {
            for (const Message::Piece& piece : message->pieces) {
                if (!piece.hole.empty())
                    reasons.used(evaluator(piece.hole), piece.hole.root_index(), scope);
            }
        }
        for (const findings::Related& r : reasons.related) {
            const bool there = std::any_of(f.related.begin(), f.related.end(),
                                           [&](const auto& o) { return o.span == r.span; });
            if (!there && r.span && r.span != span) f.related.push_back(r);
        }
        f.working = reasons.working();
        f.assumed = std::move(reasons.assumed);
        for (const RuleSource& s : rule_.sources) {
            if (s.only_under.empty() || s.only_under == bound_.standard().id)
                f.sources.push_back(s.citation);
        }
        for (findings::Citation c : reasons.sources) {
            bool other_standard = false;
            for (const auto& [id, cited] : set_.cited) {
                if (c.standard != id) continue;
                other_standard = id != bound_.standard().id;
                c.standard = cited;
                break;
            }
            const bool there = std::any_of(f.sources.begin(), f.sources.end(), [&](const auto& o) {
                return o.standard == c.standard && o.clause == c.clause;
            });
            if (!other_standard && !there && f.sources.size() < 6)
                f.sources.push_back(std::move(c));
        }
        return f;
    }

    void count_left_out() {
        findings::Finding f;
        f.rule = rule_.id;
        f.severity = rule_.severity;
        f.message = fmt::format("{} more of this rule are counted and not listed", left_out_);
        f.remedy = "put the listed ones right first";
        f.span = first_left_out_;
        f.count = left_out_;
        result_.findings.push_back(std::move(f));
    }

    void undecide(std::uint32_t row, bool in_when, Evaluator& formula) {
        const std::uint32_t thing = table_->thing ? table_->thing(row) : facts::no_row;
        const std::uint32_t circuit = table_->circuit ? table_->circuit(row) : facts::no_row;
        if (silenced(circuit, thing)) return;
        const Scope scope = one(row);
        formula.eval(scope);
        facts::Missing lacking = missing(formula, formula.formula().root_index(), scope);
        if (lacking.what.empty())
            return;  // the fact says that nothing is lacking: it does not apply
        const auto [known, added] = by_missing_.try_emplace(lacking.what, result_.undecided.size());
        if (!added) {
            ++verdict_.lacking[known->second].count;
            return;
        }
        findings::Undecided u;
        u.rule = rule_.id;
        u.subject = name_of(bound_, table_index_, row);
        u.span = lacking.where ? lacking.where : place_of(bound_, table_index_, row);
        u.missing = std::move(lacking.what);
        result_.undecided.push_back(std::move(u));
        verdict_.lacking.push_back({row, in_when, 1});
    }

    using Key =
        std::tuple<std::uint32_t, findings::Severity, std::uint32_t, std::uint32_t, std::uint64_t>;

    const Rule& rule_;
    const RuleSet& set_;
    Bound& bound_;
    const std::vector<const Spoken*>& silent_;
    Acceptances& acceptances_;
    const bool negate_;
    const std::uint32_t table_index_;
    const facts::Table* table_;
    Verdict verdict_;
    std::unordered_map<const Formula*, std::unique_ptr<Evaluator>> evaluators_;
    std::map<Key, std::size_t> by_key_;
    std::unordered_map<std::string, std::size_t> by_missing_;
    std::uint32_t left_out_ = 0;
    text::Span first_left_out_;
    Judged result_;
};

}  // namespace

Judged judge(const Rule& rule, const RuleSet& set, Bound& bound,
             const std::vector<const Spoken*>& silent, Acceptances& acceptances, bool negate, const Known& known) {
    return Judge(rule, set, bound, silent, acceptances, negate).run(known);
}

}  // namespace ferrule::rules
