#include "project/margins.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <map>
#include <span>
#include <unordered_map>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "facts/facts.hpp"
#include "project/changes.hpp"
#include "project/values.hpp"
#include "rules/limits.hpp"

namespace ferrule::project {

namespace {

using render::Distance;
using rules::Limit;
using rules::Reading;
using State = Reading::State;

constexpr std::size_t rows_listed = 5;

// Limits with the same figures, seen once.
struct SeenLimit {
    Limit limit;
    std::vector<std::uint32_t> rows;  // the first few
    std::size_t count = 1;
};

std::uint64_t bits(double v) {
    std::uint64_t b = 0;
    std::memcpy(&b, &v, sizeof b);
    return b;
}

struct Figures {
    std::uint64_t where, is, may;
    friend bool operator==(const Figures&, const Figures&) = default;
};
struct FiguresHash {
    std::size_t operator()(const Figures& f) const noexcept {
        std::uint64_t x = f.where * 0x9E3779B97F4A7C15ULL ^ f.is;
        x = (x ^ (x >> 31U)) * 0xff51afd7ed558ccdULL ^ f.may;
        return static_cast<std::size_t>((x ^ (x >> 29U)) * 0xff51afd7ed558ccdULL);
    }
};

// Broken ones first, then the smallest share.
std::vector<SeenLimit> in_order(std::vector<Limit> all) {
    std::vector<SeenLimit> seen;
    std::unordered_map<Figures, std::size_t, FiguresHash> known;
    for (const Limit& l : all) {
        const Figures key{std::uint64_t{l.rule} << 32U | l.node, bits(l.is), bits(l.may)};
        const auto [at, fresh] = known.try_emplace(key, seen.size());
        if (fresh) {
            seen.push_back({l, {}, 1});
            continue;
        }
        SeenLimit& s = seen[at->second];
        ++s.count;
        if (s.rows.size() < rows_listed) s.rows.push_back(l.row);
    }
    std::stable_sort(seen.begin(), seen.end(), [](const SeenLimit& a, const SeenLimit& b) {
        if (a.limit.holds != b.limit.holds) return b.limit.holds;
        return a.limit.share() < b.limit.share();
    });
    return seen;
}

bool moved(const Reading& a, const Reading& b) {
    const auto apart = [](double x, double y) { return std::fabs(x - y) > 1e-9 * std::max(std::fabs(x), std::fabs(y)); };
    return a.state != b.state || (a.state != State::unknown && (apart(a.is, b.is) || apart(a.may, b.may)));
}

// Tries changed designs and remembers what each said.
class Trials {
public:
    Trials(const Study& study, const Knowledge& knowledge, const std::vector<SeenLimit>& limits)
        : study_(study), knowledge_(knowledge), copy_(study.design), limits_(limits) {
        const std::size_t size = copy_.things.size() + copy_.conductors.size() + 1;
        left_ = std::max<std::size_t>(base::limits::margin_work / size, 1);
        base_ = readings(study.facts);
    }

    void begin(const Change& change) {
        change_ = &change;
        tried_.clear();
        tried_.emplace(0, base_);
    }
    void end() {
        change_->lay(copy_, study_.design, 0);
        change_ = nullptr;
    }
    // What all limits come to after so many steps; null once the bound on the work is passed.
    const std::vector<Reading>* at(std::int64_t steps) {
        const auto known = tried_.find(steps);
        if (known != tried_.end()) return &known->second;
        if (left_ == 0) return nullptr;
        --left_;
        change_->lay(copy_, study_.design, steps);
        const facts::Facts facts = facts::compute(copy_, *study_.standard);
        return &tried_.emplace(steps, readings(facts)).first->second;
    }
    // Does any limit move when all these go as far as is tried, at once? Yes, once the bound on the work is passed.
    bool moved_by(std::span<const Change* const> changes) {
        if (left_ == 0) return true;
        --left_;
        for (const Change* c : changes) c->lay(copy_, study_.design, c->up);
        const facts::Facts facts = facts::compute(copy_, *study_.standard);
        const std::vector<Reading> now = readings(facts);
        for (const Change* c : changes) c->lay(copy_, study_.design, 0);
        for (std::size_t i = 0; i < now.size(); ++i) {
            if (moved(base_[i], now[i])) return true;
        }
        return false;
    }
    [[nodiscard]] const std::map<std::int64_t, std::vector<Reading>>& tried() const { return tried_; }
    [[nodiscard]] bool exhausted() const { return left_ == 0; }

private:
    std::vector<Reading> readings(const facts::Facts& facts) {
        rules::Limits reader(knowledge_.rules, facts, *study_.standard);
        std::vector<Reading> all;
        all.reserve(limits_.size());
        for (const SeenLimit& s : limits_) all.push_back(reader.read(s.limit));
        return all;
    }

