// The ports of assemblies: which terminal of which member each is, instance by instance.
#include <algorithm>

#include <fmt/format.h>

#include "resolve/refs.hpp"
#include "resolve/things.hpp"
#include "resolve/walk.hpp"

namespace ferrule::resolve {

namespace {

struct PortMaker {
    Build& b;
    std::uint32_t instance;

    Instance& owner() { return b.instances[instance]; }

    // `port in[1..2]+ is F[1..2].1`: both sides run in step. False: it could not be read.
    bool port(const View& v, NodeIndex statement, Scope scope) {
        const NodeIndex label = v.first(statement), ref = v.child(statement, NodeKind::ref);
        if (ref == no_node || ref == label) {
            if (v.child(statement, NodeKind::word) != no_node) {
                b.report.error("design.misplaced", v.head(statement),
                               "in an assembly a port names a terminal: port out+ is Q1.2");
            }
            return false;
        }
        Index index;
        if (const NodeIndex brackets = v.child(label, NodeKind::index); brackets != no_node) {
            index = read_index(b, v, brackets, scope);
        }
        const Path path = read_path(b, v, ref, scope);
        if (!index.good || !path.good) return false;
        const std::uint32_t names = index.count(), terminals = path.length();
        if (names != terminals && names != 1 && terminals != 1) {
            b.report.error(
                "design.range", v.head(statement),
                fmt::format("{} are {} and {} are {}: they run in step", quoted(v.text(label)),
                            names, quoted(v.text(ref)), terminals));
            return false;
        }
        for (std::uint32_t k = 0; k < std::max(names, terminals); ++k) {
            const TerminalId terminal = landing_at(b, path, k, scope, Bare::one_terminal).terminal;
            if (!terminal) return false;
            add(v, label,
                index.stated ? with_index(v.text(label), index.at(k)) : std::string(v.text(label)),
                terminal);
        }
        return true;
    }

    // in[1..2]+ -> in2+
    static std::string with_index(std::string_view label, std::uint32_t index) {
        const std::size_t close = label.find(']');
        return fmt::format("{}{}{}", label.substr(0, label.find('[')), index,
                           close == std::string_view::npos ? "" : label.substr(close + 1));
    }

    void add(const View& v, NodeIndex label, const std::string& name, TerminalId terminal) {
        const Symbol symbol = b.symbol(name);
        auto& ports = owner().ports;
        if (std::any_of(ports.begin(), ports.end(),
                        [&](const auto& p) { return p.first == symbol; })) {
            b.report.error("design.duplicate-name", v.span(label),
                           fmt::format("port {} is declared twice", quoted(name)));
        } else {
            ports.emplace_back(symbol, terminal);
        }
    }
};

}  // namespace

void make_ports(Build& b) {
    // from the inside out: a port of an assembly may be a port of a member
    for (std::size_t i = b.instances.size(); i-- > 0;) {
        PortMaker maker{b, static_cast<std::uint32_t>(i)};
        const auto visit = [&](Statement s, Scope scope) {
            const View& v = b.view(s);
            const NodeIndex label = v.first(s.node);
            const bool readable = label != no_node && v.kind(label) != NodeKind::junk;
            if (!readable || !maker.port(v, s.node, scope)) maker.owner().broken = true;
        };
        const Statement at = b.assemblies[b.instances[i].assembly].at;
        const NodeIndex body = b.view(at).child(at.node, NodeKind::block);
        carry_out_block(b, at.file, body, {static_cast<std::uint32_t>(i), none}, Task::ports,
                        visit);
    }
}

}  // namespace ferrule::resolve
