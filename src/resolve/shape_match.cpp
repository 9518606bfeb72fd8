#include "resolve/shape_match.hpp"

#include <algorithm>
#include <utility>

#include "resolve/index.hpp"

namespace ferrule::resolve {

using graph::Accepts;
using graph::Shape;

namespace {

constexpr std::size_t most_wanted = 16;

bool lower_case(std::string_view text) {
    return !text.empty() && text[0] >= 'a' && text[0] <= 'z';
}

bool same_word(std::string_view text, std::string_view word) {
    return text == word || (word == "x" && text == "×");
}

}  // namespace

Atoms read_atoms(const View& v, NodeIndex statement, NodeIndex first, const units::Units& units) {
    Atoms atoms;
    const NodeIndex end = v.node(statement).next;
    for (NodeIndex n = first; n < end; n = v.node(n).next) {
        const NodeKind kind = v.kind(n);
        if (kind == NodeKind::block) break;
        if (kind == NodeKind::junk) {
            atoms.junk = true;
            break;
        }
        Atom atom{n, kind, v.node(n).begin, v.node(n).end, v.text(n), {}, false, false};
        if (kind == NodeKind::ref) {
            const NodeIndex name = v.first(n);
            const NodeIndex after = name == no_node ? no_node : v.node(name).next;
            atom.bare = after == v.node(n).next;
            atom.local = atom.bare || (after != no_node && v.kind(after) == NodeKind::index &&
                                       v.node(after).next == v.node(n).next &&
                                       v.node(name).end == v.node(after).begin);
        }
        if (kind == NodeKind::quantity) {
            if (const NodeIndex unit = v.child(n, NodeKind::unit); unit != no_node)
                atom.unit = units.find(v.text(unit));
        }
        atoms.all.push_back(atom);
    }
    return atoms;
}

std::vector<Atom> split_quantities(const View& v, const std::vector<Atom>& atoms) {
    std::vector<Atom> split;
    split.reserve(atoms.size() + 4);
    for (const Atom& a : atoms) {
        const NodeIndex number =
            a.kind == NodeKind::quantity ? v.child(a.node, NodeKind::number) : no_node;
        const NodeIndex unit =
            a.kind == NodeKind::quantity ? v.child(a.node, NodeKind::unit) : no_node;
        if (number == no_node || unit == no_node) {
            split.push_back(a);
        } else if (v.node(number).end == v.node(unit).begin) {
            split.push_back({a.node, NodeKind::label, a.begin, a.end, a.text, {}, false, false});
        } else {
            split.push_back({number,
                             NodeKind::number,
                             v.node(number).begin,
                             v.node(number).end,
                             v.text(number),
                             {},
                             false,
                             false});
            split.push_back({unit,
                             NodeKind::label,
                             v.node(unit).begin,
                             v.node(unit).end,
                             v.text(unit),
                             {},
                             false,
                             false});
        }
    }
    return split;
}

bool ShapeMatch::fits(const Shape& shape) {
    captures_.clear();
    wanted_.clear();
    furthest_ = 0;
    surplus_ = false;
    anywhere_ = false;
    return match(shape, 0, nullptr);
}

bool ShapeMatch::miss(const Shape& s, std::size_t at) {
    if (at > furthest_) {
        furthest_ = at;
        wanted_.clear();
        surplus_ = false;
    }
    if (at == furthest_ && wanted_.size() < most_wanted &&
        std::find(wanted_.begin(), wanted_.end(), &s) == wanted_.end()) {
        wanted_.push_back(&s);
    }
    return false;
}

bool ShapeMatch::resume(const Rest* rest, std::size_t at) {
    if (rest == nullptr) {
        if (anywhere_) {
            end_ = at;
            return true;
        }
        if (at == atoms_->size()) return true;
        if (at > furthest_) {
            furthest_ = at;
            wanted_.clear();
        }
        if (at == furthest_) surplus_ = true;
        return false;
    }
    const Shape& s = *rest->sequence;
    if (rest->child == s.children.size()) return resume(rest->up, at);
    const Rest next{rest->sequence, rest->child + 1, rest->up};
    return match(s.children[rest->child], at, &next);
}

bool ShapeMatch::match(const Shape& s, std::size_t at, const Rest* rest) {
    switch (s.op) {
        case Shape::Op::sequence: {
            const Rest mine{&s, 0, rest};
            return resume(&mine, at);
        }
        case Shape::Op::choice: {
            const std::size_t before = captures_.size();
            for (const Shape& child : s.children) {
                if (match(child, at, rest)) return true;
                captures_.resize(before);
            }
            return false;
        }
        case Shape::Op::optional: {
            const std::size_t before = captures_.size();
            const Rest mine{&s, 0, rest};
            if (resume(&mine, at)) return true;
            captures_.resize(before);
            return resume(rest, at);
        }
        case Shape::Op::repeat:
            return match_repeat(s, at, rest);
        case Shape::Op::literal:
            if (at < atoms_->size() && same_word((*atoms_)[at].text, s.text))
                return resume(rest, at + 1);
            return miss(s, at);
        case Shape::Op::field: {
            const std::size_t taken = accept(s, at);
            if (taken == 0) return miss(s, at);
            captures_.push_back(
                {&s, static_cast<std::uint32_t>(at), static_cast<std::uint32_t>(taken)});
            if (resume(rest, at + taken)) return true;
            captures_.pop_back();
            return false;
        }
    }
    return false;
}

// As often as it fits, then fewer times until the rest fits too.
bool ShapeMatch::match_repeat(const Shape& s, std::size_t at, const Rest* rest) {
    std::vector<std::pair<std::size_t, std::size_t>> stops;  // atom, captures
    std::size_t here = at;
    const bool outer = std::exchange(anywhere_, true);
    while (true) {
        const std::size_t before = captures_.size();
        const Rest mine{&s, 0, nullptr};
        if (!resume(&mine, here) || end_ == here) {
            captures_.resize(before);
            break;
        }
        here = end_;
        stops.emplace_back(here, captures_.size());
    }
    anywhere_ = outer;
    for (auto stop = stops.rbegin(); stop != stops.rend(); ++stop) {
        captures_.resize(stop->second);
        if (resume(rest, stop->first)) return true;
    }
    return false;
}

std::size_t ShapeMatch::accept(const Shape& field, std::size_t at) const {
    if (at >= atoms_->size()) return 0;
    const Atom& a = (*atoms_)[at];
    switch (field.accepts) {
        case Accepts::quantity: {
            const auto good = [&](const Atom& x) {
                return x.kind == NodeKind::quantity && x.unit &&
                       (*units_)[x.unit].dimension == field.dimension;
            };
            if (!good(a)) return 0;
            return field.range && at + 2 < atoms_->size() &&
                           (*atoms_)[at + 1].kind == NodeKind::dots && good((*atoms_)[at + 2])
                       ? 3
                       : 1;
        }
        case Accepts::number:
            if (a.kind != NodeKind::number) return 0;
            return field.range && at + 2 < atoms_->size() &&
                           (*atoms_)[at + 1].kind == NodeKind::dots &&
                           (*atoms_)[at + 2].kind == NodeKind::number
                       ? 3
                       : 1;
        case Accepts::count:
            return a.kind == NodeKind::number && whole(a.text) ? 1 : 0;
        case Accepts::word:
            if (!field.words.empty())
                return std::find(field.words.begin(), field.words.end(), a.text) !=
                               field.words.end()
                           ? 1
                           : 0;
            return (a.bare || a.kind == NodeKind::label) && lower_case(a.text) ? 1 : 0;
        case Accepts::text:
            return a.kind == NodeKind::text ? 1 : 0;
        case Accepts::label:
            return a.local || a.kind == NodeKind::label || a.kind == NodeKind::number ||
                           a.kind == NodeKind::signed_label || a.kind == NodeKind::pair
                       ? 1
                       : 0;
        case Accepts::pair: {
            if (a.kind == NodeKind::pair) return 1;
            const auto label = [](const Atom& x) {
                return x.kind == NodeKind::label || x.kind == NodeKind::number ||
                       x.kind == NodeKind::signed_label || x.bare;
            };
            return at + 2 < atoms_->size() && label(a) && (*atoms_)[at + 1].text == "to" &&
                           label((*atoms_)[at + 2])
                       ? 3
                       : 0;
        }
        case Accepts::date:
            return a.kind == NodeKind::date ? 1 : 0;
        case Accepts::part:
            return a.bare ? 1 : 0;
        case Accepts::thing:
        case Accepts::terminal:
            return a.kind == NodeKind::ref ? 1 : 0;
    }
    return 0;
}

}  // namespace ferrule::resolve
