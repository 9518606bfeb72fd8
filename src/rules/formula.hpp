// A formula of a rule, compiled: read by grammar/formula.hpp, its names resolved against the fact
// tables, the properties of the kinds table and the standards' figures, its types and dimensions
// checked. It holds no facts and can be run over any design. It cannot loop for ever, read files or
// fail: what it cannot know is `unknown`.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "facts/table.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::rules {

inline constexpr std::uint32_t none = 0xffffffffU;

// What an expression is: a number with its dimension, a flag, a word, one subject or several of one
// table.
struct Type {
    facts::Type kind = facts::Type::flag;
    units::Dimension dimension;  // numbers
    std::uint32_t table = none;  // subject(s): index into the schema's tables
};

enum class Op : std::uint8_t {
    number,
    word,  // literals
    row,   // the row itself (level 0), or the one of an enclosing aggregate
    site,  // the one row of the site table
    column,
    property,  // of the subject that is the first child
    figure,
    band,
    at,
    next_size,  // the standard's
    negate,
    add,
    subtract,
    multiply,
    divide,
    absolute,
    least,
    greatest,
    equal,
    unequal,
    less,
    less_equal,
    greater,
    greater_equal,
    in_list,
    logic_not,
    logic_and,
    logic_or,
    choose,
    known,
    all,
    any,
    count,
    sum,
    minimum,
    maximum  // over the subjects that are the first child
};

struct Node {
    Op op = Op::number;
    std::uint8_t level = 0;  // row: how many aggregates outwards
    std::int8_t reach =
        -1;  // the largest level of any row below, as seen from here; -1: the same for every row
    Type type;
    std::uint32_t first = 0, children = 0;      // run in Formula::edges
    double number = 0;                          // literal, SI
    units::UnitId unit;                         // literal: as the author wrote it
    std::uint32_t table = none, column = none;  // column, property: of which table
    std::uint32_t name = none;  // word, figure, band, at, next_size: index into Formula::names;
                                // property: into properties
    std::uint32_t begin = 0, end = 0;  // bytes of Formula::text
};

// A property path: `rated.voltage`, `ambient.high`.
struct PropertyPath {
    enum class End : std::uint8_t { single, low, high };
    std::string property;
    std::vector<std::string>
        fields;  // the first of these that the row has; one if the author named it
    bool field_named = false;
    End end = End::single;
};

struct Formula {
    std::string text;
    text::Span place;         // the text in its file
    std::vector<Node> nodes;  // children before parents; the last is the root
    std::vector<std::uint32_t> edges;
    std::vector<std::string> names;  // words, figures, tables
    std::vector<PropertyPath> properties;
    [[nodiscard]] bool empty() const { return nodes.empty(); }
    [[nodiscard]] const Node& root() const { return nodes.back(); }
    [[nodiscard]] std::uint32_t root_index() const {
        return static_cast<std::uint32_t>(nodes.size() - 1);
    }
    [[nodiscard]] std::uint32_t child(const Node& n, std::uint32_t i) const {
        return edges[n.first + i];
    }
};

// A text with {formula} holes.
struct Message {
    struct Piece {
        std::string words;
        Formula hole;  // empty: only words
    };
    std::vector<Piece> pieces;
    [[nodiscard]] bool empty() const { return pieces.empty(); }
};

}  // namespace ferrule::rules
