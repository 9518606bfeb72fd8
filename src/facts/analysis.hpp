// Everything the analyses worked out about one design, kept together while the tables are filled and afterwards, for the working.
#pragma once

#include <future>
#include <memory>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "facts/banks.hpp"
#include "facts/boxes.hpp"
#include "facts/chains.hpp"
#include "facts/circuits.hpp"
#include "facts/demand.hpp"
#include "facts/earthing.hpp"
#include "facts/facts.hpp"
#include "facts/feeds.hpp"
#include "facts/network.hpp"
#include "facts/parts.hpp"
#include "facts/positions.hpp"
#include "facts/strings.hpp"
#include "facts/switches.hpp"

namespace ferrule::facts {

struct Analysis {
    Analysis(const graph::Design& design, const tables::Standard& standard);

    const graph::Design& d;
    const tables::Standard& standard;
    std::vector<PartData> parts;
    Network net;
    Climate climate;
    std::vector<StringData> strings;
    std::vector<double> emf;             // per source
    Circuits circuits;

private:
    // What asks neither for demand nor for feeds is found beside them.
    struct Apart {
        Earthing earthing;
        Boxes boxes;
        Positions positions;
        Switches switches;
    };
    std::future<Apart> apart_;

public:
    Demand demand;                       // per port: what it takes and gives
    Banks banks;                         // batteries in parallel and in series
    Switches switches;
    Feeds feeds;
    Earthing earthing;
    Boxes boxes;
    Positions positions;
    Chains chains;                       // strings in series

    // Rows of tables.
    std::vector<std::uint32_t> string_row;     // per thing
    std::vector<std::uint32_t> device_row;     // per thing
    std::vector<std::uint32_t> place_row, run_row;  // per thing
    std::vector<graph::ThingId> devices, places, runs;
    std::vector<std::uint32_t> inputs;         // array ports: index into net.ports
    std::vector<std::uint32_t> input_row;      // per port
    std::vector<std::uint32_t> groups;         // of strings: index into circuits.groups
    std::vector<std::uint32_t> group_row;      // per group
    std::vector<std::uint32_t> group_input;    // per group of circuits: port, or none
    std::vector<std::uint32_t> input_group;    // per port: group, or none
    std::vector<std::uint32_t> edge_of;        // per conductor: edge of the network, or none (protective)
    std::vector<std::uint32_t> systems;        // galvanic circuits that hold a source: their numbers
    std::vector<std::uint32_t> system_row;     // per circuit
    std::vector<std::uint32_t> unknown_source; // per circuit: its first source whose voltage is unknown
    std::vector<std::uint8_t> jumpers_stated;  // per thing
    std::vector<std::uint8_t> open_thing;      // per thing: a line of the text about it could not be read (Design::left_open)
    std::vector<std::uint8_t> open_circuit;    // per circuit: such a thing is on it; what does not land there proves nothing
    std::vector<std::uint8_t> feeding;         // per circuit: it has a converter's port, a load, or both array and battery
    // The limits of a string's own voltage: what its input and its modules stand.
    enum class Limit : std::uint8_t { unbroken, input, module };
    std::vector<Limit> lowest_limit;           // per string
    std::vector<double> circuit_limit;         // per circuit: the lowest limit that one of its strings breaks; infinite if none does
    [[nodiscard]] double proper(double voltage, std::uint32_t circuit) const {
        return circuit != no_row && voltage > circuit_limit[circuit] ? circuit_limit[circuit] : voltage;
    }
    struct FuseWay {
        std::uint32_t edge = none, device = none, only = none;  // only: the string it protects alone
        Feed feed;
    };
    std::vector<FuseWay> fuses;
    std::vector<std::uint32_t> own_fuse;       // per string: row of its smallest own fuse
    std::vector<std::uint32_t> battery_sources;  // indices into net.sources
    std::vector<std::uint32_t> string_reversal;  // per source: row in circuits.reversals

