#include "facts/ratings.hpp"

#include <algorithm>
#include <cmath>

#include "facts/analysis.hpp"

namespace ferrule::facts {

namespace {

bool is_parallel(const RatingRow& row) { return row.arrangement == RatingRow::Arrangement::parallel; }

}  // namespace

std::uint32_t least_poles(const BrokenCircuit& b) {
    const std::uint32_t smaller = std::min(b.poles_plus, b.poles_minus);
    return smaller == 0 ? std::max(b.poles_plus, b.poles_minus) : smaller;
}

bool several_feed(const Analysis& a, const BrokenCircuit& b) {
    if (b.battery || b.more_beyond) return true;
    const std::uint32_t g = b.sources.empty() ? none : a.circuits.group_of[b.sources.front()];
    return g != none && a.circuits.groups[g].count() > 1;
}

Contacts contacts_of(const Analysis& a, const BrokenCircuit& b) {
    Contacts c;
    c.in_series = b.poles_plus + b.poles_minus;
    c.per_conductor = least_poles(b);
    c.side_by_side = b.paralleled;
    c.duty = b.battery ? Duty::battery : several_feed(a, b) ? Duty::several : Duty::one_string;
    return c;
}

bool for_contacts(const RatingRow& row, const Contacts& c) {
    switch (row.arrangement) {
        case RatingRow::Arrangement::parallel: return row.contacts >= 2 && row.contacts <= c.side_by_side;
        case RatingRow::Arrangement::conductor: return row.contacts != 0 && row.contacts <= c.per_conductor;
        case RatingRow::Arrangement::series: break;
    }
    return row.contacts != 0 && row.contacts <= c.in_series;
}

std::uint8_t best_fit(const PartData& part, const Contacts& c, bool parallel) {
    std::uint8_t best = 0;
    for (const RatingRow& row : part.ratings) {
        if (is_parallel(row) == parallel && for_contacts(row, c)) best = std::max(best, row.fits[static_cast<std::size_t>(c.duty)]);
    }
    return best;
}

Derating derating(const graph::Design& d, const graph::Part& part, double temperature, double holds_to) {
    Derating x;
    const graph::Symbol derate = d.names.find("derate");
    double line_at = graph::unknown;
    bool begun = false;  // cooler air than that takes something off
    for (const graph::RowId row : part.rows) {
        if (!derate || d.rows[row].property != derate) continue;
        const graph::Field *at = d.field(row, "ambient"), *share = d.field(row, "factor");
        if (at == nullptr || share == nullptr) continue;
        x.stated = true;
        begun = begun || (at->high < temperature && share->high < 1);
        if (at->high < temperature || at->high >= line_at) continue;
        x.line = row;
        x.factor = share->high;
        line_at = at->high;
    }
    if (std::isnan(temperature)) return {graph::unknown, {}, x.stated};
    if (temperature <= holds_to && !begun && !(line_at <= holds_to)) return {1, {}, x.stated};
    return x;
}

Rating look_up(const PartData& part, const Contacts& c, double voltage) {
    Rating r;
    const std::uint8_t in_series = best_fit(part, c, false), side_by_side = best_fit(part, c, true);
    for (const RatingRow& row : part.ratings) {
        if (!for_contacts(row, c) || row.fits[static_cast<std::size_t>(c.duty)] < (is_parallel(row) ? side_by_side : in_series)) continue;
        if (!std::isnan(row.ambient) && !std::isnan(c.ambient) && row.ambient < c.ambient) {
            r.cooler = true;
            continue;
        }
        if (is_parallel(row)) {
            r.any_parallel = true;
            r.parallel_voltage = std::fmax(r.parallel_voltage, row.voltage);
            if (!(row.voltage >= voltage)) continue;
            if (std::isnan(r.parallel_current) || row.current > r.parallel_current) {
                r.parallel_current = row.current;
                r.parallel_row = row.row;
            }
            continue;
        }
        r.any_series = true;
        if (std::isnan(r.voltage) || row.voltage > r.voltage) {
            r.voltage = row.voltage;
            r.voltage_row = row.row;
        }
        if (row.voltage >= voltage && (std::isnan(r.current) || row.current > r.current)) {
            r.current = row.current;
            r.current_row = row.row;
        }
    }
    return r;
}

Category category_of(const std::vector<std::string_view>& categories) {
    Category c;
    for (const std::string_view s : categories) {
        if (!category_breaks_load(s) && !category_no_load(s)) continue;
        c.known = true;
        const bool pv1 = category_starts(s, "DC-PV1");
        c.breaks_load = c.breaks_load || category_breaks_load(s);
        if (category_starts(s, "DC-PV")) c.pv = true;
        if (!pv1) c.only_single = false;
        if (!category_starts(s, "DC-21")) c.only_resistive = false;
    }
    c.only_single = c.only_single && c.known;
    c.only_resistive = c.only_resistive && c.known;
    return c;
}

std::vector<std::string_view> categories_in_use(const graph::Design& d, const graph::Part& part, const PartData& data, const Contacts& contacts) {
    if (!data.rows_differ) return data.categories;
    std::vector<std::string_view> stated;
    if (const graph::RowId row = d.row(part.rows, "category"); row) {
        for (const graph::FieldId f : d.rows[row].fields) stated.push_back(d.word(d.fields[f].text));
    }
    std::vector<std::string_view> used;
    const auto use = [&](std::string_view s) {
        if (std::find(used.begin(), used.end(), s) == used.end()) used.push_back(s);
    };
    for (const bool parallel : {false, true}) {
        const std::uint8_t best = best_fit(data, contacts, parallel);
        for (const RatingRow& row : data.ratings) {
            if (is_parallel(row) != parallel || !for_contacts(row, contacts)) continue;
            if (row.fits[static_cast<std::size_t>(contacts.duty)] < best) continue;
            if (!row.category.empty()) use(row.category);
            else std::for_each(stated.begin(), stated.end(), use);
        }
    }
    return used.empty() ? data.categories : used;
}

}  // namespace ferrule::facts
