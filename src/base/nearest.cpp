#include "base/nearest.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "base/limits.hpp"

namespace ferrule::base {

std::size_t slips(std::string_view a, std::string_view b, std::size_t limit) {
    const std::size_t apart = a.size() > b.size() ? a.size() - b.size() : b.size() - a.size();
    if (apart > limit || std::max(a.size(), b.size()) > limits::name_bytes) return limit + 1;
    // three rows of the table: the one before last is needed for swapped neighbours
    std::array<std::vector<std::size_t>, 3> rows;
    for (auto& row : rows) row.resize(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) rows[0][j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        auto& row = rows[i % 3];
        const auto& above = rows[(i - 1) % 3];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t change = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            row[j] = std::min({above[j] + 1, row[j - 1] + 1, change});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                row[j] = std::min(row[j], rows[(i - 2) % 3][j - 2] + 1);
            }
        }
    }
    return std::min(rows[a.size() % 3][b.size()], limit + 1);
}

std::string_view nearest(std::string_view wanted, std::span<const std::string_view> known) {
    std::size_t limit = std::max<std::size_t>(1, wanted.size() / 3);
    std::string_view best;
    for (const std::string_view word : known) {
        const std::size_t s = slips(wanted, word, limit);
        if (s <= limit && s < std::max(wanted.size(), word.size())) {
            best = word;
            if (s == 0) break;
            limit = s - 1;
        }
    }
    return best;
}

}  // namespace ferrule::base
