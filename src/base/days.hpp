// The calendar, as far as a date that somebody wrote has to be one.
#pragma once

namespace ferrule::base {

// How many days the month has; 0 if there is no such month.
[[nodiscard]] constexpr int days_in(int year, int month) {
    if (month < 1 || month > 12) return 0;
    if (month == 2) return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) ? 29 : 28;
    return month == 4 || month == 6 || month == 9 || month == 11 ? 30 : 31;
}

}  // namespace ferrule::base
