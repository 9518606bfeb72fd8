// Names to what they mean, with the findings for those that mean nothing (reported once per name
// and file, with the nearest one of the right sort) or the wrong thing.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "resolve/build.hpp"

namespace ferrule::resolve {

// What sort of thing a place in the text wants.
struct Wanted {
    std::string_view what;    // "a place or an enclosure"
    std::uint8_t things = 0;  // a bit for each ThingClass
    bool parts = false;
    bool assemblies = false;
    std::string_view kind;  // of the part; empty: any

    [[nodiscard]] bool takes(const Build& b, Binding binding) const;
};

[[nodiscard]] constexpr std::uint8_t bit(ThingClass c) {
    return static_cast<std::uint8_t>(1U << static_cast<unsigned>(c));
}
inline constexpr std::uint8_t any_thing = 0xff;
inline constexpr Wanted a_thing{
    .what = "a thing", .things = any_thing, .parts = false, .assemblies = false, .kind = {}};

// What it is, in words: "a module", "a place", "an assembly".
[[nodiscard]] std::string describe(const Build& b, Binding binding);

// What the name means, if that is wanted. Nothing: it has been reported, or must stay silent.
[[nodiscard]] Binding look_up(Build& b, Symbol name, Span at, std::uint32_t instance,
                              const Wanted& wanted);

// The nearest of the names that are wanted, or "".
[[nodiscard]] std::string_view nearest_name(Build& b, std::string_view name, std::uint32_t instance,
                                            const Wanted& wanted);

// "; there is EAST" or "".
[[nodiscard]] std::string meant(std::string_view nearest);

// Words of what could not be read, or opens no statement, may be names that it declares: from here on
// they are not reported as unknown.
void doubt(Build& b, const View& v);

// A name that was declared before: reported with the first place.
void duplicate(Build& b, Symbol name, Span at, Binding first);

// Where it was declared.
[[nodiscard]] Span place_of(const Build& b, Binding binding);

}  // namespace ferrule::resolve
