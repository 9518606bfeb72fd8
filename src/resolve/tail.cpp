#include "resolve/tail.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/nearest.hpp"
#include "resolve/fields.hpp"
#include "resolve/quantity.hpp"

namespace ferrule::resolve {

namespace {

constexpr Wanted cable_or_named{.what = "a cable",
                                .things = bit(ThingClass::cable),
                                .parts = true,
                                .assemblies = false,
                                .kind = {}};

struct TailReader {
    Build& b;
    const View& v;
    Scope scope;
    TailOf what;
    NodeIndex at = no_node, end = no_node;
    Tail tail;

    [[nodiscard]] bool more() const { return at < end && v.kind(at) != NodeKind::block; }
    void step() { at = v.node(at).next; }
    void wrong(std::string_view rule, Span span, std::string message, std::string remedy = {}) {
        tail.good = false;
        b.report.error(rule, span, std::move(message), std::move(remedy));
    }
    // `stated` twice: the second is reported.
    bool twice(bool stated, NodeIndex node, std::string_view name) {
        if (stated)
            wrong("design.stated-twice", v.span(node),
                  fmt::format("the conductor states {} twice", name));
        return stated;
    }
    [[nodiscard]] bool comma_before(NodeIndex node) const {
        std::uint32_t i = v.node(node).begin;
        const std::string_view bytes = v.bytes();
        while (i > 0 && (bytes[i - 1] == ' ' || bytes[i - 1] == '\t' || bytes[i - 1] == '\n' ||
                         bytes[i - 1] == '\r'))
            --i;
        return i > 0 && bytes[i - 1] == ',';
    }

    void quantity() {
        const NodeIndex node = at;
        step();
        const Quantity q = read_quantity(b, v, node);
        if (!q) {
            tail.good = false;
            return;
        }
        const std::string& dimension = b.units[q.unit].dimension_name;
        if (dimension == "area") {
            if (twice(!std::isnan(tail.area), node, "its size")) return;
            if (q.value == 0) {
                tail.good = false;
                return report_zero(b, v, node);
            }
            tail.area = q.value;
            tail.area_unit = q.unit;
        } else if (dimension == "length") {
            if (twice(!std::isnan(tail.length), node, "its length")) return;
            tail.length = q.value;
        } else if (dimension == "voltage") {
            wrong("design.tail", v.span(node),
                  fmt::format("{} alone says nothing here", quoted(v.text(node))),
                  fmt::format("write: rated {}", v.text(node)));
        } else {
            wrong("design.unit-wrong", v.span(node),
                  fmt::format("{} is {}; behind a conductor stand its size, such as 6 mm2, and its "
                              "length, such as 14 m",
                              b.units[q.unit].symbol, with_article(dimension)));
        }
    }

    void bare_number() {
        const NodeIndex node = at;
        step();
        if (more() && (v.kind(at) == NodeKind::ref || v.kind(at) == NodeKind::label)) {
            const std::string_view next = v.text(at);
            const Symbol word = b.design.names.find(next);
            const bool known = word && (b.words.in_tail(word) != TailWord::no ||
                                        b.names.find(word, scope.instance));
            if (const std::string near = known ? std::string() : b.units.nearest(next);
                !near.empty()) {
                wrong("design.unknown-unit", v.span(at),
                      fmt::format("{} is no unit that is known here; there is {}", quoted(next),
                                  near),
                      fmt::format("write {} {}", v.text(node), near));
                return step();
            }
        }
        wrong("design.unit-wrong", v.span(node),
              fmt::format("{} has no unit; behind a conductor stand its size, such as 6 mm2, and "
                          "its length, such as 14 m",
                          v.text(node)),
              fmt::format("write {} mm2 or {} m, whichever is meant", v.text(node), v.text(node)));
    }

    void ends(NodeIndex word) {
        if (twice(static_cast<bool>(tail.end_a), word, "its ends")) return;
        for (int i = 0; i < 2; ++i) {
            if (!more() || (v.kind(at) != NodeKind::ref && v.kind(at) != NodeKind::label)) {
                return wrong(
                    "design.tail", v.span(word),
                    "ends wants two words: what is on the from end and what is on the to end",
                    "as in: ends EC4-P, ferrule");
            }
            const End e = read_end(b, b.symbol(v, at), v.span(at), scope.instance);
            if (!e.word) tail.good = false;
            (i == 0 ? tail.end_a : tail.end_b) = e.word;
            (i == 0 ? tail.end_part_a : tail.end_part_b) = e.part;
            step();
        }
    }

