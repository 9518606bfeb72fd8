#include "resolve/cables.hpp"

namespace ferrule::resolve {

const CableFacts& Cables::operator[](PartId part) {
    if (part == last_ && last_facts_ != nullptr) return *last_facts_;
    const auto [there, added] = facts_.try_emplace(part);
    CableFacts& f = there->second;
    last_ = part;
    last_facts_ = &f;
    if (!added) return f;
    const graph::Design& d = b_->design;
    const Words& w = b_->words;
    const auto rows = d.parts[part].rows;
    if (const RowId section = d.row(rows, w.section)) {
        for (const FieldId fid : d.rows[section].fields) {
            const graph::Field& field = d.fields[fid];
            if (field.name == w.area) {
                if (field.low > 0) f.area = field.low;  // of 0 mm2 nothing is known
                f.area_unit = field.unit;
            } else if (field.name == w.material) {
                f.material = field.text;
            }
        }
    }
    f.rated_voltage = d.number(rows, "rated", "voltage");
    f.diameter = d.number(rows, "diameter", "length");
    const double cores = d.number(rows, "cores", "count");
    if (cores >= 1 && cores < 65535) f.cores = static_cast<std::uint32_t>(cores);
    if (const RowId colour = d.row(rows, w.colour)) {
        for (const FieldId fid : d.rows[colour].fields) f.colours.push_back(d.fields[fid].text);
    }
    return f;
}

}  // namespace ferrule::resolve
