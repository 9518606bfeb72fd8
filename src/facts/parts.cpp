#include "facts/parts.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::Row;
using graph::RowId;

Conducts conducts(std::string_view word) {
    if (word == "source") return Conducts::source;
    if (word == "contact") return Conducts::contact;
    if (word == "guard") return Conducts::guard;
    if (word == "converter") return Conducts::converter;
    if (word == "wire") return Conducts::wire;
    return Conducts::none;
}

RatingRow rating_row(const Design& d, RowId id) {
    RatingRow r;
    r.row = id;
    if (const auto* x = d.field(id, "contacts")) r.contacts = static_cast<std::uint32_t>(std::clamp(x->low, 0.0, 65535.0));  // no part has more poles
    if (const auto* x = d.field(id, "arrangement")) {
        const std::string_view how = d.word(x->text);
        r.arrangement = how == "parallel"    ? RatingRow::Arrangement::parallel
                        : how == "conductor" ? RatingRow::Arrangement::conductor
                                             : RatingRow::Arrangement::series;
    }
    if (const auto* x = d.field(id, "voltage")) r.voltage = x->high;
    if (const auto* x = d.field(id, "current")) r.current = x->high;
    if (const auto* x = d.field(id, "ambient")) r.ambient = x->high;
    if (const auto* x = d.field(id, "category")) r.category = d.word(x->text);
    return r;
}

// A PV category covers what an array asks of it: DC-PV1 that of one string, DC-PV2 that of several. DC-21 is for heaters, where a
// battery mostly feeds coils and capacitors. What is not known is not held against it.
std::uint8_t category_fit(std::string_view category, Duty duty) {
    if (category_no_load(category)) return 0;
    if (!category_breaks_load(category)) return 2;
    const bool pv1 = category_starts(category, "DC-PV1"), pv2 = category_starts(category, "DC-PV2");
    if (duty == Duty::battery) return pv1 || pv2 || category_starts(category, "DC-21") ? 1 : 2;
    return pv2 || (pv1 && duty == Duty::one_string) ? 2 : 1;
}

// How well each row fits each duty: by its own category, or else by the best that the part states.
void read_categories(PartData& p, const std::vector<std::string_view>& stated) {
    p.categories = stated;
    for (const RatingRow& r : p.ratings) {
        if (r.category.empty()) continue;
        p.rows_differ = true;
        if (std::find(p.categories.begin(), p.categories.end(), r.category) == p.categories.end()) p.categories.push_back(r.category);
    }
    for (RatingRow& r : p.ratings) {
        for (std::size_t d = 0; d < duties; ++d) {
            const Duty duty = static_cast<Duty>(d);
            if (!r.category.empty()) r.fits[d] = category_fit(r.category, duty);
            else if (stated.empty()) r.fits[d] = 2;
            else for (const std::string_view s : stated) r.fits[d] = std::max(r.fits[d], category_fit(s, duty));
        }
    }
}

void read_module(const Design& d, const graph::Part& part, ModuleData& m) {
    m.voc = d.number(part.rows, "voc", "voltage");
    m.voc_relative = d.number(part.rows, "voc", "per-kelvin");
    m.voc_absolute = d.number(part.rows, "voc", "volts-per-kelvin");
    m.vmp = d.number(part.rows, "vmp", "voltage");
    m.vmp_relative = d.number(part.rows, "vmp", "per-kelvin");
    m.vmp_absolute = d.number(part.rows, "vmp", "volts-per-kelvin");
    m.pmax_relative = d.number(part.rows, "pmax", "per-kelvin");
    m.isc = d.number(part.rows, "isc", "current");
    m.imp = d.number(part.rows, "imp", "current");
    // A figure that cannot be right is not used: it has a finding of its own, and what depends on it is undecided. No module
    // gains voltage as it warms; isc is 1 to 1.3 times imp (common practice), here 0.8 to 2 so that only slips are caught.
    // The same for a coefficient of more than 1 % per kelvin: no cell comes near it.
    if (m.voc_relative >= 0 || m.voc_absolute >= 0 || m.voc_relative < -0.01 || m.voc_absolute < -0.01 * m.voc) {
        m.voc_relative = m.voc_absolute = graph::unknown;
        m.coefficient_doubtful = true;
    }
    if (m.isc > 2 * m.imp || m.isc < 0.8 * m.imp) {
        m.isc = graph::unknown;
        m.isc_doubtful = true;
    }
    m.max_fuse = d.number(part.rows, "max-fuse", "current");
    m.max_system = d.number(part.rows, "max-system", "voltage");
    const std::string_view cells = d.text(part.rows, "technology", "cells");
    m.silicon = cells.empty() || cells == "silicon";
}

}  // namespace

