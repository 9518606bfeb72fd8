#include "graph/design.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cstring>
#include <utility>

namespace ferrule::graph {

namespace {

std::string own_name(const Design& d, const Thing& t) {
    std::string text(d.word(t.name));
    if (t.index != 0) {
        text += '[';
        text += std::to_string(t.index);
        text += ']';
    }
    return text;
}

// A box's metal, a bar, an electrode: the terminal that is the thing itself, named as the thing is.
bool is_the_thing_itself(const Design& d, TerminalId t) {
    if (d.local(t) != 0) return false;
    const Kind& kind = d.kind_of(d.terminals[t]);
    return !kind.terminals.empty() && (kind.one_metal || d.terminal(t).protective);
}

}  // namespace

TerminalId Design::terminal(ThingId t, Symbol label) const {
    const auto& by_label = part_of(t).by_label;
    const auto found = by_label.find(label);
    return found == by_label.end() ? TerminalId() : terminal(t, found->second);
}

bool Design::has_place(ThingId t, std::string_view place) const {
    if (const Symbol label = names.find(place); label && terminal(t, label)) return true;
    const auto number = [](std::uint32_t index) { return index == 0 ? std::string() : std::to_string(index); };
    const std::vector<PortTemplate>& ports = part_of(t).ports;
    const auto is_port = [&](const PortTemplate& p) { return place == std::string(word(p.name)) + number(p.index); };
    const auto is_entry = [&](const Entry& e) {
        return e.enclosure == t && place == std::string(word(e.name)) + (e.index == 0 ? "" : '[' + number(e.index) + ']');
    };
    return std::any_of(ports.begin(), ports.end(), is_port) || std::any_of(entries.begin(), entries.end(), is_entry);
}

std::string Design::name(ThingId t) const {
    const Thing& thing = things[t];
    return thing.owner ? name(thing.owner) + '.' + own_name(*this, thing) : own_name(*this, thing);
}

std::string Design::name(TerminalId t) const {
    std::string text = name(terminals[t]);
    if (is_the_thing_itself(*this, t)) return text;
    text += '.';
    text += word(terminal(t).label);
    return text;
}

std::string Design::name(ConductorId c) const {
    const Conductor& row = conductors[c];
    std::string text;
    if (row.role == ConductorRole::jumper) {
        text = "jumper " + name(terminals[row.a]) + ' ' + std::string(word(terminal(row.a).label)) +
               " to " + std::string(word(terminal(row.b).label));
    } else {
        text = name(row.a) + " -> " + name(row.b);
    }
    if (row.mark) text += " (" + std::string(word(row.mark)) + ')';
    return text;
}

RowId Design::row(base::Range<RowId> range, Symbol property) const {
    if (!property) return {};
    for (const RowId r : range) {
        if (rows[r].property == property) return r;
    }
    return {};
}

void Design::restate(Design now) {
    std::swap(names, now.names);
    *this = std::move(now);
}

void Design::freeze() {
    static std::atomic<std::uint64_t> last{0};
    frozen_ = ++last;
}

// Each thread remembers for itself, by where the word stands in memory, checked by its letters.
Symbol Design::symbol_of(std::string_view name) const {
    struct Asked {
        std::uint64_t design = 0;
        std::array<char, 23> text{};
        std::uint8_t size = 0;
        Symbol symbol;
    };
    static thread_local std::array<Asked, 256> asked;
    if (frozen_ == 0 || name.size() > Asked().text.size()) return names.find(name);
    Asked& a = asked[(reinterpret_cast<std::uintptr_t>(name.data()) / 8 + name.size()) % asked.size()];
    if (a.design == frozen_ && a.size == name.size() && std::memcmp(a.text.data(), name.data(), name.size()) == 0) return a.symbol;
    a.design = frozen_;
    a.size = static_cast<std::uint8_t>(name.size());
    std::memcpy(a.text.data(), name.data(), name.size());
    a.symbol = names.find(name);
    return a.symbol;
}

RowId Design::row(base::Range<RowId> range, std::string_view property) const {
    return range.empty() ? RowId() : row(range, symbol_of(property));
}

const Field* Design::field(RowId r, std::string_view name_text) const {
    if (!r) return nullptr;
    const Symbol wanted = symbol_of(name_text);
    if (!wanted) return nullptr;
    for (const FieldId f : rows[r].fields) {
        if (fields[f].name == wanted) return &fields[f];
    }
    return nullptr;
}

double Design::number(base::Range<RowId> range, std::string_view property,
                      std::string_view field_name) const {
    const Field* f = field(row(range, property), field_name);
    return f == nullptr ? unknown : f->low;
}

std::string_view Design::text(base::Range<RowId> range, std::string_view property,
                              std::string_view field_name) const {
    const Field* f = field(row(range, property), field_name);
    return f == nullptr ? std::string_view() : word(f->text);
}

bool Design::states(base::Range<RowId> range, std::string_view property) const {
    return static_cast<bool>(row(range, property));
}

}  // namespace ferrule::graph
