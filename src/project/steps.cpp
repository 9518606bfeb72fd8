#include "project/steps.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "project/values.hpp"

namespace ferrule::project {

namespace {

constexpr std::size_t shown_bytes = 60;

std::string_view word(graph::ThingClass c) {
    switch (c) {
        case graph::ThingClass::place: return "place";
        case graph::ThingClass::string: return "string";
        case graph::ThingClass::enclosure: return "enclosure";
        case graph::ThingClass::device: return "device";
        case graph::ThingClass::run: return "run";
        case graph::ThingClass::cable: return "cable";
    }
    return "";
}

std::string_view word(graph::ConductorRole r) {
    switch (r) {
        case graph::ConductorRole::power: return "power";
        case graph::ConductorRole::bond: return "bond";
        case graph::ConductorRole::earth: return "earth";
        case graph::ConductorRole::jumper: return "jumper";
    }
    return "";
}

void part_text(std::string& out, const graph::Design& d, const graph::Part& p) {
    out += fmt::format("part {} is {}\n", d.word(p.name), (*d.kinds)[p.kind].name);
    const auto label = [&](std::uint16_t t) { return d.word(p.terminals[t].label); };
    for (const graph::TerminalTemplate& t : p.terminals) {
        out += fmt::format("    terminal {}{}{}\n", d.word(t.label), t.aux ? " aux" : "", t.protective ? " protective" : "");
    }
    for (const graph::PoleTemplate& pole : p.poles) {
        out += fmt::format("    pole {} to {}{}\n", label(pole.a), label(pole.b), pole.aux ? " aux" : "");
    }
    for (const auto& join : p.joins) out += fmt::format("    join {} {}\n", label(join[0]), label(join[1]));
    for (const graph::PortTemplate& port : p.ports) {
        out += fmt::format("    port {}{} is {}\n", d.word(port.name), port.index == 0 ? "" : fmt::format("[{}]", port.index),
                           d.word(port.role));
    }
}

}  // namespace

std::string tree_text(const text::Sources& sources, const syntax::Tree& tree) {
    std::string out;
    std::vector<syntax::NodeIndex> ends;
    for (syntax::NodeIndex i = 0; i < tree.nodes.size(); ++i) {
        while (!ends.empty() && i >= ends.back()) ends.pop_back();
        const std::string_view bytes = sources.text(tree.span(i));
        const std::string shown = text::printable(bytes.substr(0, std::min({bytes.size(), shown_bytes, bytes.find('\n')})));
        out += fmt::format("{:>{}}{} {}..{}  {}\n", "", 2 * ends.size(), syntax::word(tree[i].kind), tree[i].begin, tree[i].end, shown);
        ends.push_back(tree[i].next);
    }
    return out;
}

std::string graph_text(const graph::Design& d) {
    std::string out;
    for (const graph::Part& p : d.parts) part_text(out, d, p);
    for (const graph::ThingId t : d.things.ids()) {
        const graph::Thing& thing = d.things[t];
        out += fmt::format("{} {} is {}", word(thing.cls), d.name(t), d.word(d.part_of(t).name));
        if (thing.where) out += fmt::format(" in {}", d.name(thing.where));
        for (std::uint32_t i = 0; i < thing.groups; ++i) {
            const graph::Group& g = d.groups[thing.first_group + i];
            out += fmt::format("{} {} x {}", i == 0 ? " of" : ",", g.count, d.word(d.parts[g.part].name));
        }
        for (std::uint32_t i = 0; i < thing.fitted; ++i) {
            out += fmt::format("{} {}", i == 0 ? " with" : ",", d.word(d.parts[d.fitted[thing.first_fitted + i]].name));
        }
        out += '\n';
    }
    for (const graph::ConductorId c : d.conductors.ids()) {
        const graph::Conductor& wire = d.conductors[c];
        out += fmt::format("{} {}", word(wire.role), d.name(c));
        if (wire.cable) out += fmt::format("  {}", d.word(d.parts[wire.cable].name));
        if (wire.colour) out += fmt::format(" {}", d.word(wire.colour));
        if (wire.run) out += fmt::format("  in {}", d.name(wire.run));
        out += '\n';
    }
    return out;
}

std::string facts_text(const facts::Facts& facts, const units::Units& units) {
    std::string out;
    for (const facts::Table& table : facts.tables) {
        for (std::uint32_t row = 0; row < table.rows; ++row) {
            out += fmt::format("{} {}\n", table.subject, table.name ? text::printable(table.name(row)) : std::to_string(row));
            for (const facts::Column& column : table.columns) {
                const render::Value v = value(facts, column, row, units);
                std::string shown = v.shown;
                if (v.type == render::Value::Type::unknown) shown = "?";
                if (v.type == render::Value::Type::flag) shown = v.flag ? "yes" : "no";
                if (v.type == render::Value::Type::word || v.type == render::Value::Type::names) {
                    shown = v.names.empty() ? "-" : text::printable(fmt::format("{}", fmt::join(v.names, ", ")));
                }
                out += fmt::format("    {} {}\n", v.fact, shown);
            }
        }
    }
    return out;
}

}  // namespace ferrule::project
