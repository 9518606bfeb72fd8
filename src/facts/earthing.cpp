#include "facts/earthing.hpp"

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::Thing;
using graph::ThingClass;
using graph::ThingId;

class EarthingFinder {
public:
    EarthingFinder(const Design& d, const std::vector<PartData>& parts, const Network& n)
        : d_(d), parts_(parts), n_(n), sets_(n.terminals) {}

    Earthing find() {
        ties_inside();
        for (const graph::ConductorId id : d_.conductors.ids()) conductor(id);
        for (const ThingId id : d_.things.ids()) thing(id);
        through_poles();
        e_.nets = sets_.nets();
        choose_main();
        for (MetalThing& m : e_.metal) m.bonded = e_.main[e_.nets[m.terminal]] != 0;
        e_.pole_earthed.assign(n_.on.count, 0);
        for (const EarthLink& l : e_.links) e_.pole_earthed[n_.on[l.terminal]] = 1;
        return std::move(e_);
    }

private:
    // Metal, or a terminal for the protective conductor; everything else belongs to the live side.
    [[nodiscard]] bool is_protective(std::uint32_t t) const { return d_.terminal(graph::TerminalId(t)).protective; }

    // A terminal that is part of a live circuit: an end of a source, a port, a bar, a fuse way. A pole of a switch is not counted
    // here: a protective conductor on a pole is a mistake of its own.
    [[nodiscard]] bool is_live(std::uint32_t t) const {
        if (is_protective(t)) return false;
        return d_.kind_of(d_.terminals[graph::TerminalId(t)]).conducts != "contact";
    }

    void conductor(graph::ConductorId id) {
        const graph::Conductor& c = d_.conductors[id];
        if (!Network::protective(d_, c)) return;
        const std::uint32_t a = c.a.value, b = c.b.value;
        const bool live_a = is_live(a), live_b = is_live(b);
        if (live_a != live_b) {
            e_.links.push_back({id.value, live_a ? a : b});
            return;  // the pole is earthed; it does not become protective metal
        }
        sets_.join(a, b);
    }

    // A pole that the maker ties to the protective terminal (`join`) meets earth by the first protective conductor on the device.
    void ties_inside() {
        std::vector<std::uint32_t> by(d_.things.size(), none);
        for (const graph::ConductorId id : d_.conductors.ids()) {
            const graph::Conductor& c = d_.conductors[id];
            if (!Network::protective(d_, c)) continue;
            for (const graph::TerminalId t : {c.a, c.b}) {
                std::uint32_t& first = by[d_.terminals[t].value];
                if (first == none && is_protective(t.value)) first = id.value;
            }
        }
        for (const ThingId id : d_.things.ids()) {
            const Thing& t = d_.things[id];
            if (t.cls != ThingClass::device || by[id.value] == none) continue;
            const std::uint32_t base = t.first_terminal.value;
            std::uint32_t told = none;  // terminals of one join are one tie
            for (const auto& join : d_.parts[t.part].joins) {
                const std::uint32_t a = base + join[0], b = base + join[1];
                if (is_protective(a) == is_protective(b)) continue;
                const std::uint32_t live = is_protective(a) ? b : a;
                if (told != none && n_.on[live] == n_.on[told]) continue;
                told = live;
                e_.links.push_back({by[id.value], live});
            }
        }
    }

    // The one bonding point of a thing: its first protective terminal.
    [[nodiscard]] std::uint32_t bonding_point(ThingId id) const {
        const auto& terminals = d_.part_of(id).terminals;
        for (std::size_t i = 0; i < terminals.size(); ++i) {
            if (terminals[i].protective) return d_.things[id].first_terminal.value + static_cast<std::uint32_t>(i);
        }
        return none;
    }

    void add(MetalThing::What what, ThingId id, std::uint32_t terminal, bool class_two) {
        if (terminal != none) e_.metal.push_back({what, id, terminal, class_two, false});
    }

    // A protective conductor taken through a pole is a mistake of its own; what is behind the pole still counts as bonded.
    void through_poles() {
        std::vector<std::uint8_t> landed(n_.terminals, 0);
        for (const graph::Conductor& c : d_.conductors) {
            if (Network::protective(d_, c)) landed[c.a.value] = landed[c.b.value] = 1;
        }
        for (const Edge& e : n_.edges) {
            if (e.kind == Edge::Kind::contact && landed[e.a] != 0 && landed[e.b] != 0) sets_.join(e.a, e.b);
        }
    }

