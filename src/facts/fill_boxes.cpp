// enclosure, entry, metal, electrode, earth-bar, place, run.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "facts/analysis.hpp"

namespace ferrule::facts {

namespace {

using graph::ThingId;

bool outdoors(const Analysis& a, ThingId place) { return place && a.d.states(a.d.things[place].rows, "outdoors"); }

void fill_enclosures(Facts& facts, const Shared& a) {
    const auto& rows = a->boxes.boxes;
    Filler fill(facts, "enclosure", rows.size());
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(a->boxes.boxes[row].thing); };
    t.place = [a](std::uint32_t row) { return a->d.things[a->boxes.boxes[row].thing].span; };
    t.thing = [a](std::uint32_t row) { return a->boxes.boxes[row].thing.value; };
    t.circuit = [](std::uint32_t) { return no_row; };
    t.properties = [a](std::uint32_t row) { return a->d.things[a->boxes.boxes[row].thing].rows; };
    t.part_properties = [a](std::uint32_t row) { return a->d.part_of(a->boxes.boxes[row].thing).rows; };
    for (std::uint32_t r = 0; r < rows.size(); ++r) {
        const BoxData& b = rows[r];
        if (b.place) fill.subjects("on")[r] = a->place_row[b.place.value];
        fill.flags("outdoors")[r] = outdoors(*a, b.place) ? 1 : 0;
        fill.set_word("exposure", r, b.exposure == Exposure::unknown ? std::string_view() : word(b.exposure));
        fill.flags("ingress-stated")[r] = b.ingress.code.empty() ? 0 : 1;
        fill.numbers("ingress-solids")[r] = b.ingress.solids;
        fill.numbers("ingress-water")[r] = b.ingress.water;
        fill.set_word("ingress", r, b.ingress.shown());
        fill.flags("ingress-fits")[r] = flag(b.tight);
        fill.set_word("ingress-asked", r, asked_of(a->d, b.ingress, b.place, a->standard));
        fill.flags("nested")[r] = b.nested ? 1 : 0;
        fill.flags("metal")[r] = b.metal ? 1 : 0;
        fill.numbers("entries")[r] = b.entries;
    }
    const auto missing = [a](std::uint32_t row) {
        const graph::Thing& thing = a->d.things[a->boxes.boxes[row].thing];
        return Missing{fmt::format("the IP code of {} (`ingress IP65`)", a->d.name(a->boxes.boxes[row].thing)), thing.span};
    };
    for (const char* column : {"ingress", "ingress-solids", "ingress-water", "ingress-fits"}) fill.column(column).missing = missing;
    fill.column("exposure").missing = [a](std::uint32_t row) {
        const BoxData& b = a->boxes.boxes[row];
        return Missing{fmt::format("whether the place of {} is `outdoors` or `indoors`", a->d.name(b.thing)), a->d.things[b.thing].span};
    };
}

// Per box: a device in it, bars apart, or a switch anywhere has a terminal on which nothing lands. A cable that a run's `enters` counts on may then be the
// one that is missing, which is told at the terminal.
std::vector<std::uint8_t> boxes_with_bare_terminals(const Analysis& a) {
    std::vector<std::uint8_t> lacks(a.boxes.boxes.size(), 0);
    for (const ThingId id : a.devices) {
        const graph::Thing& thing = a.d.things[id];
        const std::uint32_t box = thing.where ? a.boxes.box_of[thing.where.value] : none;
        const bool pole = a.part(id).conducts == Conducts::contact;  // its cable may come from any box
        if ((box == none && !pole) || a.part(id).one_metal) continue;
        const auto& terminals = a.d.part_of(id).terminals;
        for (std::uint32_t i = 0; i < terminals.size(); ++i) {
            const std::uint32_t t = thing.first_terminal.value + i;
            if (terminals[i].protective || a.net.landings[t] != 0 || a.net.links[t] != 0) continue;
            if (pole) lacks.assign(lacks.size(), 1);
            else lacks[box] = 1;
        }
    }
    return lacks;
}

// M20 -> 20 mm; other threads have no diameter in their name.
double metric_thread(std::string_view thread) {
    if (thread.size() < 2 || (thread.front() != 'M' && thread.front() != 'm')) return graph::unknown;
    double mm = 0;
    for (const char c : thread.substr(1)) {
        if (c == 'x' || c == 'X') break;  // M20x1.5
        if (c < '0' || c > '9' || mm > 1000) return graph::unknown;
        mm = mm * 10 + (c - '0');
    }
    return mm > 0 ? mm / 1000 : graph::unknown;
}

void fill_entries(Facts& facts, const Shared& a) {
    const auto& rows = a->boxes.entries;
    Filler fill(facts, "entry", rows.size());
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) {
        const graph::Entry& e = a->d.entries[row];
        std::string name = fmt::format("{}.{}", a->d.name(e.enclosure), a->d.word(e.name));
        if (e.index != 0) name += fmt::format("[{}]", e.index);
        return name;
    };
    t.place = [a](std::uint32_t row) { return a->d.entries[row].span; };
    t.thing = [a](std::uint32_t row) { return a->d.entries[row].enclosure.value; };
    // Not a circuit, but used as one: a box's openings belong together, so that one mistake about them is told once.
    t.circuit = [a](std::uint32_t row) { return a->circuits.circuit_count + a->d.entries[row].enclosure.value; };
    t.part_properties = [a](std::uint32_t row) {
        const graph::PartId p = a->d.entries[row].fitting;
        return p ? a->d.parts[p].rows : base::Range<graph::RowId>{};
    };
    auto& enclosure = fill.subjects("enclosure");
    auto& part = fill.subjects("part");
    auto& cable = fill.subjects("cable");
    auto& out = fill.flags("outdoors");
    auto& used = fill.flags("used");
    auto& fits = fill.flags("ingress-fits");
    auto& hole = fill.numbers("hole");
    auto& thread = fill.numbers("thread");
    auto& cables = fill.numbers("cables");
    auto& holes = fill.numbers("holes");
    auto& least = fill.numbers("clamps-least");
    auto& most = fill.numbers("clamps-most");
    auto& thin = fill.numbers("cable-least");
    auto& thick = fill.numbers("cable-most");
    const std::vector<std::uint8_t> landing_lacks = boxes_with_bare_terminals(*a);
    const bool string_open = std::any_of(a->net.sources.begin(), a->net.sources.begin() + a->net.strings, [&](const PowerSource& s) {
        return (s.plus != none && a->net.landings[s.plus] == 0) || (s.minus != none && a->net.landings[s.minus] == 0);
    });
    const graph::Kinds::Default* one_hole = a->d.kinds->find_default("gland-holes");
    for (std::uint32_t r = 0; r < rows.size(); ++r) {
        const EntryData& e = rows[r];
        const graph::Entry& entry = a->d.entries[r];
        const std::uint32_t box = a->boxes.box_of[entry.enclosure.value];
        if (box != none) {
            enclosure[r] = box;
            out[r] = outdoors(*a, a->boxes.boxes[box].place) ? 1 : 0;
        }
        fill.set_word("face", r, a->d.word(entry.face));
        fill.set_word("fitting", r, entry.fitting ? a->parts[entry.fitting.value].kind : std::string_view("none"));
        cables[r] = e.cables;
        if (const graph::Field* f = entry.row ? a->d.field(entry.row, "hole") : nullptr) hole[r] = f->high;
        const bool to_come = e.claimed && (string_open || (box != none && landing_lacks[box] != 0));
        used[r] = e.cables != 0 || to_come || a->open_thing[entry.enclosure.value] != 0 ? 1 : 0;
        thin[r] = e.diameter_missing ? graph::unknown : e.thinnest;
        thick[r] = e.diameter_missing ? graph::unknown : e.thickest;
        if (e.conductor != none) cable[r] = e.conductor;
        if (!entry.fitting) continue;
        part[r] = entry.fitting.value;
        const auto fitting = a->d.parts[entry.fitting].rows;
        thread[r] = metric_thread(a->d.text(fitting, "thread", "thread"));
        if (box != none && !a->boxes.boxes[box].nested) {
            const BoxData& in = a->boxes.boxes[box];
            const Ingress mark = read_ingress(a->d.text(fitting, "ingress", "code"), a->standard);
            fill.set_word("ingress", r, mark.shown());
            if (in.exposure != Exposure::unknown) fill.set_word("exposure", r, word(in.exposure));
            fits[r] = flag(keeps_out(a->d, mark, in.place, a->standard));
            if (fits[r] == 0) fill.set_word("ingress-asked", r, asked_of(a->d, mark, in.place, a->standard));
        }
        holes[r] = a->d.number(fitting, "holes", "count");
        if (std::isnan(holes[r]) && one_hole != nullptr) holes[r] = one_hole->value;
        if (const auto* f = a->d.field(a->d.row(fitting, "clamps"), "length")) {
            least[r] = f->low;
            most[r] = f->high;
        }
    }
    fill.column("holes").assumed = [a](std::uint32_t row) {
        const graph::PartId p = a->d.entries[row].fitting;
        if (!p || a->d.states(a->d.parts[p].rows, "holes")) return std::vector<std::string>{};
        return std::vector{fmt::format("{} states no `holes`: it is taken to have one", a->d.word(a->d.parts[p].name))};
    };
    for (const char* column : {"clamps-least", "clamps-most"}) {
        fill.column(column).missing = [a](std::uint32_t row) {
            const graph::PartId p = a->d.entries[row].fitting;
            if (!p) return Missing{"a gland", a->d.entries[row].span};
            return Missing{fmt::format("`clamps` of {}", a->d.word(a->d.parts[p].name)), a->d.parts[p].span};
        };
    }
    for (const char* column : {"cable-least", "cable-most"}) {
        fill.column(column).missing = [a](std::uint32_t row) {
            const EntryData& e = a->boxes.entries[row];
            if (e.conductor == none) return Missing{"the diameter of the cable that passes", a->d.entries[row].span};
            const graph::Conductor& c = a->d.conductors[graph::ConductorId(e.conductor)];
            if (!c.cable) return Missing{"the diameter of this cable (name a cable part that states it)", c.span};
            return Missing{fmt::format("`diameter` of {}", a->d.word(a->d.parts[c.cable].name)), a->d.parts[c.cable].span};
        };
    }
}

