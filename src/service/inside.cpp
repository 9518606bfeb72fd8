#include "service/inside.hpp"

#include <algorithm>
#include <charconv>

#include "service/cursor.hpp"

namespace ferrule::service {

namespace {

using graph::ThingClass;
using syntax::NodeIndex;
using syntax::NodeKind;

constexpr std::uint32_t most_ports = 200;  // of one line

struct Reader {
    const View& view;
    Inside all;

    [[nodiscard]] const syntax::Tree& tree() const { return view.tree(); }

    [[nodiscard]] std::uint32_t plain(NodeIndex node) const {
        std::uint32_t n = 0;
        const std::string_view text = text_of(view, node);
        if (tree()[node].kind != NodeKind::number) return 0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), n);
        return error == std::errc() && end == text.data() + text.size() ? n : 0;
    }

    // [2] or [1..6] below the node; 0 and 0 if there is none, or no plain one.
    [[nodiscard]] std::pair<std::uint32_t, std::uint32_t> range(NodeIndex node) const {
        const NodeIndex index = child_of(tree(), node, NodeKind::index);
        std::vector<std::uint32_t> ends;
        if (index != 0) {
            for (const NodeIndex c : syntax::children(tree(), index)) ends.push_back(plain(c));
        }
        if (ends.empty() || ends.front() == 0 || ends.back() < ends.front()) return {0, 0};
        return {ends.front(), ends.back()};
    }

    void declared(NodeIndex statement, ThingClass cls, std::string_view part) {
        if (const NodeIndex is = child_of(tree(), statement, NodeKind::is); is != 0) {
            if (const NodeIndex name = child_of(tree(), is, NodeKind::name); name != 0) part = text_of(view, name);
        }
        for (const NodeIndex c : syntax::children(tree(), statement)) {
            if (tree()[c].kind != NodeKind::declared) continue;
            const NodeIndex name = child_of(tree(), c, NodeKind::name);
            const auto [low, high] = range(c);
            if (name != 0) all.members.push_back({text_of(view, name), cls, part, low, high});
        }
    }

    void port(NodeIndex label) {
        const std::string_view text = text_of(view, label);
        const auto [low, high] = range(label);
        const std::size_t open = text.find('['), close = text.find(']');
        if (open == std::string_view::npos) {
            all.ports.emplace_back(text);
        } else if (low != 0 && close != std::string_view::npos && high - low < most_ports) {
            for (std::uint32_t i = low; i <= high; ++i) all.ports.push_back(std::string(text.substr(0, open)) + std::to_string(i) + std::string(text.substr(close + 1)));
        }
    }

    void statements(NodeIndex block) {
        for (const NodeIndex s : syntax::children(tree(), block)) {
            switch (tree()[s].kind) {
                case NodeKind::place: declared(s, ThingClass::place, "place"); break;
                case NodeKind::string: declared(s, ThingClass::string, "string"); break;
                case NodeKind::enclosure: declared(s, ThingClass::enclosure, "enclosure"); break;
                case NodeKind::device: declared(s, ThingClass::device, {}); break;
                case NodeKind::cable: declared(s, ThingClass::cable, {}); break;
                case NodeKind::run:
                    if (const NodeIndex name = child_of(tree(), s, NodeKind::name); name != 0) all.members.push_back({text_of(view, name), ThingClass::run, "run"});
                    break;
                case NodeKind::port:
                    for (const NodeKind kind : {NodeKind::label, NodeKind::signed_label, NodeKind::ref}) {
                        const NodeIndex label = child_of(tree(), s, kind);
                        if (label == 0 || label != s + 1) continue;
                        port(label);
                        break;
                    }
                    break;
                case NodeKind::repeat:
                    if (const NodeIndex body = child_of(tree(), s, NodeKind::block); body != 0) statements(body);
                    break;
                default: break;
            }
        }
    }
};

}  // namespace

const Member* Inside::find(std::string_view name) const {
    const auto found = std::find_if(members.begin(), members.end(), [&](const Member& m) { return m.name == name; });
    return found == members.end() ? nullptr : &*found;
}

Inside inside(const View& view, NodeIndex assembly) {
    Reader reader{view, {}};
    if (const NodeIndex block = child_of(view.tree(), assembly, NodeKind::block); block != 0) reader.statements(block);
    return std::move(reader.all);
}

std::optional<Inside> inside(const Design& design, std::string_view assembly) {
    for (const text::FileId file : design.study->files) {
        const View view{&design, &design.known->knowledge, file};
        if (view.tree().nodes.empty()) continue;
        for (const NodeIndex s : syntax::children(view.tree(), 0)) {
            if (view.tree()[s].kind != NodeKind::assembly) continue;
            const NodeIndex name = child_of(view.tree(), s, NodeKind::name);
            if (name != 0 && text_of(view, name) == assembly) return inside(view, s);
        }
    }
    return std::nullopt;
}

}  // namespace ferrule::service