    void references(NodeIndex word, std::vector<NodeIndex>& list, std::string_view example) {
        if (!more() || v.kind(at) != NodeKind::ref) {
            return wrong("design.tail", v.span(word),
                         fmt::format("{} wants a name behind it", v.text(word)),
                         fmt::format("as in: {}", example));
        }
        do {
            list.push_back(at);
            step();
        } while (more() && v.kind(at) == NodeKind::ref && comma_before(at));
    }

    void core(NodeIndex word) {
        if (twice(tail.core != 0, word, "its core")) return;
        const auto n = more() && v.kind(at) == NodeKind::number ? whole(v.text(at)) : std::nullopt;
        if (!n || *n < 1 || *n > 65534) {
            wrong("design.cable-core", more() ? v.span(at) : v.span(word),
                  "core wants the number of a core, counted from 1", "as in: core 2");
            if (more() && v.kind(at) == NodeKind::number) step();
            return;
        }
        tail.core = static_cast<std::uint32_t>(*n);
        tail.core_span = v.span(v.node(word).begin, v.node(at).end);
        step();
    }

    void mark(NodeIndex word) {
        if (twice(static_cast<bool>(tail.mark), word, "its mark")) return;
        const bool good =
            more() && (v.kind(at) == NodeKind::ref || v.kind(at) == NodeKind::label ||
                       v.kind(at) == NodeKind::number || v.kind(at) == NodeKind::text);
        if (!good)
            return wrong("design.tail", v.span(word), "as wants the conductor's mark behind it",
                         "as in: as W3");
        tail.mark_node = at;
        tail.mark_indexed = v.kind(at) == NodeKind::ref && v.child(at, NodeKind::index) != no_node;
        tail.mark = v.kind(at) == NodeKind::text ? b.symbol(unescape(v.text(at))) : b.symbol(v, at);
        step();
    }

    void claim(NodeIndex word) {
        Claim c;
        const std::uint32_t begin = v.node(word).begin;
        std::uint32_t last = v.node(word).end;
        if (more() && v.kind(at) == NodeKind::ref) {
            c.device = at;
            last = v.node(at).end;
            step();
        }
        const bool side = c.device != no_node && more() &&
                          (v.kind(at) == NodeKind::ref || v.kind(at) == NodeKind::label) &&
                          b.words.in_tail(b.symbol(v, at)) == TailWord::side;
        if (side) {
            c.side = b.symbol(v, at);
            last = v.node(at).end;
            step();
        }
        const auto n =
            side && more() && v.kind(at) == NodeKind::number ? whole(v.text(at)) : std::nullopt;
        if (!n || *n < 1 || *n > 65534) {
            return wrong("design.tail", v.span(begin, last),
                         "at wants a device, a side of its face and a number",
                         "as in: at Q1 upper 3");
        }
        c.position = static_cast<std::uint16_t>(*n);
        c.span = v.span(begin, v.node(at).end);
        step();
        tail.claims.push_back(c);
    }

    void rated(NodeIndex word) {
        const Quantity q =
            more() && v.kind(at) == NodeKind::quantity ? read_quantity(b, v, at, Sign::above_zero) : Quantity();
        if (!more() || v.kind(at) != NodeKind::quantity ||
            (q && b.units[q.unit].dimension_name != "voltage")) {
            wrong("design.unit-wrong", more() ? v.span(at) : v.span(word),
                  "rated wants the voltage that the conductor is rated for", "as in: rated 750 V");
        }
        tail.rated_voltage = q.value;
        if (more() && (v.kind(at) == NodeKind::quantity || v.kind(at) == NodeKind::number)) step();
    }