void fill_metal(Facts& facts, const Shared& a) {
    const auto& rows = a->earthing.metal;
    {
        Filler fill(facts, "metal", rows.size());
        Table& t = fill.table();
        t.name = [a](std::uint32_t row) { return a->d.name(a->earthing.metal[row].thing); };
        t.place = [a](std::uint32_t row) { return a->d.things[a->earthing.metal[row].thing].span; };
        t.thing = [a](std::uint32_t row) { return a->earthing.metal[row].thing.value; };
        t.circuit = [](std::uint32_t) { return no_row; };
        constexpr const char* words[] = {"frames", "box", "case", "place", "metalwork"};
        std::vector<std::uint8_t> holds(a->d.things.size(), 0);
        for (const graph::ThingId id : a->d.things.ids()) {
            const graph::Thing& thing = a->d.things[id];
            bool live = thing.cls == graph::ThingClass::string;
            for (std::uint32_t i = 0; !live && i < a->d.part_of(id).terminals.size(); ++i) {
                const std::uint32_t terminal = thing.first_terminal.value + i;
                live = a->circuits.net_voltage[a->net.on[terminal]] != 0 || (a->part(id).kind == "load" && a->net.landings[terminal] != 0);
            }
            if (!live) continue;
            holds[id.value] = 1;
            for (ThingId at = thing.where; at && holds[at.value] == 0; at = a->d.things[at].where) holds[at.value] = 1;
        }
        for (std::uint32_t r = 0; r < rows.size(); ++r) {
            fill.set_word("what", r, words[static_cast<int>(rows[r].what)]);
            fill.flags("bonded")[r] = rows[r].bonded || a->open_thing[rows[r].thing.value] != 0 ? 1 : 0;  // a bond of it could not be read
            fill.flags("class-two")[r] = rows[r].class_two ? 1 : 0;
            fill.flags("in-dc")[r] = holds[rows[r].thing.value];
        }
    }
    const auto& electrodes = a->earthing.electrodes;
    Filler fill(facts, "electrode", electrodes.size());
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(a->earthing.electrodes[row]); };
    t.place = [a](std::uint32_t row) { return a->d.things[a->earthing.electrodes[row]].span; };
    t.thing = [a](std::uint32_t row) { return a->earthing.electrodes[row].value; };
    t.circuit = [](std::uint32_t) { return no_row; };
    t.properties = [a](std::uint32_t row) { return a->d.things[a->earthing.electrodes[row]].rows; };
    t.part_properties = [a](std::uint32_t row) { return a->d.part_of(a->earthing.electrodes[row]).rows; };
    for (std::uint32_t r = 0; r < electrodes.size(); ++r) {
        fill.numbers("group")[r] = a->earthing.electrode_group[r];
        fill.flags("joined")[r] = a->earthing.electrode_group[r] == a->earthing.electrode_group[0] ? 1 : 0;
    }
}

