#include "facts/ports.hpp"

#include <fmt/core.h>

#include <algorithm>

namespace ferrule::facts {

using graph::ThingId;

std::string port_name(const Analysis& a, std::uint32_t k) {
    const Port& p = a.net.ports[k];
    if (p.port == 0xffff) return a.d.name(p.device);
    const graph::PortTemplate& t = a.d.part_of(p.device).ports[p.port];
    return fmt::format("{}.{}{}", a.d.name(p.device), a.d.word(t.name), t.index != 0 ? std::to_string(t.index) : std::string());
}

bool has_sensor(const Analysis& a, const Port& port) {
    const graph::Part& part = a.d.part_of(port.device);
    const std::uint32_t base = a.d.things[port.device].first_terminal.value;
    for (std::uint32_t t = 0; t < part.terminals.size(); ++t) {
        if (part.terminals[t].port == 0xffff || a.d.word(part.ports[part.terminals[t].port].role) != "sensor") continue;
        if (a.net.landings[base + t] != 0) return true;
    }
    return false;
}

int strength(std::string_view function) { return function == "interrupts" ? 2 : function == "detects" ? 1 : 0; }

std::vector<int> watchers(const Analysis& a) {
    std::vector<int> watch(a.circuits.circuit_count, 0);
    for (const ThingId id : a.devices) {
        const PartData& part = a.part(id);
        int s = strength(part.ground_fault);
        if (part.kind == "insulation-monitor") s = std::max(s, 1);
        if (s == 0 || part.conducts == Conducts::converter) continue;
        const graph::Thing& t = a.d.things[id];
        for (std::uint32_t i = 0; i < a.d.part_of(id).terminals.size(); ++i) {
            if (a.d.part_of(id).terminals[i].protective) continue;
            int& w = watch[a.circuit_of(t.first_terminal.value + i)];
            w = std::max(w, s);
        }
    }
    return watch;
}

}  // namespace ferrule::facts