    [[nodiscard]] std::uint32_t circuit_of(std::uint32_t terminal) const {
        return terminal == none ? no_row : circuits.circuit[net.on[terminal]];
    }
    [[nodiscard]] const PartData& part(graph::ThingId t) const { return parts[d.things[t].part.value]; }
    [[nodiscard]] graph::ThingId owner(std::uint32_t terminal) const { return d.terminals[graph::TerminalId(terminal)]; }
    // Three poles or more, and the design does not say which links are fitted: how many contacts are in series is then not known.
    [[nodiscard]] bool links_unknown(std::uint32_t device) const;
    // Its + reaches the + of one input, its - the - of another, and no input has both.
    [[nodiscard]] bool astray(std::uint32_t string) const;
    std::vector<std::uint32_t> port_plus_on, port_minus_on;  // per net of `on`: an array port whose + (whose -) is on it
    // Sum of isc of strings in a group, its reversed ones included.
    [[nodiscard]] double group_isc(std::uint32_t group) const;
    // The largest open-circuit voltage its modules stand at: of all strings that are in series with it.
    [[nodiscard]] double system_voltage(std::uint32_t string) const;
    [[nodiscard]] std::vector<std::string> system_voltage_working(std::uint32_t string) const;
    [[nodiscard]] double fuse_rating(const FuseWay& way) const;
    [[nodiscard]] graph::PartId fuse_link(std::uint32_t device) const;  // none if no link is fitted
    // Whose circuit an edge of the network is in: by the current it carries, else by the sources on its net.
    enum class Side : std::uint8_t { neither, array, battery };
    [[nodiscard]] Side side_of(std::uint32_t edge, const Feed& feed) const;
    // The largest voltage between the edge and another terminal of the devices it ends on, bars and converters apart.
    [[nodiscard]] double across(std::uint32_t edge) const;
    // The largest open-circuit voltage of that circuit.
    [[nodiscard]] double edge_voltage(std::uint32_t edge, const Feed& feed) const;
    // Why a voltage of this source is unknown.
    [[nodiscard]] Lack emf_lack(std::uint32_t source) const;
    // What a voltage of a hot cell leans on, when the site does not state it; a line, or none.
    [[nodiscard]] std::vector<std::string> assumed_hottest_cell() const;
    // The first source of a galvanic circuit whose voltage is unknown, and why.
    [[nodiscard]] Lack circuit_lack(std::uint32_t circuit) const;
    [[nodiscard]] std::string show(double si, std::string_view unit) const { return d.units->show(si, d.units->find(unit)); }

private:
    void number_rows();
    void find_fuses();
    void match_inputs();
    void find_limits();
};

// What a column of subjects holds for an index that may be `none`.
[[nodiscard]] inline std::uint32_t row_or_none(std::uint32_t v) { return v == none ? no_row : v; }

// What a column of flags holds for an answer.
[[nodiscard]] inline std::uint8_t flag(Answer x) { return x == Answer::yes ? 1 : x == Answer::no ? 0 : flag_unknown; }

// Fills one table's columns by name. Columns that nothing fills stay unknown, or "none" for subjects.
class Filler {
public:
    Filler(Facts& facts, std::string_view table, std::size_t rows);
    Filler(Facts& facts, std::string_view table);  // more columns of a table whose rows are there already
    [[nodiscard]] std::vector<double>& numbers(std::string_view column);
    [[nodiscard]] std::vector<std::uint8_t>& flags(std::string_view column);
    [[nodiscard]] std::vector<std::uint32_t>& subjects(std::string_view column);
    void set_word(std::string_view column, std::uint32_t row, std::string_view word);
    // Lists: call for row 0, 1, 2 … in order.
    void add_list(std::string_view column, std::uint32_t row, const std::vector<std::uint32_t>& rows);
    [[nodiscard]] Column& column(std::string_view name);
    void blank(std::string_view column);  // as it is before anything is filled in
    [[nodiscard]] Table& table() { return *table_; }

private:
    Facts& facts_;
    Table* table_;
};

// One function a group of tables; each fills what its name says.
using Shared = std::shared_ptr<const Analysis>;
void fill_strings(Facts& facts, const Shared& a);    // site, part, string, group
void fill_inputs(Facts& facts, const Shared& a);     // input
void fill_batteries(Facts& facts, const Shared& a);  // battery-port, battery, dc-system
void fill_switches(Facts& facts, const Shared& a);   // switch, broken-circuit, pole
void fill_positions(Facts& facts, const Shared& a);  // position
void fill_mistakes(Facts& facts, const Shared& a);   // short, reversal, landing, label-claim, lockout
void fill_devices(Facts& facts, const Shared& a);    // device, fuse, terminal, named-cable
void fill_conductors(Facts& facts, const Shared& a); // conductor, mating
void fill_boxes(Facts& facts, const Shared& a);      // enclosure, entry, metal, electrode, earth-bar, place, run
// Further columns of the tables above, and tables of their own; in this order.
void fill_wiring(Facts& facts, const Shared& a);
void fill_runs(Facts& facts, const Shared& a);
struct Protection;
class Solved;
struct Solution;
// What Facts::basis is.
struct Basis {
    Shared analysis;
    std::shared_ptr<const Protection> protection;
    std::shared_ptr<Solved> solved;      // shared with what explains the columns: change_figures solves it again where it is
    std::vector<std::uint32_t> points;   // Solution::points
};
void fill_network(Facts& facts, const Shared& a, Solution solution);
void fill_guards(Facts& facts, const Shared& a, const std::shared_ptr<const Protection>& p);  // conductor: what may be driven through it
void fill_protection(Facts& facts, const Shared& a, const std::shared_ptr<const Protection>& p);
void fill_sizes(Facts& facts, const Shared& a);      // conductors again: which size would do
void fill_power(Facts& facts, const Shared& a);
void fill_surroundings(Facts& facts, const Shared& a);
void fill_answers(Facts& facts, const Shared& a);

}  // namespace ferrule::facts
