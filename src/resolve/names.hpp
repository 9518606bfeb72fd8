// What each name means, and where it is seen: names of the design are seen everywhere, those in an
// assembly only from inside the same instance and through it (`CB[3].F[7]`). Also the numbers that
// `repeat` gives its names.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "base/interner.hpp"
#include "graph/design.hpp"
#include "text/source.hpp"

namespace ferrule::resolve {

using base::Symbol;
using graph::ThingId;

inline constexpr std::uint32_t none = 0xffffffffU;

// Where a line is read: in which instance of an assembly (none: the design itself), within which
// turns of repeats.
struct Scope {
    std::uint32_t instance = none;
    std::uint32_t frame = none;
};

enum class Means : std::uint8_t {
    nothing,
    poisoned,  // declared, but nothing came of it; that has been reported, and what hangs on it
               // stays silent
    part,      // id: PartId
    assembly,  // id: index of the assembly
    thing,     // id: ThingId
    array      // id: index of the array
};

struct Binding {
    Means means = Means::nothing;
    graph::ThingClass cls = graph::ThingClass::device;  // of things and arrays
    std::uint32_t id = none;
    explicit operator bool() const { return means != Means::nothing; }
};

// NAME[…]: which thing has which index. Free while they come in order, as they do but for the odd
// case.
class Array {
public:
    // False if it has that index already.
    bool add(std::uint32_t index, ThingId thing);
    [[nodiscard]] ThingId at(std::int64_t index) const;  // none if it has no such index
    [[nodiscard]] ThingId any() const { return first_; }
    [[nodiscard]] std::string indices() const;  // "1..24", or "1, 3, 7"

private:
    std::uint32_t first_index_ = 0;
    std::uint32_t count_ = 0;
    std::uint32_t stride_ = 1;
    ThingId first_;
    std::unique_ptr<std::unordered_map<std::uint32_t, ThingId>> odd_;  // when they do not
};

class Names {
public:
    // In the instance, else in the design.
    [[nodiscard]] Binding find(Symbol name, std::uint32_t instance) const {
        if (instance != none) {
            if (const Binding own = find_own(name, instance)) return own;
        }
        return name.value < global_.size() ? global_[name.value] : Binding();
    }
    [[nodiscard]] Binding find_own(Symbol name, std::uint32_t instance) const;
    void bind(Symbol name, std::uint32_t instance, Binding binding);
    void poison(Symbol name, std::uint32_t instance) {
        bind(name, instance, {Means::poisoned, {}, none});
    }
    // Every name of the design, by its symbol; those of one instance.
    [[nodiscard]] const std::vector<Binding>& global() const { return global_; }
    [[nodiscard]] std::vector<Symbol> of_instance(std::uint32_t instance) const;

    std::uint32_t add_array() {
        arrays_.emplace_back();
        return static_cast<std::uint32_t>(arrays_.size() - 1);
    }
    [[nodiscard]] Array& array(std::uint32_t id) { return arrays_[id]; }
    [[nodiscard]] const Array& array(std::uint32_t id) const { return arrays_[id]; }

    // One turn of a repeat within another: the frame to read its lines in.
    std::uint32_t turn(std::uint32_t within, Symbol name, std::int64_t value) {
        frames_.push_back({name, within, value});
        return static_cast<std::uint32_t>(frames_.size() - 1);
    }
    [[nodiscard]] std::optional<std::int64_t> value(Symbol name, std::uint32_t frame) const;
    [[nodiscard]] std::vector<Symbol> turning(
        std::uint32_t frame) const;  // names of the repeats around

private:
    struct Frame {
        Symbol name;
        std::uint32_t up;
        std::int64_t value;
    };
    static std::uint64_t key(Symbol name, std::uint32_t instance) {
        return (std::uint64_t{instance} << 32U) | name.value;
    }
    std::vector<Binding> global_;                        // by symbol
    std::unordered_map<std::uint64_t, Binding> inside_;  // of instances
    std::unordered_map<std::uint32_t, std::vector<Symbol>> members_;
    std::vector<Array> arrays_;
    std::vector<Frame> frames_;
};

}  // namespace ferrule::resolve