    const Study& study_;
    const Knowledge& knowledge_;
    graph::Design copy_;
    const std::vector<SeenLimit>& limits_;
    const Change* change_ = nullptr;
    std::map<std::int64_t, std::vector<Reading>> tried_;
    std::vector<Reading> base_;
    std::size_t left_ = 0;
};

// One limit on its way along one change, in one direction: it stands still at `near` and gives way at `far`.
struct Way {
    std::size_t limit = 0;
    std::int64_t near = 0, far = 0;  // steps; what holds at 0 holds at near, and no more at far
    bool halve = false;              // the next trial
};

class Search {
public:
    Search(Trials& trials, const Change& change, std::int64_t sign, const units::Units& units)
        : trials_(trials), change_(change), sign_(sign), units_(units) {}

    // The distance of every limit that the change bears on; limits beyond `count` are not asked.
    std::vector<std::pair<std::size_t, Distance>> run(std::size_t count) {
        std::vector<std::pair<std::size_t, Distance>> found;
        const std::int64_t most = sign_ > 0 ? change_.up : change_.down;
        if (most <= 0) return found;
        const std::vector<Reading>& base = *trials_.at(0);
        const std::vector<Reading>* end = trials_.at(sign_ * most);
        if (end == nullptr) return found;
        std::vector<Way> ways;
        std::vector<std::size_t> eased;
        const bool both = change_.kind == Change::Kind::modules;
        for (std::size_t i = 0; i < count; ++i) {
            const bool holds = base[i].state == State::holds;
            if (base[i].state == State::unknown || !moved(base[i], (*end)[i])) continue;
            if (!both && holds != (sign_ > 0)) continue;  // the harmful way for those that hold, the other for the broken ones
            if ((*end)[i].state != base[i].state && (holds || (*end)[i].state == State::holds)) ways.push_back({i, 0, sign_ * most, false});
            else if (holds && better(base[i], (*end)[i])) eased.push_back(i);
            else if (holds) found.emplace_back(i, distance(Distance::Found::not_within, sign_ * most));
        }
        if (ways.empty() && found.empty() && eased.empty()) return found;
        for (const std::int64_t part : {2, 8, 64}) {  // shows a limit that comes and goes
            const std::vector<Reading>* between = trials_.at(sign_ * (most / part));
            for (auto& [limit, there] : found) {
                if (between != nullptr && (*between)[limit].state != State::holds) there = distance(Distance::Found::unjudged, 0);
            }
            std::erase_if(eased, [&](std::size_t limit) {
                const bool breaks = between != nullptr && (*between)[limit].state == State::broken;
                if (breaks) found.emplace_back(limit, distance(Distance::Found::unjudged, 0));
                return breaks;
            });
        }
        for (Way& way : ways) {
            const bool done = narrow(way);
            found.emplace_back(way.limit, done ? answer(way, base[way.limit]) : distance(Distance::Found::given_up, 0));
        }
        return found;
    }

private:
    [[nodiscard]] static bool better(const Reading& from, const Reading& to) { return to.margin >= from.margin; }

