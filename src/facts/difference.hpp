// What the facts of a design say otherwise than those of the same design before an edit, row by row.
#pragma once

#include <cstdint>
#include <unordered_map>
#include <utility>
#include <vector>

#include "facts/table.hpp"

namespace ferrule::facts {

// The rows of a column that hold another value.
struct Changed {
    bool all = false;  // so many that nobody counted them, or other rows
    std::vector<std::uint32_t> rows;  // rising
    [[nodiscard]] bool none() const { return !all && rows.empty(); }
};

class Difference {
public:
    Difference() = default;  // nothing is known of it
    [[nodiscard]] static Difference none();
    // Some rows of a column, as they were. All other rows and columns hold what they held.
    struct Before {
        const Column* column = nullptr;  // where it is
        std::vector<std::uint32_t> rows; // rising
        Column values;                   // of these rows alone
    };
    [[nodiscard]] static Before before(const Column& column, std::vector<std::uint32_t> rows);
    explicit Difference(const std::vector<Before>& before);
    // `now` must have been computed with the words of `before`. `same_statements`: the rows of properties that things and parts state are
    // the same. Neither of the facts is needed afterwards but as the address of its columns.
    Difference(const Facts& before, const Facts& now, bool same_statements);

    [[nodiscard]] bool same_statements() const { return same_statements_; }
    // Was it worked out again, though its values may be the same?
    [[nodiscard]] bool made_anew(const Column* column) const { return !others_same_ || changed_.contains(column); }
    [[nodiscard]] const Changed& of(const Column* column) const;  // of `now`; one that is not there counts as changed

private:
    bool others_same_ = false, same_statements_ = false;
    std::unordered_map<const Column*, Changed> changed_;
};

}  // namespace ferrule::facts
