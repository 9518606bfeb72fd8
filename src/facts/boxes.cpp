#include "facts/boxes.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <unordered_set>

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::PartId;
using graph::ThingClass;
using graph::ThingId;

BoxData read_box(const Design& d, ThingId id, const tables::Standard& standard) {
    const graph::Thing& t = d.things[id];
    const auto& part_rows = d.parts[t.part].rows;
    BoxData box;
    box.thing = id;
    box.place = place_of(d, id);
    box.nested = t.where && d.things[t.where].cls == ThingClass::enclosure;
    box.exposure = exposure_of(d, box.place);
    std::string_view ingress = d.text(t.rows, "ingress", "code");
    if (ingress.empty()) ingress = d.text(part_rows, "ingress", "code");
    box.ingress = read_ingress(ingress, standard);
    box.tight = keeps_out(d, box.ingress, box.place, standard);
    std::string_view material = d.text(t.rows, "material", "material");
    if (material.empty()) material = d.text(part_rows, "material", "material");
    box.metal = is_metal(material);
    return box;
}

struct Half {
    std::string_view family, half;
    double voltage = graph::unknown, current = graph::unknown, ambient = graph::unknown;
    PartId part;
};

Half half_of(const Design& d, PartId id) {
    const graph::Part& p = d.parts[id];
    return {d.text(p.rows, "family", "family"), d.text(p.rows, "half", "half"), d.number(p.rows, "rated", "voltage"),
            d.number(p.rows, "rated", "current"), d.number(p.rows, "rated", "ambient"), id};
}

bool lists(const Design& d, PartId part, std::string_view family) {
    if (!part) return false;
    const graph::RowId row = d.row(d.parts[part].rows, "mates-with");
    if (!row) return false;
    for (const graph::FieldId f : d.rows[row].fields) {
        if (d.word(d.fields[f].text) == family) return true;
    }
    return false;
}

double least(double a, double b) { return std::isnan(a) ? b : std::isnan(b) ? a : std::min(a, b); }

// The half on a module's or a Y-lead's own end, by the terminal's label.
Half own_half(const Design& d, PartId part, std::string_view property, std::string_view label_field, std::string_view label) {
    Half h;
    const graph::Symbol wanted = d.names.find(property);
    for (const graph::RowId row : d.parts[part].rows) {
        if (d.rows[row].property != wanted) continue;
        const graph::Field* end = d.field(row, label_field);
        if (end == nullptr || d.word(end->text) != label) continue;
        if (const auto* f = d.field(row, "family")) h.family = d.word(f->text);
        if (const auto* f = d.field(row, "half")) h.half = d.word(f->text);
        h.part = part;
    }
    const std::string_view rated = property == "lead" ? "lead-rated" : "rated";
    h.voltage = d.number(d.parts[part].rows, rated, "voltage");
    h.current = d.number(d.parts[part].rows, rated, "current");
    return h;
}

class MatingFinder {
public:
    MatingFinder(const Design& d, const std::vector<PartData>& parts, const Network& n)
        : d_(d), parts_(parts), hottest_(d.number(d.site_rows, "hottest", "temperature")) {
        string_row_.assign(d.things.size(), none);
        for (std::uint32_t i = 0; i < n.strings; ++i) string_row_[n.sources[i].thing.value] = i;
    }

    std::vector<Mating> find() {
        for (const graph::ConductorId id : d_.conductors.ids()) {
            const graph::Conductor& c = d_.conductors[id];
            if (c.end_part_a) meet(id, c.a, c.end_part_a);
            if (c.end_part_b) meet(id, c.b, c.end_part_b);
        }
        return std::move(out_);
    }

private:
    void meet(graph::ConductorId id, graph::TerminalId t, PartId connector) {
        if (parts_[connector.value].kind != "connector") return;
        const ThingId thing = d_.terminals[t];
        const graph::Thing& owner = d_.things[thing];
        const std::string_view label = d_.word(d_.terminal(t).label);
        Half other;
        std::uint32_t string = none;
        if (owner.cls == ThingClass::string && owner.groups != 0) {
            // + is the last module's + lead, - the first module's - lead.
            const std::uint32_t g = label == "+" ? owner.first_group + owner.groups - 1 : owner.first_group;
            other = own_half(d_, d_.groups[g].part, "lead", "end", label);
            string = string_row_[thing.value];
        } else if (parts_[owner.part.value].kind == "lead") {
            other = own_half(d_, owner.part, "end", "label", label);
        }
        if (other.family.empty()) return;
        const Half mine = half_of(d_, connector);
        Mating m;
        m.family_a = other.family;
        m.family_b = mine.family;
        m.half_a = other.half;
        m.half_b = mine.half;
        m.rated_voltage = least(other.voltage, mine.voltage);
        m.rated_current = least(other.current, mine.current);
        if (!(mine.ambient >= hottest_)) m.rated_at = mine.ambient;
        m.part_a = other.part;
        m.voltage_of_a = m.rated_voltage < mine.voltage || (std::isnan(mine.voltage) && !std::isnan(other.voltage));
        m.current_of_a = m.rated_current < mine.current || (std::isnan(mine.current) && !std::isnan(other.current));
        m.listed_together = lists(d_, connector, other.family) || (parts_[other.part.value].kind == "connector" && lists(d_, other.part, mine.family));
        m.conductor = id.value;
        m.string = string;
        m.terminal = t.value;
        m.part_b = connector;
        out_.push_back(m);
    }

