// The shape of a file: what it declares, what can be folded, what lies around a place, which files it leads to.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "service/workspace.hpp"

namespace ferrule::service {

struct Symbol {
    enum class Sort : std::uint8_t { site, part, place, string, enclosure, device, run, cable, assembly, port, label, steps, reading };
    Sort sort = Sort::device;
    std::string name;
    std::string detail;  // its kind or part
    text::Span whole, span;  // the statement, its name
    std::vector<Symbol> inside;
};
[[nodiscard]] std::vector<Symbol> symbols(const View& view);

struct Fold {
    std::uint32_t begin = 0, end = 0;  // bytes: the first line stays, the last is the one that holds `end`
    bool comment = false;
};
[[nodiscard]] std::vector<Fold> folds(const View& view);

// From the innermost span around a byte outwards, each larger than the one before.
[[nodiscard]] std::vector<text::Span> around(const View& view, std::uint32_t offset);

struct Link {
    text::Span span;     // the text between the quotes
    std::string target;  // real path
};
[[nodiscard]] std::vector<Link> links(const View& view);

}  // namespace ferrule::service
