#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "units/units.hpp"

namespace ferrule::units {

std::string show_number(double value, int digits) {
    if (std::isnan(value)) return "unknown";
    if (std::isinf(value)) return value > 0 ? "without limit" : "without limit below";
    if (value == 0) return "0";
    // Rounding may carry into one more digit (9999.7 -> 10000), so the place of the first digit is taken after it.
    const std::string rounded = fmt::format("{:.{}e}", value, digits - 1);
    const std::size_t e = rounded.rfind('e');
    int exponent = 0;
    const char* from = rounded.data() + e + (rounded[e + 1] == '+' ? 2 : 1);
    std::from_chars(from, rounded.data() + rounded.size(), exponent);
    double kept = value;
    std::from_chars(rounded.data(), rounded.data() + rounded.size(), kept);
    std::string text = fmt::format("{:.{}f}", kept, std::max(0, digits - 1 - exponent));
    if (text.find('.') != std::string::npos) {
        while (text.back() == '0') text.pop_back();
        if (text.back() == '.') text.pop_back();
    }
    return text;
}

std::optional<double> parse_number(std::string_view text) {
    std::string_view rest = text;
    if (!rest.empty() && (rest.front() == '+' || rest.front() == '-')) rest.remove_prefix(1);
    if (rest.empty() || rest.front() == '.' || rest.back() == '.') return std::nullopt;
    bool point = false;
    for (const char c : rest) {
        if (c == '.' && !point) {
            point = true;
        } else if (c < '0' || c > '9') {
            return std::nullopt;
        }
    }
    double value = 0;
    const std::from_chars_result read = std::from_chars(rest.data(), rest.data() + rest.size(), value, std::chars_format::fixed);
    if (read.ec != std::errc() || read.ptr != rest.data() + rest.size() || !std::isfinite(value)) return std::nullopt;
    return text.front() == '-' ? -value : value;
}

}  // namespace ferrule::units
