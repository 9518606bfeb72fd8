// What a conductor gets from the cable it is made of, worked out once for each part.
#pragma once

#include <unordered_map>
#include <vector>

#include "resolve/build.hpp"

namespace ferrule::resolve {

struct CableFacts {
    double area = graph::unknown;  // m²
    units::UnitId area_unit;
    Symbol material;
    double rated_voltage = graph::unknown;
    double diameter = graph::unknown;  // m
    std::uint32_t cores = 1;
    std::vector<Symbol> colours;  // of its cores in order, or those it is bought in
};

class Cables {
public:
    explicit Cables(Build& b) : b_(&b) {}
    [[nodiscard]] const CableFacts& operator[](PartId part);

private:
    Build* b_;
    std::unordered_map<PartId, CableFacts> facts_;
    PartId last_;  // the one asked for before is mostly asked for again
    const CableFacts* last_facts_ = nullptr;
};

}  // namespace ferrule::resolve
