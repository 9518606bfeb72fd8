// Which switches part a converter from its battery and which from its array, and in which order the steps of the design move them.
#include <fmt/core.h>

#include <algorithm>

#include "facts/bank_figures.hpp"
#include "facts/ports.hpp"

namespace ferrule::facts {

namespace {

using graph::RowId;
using graph::ThingId;

// One array side of the converter and the handles that part it from all its strings, or the battery side and its batteries.
struct Side {
    std::vector<std::uint32_t> handles, devices;  // of each handle the switch on its way
    std::uint32_t device = none;                  // the first of the switches
    bool fed = false, contact = false;

    [[nodiscard]] bool moved_by(std::uint32_t handle) const { return std::find(handles.begin(), handles.end(), handle) != handles.end(); }
};

struct Converter {
    std::uint32_t port = none;    // battery port
    Side battery;
    std::vector<Side> arrays;     // those that are fed
    bool load_output = false;

    [[nodiscard]] bool array_moved_by(std::uint32_t handle) const {
        return std::any_of(arrays.begin(), arrays.end(), [&](const Side& s) { return s.moved_by(handle); });
    }
};

struct Wrong {
    std::uint32_t converter = none;
    std::uint32_t sequence = none;
    const char* what = "none";
    RowId row;
    std::uint32_t battery_device = none, array_device = none;
};

class ConverterFinder {
public:
    explicit ConverterFinder(const Analysis& a) : a_(a), end_(a.net.terminals, 0), seen_(a.net.terminals, 0), by_(a.net.terminals, none) {
        for (const PowerSource& s : a.net.sources) {
            if (s.plus != none) end_[s.plus] = s.battery ? battery_plus : array_end;
            if (s.minus != none) end_[s.minus] = s.battery ? battery_minus : array_end;
        }
        for (const Port& p : a.net.ports) {
            if (p.role != Port::Role::load) continue;
            if (p.plus != none) end_[p.plus] = load_plus;
            if (p.minus != none) end_[p.minus] = load_minus;
        }
    }

    std::vector<Converter> converters(const Power& p) {
        std::vector<Converter> all(p.battery_ports.size());
        for (std::uint32_t r = 0; r < all.size(); ++r) all[r] = converter(p.battery_ports[r]);
        return all;
    }

private:
    static constexpr std::uint8_t battery_plus = 1, battery_minus = 2, array_end = 3, load_plus = 4, load_minus = 5;

    Converter converter(std::uint32_t k) {
        Converter c;
        c.port = k;
        const Port& port = a_.net.ports[k];
        if (a_.banks.of_port[k] == none || port.plus == none || port.minus == none) return c;
        c.battery.fed = true;
        parting(port.plus, [this](std::uint32_t t) { return end_[t] == battery_plus; }, c.battery);
        parting(port.minus, [this](std::uint32_t t) { return end_[t] == battery_minus; }, c.battery);
        const auto first = std::lower_bound(a_.net.ports.begin(), a_.net.ports.end(), port.device.value, [](const Port& x, std::uint32_t device) { return x.device.value < device; });
        for (auto x = first; x != a_.net.ports.end() && x->device == port.device; ++x) {
            if (x->role == Port::Role::load && x->plus != none && a_.net.landings[x->plus] != 0) c.load_output = true;
            if (x->role != Port::Role::array || x->plus == none || x->minus == none) continue;
            Side side;
            // An array's own poles: on a negative shared with the battery its + alone is asked.
            side.fed = parting(x->plus, [this](std::uint32_t t) { return end_[t] == array_end; }, side);
            if (a_.net.on[x->minus] != a_.net.on[port.minus]) parting(x->minus, [this](std::uint32_t t) { return end_[t] == array_end; }, side);
            if (side.fed) c.arrays.push_back(std::move(side));
        }
        const auto& ports = a_.banks.banks[a_.banks.of_port[k]].ports;
        const bool loads = std::any_of(ports.begin(), ports.end(), [this](std::uint32_t x) { return a_.net.ports[x].role == Port::Role::load; });
        if (loads && !c.load_output) left_with_loads(port, c);
        return c;
    }

    // A switch of the battery alone, open, may leave the loads on the controller or part it from them as well.
    void left_with_loads(const Port& port, Converter& c) {
        for (std::size_t h = 0; h < c.battery.handles.size(); ++h) {
            const std::uint32_t handle = c.battery.handles[h];
            if (std::all_of(c.arrays.begin(), c.arrays.end(), [&](const Side& s) { return s.moved_by(handle); })) continue;
            if (search(port.plus, [this](std::uint32_t t) { return end_[t] == load_plus; }, handle).empty()) continue;
            if (search(port.minus, [this](std::uint32_t t) { return end_[t] == load_minus; }, handle).empty()) continue;
            c.load_output = true;
            c.battery.device = c.battery.devices[h];
            return;
        }
    }

