#include "project/changes.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "base/limits.hpp"

namespace ferrule::project {

namespace {

using graph::ConductorId;
using graph::Design;
using graph::FieldId;
using graph::RowId;
using graph::ThingId;

using Place = std::tuple<std::uint32_t, std::uint32_t, std::uint32_t>;
Place place_of(text::Span span) { return {span.file.value, span.begin, span.end}; }

constexpr std::size_t names_listed = 3;
constexpr double steps_each = 100;  // a kelvin, a metre

FieldId field_id(const Design& d, RowId row, std::string_view name) {
    if (!row) return {};
    for (const FieldId id : d.rows[row].fields) {
        if (d.word(d.fields[id].name) == name) return id;
    }
    return {};
}

void add_temperature(Changes& into, const Design& d, Change::Kind kind, std::string_view property) {
    const RowId row = d.row(d.site_rows, property);
    const FieldId id = field_id(d, row, "temperature");
    if (!id || std::isnan(d.fields[id].low)) return;
    Change c;
    c.kind = kind;
    c.place = d.rows[row].span;
    c.base = d.fields[id].low;
    c.unit = d.fields[id].unit;
    c.up = c.down = static_cast<std::int64_t>(base::limits::margin_kelvin * steps_each);
    c.fields.push_back(id);
    // A hotter site has hotter cells, where it states both.
    if (kind == Change::Kind::hottest) {
        const FieldId cell = field_id(d, d.row(d.site_rows, "hottest-cell"), "temperature");
        if (cell) {
            c.fields.push_back(cell);
            c.of = "hottest-cell with it";
        }
    }
    into.all.push_back(std::move(c));
}

// Both ends of the air of a place, one line of the text at a time.
void add_air(Changes& into, const Design& d) {
    std::map<Place, std::size_t> known;
    for (const ThingId id : d.things.ids()) {
        if (d.things[id].cls != graph::ThingClass::place) continue;
        const RowId row = d.row(d.things[id].rows, "ambient");
        const FieldId field = field_id(d, row, "temperature");
        if (!field || std::isnan(d.fields[field].low) || std::isnan(d.fields[field].high)) continue;
        const auto [at, fresh] = known.try_emplace(place_of(d.rows[row].span), into.all.size());
        if (!fresh) {
            for (const std::size_t k : {at->second, at->second + 1}) into.all[k].fields.push_back(field);
            continue;
        }
        for (const Change::End end : {Change::End::low, Change::End::high}) {
            Change c;
            c.kind = end == Change::End::low ? Change::Kind::coldest : Change::Kind::hottest;
            c.of = "the air of " + d.name(id);
            c.place = d.rows[row].span;
            c.base = end == Change::End::low ? d.fields[field].low : d.fields[field].high;
            c.unit = d.fields[field].unit;
            c.end = end;
            c.up = c.down = static_cast<std::int64_t>(base::limits::margin_kelvin * steps_each);
            c.fields.push_back(field);
            into.all.push_back(std::move(c));
        }
    }
}

void add_modules(Changes& into, const Design& d) {
    std::map<Place, std::size_t> known;
    std::size_t more = 0;
    std::size_t first = into.all.size();
    for (const ThingId id : d.things.ids()) {
        const graph::Thing& t = d.things[id];
        if (t.cls != graph::ThingClass::string) continue;
        for (std::uint32_t g = t.first_group; g < t.first_group + t.groups; ++g) {
            const graph::Group& group = d.groups[g];
            const auto [at, fresh] = known.try_emplace(place_of(group.span), into.all.size());
            if (!fresh) {
                if (at->second >= into.all.size()) continue;
                Change& c = into.all[at->second];
                if (c.groups.size() < names_listed && t.groups == 1) c.of += fmt::format(", {}", d.name(id));
                c.groups.push_back(g);
                continue;
            }
            if (into.all.size() - first >= base::limits::margin_statements) {
                at->second = static_cast<std::size_t>(-1);
                ++more;
                continue;
            }
            Change c;
            c.kind = Change::Kind::modules;
            c.of = d.name(id);
            if (t.groups > 1) c.of += fmt::format(", its {}", d.word(d.parts[group.part].name));
            c.place = group.span;
            c.base = group.count;
            c.up = base::limits::margin_modules;
            c.down = static_cast<std::int64_t>(group.count) - 1;
            c.groups.push_back(g);
            into.all.push_back(std::move(c));
        }
    }
    if (more > 0) {
        into.left_out.push_back(fmt::format("the number of modules of {} more strings (limit margin_statements: {})", more,
                                            base::limits::margin_statements));
    }
}

// Lengths, one a line of the text that states one.
class Lengths {
public:
    Lengths(Changes& into, const Design& d) : into_(into), d_(d), first_(into.all.size()), of_thing_(d.things.size(), unknown) {}

