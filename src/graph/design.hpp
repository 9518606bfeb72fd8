// The system graph: what stands in the text, with every name resolved and every assembly and repeat written out.
// Dense tables, typed ids, interned words. It is built once by `resolve` and frozen: facts and rules only read it.
// Quantities are SI; `unit` beside them is what the author wrote. Spans point at the text that said so.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "base/ids.hpp"
#include "base/interner.hpp"
#include "graph/kinds.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::graph {

using base::Symbol;
using PartId = base::Id<struct PartTag>;
using ThingId = base::Id<struct ThingTag>;
using TerminalId = base::Id<struct TerminalTag>;
using ConductorId = base::Id<struct ConductorTag>;
using RowId = base::Id<struct RowTag>;
using FieldId = base::Id<struct FieldTag>;

inline constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

// ---- what a block states ---------------------------------------------------------------------------------

// One value of a property, under the name its shape gives it: `rated 2 in series 700 V 32 A` is a row of the property
// `rated` with the fields contacts, arrangement, voltage, current.
struct Field {
    Symbol name;
    Accepts type = Accepts::word;
    units::UnitId unit;         // of a quantity
    double low = unknown;       // quantity, number, count; SI
    double high = unknown;      // equal to low unless a range was written
    Symbol text;                // word, text (unescaped), label, date as written, pair: its first label
    Symbol second;              // pair: its second label
    std::uint32_t target = 0xffffffffU;  // part, thing, terminal: the id's value
    std::uint32_t begin = 0, end = 0;    // its bytes in the row's file
};

struct Row {
    Symbol property;
    base::Range<FieldId> fields;
    base::Range<RowId> block;   // what stood in its { }
    text::Span span;            // the whole line, property word first
};

// ---- parts -------------------------------------------------------------------------------------------------

struct TerminalTemplate {
    Symbol label;
    std::int8_t sign = 0;         // +1, -1: marked + or -; 0: not marked
    bool aux = false;             // auxiliary contact
    bool protective = false;      // for the protective conductor, or the metal itself
    std::uint16_t port = 0xffff;  // which port of the part it belongs to
    text::Span span;
};

struct PoleTemplate {
    std::uint16_t a = 0, b = 0;   // terminal indices within the part
    Symbol closed_in;             // position in which it is closed; none: in `on`
    std::int8_t current_in = 0;   // polarised: +1 conventional current must enter at a, -1 at b, 0 either way
    bool aux = false;
    bool opens = false;           // auxiliary contact that opens when the device is on
    text::Span span;
};

struct PortTemplate {
    Symbol name;                  // "pv", "bat"
    std::uint32_t index = 0;      // pv[2] -> 2; 0 when the port is no array
    Symbol role;                  // array, battery, load, ac-out, ac-in, sensor
    std::uint16_t plus = 0xffff, minus = 0xffff;  // terminal indices; 0xffff: it has none
    base::Range<RowId> rows;
    text::Span span;
};

struct Part {
    Symbol name;
    KindId kind;
    base::Range<RowId> rows;
    std::vector<TerminalTemplate> terminals;
    std::vector<PoleTemplate> poles;
    std::vector<std::array<std::uint16_t, 2>> joins;  // one piece of metal inside
    std::vector<PortTemplate> ports;
    std::vector<std::array<std::uint16_t, 2>> supplied_jumpers;
    bool jumpers_stated = false;                      // `jumpers …` stands in the data sheet
    // face: side, position from the left (1…) -> terminal; as seen with the cover off
    struct FacePlace { Symbol side; std::uint16_t position; std::uint16_t terminal; };
    std::vector<FacePlace> face;
    bool polarised_stated = false, polarised = false;
    std::unordered_map<Symbol, std::uint16_t> by_label;
    std::vector<Symbol> unread;                       // properties it states in a way that could not be read: told, and not to be missed again
    text::Span span;                                  // its name in the `part` statement
};

// ---- things ------------------------------------------------------------------------------------------------

