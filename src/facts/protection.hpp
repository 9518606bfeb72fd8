// What the filling of overcurrent protection shares: what may be driven through each conductor, with the ratings that cap it.
#pragma once

#include <memory>

#include "facts/analysis.hpp"
#include "facts/driven.hpp"

namespace ferrule::facts {

struct Protection {
    explicit Protection(const Analysis& a);

    std::vector<std::uint32_t> fuse_row;      // per edge: its row in Analysis::fuses, or none
    std::vector<double> backfeed;             // per port, A: what it feeds back into its array; unknown when nobody says
    std::vector<std::uint8_t> backfeed_assumed;  // per port: none is assumed, as the data sheet states none
    GuardRatings guards;                      // per edge, A
    std::unique_ptr<const Driven> driven;
};

// m; of a fuse way that protects a string alone: from its terminal away from the string, along conductors that only this string uses, to
// where the others join.
[[nodiscard]] double length_to_others(const Analysis& a, const Protection& p, const Analysis::FuseWay& way);

using SharedProtection = std::shared_ptr<const Protection>;
void fill_driven(Facts& facts, const Shared& a, const SharedProtection& p);           // conductor
void fill_fuse_sizes(Facts& facts, const Shared& a);                                  // fuse: least, most, size
void fill_fuse_facts(Facts& facts, const Shared& a, const SharedProtection& p);       // fuse: all else
void fill_fittings(Facts& facts, const Shared& a);                                    // what has to fit each other
void fill_battery_leads(Facts& facts, const Shared& a, const SharedProtection& p);    // battery: up to its first device

}  // namespace ferrule::facts