    void thing(ThingId id) {
        const Thing& t = d_.things[id];
        const PartData& part = parts_[t.part.value];
        const std::uint32_t point = bonding_point(id);
        switch (t.cls) {
            case ThingClass::place:
                if (is_metal(d_.text(t.rows, "metal", "metal"))) add(MetalThing::What::place, id, point, false);
                break;
            case ThingClass::string: {
                if (t.groups == 0) break;
                const graph::Part& module = d_.parts[d_.groups[t.first_group].part];
                if ((*d_.kinds)[module.kind].name != "module") break;
                const std::string_view frame = d_.text(module.rows, "frame", "material");
                if (frame == "plastic" || frame == "none") break;
                const std::string_view how = d_.text(t.rows, "frames", "how");
                if (how == "clamped" && t.where && point != none) {
                    const std::uint32_t metal = bonding_point(t.where);
                    if (metal != none && is_metal(d_.text(d_.things[t.where].rows, "metal", "metal"))) {
                        sets_.join(point, metal);
                        break;  // the place's metal stands for the frames clamped to it
                    }
                }
                const bool class_two = d_.text(module.rows, "protection-class", "class") == "II" && how == "insulated";
                add(MetalThing::What::frames, id, point, class_two);
                break;
            }
            case ThingClass::enclosure: {
                std::string_view material = d_.text(t.rows, "material", "material");
                bool class_two = d_.text(t.rows, "protection-class", "class") == "II";
                if (material.empty()) material = d_.text(d_.parts[t.part].rows, "material", "material");
                class_two = class_two || part.class_two;
                if (is_metal(material)) add(MetalThing::What::box, id, point, class_two);
                break;
            }
            case ThingClass::device: device(id, part, point); break;
            case ThingClass::run:
            case ThingClass::cable: break;
        }
    }

    void device(ThingId id, const PartData& part, std::uint32_t point) {
        const Thing& t = d_.things[id];
        const auto& terminals = d_.parts[t.part].terminals;
        for (std::size_t i = 0; i < terminals.size(); ++i) {
            const auto terminal = t.first_terminal.value + static_cast<std::uint32_t>(i);
            if (terminals[i].protective && terminal != point) sets_.join(point, terminal);
        }
        if (part.one_metal && point != none) {
            for (std::size_t i = 0; i < terminals.size(); ++i) sets_.join(point, t.first_terminal.value + static_cast<std::uint32_t>(i));
        }
        if (part.kind == "electrode") {
            e_.electrodes.push_back(id);
            return;
        }
        if (part.kind == "earth-bar") {
            if (point != none) e_.bars.push_back(id);
            return;
        }
        if (part.kind == "metalwork") {
            add(MetalThing::What::metalwork, id, point, false);
        } else if ((part.metal && part.kind != "busbar") || part.conducts == Conducts::converter || part.kind == "load") {
            // A converter or load with a terminal for the protective conductor has metal to protect, whatever its case is made of.
            add(MetalThing::What::metal_case, id, point, part.class_two);
        }
    }

    // Metal is bonded when it reaches an earth bar or an electrode; a bar without an electrode is told at the bar, once, and not
    // at everything that is bonded to it.
    void choose_main() {
        e_.main.assign(e_.nets.count, 0);
        std::vector<std::uint32_t> group(e_.nets.count, 0);
        for (const ThingId id : e_.electrodes) {
            const std::uint32_t net = e_.nets[bonding_point(id)];
            e_.main[net] = 1;
            if (group[net] == 0) group[net] = ++e_.electrode_groups;
            e_.electrode_group.push_back(group[net]);
        }
        std::vector<std::uint8_t> told(e_.nets.count, 0);  // bars joined to each other lack one electrode between them
        for (const ThingId id : e_.bars) {
            const std::uint32_t net = e_.nets[bonding_point(id)];
            e_.main[net] = 1;
            e_.bar_earthed.push_back(group[net] != 0 || told[net] != 0 || e_.electrodes.empty() ? 1 : 0);
            told[net] = 1;
        }
    }

    const Design& d_;
    const std::vector<PartData>& parts_;
    const Network& n_;
    UnionFind sets_;
    Earthing e_;
};

}  // namespace

Earthing find_earthing(const Design& design, const std::vector<PartData>& parts, const Network& network) {
    return EarthingFinder(design, parts, network).find();
}

}  // namespace ferrule::facts
