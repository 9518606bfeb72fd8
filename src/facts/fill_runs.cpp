// bond. After the currents, devices and needed sizes of the circuits that protective conductors serve.
#include <cmath>

#include "facts/bonds.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;

// Sizes are few: their words and units are made once.
class Sizes {
public:
    struct Size {
        double area = 0;
        bool metric = false;
        units::UnitId unit;
        base::Symbol needed;  // the smallest standard size that is not below; none above the list
    };
    Sizes(Facts& facts, const Bonds& bonds, const units::Units& units) : facts_(facts), bonds_(bonds), mm2_(units.find("mm2")), awg_(units.find("AWG")), kcmil_(units.find("kcmil")) {}

    const Size& of(std::uint32_t conductor, double area) {
        const bool metric = bonds_.metric(conductor);
        for (const Size& s : sizes_) {
            if (s.metric == metric && s.area == area) return s;
        }
        const double next = bonds_.next_size(conductor, area);
        const base::Symbol needed = std::isnan(next) ? base::Symbol() : facts_.words.intern(bonds_.size_text(conductor, next));
        sizes_.push_back({area, metric, metric ? mm2_ : bonds_.size_text(conductor, area).ends_with("AWG") ? awg_ : kcmil_, needed});
        return sizes_.back();
    }

private:
    Facts& facts_;
    const Bonds& bonds_;
    units::UnitId mm2_, awg_, kcmil_;
    std::vector<Size> sizes_;
};

}  // namespace

void fill_runs(Facts& facts, const Shared& a) {
    const bool grows = a->standard.table("bonding-sizes") != nullptr && !a->battery_sources.empty();
    const std::shared_ptr<const Carrying> carrying = grows ? make_carrying(facts, a) : nullptr;
    const auto bonds = std::make_shared<const Bonds>(facts, *a, carrying.get());
    const std::vector<Bond>& rows = bonds->all();
    Filler fill(facts, "bond", rows.size());
    Table& t = fill.table();
    t.name = [a, bonds](std::uint32_t row) { return a->d.name(ConductorId(bonds->all()[row].conductor)); };
    t.place = [a, bonds](std::uint32_t row) { return a->d.conductors[ConductorId(bonds->all()[row].conductor)].span; };
    t.thing = [a, bonds](std::uint32_t row) { return a->owner(a->d.conductors[ConductorId(bonds->all()[row].conductor)].a.value).value; };
    t.circuit = [a, bonds](std::uint32_t row) {
        const std::uint32_t circuit = bonds->all()[row].need.conductor;
        return circuit == none ? no_row : a->circuit_of(a->d.conductors[ConductorId(circuit)].a.value);
    };
    t.part_properties = [a, bonds](std::uint32_t row) {
        const graph::PartId cable = a->d.conductors[ConductorId(bonds->all()[row].conductor)].cable;
        return cable ? a->d.parts[cable].rows : base::Range<graph::RowId>{};
    };
    auto& conductor = fill.subjects("conductor");
    auto& section = fill.numbers("area");
    auto& circuit = fill.subjects("for");
    auto& device = fill.numbers("device");
    auto& least = fill.numbers("least");
    auto& floor = fill.numbers("floor");
    auto& needed = fill.column("needed").words;
    auto& electrode = fill.subjects("electrode");
    auto& electrode_least = fill.numbers("electrode-least");
    auto& grown = fill.numbers("grown");
    auto& aluminium = fill.flags("aluminium");
    auto& exposed = fill.flags("exposed");
    auto& to_electrode = fill.flags("to-electrode");
    auto& asked = fill.flags("asked");
    auto& assumed = fill.flags("assumed");
    auto& own_unit = fill.column("area").row_units;
    own_unit.resize(rows.size());
    std::vector<units::UnitId> unit(rows.size());
    const units::UnitId mm2 = a->d.units->find("mm2");
    Sizes sizes(facts, *bonds, *a->d.units);
    for (std::uint32_t r = 0; r < rows.size(); ++r) {
        const Bond& b = rows[r];
        const graph::Conductor& c = a->d.conductors[ConductorId(b.conductor)];
        conductor[r] = b.conductor;
        section[r] = c.area;
        own_unit[r] = c.area_unit ? c.area_unit : mm2;
        aluminium[r] = bonds->aluminium(b) ? 1 : 0;
        exposed[r] = b.exposed ? 1 : 0;
        to_electrode[r] = b.electrode ? 1 : 0;
        if (b.electrode) electrode[r] = a->device_row[b.electrode.value];
        if (b.need.by != BondNeed::By::nothing) {
            asked[r] = b.electrode ? 0 : 1;
            circuit[r] = b.need.conductor;
            device[r] = b.need.device;
            assumed[r] = b.need.assumed ? 1 : 0;
        }
        least[r] = b.least;
        grown[r] = b.grown;
        floor[r] = b.floor;
        electrode_least[r] = b.electrode_least;
        const double area = b.electrode ? b.electrode_least : b.least;
        if (std::isnan(area)) continue;
        const Sizes::Size& s = sizes.of(b.conductor, area);
        unit[r] = s.unit;
        needed[r] = s.needed;
    }
    for (const char* name : {"least", "floor", "electrode-least"}) fill.column(name).row_units = unit;
    fill.column("grown").working = fill.column("least").working = [bonds](std::uint32_t row) { return bonds->working(bonds->all()[row]); };
    fill.column("electrode-least").working = [bonds](std::uint32_t row) { return bonds->electrode_working(bonds->all()[row]); };
    fill.column("area").missing = [a, bonds](std::uint32_t row) {
        return Missing{"the section of this conductor", a->d.conductors[ConductorId(bonds->all()[row].conductor)].span};
    };
    for (const char* name : {"least", "floor", "device", "grown"}) {
        const bool of_device = std::string_view(name) == "device", of_growth = std::string_view(name) == "grown";
        fill.column(name).missing = [a, bonds, of_device, of_growth](std::uint32_t row) {
            const BondNeed& need = bonds->all()[row].need;
            if (need.by == BondNeed::By::nothing) {
                return Missing{"a direct-current circuit that could touch what it bonds", a->d.conductors[ConductorId(bonds->all()[row].conductor)].span};
            }
            const text::Span where = a->d.conductors[ConductorId(need.conductor)].span;
            if (need.by != BondNeed::By::device && of_device) return Missing{"nothing: its section does not hang on an overcurrent device", where};
            if (!need.unknown && of_growth) return Missing{"circuit conductors that are thicker than they need be", where};
            if (need.by == BondNeed::By::section) return Missing{"the section of the circuit conductor whose metal it bonds", where};
            return Missing{"the current of the circuit whose metal it bonds, or the rating of its overcurrent device", where};
        };
    }
    fill.column("electrode-least").missing = [a, bonds](std::uint32_t row) {
        return Missing{"an earth electrode at its end", a->d.conductors[ConductorId(bonds->all()[row].conductor)].span};
    };
}

}  // namespace ferrule::facts
