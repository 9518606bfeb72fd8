#include "facts/ampacity.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace ferrule::facts {

namespace {

using tables::FigureTable;

constexpr std::string_view method_words[]{"none", "raceway", "free-air", "b1", "c", "e", "f", "free-air", "on-surface", "side-by-side"};
constexpr std::string_view phrases[]{"", "in a raceway or cable", "in free air", "in conduit on a wall", "clipped to a surface", "in free air",
                                     "touching in free air", "in free air", "alone on a surface", "side by side on a surface"};

// Temperatures are the same when they differ by less than this many kelvin.
constexpr double same_temperature = 1e-6;

void add_rows(std::vector<AmpacityTables::Row>& lane, const FigureTable* t, std::string_view column) {
    if (t == nullptr) return;
    const int size = t->column("size"), amps = t->column(column);
    if (size < 0 || amps < 0) return;
    for (const auto& row : t->rows) {
        const double a = row[static_cast<std::size_t>(amps)].number;
        if (std::isnan(a)) continue;
        lane.push_back({row[static_cast<std::size_t>(size)].number, a, t->source.status == "from memory"});
    }
    std::sort(lane.begin(), lane.end(), [](const auto& x, const auto& y) { return x.area < y.area; });
}

// The last row whose size is not above the section.
const AmpacityTables::Row* floor_row(const std::vector<AmpacityTables::Row>& lane, double area) {
    const AmpacityTables::Row* found = nullptr;
    for (const AmpacityTables::Row& row : lane) {
        if (row.area > area * (1 + same_size)) break;
        found = &row;
    }
    return found;
}

}  // namespace

std::string_view word(Method method) { return method_words[static_cast<int>(method)]; }
std::string_view in_words(Method method) { return phrases[static_cast<int>(method)]; }

AmpacityTables::AmpacityTables(const tables::Standard& standard) : standard_(standard), by_raceway_(standard.table("ampacity-raceway") != nullptr) {
    if (const FigureTable* t = standard.table("insulation-classes")) {
        const auto temperature = static_cast<std::size_t>(t->column("temperature")), ampacity = static_cast<std::size_t>(t->column("ampacity")),
                   ambient = static_cast<std::size_t>(t->column("ambient"));
        for (const auto& row : t->rows) classes_.push_back({row[temperature].number, row[ampacity].word, row[ambient].word});
    }
    for (std::vector<Lane>& l : lanes_) l.resize(classes_.size());
    const auto fill = [&](Method m, bool aluminium, std::uint8_t cls, std::string_view table, const std::string& column) {
        Lane& to = lanes_[2 * static_cast<std::size_t>(m) + (aluminium ? 1 : 0)][cls];
        add_rows(to, standard.table(table), column);
        add_rows(to, standard.table(std::string(table) + "-more"), column);
    };
    for (std::uint8_t cls = 0; cls < classes(); ++cls) {
        const std::string& name = classes_[cls].ampacity;
        for (const bool aluminium : {false, true}) {
            const std::string column = (aluminium ? "aluminium-" : "copper-") + name;
            fill(Method::raceway, aluminium, cls, "ampacity-raceway", column);
            fill(Method::free_air, aluminium, cls, "ampacity-free-air", column);
        }
        fill(Method::b1, false, cls, "ampacity", name + "-b1");
        fill(Method::c, false, cls, "ampacity", name + "-c");
        fill(Method::e, false, cls, "ampacity", name + "-e");
        fill(Method::f, false, cls, "ampacity-touching", name + "-f");
        for (const Method m : {Method::pv_free_air, Method::pv_on_surface, Method::pv_side_by_side}) {
            fill(m, false, cls, "ampacity-pv-cable", std::string(word(m)));
        }
        ambient_.push_back(factors("ambient-factor", "ambient-factor-more", classes_[cls].ambient));
    }
    ambient_pv_ = factors("ambient-factor-pv-cable", {}, "factor");
    grouping_ = factors("grouping-factor", {}, "factor");
    for (const bool aluminium : {false, true}) {
        for (const char* table : {"small-conductors", "small-conductors-more"}) {
            add_rows(small_[aluminium ? 1 : 0], standard.table(table), aluminium ? "aluminium" : "copper");
        }
    }
}