enum class ThingClass : std::uint8_t { place, string, enclosure, device, run, cable };

// modules, or cells, in series within one string
struct Group {
    std::uint32_t count = 0;
    PartId part;
    text::Span span;
};

struct Thing {
    Symbol name;                    // without index
    std::uint32_t index = 0;        // NAME[3] -> 3; 0 when it has none
    ThingClass cls = ThingClass::device;
    PartId part;                    // always set: places, strings, plain enclosures and runs have a part of their own class
    ThingId where;                  // the place or enclosure it stands in
    ThingId owner;                  // the assembly instance it is a member of
    TerminalId first_terminal;
    base::Range<RowId> rows;        // its own block
    std::uint32_t first_group = 0, groups = 0;  // strings: Design::groups
    std::uint32_t first_fitted = 0, fitted = 0; // `with`: Design::fitted (PartId)
    std::uint32_t handle = 0;       // devices moved together have the same number
    text::Span span;                // its name in its statement
    text::Span statement;           // the statement's head, name to end of line or `{`
};

enum class ConductorRole : std::uint8_t { power, bond, earth, jumper };

struct Conductor {
    TerminalId a, b;
    ConductorRole role = ConductorRole::power;
    bool copper_stated = false;
    std::uint16_t core = 0;         // of a cable of several cores
    Symbol mark;                    // as W3
    PartId cable;                   // the cable part, directly or through the named cable
    ThingId named_cable;            // or link part of a jumper
    double area = unknown;          // m²; stated in the tail, else from the cable part
    units::UnitId area_unit;
    Symbol material;                // copper, aluminium
    Symbol colour;                  // red, black, green-yellow, bare …
    double length = unknown;        // m; settled: its own, else its run's, else the sum of its via runs
    double rated_voltage = unknown; // V; stated in the tail, else from the cable part
    ThingId run;                    // the run block it stands in
    std::uint32_t first_via = 0, vias = 0;       // Design::vias (ThingId of runs), the run itself included
    Symbol end_a, end_b;            // ferrule, lug-M8, bare, or the connector part's name; none if not stated
    PartId end_part_a, end_part_b;  // when it is a connector part
    std::uint32_t first_entry = 0, entries = 0;  // `by BOX.G1`: Design::entry_uses
    text::Span span;                // the whole statement
    text::Span span_a, span_b;      // its two ends as written
};

// `at Q1 upper 3` beside a landing: what the author claims about the place of a terminal.
struct PositionClaim {
    ConductorId conductor;
    ThingId device;
    Symbol side;
    std::uint16_t position = 0;
    TerminalId landed;              // the terminal the conductor is landed on by number; none if by position only
    text::Span span;
};

// One opening of an enclosure.
struct Entry {
    ThingId enclosure;
    Symbol name;
    std::uint32_t index = 0;
    Symbol face;                    // top, bottom, side, back, front, left, right
    PartId fitting;                 // gland, plug, breather; none: an open hole
    RowId row;
    text::Span span;
};

// A conductor, or cable of several cores, that passes an entry. `cable` is none for a single conductor.
struct EntryUse {
    std::uint32_t entry = 0;        // index into Design::entries
    ConductorId conductor;
    ThingId cable;
    text::Span span;
};

struct Label {
    Symbol text;
    std::vector<ThingId> on;
    base::Range<RowId> rows;        // isolates, warns, voltage, …
    text::Span span;
};

struct Sequence {                   // steps "stop" { … } and reading "…" { … }
    Symbol title;
    base::Range<RowId> rows;
    text::Span span;
};

struct Accept {
    Symbol rule;
    std::vector<ThingId> on;        // empty: everywhere
    std::string because, until, by;
    text::Span span;
};

struct Design {
    const Kinds* kinds = nullptr;
    const units::Units* units = nullptr;
    base::Interner names;

    text::Span site_span;           // the site statement's title; none when there is no site
    Symbol site_title;
    base::Range<RowId> site_rows;
    std::vector<Symbol> site_unread;  // properties that the site states in a way that could not be read: told, and not to be missed again

