// The table of kinds: what a part, a place, a string, an enclosure, a device, a run … may state about itself, and
// what shape each statement has. It is read from grammar/kinds.toml; nothing here knows a kind by name. The
// checker of a design, `explain`, the editor and the rules' unit check all read this one table.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "base/ids.hpp"
#include "units/units.hpp"

namespace ferrule::graph {

using KindId = base::Id<struct KindTag>;

// What one place in a shape accepts.
enum class Accepts : std::uint8_t {
    quantity,   // a number with a unit of `dimension`
    number,     // a number without unit
    count,      // a whole number, 0 or more
    word,       // one of `words`, or any lower-case word if `words` is empty
    text,       // "between quotes"
    label,      // a terminal label of this part (1, +, pv1+, PE) or the device's part
    pair,       // 1-2: two labels
    date,       // 2026-11-24
    part,       // the name of a part (of `kind` if given)
    thing,      // the name of a place, device, string, enclosure, run or cable
    terminal,   // DEVICE.label
};

// A shape is a small tree. Example:   <contacts: count> in <arrangement: series | parallel> <voltage> <current> [<category: word>]
struct Shape {
    enum class Op : std::uint8_t {
        sequence,  // all children, in order
        choice,    // the first child that fits
        optional,  // the child or nothing
        repeat,    // the child once or more
        literal,   // the word `text` itself
        field      // a value, kept under the name `text`
    };
    Op op = Op::sequence;
    std::string text;
    Accepts accepts = Accepts::word;
    bool range = false;                // `..` allowed: 5 mm .. 9 mm (a single value is then low = high)
    units::Dimension dimension;
    std::string dimension_name;
    std::vector<std::string> words;    // for word
    std::string kind;                  // for part
    std::vector<Shape> children;
};

struct Property {
    std::string name;
    std::string shape_text;   // as written in the table; shown by explain
    Shape shape;
    bool many = false;        // may be stated more than once (pole, rated, entry, …)
    bool needed = false;      // its absence is a finding
    bool below_zero = false;  // its quantities may be negative though those of their dimension are not
    bool above_zero = false;  // nor may they be zero: 0 stands for a figure that nobody looked up
    std::string about;        // meaning, one or two sentences
    std::string example;      // one line of the language
    std::vector<Property> block;  // what its own { } may hold; empty: no block
    // What else the statement does, besides stating a value; resolve carries it out:
    //   "terminal" its labels are terminals of the part        "pole" a contact between two terminals
    //   "guard" a fuse way between two terminals               "aux" an auxiliary contact
    //   "join" its labels are one piece of metal               "face" where the terminals sit
    //   "polarised" where current must enter                   "jumpers" links in the box as supplied
    //   "plus", "minus" the labels of a port's two ends        "protective" a terminal for the protective conductor
    //   "entry" an opening of an enclosure                     "" nothing
    std::string declares;
};

struct Kind {
    std::string name;      // "isolator"; for other blocks "site", "place", "string", "enclosure", "device", "run", …
    std::string group;     // "part", "block" or "role" (of a port)
    std::string about;
    std::string example;   // a few lines of the language
    std::vector<std::string> terminals;  // terminals it has without saying so: "+", "-", "frame"
    std::vector<std::string> protective; // those of them that are metal or for the protective conductor
    std::string counted_terminals;       // property whose count gives terminals 1..N (busbar: "ways")
    bool one_metal = false;              // all its terminals are one piece of metal (busbar, earth-bar)
    // How the graph sees the way between its terminals: "none", "source" (- to +), "contact" (opens and closes),
    // "guard" (closed until it blows), "converter" (ports do not conduct to each other), "wire"
    std::string conducts = "none";
    bool breaks_load = false;            // made to open a circuit that carries current
    std::vector<Property> properties;
    std::unordered_map<std::string, std::uint32_t> by_name;
    [[nodiscard]] const Property* property(std::string_view name) const;
};

// A statement of the language, for explain and completion.
struct StatementText {
    std::string name, shape, about, example;
};

class Kinds {
public:
    KindId add(Kind kind);
    [[nodiscard]] const Kind& operator[](KindId id) const { return kinds_[id.value]; }
    [[nodiscard]] KindId find(std::string_view group, std::string_view name) const;
    [[nodiscard]] const std::vector<Kind>& all() const { return kinds_; }
    std::vector<StatementText> statements;
    // Words that may stand in a conductor's tail: group ("colour", "material", "finish") -> words.
    std::vector<std::pair<std::string, std::vector<std::string>>> tail_words;
    // The one table of defaults: name, value (a number in SI, or a word), meaning. A finding that leans on one prints it.
    struct Default {
        std::string name;
        double value = 0;
        units::UnitId unit;  // none for a plain number
        std::string word;    // when it is a word
        std::string about;
    };
    std::vector<Default> defaults;
    [[nodiscard]] const Default* find_default(std::string_view name) const;

private:
    std::vector<Kind> kinds_;
    std::unordered_map<std::string, KindId> by_name_;  // "part isolator"
};

}  // namespace ferrule::graph