    // A name: a cable part, a named cable; else nothing that can stand here.
    void name(NodeIndex node, Symbol word) {
        const Binding found = b.names.find(word, scope.instance);
        const std::string_view text = v.text(node);
        if (b.keep_uses && found) b.use(v.span(node), place_of(b, found));
        if (found.means == Means::part) {
            if (!b.words.is_cable(b.design.parts[PartId(found.id)].kind)) {
                findings::Finding f = error("design.wrong-kind", v.span(node),
                                            fmt::format("{} is {}; a cable is wanted here",
                                                        quoted(text), describe(b, found)));
                f.related.push_back({place_of(b, found), "declared here"});
                b.report.add(std::move(f));
                tail.good = false;
            } else if (!twice(tail.cable || tail.named_cable != no_node, node, "its cable")) {
                tail.cable = PartId(found.id);
            }
            return;
        }
        if ((found.means == Means::thing || found.means == Means::array) &&
            found.cls == ThingClass::cable) {
            if (!twice(tail.cable || tail.named_cable != no_node, node, "its cable"))
                tail.named_cable = node;
            return;
        }
        tail.good = false;
        if (found.means == Means::poisoned) return;
        const bool small = text[0] >= 'a' && text[0] <= 'z';
        if (!found && small && b.may_be_declared(text)) b.doubted = true;
        if (!found && small && !b.may_be_declared(text)) {
            std::vector<std::string_view> known = b.words.all_in_tail(b.design.names);
            const std::string_view near = base::nearest(text, known);
            if (!near.empty()) {
                return wrong("design.tail", v.span(node),
                             fmt::format("{} means nothing behind a conductor; there is {}",
                                         quoted(text), near),
                             fmt::format("write {} if that is meant", near));
            }
        }
        (void)look_up(b, word, v.span(node), scope.instance, cable_or_named);
    }

    void word() {
        const NodeIndex node = at;
        step();
        const NodeIndex first = v.kind(node) == NodeKind::ref ? v.first(node) : no_node;
        const bool plain = first == no_node || v.node(first).next == v.node(node).next;
        const Symbol s = plain ? b.symbol(v, node) : b.symbol(v, first);
        switch (plain ? b.words.in_tail(s) : TailWord::no) {
            case TailWord::colour:
                if (!twice(static_cast<bool>(tail.colour), node, "its colour")) tail.colour = s;
                return;
            case TailWord::material:
                if (!twice(static_cast<bool>(tail.material), node, "its metal")) tail.material = s;
                return;
            case TailWord::as:
                return mark(node);
            case TailWord::core:
                return core(node);
            case TailWord::ends:
                return ends(node);
            case TailWord::by:
                return references(node, tail.by, "by BOX.G1");
            case TailWord::via:
                return references(node, tail.via, "via TRENCH, RISER");
            case TailWord::at:
                return claim(node);
            case TailWord::rated:
                return rated(node);
            case TailWord::side:
            case TailWord::no:
                break;
        }
        if (v.kind(node) != NodeKind::ref) {
            return wrong("design.tail", v.span(node),
                         fmt::format("{} means nothing behind a conductor", quoted(v.text(node))));
        }
        name(node, s);
    }

    void read() {
        while (more()) {
            switch (v.kind(at)) {
                case NodeKind::quantity:
                    quantity();
                    break;
                case NodeKind::number:
                    bare_number();
                    break;
                case NodeKind::text:
                    if (!twice(static_cast<bool>(tail.text), at, "its text"))
                        tail.text = b.symbol(unescape(v.text(at)));
                    step();
                    break;
                case NodeKind::ref:
                case NodeKind::label:
                case NodeKind::signed_label:
                    word();
                    break;
                case NodeKind::junk:
                    tail.good = false;
                    step();
                    break;
                default:
                    wrong("design.tail", v.span(at),
                          fmt::format("{} means nothing behind a conductor", quoted(v.text(at))));
                    step();
            }
        }
        if (what == TailOf::jumper &&
            (!tail.by.empty() || !tail.via.empty() || !tail.claims.empty())) {
            const NodeIndex node = !tail.by.empty()    ? tail.by[0]
                                   : !tail.via.empty() ? tail.via[0]
                                                       : tail.claims[0].device;
            wrong("design.tail", v.span(node),
                  "a jumper stays inside its device: by, via and at say nothing of it");
        }
    }
};

}  // namespace

Tail read_tail(Build& b, const View& v, NodeIndex statement, NodeIndex first, Scope scope,
               TailOf what) {
    TailReader reader{b, v, scope, what, first, v.node(statement).next, {}};
    reader.read();
    return std::move(reader.tail);
}

End read_end(Build& b, Symbol word, Span at, std::uint32_t instance) {
    const Binding found = b.names.find(word, instance);
    const std::string_view text = b.text(word);
    if (found.means == Means::poisoned) return {};
    const bool lower = !text.empty() && text[0] >= 'a' && text[0] <= 'z';
    if (!found && lower) return {word, {}};  // ferrule, bare, lug-M8
    static constexpr Wanted connector{.what = "a connector",
                                      .things = 0,
                                      .parts = true,
                                      .assemblies = false,
                                      .kind = "connector"};
    const Binding part = look_up(b, word, at, instance, connector);
    return part ? End{word, PartId(part.id)} : End{};
}

}  // namespace ferrule::resolve
