#include "graph/kinds.hpp"

namespace ferrule::graph {

namespace {

std::string key(std::string_view group, std::string_view name) {
    std::string k(group);
    k += ' ';
    k += name;
    return k;
}

}  // namespace

const Property* Kind::property(std::string_view wanted) const {
    const auto found = by_name.find(std::string(wanted));
    return found == by_name.end() ? nullptr : &properties[found->second];
}

KindId Kinds::add(Kind kind) {
    const KindId id(kinds_.size());
    kind.by_name.clear();
    for (std::uint32_t i = 0; i < kind.properties.size(); ++i) kind.by_name.emplace(kind.properties[i].name, i);
    by_name_.emplace(key(kind.group, kind.name), id);
    kinds_.push_back(std::move(kind));
    return id;
}

KindId Kinds::find(std::string_view group, std::string_view name) const {
    const auto found = by_name_.find(key(group, name));
    return found == by_name_.end() ? KindId() : found->second;
}

const Kinds::Default* Kinds::find_default(std::string_view name) const {
    for (const Default& d : defaults) {
        if (d.name == name) return &d;
    }
    return nullptr;
}

}  // namespace ferrule::graph