void fill_earth_bars(Facts& facts, const Shared& a) {
    const auto& bars = a->earthing.bars;
    Filler fill(facts, "earth-bar", bars.size());
    Table& t = fill.table();
    t.name = [a](std::uint32_t row) { return a->d.name(a->earthing.bars[row]); };
    t.place = [a](std::uint32_t row) { return a->d.things[a->earthing.bars[row]].span; };
    t.thing = [a](std::uint32_t row) { return a->earthing.bars[row].value; };
    t.circuit = [](std::uint32_t) { return no_row; };
    for (std::uint32_t r = 0; r < bars.size(); ++r) fill.flags("earthed")[r] = a->earthing.bar_earthed[r] != 0 || a->open_thing[bars[r].value] != 0 ? 1 : 0;
}

void fill_properties_only(Facts& facts, const Shared& a, std::string_view name, const std::vector<ThingId>& things) {
    Filler fill(facts, name, things.size());
    Table& t = fill.table();
    t.name = [a, things](std::uint32_t row) { return a->d.name(things[row]); };
    t.place = [a, things](std::uint32_t row) { return a->d.things[things[row]].span; };
    t.thing = [things](std::uint32_t row) { return things[row].value; };
    t.circuit = [](std::uint32_t) { return no_row; };
    t.properties = [a, things](std::uint32_t row) { return a->d.things[things[row]].rows; };
}

}  // namespace

void fill_boxes(Facts& facts, const Shared& a) {
    fill_enclosures(facts, a);
    fill_entries(facts, a);
    fill_metal(facts, a);
    fill_earth_bars(facts, a);
    fill_properties_only(facts, a, "place", a->places);
    fill_properties_only(facts, a, "run", a->runs);
}

}  // namespace ferrule::facts