    // Where the limit lies between two trials, taken as straight; then a look beside it; then halves.
    bool narrow(Way& way) {
        const State wanted = (*trials_.at(0))[way.limit].state;
        const auto look = [&](std::int64_t steps, State state) {
            // broken limits count as such until they hold; what is unknown does not hold
            const bool still = wanted == State::holds ? state == State::holds : state != State::holds;
            if (still && std::abs(steps) > std::abs(way.near)) way.near = steps;
            if (!still && std::abs(steps) < std::abs(way.far)) way.far = steps;
        };
        const auto sided = [&](std::int64_t steps) { return steps == 0 || (steps > 0) == (sign_ > 0); };
        for (const auto& [steps, readings] : trials_.tried()) {
            const State state = readings[way.limit].state;
            const bool still = wanted == State::holds ? state == State::holds : state != State::holds;
            if (sided(steps) && !still) look(steps, state);
        }
        for (const auto& [steps, readings] : trials_.tried()) {
            if (sided(steps) && std::abs(steps) < std::abs(way.far)) look(steps, readings[way.limit].state);
        }
        while (std::abs(way.far - way.near) > 1) {
            const std::int64_t gap = std::abs(way.far - way.near);
            std::int64_t in = gap / 2;
            const double a = (*trials_.at(way.near))[way.limit].margin, b = (*trials_.at(way.far))[way.limit].margin;
            if (!way.halve && a != b && std::isfinite(a) && std::isfinite(b) && (*trials_.at(way.far))[way.limit].state != State::unknown &&
                (*trials_.at(way.near))[way.limit].state != State::unknown) {
                in = std::clamp<std::int64_t>(static_cast<std::int64_t>(std::floor(static_cast<double>(gap) * a / (a - b) + 1e-6)), 1, gap - 1);
            }
            const std::int64_t steps = way.near + sign_ * in;
            const std::vector<Reading>* tried = trials_.at(steps);
            if (tried == nullptr) return false;
            look(steps, (*tried)[way.limit].state);
            way.halve = !way.halve && std::abs(way.far - way.near) > std::max<std::int64_t>(gap / 4, 2);
        }
        return true;
    }

    Distance answer(const Way& way, const Reading& base) {
        const bool holds = base.state == State::holds;
        // It must stand still up to `near` and never come back from `far` on, wherever a trial was made.
        for (const auto& [steps, readings] : trials_.tried()) {
            if (steps != 0 && (steps > 0) != (sign_ > 0)) continue;
            const bool still = holds ? readings[way.limit].state == State::holds : readings[way.limit].state != State::holds;
            if (still != (std::abs(steps) <= std::abs(way.near))) return distance(Distance::Found::unjudged, 0);
        }
        const Reading& outside = (*trials_.at(holds ? way.far : way.near))[way.limit];
        Distance d = distance(outside.state == State::unknown ? Distance::Found::unknown : Distance::Found::met, holds ? way.near : way.far);
        d.speaks = outside.fails;
        return d;
    }

    [[nodiscard]] Distance distance(Distance::Found found, std::int64_t steps) const {
        Distance d;
        d.found = found;
        d.of = change_.of;
        d.place = change_.place;
        d.amount = static_cast<double>(std::abs(steps)) / change_.steps_a_unit();
        const double to = change_.value(steps, units_);
        const bool worse = sign_ > 0;
        switch (change_.kind) {
            case Change::Kind::coldest: d.change = worse ? "colder" : "warmer"; break;
            case Change::Kind::hottest: d.change = worse ? "hotter" : "cooler"; break;
            case Change::Kind::length: d.change = worse ? "longer" : "shorter"; break;
            case Change::Kind::modules: d.change = worse ? "more" : "fewer"; break;
        }
        if (change_.kind == Change::Kind::modules) {
            d.unit = "modules";
            d.by = fmt::format("{:.0f}", d.amount);
            d.to = fmt::format("{:.0f}", to);
            return d;
        }
        const bool length = change_.kind == Change::Kind::length;
        d.unit = length ? "m" : "K";
        d.by = fmt::format("{} {}", units::show_number(d.amount, 8), d.unit);
        const units::UnitId shown = change_.unit ? change_.unit : units_.find("m");
        d.to = fmt::format("{} {}", units::show_number(std::round(units_.from_si(to, shown) * 1e6) / 1e6, 9), units_[shown].symbol);
        return d;
    }