bool category_starts(std::string_view category, std::string_view with) { return same_letters(category.substr(0, with.size()), with); }

bool category_breaks_load(std::string_view category) {
    constexpr std::array load{"DC-21", "DC-22", "DC-23", "DC-PV1", "DC-PV2"};
    return std::any_of(load.begin(), load.end(), [&](std::string_view c) { return category_starts(category, c); });
}

bool category_no_load(std::string_view category) { return category_starts(category, "DC-20") || category_starts(category, "DC-PV0"); }

bool is_metal(std::string_view material) {
    constexpr std::array metals{"steel", "aluminium", "copper", "brass", "iron", "metal", "zinc", "bronze", "galvanised", "stainless"};
    return std::any_of(metals.begin(), metals.end(), [&](std::string_view m) {
        return material.substr(0, m.size()) == m ||
               (material.size() >= m.size() && material.substr(material.size() - m.size()) == m);
    });
}

std::vector<PartData> read_parts(const Design& d) {
    std::vector<PartData> parts(d.parts.size());
    const graph::Symbol rated = d.names.find("rated");
    const graph::Symbol continuous = d.names.find("continuous");
    for (const graph::PartId id : d.parts.ids()) {
        const graph::Part& part = d.parts[id];
        const graph::Kind& kind = (*d.kinds)[part.kind];
        PartData& p = parts[id.value];
        p.kind = kind.name;
        p.conducts = conducts(kind.conducts);
        p.one_metal = kind.one_metal;
        p.breaks_load = kind.breaks_load;
        const std::string_view says = d.text(part.rows, "breaks-load", "answer");
        if (!says.empty()) p.breaks_load = says == "yes";
        p.overcurrent = p.conducts == Conducts::guard || kind.name == "breaker";
        const std::string_view isolated = d.text(part.rows, "isolated", "answer");
        if (!isolated.empty()) p.isolated = isolated == "yes" ? Answer::yes : Answer::no;
        p.ground_fault = d.text(part.rows, "ground-fault", "function");
        p.ac_rated = d.states(part.rows, "rated-ac");
        p.class_two = d.text(part.rows, "protection-class", "class") == "II";
        p.metal = is_metal(d.text(part.rows, "material", "material"));
        const RowId torque = d.row(part.rows, "torque");
        const auto unread = [&](std::string_view property) {
            return std::any_of(part.unread.begin(), part.unread.end(), [&](graph::Symbol s) { return d.word(s) == property; });
        };
        p.torque_stated = d.field(torque, "torque") != nullptr || unread("torque");
        p.rated_unread = unread("rated");
        p.spring = d.field(torque, "clamp") != nullptr;
        for (const RowId row : part.rows) {
            const Row& r = d.rows[row];
            if (r.property == continuous && continuous) {
                if (const auto* x = d.field(row, "voltage")) p.rated_voltage = x->high;
            }
            if (!(r.property == rated && rated)) continue;
            p.ratings.push_back(rating_row(d, row));
            p.rated_voltage = std::fmax(p.rated_voltage, p.ratings.back().voltage);
            p.rated_current = std::fmax(p.rated_current, p.ratings.back().current);
        }
        std::vector<std::string_view> categories;
        if (const RowId row = d.row(part.rows, "category"); row) {
            for (const graph::FieldId f : d.rows[row].fields) categories.push_back(d.word(d.fields[f].text));
        }
        read_categories(p, categories);
        p.without_end = d.text(part.rows, "continuous-duty", "answer") == "yes";
        // DC-20 and DC-PV0 are for opening without load; a switch in such a category alone parts nothing that carries current.
        if (says.empty() && !p.categories.empty() && std::all_of(p.categories.begin(), p.categories.end(), category_no_load)) p.breaks_load = false;
        if (p.kind == "module") read_module(d, part, p.module);
    }
    return parts;
}

bool same_letters(std::string_view x, std::string_view y) {
    const auto low = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
    return std::equal(x.begin(), x.end(), y.begin(), y.end(), [&](char p, char q) { return low(p) == low(q); });
}

}  // namespace ferrule::facts