    // Adds the handles without which `from` reaches none of the ends; false if it reaches none anyway.
    template <class Arrived>
    bool parting(std::uint32_t from, Arrived arrived, Side& side) {
        if (arrived(from)) return true;
        const auto way = search(from, arrived, no_handle);
        if (way.empty()) return false;
        for (const std::uint32_t e : way) {
            const Edge& edge = a_.net.edges[e];
            if (edge.kind != Edge::Kind::contact) continue;
            side.contact = true;
            const std::uint32_t handle = handle_of(a_.d, edge.thing);
            if (side.moved_by(handle) || !search(from, arrived, handle).empty()) continue;
            side.handles.push_back(handle);
            side.devices.push_back(edge.thing);
            if (side.device == none) side.device = edge.thing;
        }
        return true;
    }

    // The edges of a shortest way, contacts of one handle left out. It costs what it visits; all searches together no more than
    // most_visits, beyond which nothing is found any more: thousands of converters on one bar would each walk all of it.
    template <class Arrived>
    std::vector<std::uint32_t> search(std::uint32_t from, Arrived arrived, std::uint32_t without) {
        ++turn_;
        front_.assign(1, from);
        seen_[from] = turn_;
        by_[from] = none;
        for (std::size_t i = 0; i < front_.size() && visits_ < most_visits; ++i) {
            const std::uint32_t t = front_[i];
            for (std::uint32_t k = a_.net.first[t]; k < a_.net.first[t + 1]; ++k) {
                ++visits_;
                const std::uint32_t e = a_.net.at[k];
                const Edge& edge = a_.net.edges[e];
                const std::uint32_t u = a_.net.other(e, t);
                if (!edge.closed || seen_[u] == turn_ || (edge.kind == Edge::Kind::contact && handle_of(a_.d, edge.thing) == without)) continue;
                seen_[u] = turn_;
                by_[u] = e;
                if (arrived(u)) return way_to(u);
                front_.push_back(u);
            }
        }
        return {};
    }

    [[nodiscard]] std::vector<std::uint32_t> way_to(std::uint32_t t) const {
        std::vector<std::uint32_t> way;
        for (; by_[t] != none; t = a_.net.other(by_[t], t)) way.push_back(by_[t]);
        std::reverse(way.begin(), way.end());
        return way;
    }

    static constexpr std::uint32_t no_handle = 0xffffffffU;
    static constexpr std::size_t most_visits = 50'000'000;

    const Analysis& a_;
    std::vector<std::uint8_t> end_;
    std::vector<std::uint32_t> seen_, by_, front_;  // per terminal: the search that saw it, the edge it came by
    std::uint32_t turn_ = 0;
    std::size_t visits_ = 0;
};

// One sequence of steps played on one converter.
class Play {
public:
    Play(const Analysis& a, const Converter& c) : a_(a), c_(c), open_(a.d.names.find("open")), close_(a.d.names.find("close")) {}

    // Does it move its switches at all; `told`: it opens the array before the battery.
    bool touched = false, told = false;
    Wrong wrong;

    // A switch that the steps close first is open before they begin; any other is on.
    void play(const graph::Sequence& steps) {
        std::vector<std::uint32_t> open, met;
        each_move(steps, [&](RowId, bool opens, std::uint32_t device) {
            const std::uint32_t handle = handle_of(a_.d, device);
            if (std::find(met.begin(), met.end(), handle) != met.end()) return;
            met.push_back(handle);
            if (!opens) open.push_back(handle);
        });
        const auto parted = [&](const Side& side) {
            return std::any_of(open.begin(), open.end(), [&](std::uint32_t handle) { return side.moved_by(handle); });
        };
        each_move(steps, [&](RowId row, bool opens, std::uint32_t device) {
            const std::uint32_t handle = handle_of(a_.d, device);
            const bool battery = c_.battery.moved_by(handle), array = c_.array_moved_by(handle);
            touched = touched || battery || array;
            if (!battery && !array) return;
            if (opens) open.push_back(handle);
            else open.erase(std::remove(open.begin(), open.end(), handle), open.end());
            // Of the arrays that are on: is one on only since this move?
            const bool all_parted = std::all_of(c_.arrays.begin(), c_.arrays.end(), parted);
            const bool closed_now = std::any_of(c_.arrays.begin(), c_.arrays.end(), [&](const Side& side) { return side.moved_by(handle) && !parted(side); });
            if (opens && battery && all_parted) told = true;
            if (all_parted || !parted(c_.battery)) return;
            if (opens && battery) blame("opens-battery-first", row, device, none);
            if (!opens && closed_now) blame("closes-array-first", row, none, device);
        });
    }

private:
    void blame(const char* what, RowId row, std::uint32_t battery, std::uint32_t array) {
        if (wrong.row) return;
        wrong.what = what;
        wrong.row = row;
        wrong.battery_device = battery != none ? battery : c_.battery.device;
        wrong.array_device = array != none ? array : c_.arrays.empty() ? none : c_.arrays.front().device;
    }

