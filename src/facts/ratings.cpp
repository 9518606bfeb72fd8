#include "facts/ratings.hpp"

#include <cmath>

namespace ferrule::facts {

Rating look_up(const PartData& part, const Contacts& c, double voltage) {
    Rating r;
    for (const RatingRow& row : part.ratings) {
        if (!std::isnan(row.ambient) && !std::isnan(c.ambient) && row.ambient < c.ambient) continue;
        if (row.arrangement == RatingRow::Arrangement::parallel) {
            r.any_parallel = true;
            if (row.contacts > c.side_by_side || row.contacts < 2) continue;
            if (!(row.voltage >= voltage)) continue;
            if (std::isnan(r.parallel_current) || row.current > r.parallel_current) {
                r.parallel_current = row.current;
                r.parallel_row = row.row;
            }
            continue;
        }
        const std::uint32_t have = row.arrangement == RatingRow::Arrangement::conductor ? c.per_conductor : c.in_series;
        if (row.contacts > have || row.contacts == 0) continue;
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

}  // namespace ferrule::facts