    Trials& trials_;
    const Change& change_;
    const std::int64_t sign_;  // 1 up, -1 down
    const units::Units& units_;
};

std::string_view plural(Change::Kind kind) {
    switch (kind) {
        case Change::Kind::coldest: return "the coldest temperature";
        case Change::Kind::hottest: return "the hottest temperature";
        case Change::Kind::modules: return "the strings' numbers of modules";
        case Change::Kind::length: break;
    }
    return "the lengths of runs and conductors";
}

// The weather, then what can be built otherwise.
int place_in_row(const Distance& d) {
    if (d.change == "colder" || d.change == "warmer") return 0;
    if (d.change == "hotter" || d.change == "cooler") return 1;
    return d.unit == "modules" ? 2 : 3;
}

constexpr std::size_t few = 32;  // changes that are tried one by one

// Those that bear on a limit, found by halves: of a hundred equal strings only those matter that a limit was taken from.
void bearing(Trials& trials, std::span<const Change* const> changes, std::vector<const Change*>& found) {
    if (changes.empty()) return;
    if (trials.exhausted() || changes.size() == 1) {
        found.insert(found.end(), changes.begin(), changes.end());
        return;
    }
    if (!trials.moved_by(changes)) return;
    bearing(trials, changes.first(changes.size() / 2), found);
    bearing(trials, changes.subspan(changes.size() / 2), found);
}

std::vector<const Change*> worth_trying(Trials& trials, const std::vector<Change>& all, Change::Kind kind) {
    std::vector<const Change*> found, of_kind;
    for (const Change& c : all) {
        if (c.kind == kind) of_kind.push_back(&c);
    }
    if (of_kind.size() <= few) return of_kind;
    bearing(trials, of_kind, found);
    return found;
}

// A rule is silent where one that it names in `after` has spoken: what that one demands is met before.
void leave_to_causes(std::vector<std::pair<std::size_t, Distance>>& found, const std::vector<SeenLimit>& seen, const rules::RuleSet& set) {
    for (auto& [limit, distance] : found) {
        const std::vector<std::string>& after = set.rules[seen[limit].limit.rule].after;
        if (after.empty() || distance.found != Distance::Found::met || !seen[limit].limit.holds) continue;
        for (const SeenLimit& s : seen) {
            if (s.limit.holds) break;  // broken ones come first
            if (std::find(after.begin(), after.end(), set.rules[s.limit.rule].id) != after.end()) distance.speaks = false;
        }
        for (const auto& [other, sooner] : found) {
            const std::string& id = set.rules[seen[other].limit.rule].id;
            if (sooner.found != Distance::Found::met || sooner.amount > distance.amount) continue;
            if (std::find(after.begin(), after.end(), id) != after.end()) distance.speaks = false;
        }
    }
}

// Only the limits of things that were asked for.
std::vector<Limit> of_names(std::vector<Limit> all, rules::Limits& limits, const graph::Design& design, const std::vector<std::string>& names,
                            std::vector<std::string>& unknown) {
    std::unordered_map<std::string_view, bool> wanted;
    for (const std::string& n : names) wanted.emplace(n, false);
    std::erase_if(all, [&](const Limit& l) {
        const facts::Table& table = *limits.table(l);
        const auto by_own = wanted.find(table.name ? table.name(l.row) : std::string());
        if (by_own != wanted.end()) by_own->second = true;
        const std::uint32_t thing = table.thing ? table.thing(l.row) : facts::no_row;
        const auto by_thing = thing == facts::no_row ? wanted.end() : wanted.find(design.name(graph::ThingId(thing)));
        if (by_thing != wanted.end()) by_thing->second = true;
        return by_own == wanted.end() && by_thing == wanted.end();
    });
    for (const std::string& n : names) {
        if (!wanted[n]) unknown.push_back(fmt::format("no rule sets a limit for anything called {}", n));
    }
    return all;
}

render::Margin laid_out(const SeenLimit& seen, rules::Limits& limits, const Knowledge& k) {
    const Limit& l = seen.limit;
    const rules::Rule& rule = k.rules.rules[l.rule];
    const facts::Table& table = *limits.table(l);
    const rules::Node& side = rule.require.nodes[rule.require.child(rule.require.nodes[l.node], 0)];
    const rules::LimitWords words = limits.words(l);
    render::Margin m;
    m.subject = table.name ? table.name(l.row) : table.subject;
    m.kind = table.subject;
    m.rule = rule.id;
    m.title = rule.title;
    if (table.place) m.span = table.place(l.row);
    m.holds = l.holds;
    m.at_most = l.at_most;
    m.strict = l.strict;
    m.is = words.is;
    m.is_shown = words.is_shown;
    m.may = words.may;
    m.may_shown = words.may_shown;
    m.margin_shown = words.margin_shown;
    m.is_value = l.is;
    m.may_value = l.may;
    m.margin = l.margin();
    m.share = l.share();
    if (l.kelvin) m.share_of = fmt::format("{} K", rules::kelvin_scale);
    m.unit = si_unit(side.type.dimension, k.units);
    m.count = seen.count;
    for (const std::uint32_t row : seen.rows) m.more.push_back(table.name ? table.name(row) : table.subject);
    return m;
}

}  // namespace

MarginsResult margins(const Study& study, const Knowledge& knowledge, const std::vector<std::string>& names) {
    MarginsResult result;
    rules::Limits limits(knowledge.rules, study.facts, *study.standard);
    std::vector<Limit> all = limits.all();
    if (!names.empty()) all = of_names(std::move(all), limits, study.design, names, result.unknown);
    std::vector<SeenLimit> seen = in_order(std::move(all));
    for (const SeenLimit& s : seen) result.margins.rows.push_back(laid_out(s, limits, knowledge));
    if (seen.size() > base::limits::margin_limits) {
        result.margins.left_out.push_back(fmt::format("how far the design may go until {} more limits are met (limit margin_limits: {})",
                                                      seen.size() - base::limits::margin_limits, base::limits::margin_limits));
        seen.resize(base::limits::margin_limits);
    }
    if (seen.empty()) return result;
    Changes changes = possible_changes(study.design);
    std::move(changes.left_out.begin(), changes.left_out.end(), std::back_inserter(result.margins.left_out));
    Trials trials(study, knowledge, seen);
    // Modules first, as they take few trials: whole steps, and few of them.
    for (const Change::Kind kind : {Change::Kind::modules, Change::Kind::coldest, Change::Kind::hottest, Change::Kind::length}) {
        const std::vector<const Change*> wanted = worth_trying(trials, changes.all, kind);
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            if (trials.exhausted()) {
                result.margins.left_out.push_back(fmt::format("{} of {} (limit margin_work: {})", wanted.size() - i, plural(kind), base::limits::margin_work));
                break;
            }
            trials.begin(*wanted[i]);
            for (const std::int64_t sign : {1, -1}) {
                auto found = Search(trials, *wanted[i], sign, *study.design.units).run(seen.size());
                leave_to_causes(found, seen, knowledge.rules);
                for (auto& [limit, distance] : found) result.margins.rows[limit].distances.push_back(std::move(distance));
            }
            trials.end();
        }
    }
    for (render::Margin& row : result.margins.rows) {
        std::stable_sort(row.distances.begin(), row.distances.end(), [](const Distance& a, const Distance& b) { return place_in_row(a) < place_in_row(b); });
    }
    return result;
}

}  // namespace ferrule::project