    const Design& d_;
    const std::vector<PartData>& parts_;
    double hottest_;
    std::vector<std::uint32_t> string_row_;
    std::vector<Mating> out_;
};

void read_entries(const Design& d, Boxes& out) {
    out.entries.resize(d.entries.size());
    // A cable of several cores is one cable, however many of its cores pass.
    std::unordered_set<std::uint64_t> seen;  // entry and named cable
    for (const graph::EntryUse& use : d.entry_uses) {
        EntryData& e = out.entries[use.entry];
        PartId cable;
        if (use.cable) {
            if (!seen.insert(std::uint64_t{use.entry} << 32U | use.cable.value).second) continue;
            cable = d.things[use.cable].part;
        } else if (use.conductor) {
            cable = d.conductors[use.conductor].cable;
        }
        ++e.cables;
        const double diameter = cable ? d.number(d.parts[cable].rows, "diameter", "length") : graph::unknown;
        if (std::isnan(diameter)) {
            e.diameter_missing = true;
            if (use.conductor) e.conductor = use.conductor.value;
            continue;
        }
        if (std::isnan(e.thinnest) || diameter < e.thinnest) {
            e.thinnest = diameter;
            if (use.conductor) e.conductor = use.conductor.value;
        }
        if (std::isnan(e.thickest) || diameter > e.thickest) e.thickest = diameter;
    }
}

}  // namespace

ThingId place_of(const Design& d, ThingId thing) {
    ThingId at = d.things[thing].where;
    for (int depth = 0; at && d.things[at].cls != ThingClass::place && depth < 64; ++depth) at = d.things[at].where;
    return at && d.things[at].cls == ThingClass::place ? at : ThingId();
}

namespace {

// `enters PV-BOX by G[1..4]`: the author says that cables of this run pass these openings. Where conductors are missing, fewer of them
// than openings is a matter of the conductors.
void claim_entries(const Design& d, Boxes& out) {
    const graph::Symbol enters = d.names.find("enters");
    if (!enters) return;
    std::unordered_map<std::uint64_t, std::vector<std::uint32_t>> by_name;  // box and entry name
    for (std::uint32_t e = 0; e < d.entries.size(); ++e) {
        by_name[std::uint64_t{d.entries[e].enclosure.value} << 32U | d.entries[e].name.value].push_back(e);
    }
    for (const graph::Thing& t : d.things) {
        if (t.cls != ThingClass::run) continue;
        for (const graph::RowId row : t.rows) {
            if (d.rows[row].property != enters) continue;
            const graph::Field* box = d.field(row, "box");
            if (box == nullptr) continue;
            for (const graph::FieldId f : d.rows[row].fields) {
                const graph::Field& x = d.fields[f];
                if (x.type != graph::Accepts::label || !x.text) continue;
                const auto at = by_name.find(std::uint64_t{box->target} << 32U | x.text.value);
                if (at == by_name.end()) continue;
                for (const std::uint32_t e : at->second) {
                    const double index = d.entries[e].index;
                    if (std::isnan(x.low) || (index >= x.low && index <= x.high)) out.entries[e].claimed = true;
                }
            }
        }
    }
}

}  // namespace

Boxes find_boxes(const Design& d, const std::vector<PartData>& parts, const Network& n, const tables::Standard& standard) {
    Boxes out;
    out.box_of.assign(d.things.size(), none);
    for (const ThingId id : d.things.ids()) {
        if (d.things[id].cls != ThingClass::enclosure) continue;
        out.box_of[id.value] = static_cast<std::uint32_t>(out.boxes.size());
        out.boxes.push_back(read_box(d, id, standard));
    }
    for (const graph::Entry& e : d.entries) {
        const std::uint32_t box = out.box_of[e.enclosure.value];
        if (box != none) ++out.boxes[box].entries;
    }
    read_entries(d, out);
    claim_entries(d, out);
    out.matings = MatingFinder(d, parts, n).find();
    return out;
}

}  // namespace ferrule::facts