    void add(ConductorId id) {
        const graph::Conductor& c = d_.conductors[id];
        if (std::isnan(c.length)) return;
        for (const ThingId around : {c.named_cable, c.run}) {
            if (!around || stated(around) != c.length) continue;
            put(of_thing(around), id);
            return;
        }
        double sum = 0;
        for (std::uint32_t i = c.first_via; i < c.first_via + c.vias; ++i) {
            if (d_.vias[i] != c.run) sum += stated(d_.vias[i]);
        }
        if (c.vias != 0 && std::fabs(sum - c.length) <= 1e-9 * sum) {
            for (std::uint32_t i = c.first_via; i < c.first_via + c.vias; ++i) {
                if (d_.vias[i] != c.run) put(of_thing(d_.vias[i]), id);
            }
            return;
        }
        put(at_place(c.span, c.length, {}, [&] { return d_.name(id); }), id);
    }

    void close() {
        if (more_.empty()) return;
        into_.left_out.push_back(fmt::format("the length of {} more runs and conductors (limit margin_statements: {})", more_.size(),
                                             base::limits::margin_statements));
    }

private:
    static constexpr std::uint32_t unknown = 0xffffffffU, none = 0xfffffffeU;

    [[nodiscard]] double stated(ThingId t) const { return d_.number(d_.things[t].rows, "length", "length"); }

    template <class Name>
    std::uint32_t at_place(text::Span span, double length, units::UnitId unit, Name name) {
        const auto [at, fresh] = known_.try_emplace(place_of(span), none);
        if (!fresh) return at->second;
        if (into_.all.size() - first_ >= base::limits::margin_statements) {
            more_.insert(place_of(span));
            return none;
        }
        Change c;
        c.kind = Change::Kind::length;
        c.of = name();
        c.place = span;
        c.base = length;
        c.unit = unit;
        c.up = static_cast<std::int64_t>(base::limits::margin_metres * steps_each);
        c.down = static_cast<std::int64_t>(std::floor(length * steps_each + 1e-6)) - 1;  // something is left
        at->second = static_cast<std::uint32_t>(into_.all.size());
        into_.all.push_back(std::move(c));
        return at->second;
    }

    std::uint32_t of_thing(ThingId t) {
        if (of_thing_[t.value] != unknown) return of_thing_[t.value];
        const RowId row = d_.row(d_.things[t].rows, "length");
        const FieldId field = field_id(d_, row, "length");
        const std::uint32_t change = at_place(d_.rows[row].span, stated(t), d_.fields[field].unit, [&] {
            return fmt::format("{} {}", d_.things[t].cls == graph::ThingClass::run ? "run" : "cable", d_.name(t));
        });
        if (change != none) {
            std::vector<FieldId>& fields = into_.all[change].fields;
            if (std::find(fields.begin(), fields.end(), field) == fields.end()) fields.push_back(field);
        }
        return of_thing_[t.value] = change;
    }

    void put(std::uint32_t change, ConductorId id) {
        if (change == none) return;
        auto& conductors = into_.all[change].conductors;
        if (!conductors.empty() && conductors.back().first == id) ++conductors.back().second;  // a run passed by two of one statement
        else conductors.emplace_back(id, 1);
    }

    Changes& into_;
    const Design& d_;
    const std::size_t first_;
    std::vector<std::uint32_t> of_thing_;
    std::map<Place, std::uint32_t> known_;
    std::set<Place> more_;
};

}  // namespace

double Change::value(std::int64_t steps, const units::Units& units) const {
    constexpr double places = 1e9;
    const double moved = static_cast<double>(steps) / steps_a_unit() * (kind == Kind::coldest ? -1 : 1);
    if (kind == Kind::modules || steps == 0) return base + moved;
    if (!unit) return std::round((base + moved) * places) / places;
    return units.to_si(std::round((units.from_si(base, unit) + moved / units[unit].factor) * places) / places, unit);
}

void Change::lay(Design& copy, const Design& original, std::int64_t steps) const {
    const double now = value(steps, *original.units), by = now - base;
    for (const FieldId id : fields) {
        const graph::Field& f = original.fields[id];
        const bool one = f.high == f.low;
        const auto moved = [&](double from) { return from == base ? now : from + by; };
        copy.fields[id].low = end == End::high && !one ? f.low : moved(f.low);
        copy.fields[id].high = end == End::low && !one ? f.high : moved(f.high);
    }
    for (const auto& [id, times] : conductors) {
        copy.conductors[id].length = times == 1 && original.conductors[id].length == base ? now : original.conductors[id].length + times * by;
    }
    for (const std::uint32_t g : groups) copy.groups[g].count = static_cast<std::uint32_t>(std::llround(now));
}

Changes possible_changes(const Design& design) {
    Changes changes;
    add_temperature(changes, design, Change::Kind::coldest, "coldest");
    add_temperature(changes, design, Change::Kind::hottest, "hottest");
    add_air(changes, design);
    add_modules(changes, design);
    Lengths lengths(changes, design);
    for (const ConductorId id : design.conductors.ids()) lengths.add(id);
    lengths.close();
    for (Change& c : changes.all) {
        std::size_t others = 0;
        if (c.kind == Change::Kind::modules) others = c.groups.size() - std::min(c.groups.size(), names_listed);
        if (c.kind == Change::Kind::length) others = (c.fields.empty() ? c.conductors.size() : c.fields.size()) - 1;
        if (others > 0) c.of += fmt::format(" and {} more", others);
    }
    return changes;
}

}  // namespace ferrule::project