    base::IdVector<RowId, Row> rows;
    base::IdVector<FieldId, Field> fields;
    base::IdVector<PartId, Part> parts;
    base::IdVector<ThingId, Thing> things;
    base::IdVector<TerminalId, ThingId> terminals;      // terminal -> its thing
    base::IdVector<ConductorId, Conductor> conductors;  // jumpers, bonds and earths included
    std::vector<Group> groups;
    std::vector<PartId> fitted;
    std::vector<ThingId> vias;
    std::vector<Entry> entries;
    std::vector<EntryUse> entry_uses;
    std::vector<PositionClaim> claims;
    std::vector<Label> labels;
    std::vector<Sequence> steps;
    std::vector<Sequence> readings;
    std::vector<Accept> accepts;
    // devices whose jumpers the design states (`jumper Q1 none`, `supplied` or a list)
    std::vector<ThingId> jumpers_stated;
    // things at which a conductor or jumper of the text could not be read and was left out (once for each): nothing can be
    // concluded from what does not land there
    std::vector<ThingId> left_open;

    // ---- questions ----------------------------------------------------------------------------------------
    [[nodiscard]] const Part& part_of(ThingId t) const { return parts[things[t].part]; }
    [[nodiscard]] const Kind& kind_of(ThingId t) const { return (*kinds)[part_of(t).kind]; }
    [[nodiscard]] std::uint16_t local(TerminalId t) const {
        return static_cast<std::uint16_t>(t.value - things[terminals[t]].first_terminal.value);
    }
    [[nodiscard]] const TerminalTemplate& terminal(TerminalId t) const { return part_of(terminals[t]).terminals[local(t)]; }
    [[nodiscard]] TerminalId terminal(ThingId t, std::uint16_t local_index) const {
        return TerminalId(things[t].first_terminal.value + local_index);
    }
    [[nodiscard]] TerminalId terminal(ThingId t, Symbol label) const;  // none if it has no such label
    [[nodiscard]] std::string_view word(Symbol s) const { return s ? names.text(s) : std::string_view(); }

    // Is there a terminal, a port or an entry of this name on it? Q1: "2"; MPPT: "pv+", "pv", "pv2"; BOX: "G[1]"
    [[nodiscard]] bool has_place(ThingId t, std::string_view place) const;
    // Names as a person writes them: EAST, F[3], CB[113].F[7]; Q1.2, EAST.+
    [[nodiscard]] std::string name(ThingId t) const;
    [[nodiscard]] std::string name(TerminalId t) const;
    [[nodiscard]] std::string name(ConductorId c) const;  // "EAST.+ -> Q1.1", with its mark if it has one

    // The first row of a property, or none. `property` must be interned (names.find); none finds nothing.
    [[nodiscard]] RowId row(base::Range<RowId> rows, Symbol property) const;
    [[nodiscard]] RowId row(base::Range<RowId> rows, std::string_view property) const;
    [[nodiscard]] const Field* field(RowId row, std::string_view name) const;  // null if the row has none, or row is none
    // The usual question: the number of property.field, SI; NaN if it is not stated.
    [[nodiscard]] double number(base::Range<RowId> rows, std::string_view property, std::string_view field) const;
    [[nodiscard]] std::string_view text(base::Range<RowId> rows, std::string_view property, std::string_view field) const;
    [[nodiscard]] bool states(base::Range<RowId> rows, std::string_view property) const;

    // Says what `now` says, which is the same but for places and figures (graph/same.hpp); its words stay where they are in memory.
    void restate(Design now);

    // From here on nothing is added: words that are asked for again and again are then remembered with what they are.
    void freeze();

private:
    [[nodiscard]] Symbol symbol_of(std::string_view name) const;
    std::uint64_t frozen_ = 0;  // 0: not yet; else a number that no other design has, copies of this one apart
};

}  // namespace ferrule::graph