std::vector<AmpacityTables::Factor> AmpacityTables::factors(std::string_view table, std::string_view more, const std::string& column) const {
    std::vector<Factor> all;
    for (const std::string_view name : {table, more}) {
        const FigureTable* t = name.empty() ? nullptr : standard_.table(name);
        if (t == nullptr) continue;
        const int to = t->column("to"), factor = t->column(column);
        if (to < 0 || factor < 0) continue;
        for (const auto& row : t->rows) {
            const double value = row[static_cast<std::size_t>(factor)].number;
            if (!std::isnan(value)) all.push_back({row[static_cast<std::size_t>(to)].number, value});
        }
    }
    std::sort(all.begin(), all.end(), [](const Factor& x, const Factor& y) { return x.to < y.to; });
    return all;
}

std::uint8_t AmpacityTables::class_of(double temperature) const {
    std::uint8_t found = no_class;
    for (std::uint8_t i = 0; i < classes(); ++i) {
        if (classes_[i].temperature <= temperature + same_temperature) found = i;
    }
    return found;
}

const AmpacityTables::Lane& AmpacityTables::lane(Method method, std::uint8_t cls, bool aluminium) const {
    return cls < classes() ? lanes_[2 * static_cast<std::size_t>(method) + (aluminium ? 1 : 0)][cls] : nothing_;
}

const AmpacityTables::Row* AmpacityTables::listed(Method method, std::uint8_t cls, bool aluminium, double area) const {
    return cls == no_class ? nullptr : floor_row(lane(method, cls, aluminium), area);
}

Bounds AmpacityTables::amps(Method method, std::uint8_t cls, bool aluminium, double area) const {
    if (cls == no_class) return {};
    const Lane& rows = lane(method, cls, aluminium);
    if (rows.empty()) return {};
    const Row* row = floor_row(rows, area);
    if (row == nullptr) return {0, rows.front().amps};
    const bool beyond = row == &rows.back() && area > row->area * (1 + same_size);
    return {row->amps, beyond ? no_limit : row->amps};
}

double AmpacityTables::ambient_factor(Method method, std::uint8_t cls, double kelvin) const {
    if (cls >= classes()) return 1;
    for (const Factor& f : pv_cable_method(method) ? ambient_pv_ : ambient_[cls]) {
        if (kelvin <= f.to + same_temperature) return f.factor;
    }
    return 0;
}

Bounds AmpacityTables::grouping(std::uint32_t count) const {
    if (count <= 1 || grouping_.empty()) return {1, 1};
    for (const Factor& f : grouping_) {
        if (count <= f.to) return {f.factor, f.factor};
    }
    return {0, grouping_.back().factor};
}

double AmpacityTables::small_conductor(bool aluminium, double area) const {
    const Lane& rows = small_[aluminium ? 1 : 0];
    const Row* row = floor_row(rows, area);
    // Above the largest of them by less than a size, a conductor is still that size: 6 mm2 is judged as 10 AWG (5.26 mm2).
    if (row == nullptr) return rows.empty() ? no_limit : 0;
    if (row != &rows.back()) return row->amps;
    const Row* own = floor_row(lane(Method::raceway, 0, aluminium), area);
    return own != nullptr && own->area > row->area * (1 + same_size) ? no_limit : row->amps;
}

std::string AmpacityTables::clause_of(std::string_view table) const {
    const FigureTable* t = standard_.table(table);
    if (t == nullptr) return {};
    if (t->source.standard.empty() || t->source.standard == standard_.cited) return t->source.clause;
    return t->source.clause.empty() ? t->source.standard : t->source.standard + ", " + t->source.clause;
}

std::string AmpacityTables::clause(Method method, const Row& row) const {
    const std::string_view table = method == Method::raceway    ? "ampacity-raceway"
                                   : method == Method::free_air ? "ampacity-free-air"
                                   : method == Method::f        ? "ampacity-touching"
                                   : pv_cable_method(method)    ? "ampacity-pv-cable"
                                                                : "ampacity";
    return clause_of(table) + (row.unchecked ? ", from memory" : "");
}

std::string AmpacityTables::ambient_clause(Method method) const {
    return clause_of(pv_cable_method(method) ? "ambient-factor-pv-cable" : "ambient-factor");
}

std::string AmpacityTables::grouping_clause() const { return clause_of("grouping-factor"); }

}  // namespace ferrule::facts