    // In the order of the text: the row, whether it opens, the device.
    template <class Move>
    void each_move(const graph::Sequence& steps, Move move) const {
        for (const RowId row : steps.rows) {
            const graph::Row& r = a_.d.rows[row];
            const bool opens = r.property == open_ && open_, closes = r.property == close_ && close_;
            if (!opens && !closes) continue;
            for (const graph::FieldId f : r.fields) {
                const graph::Field& field = a_.d.fields[f];
                if (field.type == graph::Accepts::thing) move(row, opens, field.target);
            }
        }
    }

    const Analysis& a_;
    const Converter& c_;
    graph::Symbol open_, close_;
};

}  // namespace

void fill_steps(Facts& facts, const Shared& a, const SharedPower& p) {
    auto converters = std::make_shared<const std::vector<Converter>>(ConverterFinder(*a).converters(*p));
    auto rows = std::make_shared<std::vector<Wrong>>();
    std::vector<std::uint8_t> told(converters->size(), 0);
    for (std::uint32_t c = 0; c < converters->size(); ++c) {
        if ((*converters)[c].arrays.empty()) continue;
        for (std::uint32_t s = 0; s < a->d.steps.size(); ++s) {
            Play played(*a, (*converters)[c]);
            played.play(a->d.steps[s]);
            if (played.told) told[c] = 1;
            if (!played.touched) continue;
            played.wrong.converter = c;
            played.wrong.sequence = s;
            rows->push_back(played.wrong);
        }
    }
    {
        Filler port(facts, "battery-port");
        for (std::uint32_t r = 0; r < converters->size(); ++r) {
            const Converter& c = (*converters)[r];
            port.flags("load-output")[r] = c.load_output ? 1 : 0;
            port.flags("bare-capacitors")[r] = c.battery.contact ? 1 : 0;
            port.flags("order-told")[r] = told[r];
            if (c.battery.device != none) port.subjects("battery-switch")[r] = a->device_row[c.battery.device];
            for (const Side& array : c.arrays) {
                const bool alone = std::any_of(c.battery.handles.begin(), c.battery.handles.end(), [&](std::uint32_t h) { return !array.moved_by(h); });
                if (alone) port.flags("strands")[r] = 1;
                if (array.device != none) port.subjects("array-switch")[r] = a->device_row[array.device];
            }
        }
    }
    Filler fill(facts, "switching-order", rows->size());
    Table& t = fill.table();
    t.name = [a, rows, converters](std::uint32_t r) {
        return fmt::format("\"{}\" for {}", a->d.word(a->d.steps[(*rows)[r].sequence].title), port_name(*a, (*converters)[(*rows)[r].converter].port));
    };
    t.place = [a, rows](std::uint32_t r) {
        const Wrong& w = (*rows)[r];
        return w.row ? a->d.rows[w.row].span : a->d.steps[w.sequence].span;
    };
    t.thing = [a, rows, converters](std::uint32_t r) { return a->net.ports[(*converters)[(*rows)[r].converter].port].device.value; };
    t.circuit = [a, rows, converters](std::uint32_t r) { return a->circuit_of(a->net.ports[(*converters)[(*rows)[r].converter].port].plus); };
    for (std::uint32_t r = 0; r < rows->size(); ++r) {
        const Wrong& w = (*rows)[r];
        fill.set_word("wrong", r, w.what);
        fill.subjects("port")[r] = w.converter;
        if (w.battery_device != none) fill.subjects("battery-switch")[r] = a->device_row[w.battery_device];
        if (w.array_device != none) fill.subjects("array-switch")[r] = a->device_row[w.array_device];
    }
}

}  // namespace ferrule::facts
