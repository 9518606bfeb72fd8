#include "resolve/names.hpp"

#include <algorithm>

#include "base/limits.hpp"

namespace ferrule::resolve {

bool Array::add(std::uint32_t index, ThingId thing) {
    if (count_ == 0) {
        first_index_ = index;
        first_ = thing;
        count_ = 1;
        return true;
    }
    if (odd_ == nullptr) {
        if (at(index)) return false;
        if (count_ == 1) stride_ = thing.value - first_.value;
        if (index == first_index_ + count_ && thing.value == first_.value + count_ * stride_) {
            ++count_;
            return true;
        }
        odd_ = std::make_unique<std::unordered_map<std::uint32_t, ThingId>>();
        for (std::uint32_t i = 0; i < count_; ++i) {
            odd_->emplace(first_index_ + i, ThingId(first_.value + i * stride_));
        }
    }
    return odd_->emplace(index, thing).second;
}

ThingId Array::at(std::int64_t index) const {
    if (index < 1 || index > std::int64_t{0xfffffffe}) return {};
    if (odd_ != nullptr) {
        const auto found = odd_->find(static_cast<std::uint32_t>(index));
        return found == odd_->end() ? ThingId() : found->second;
    }
    const std::int64_t at = index - first_index_;
    if (at < 0 || at >= count_) return {};
    return ThingId(first_.value + static_cast<std::uint32_t>(at) * stride_);
}

std::string Array::indices() const {
    std::vector<std::uint32_t> all;
    if (odd_ == nullptr) {
        all.push_back(first_index_);
        if (count_ > 1) all.push_back(first_index_ + count_ - 1);
        return count_ == 1 ? std::to_string(all[0])
                           : std::to_string(all[0]) + ".." + std::to_string(all[1]);
    }
    for (const auto& [index, thing] : *odd_) all.push_back(index);
    std::sort(all.begin(), all.end());
    std::string text;
    std::size_t shown = 0;
    for (std::size_t i = 0; i < all.size(); ++shown) {
        if (shown == 8) return text + " …";
        std::size_t last = i;
        while (last + 1 < all.size() && all[last + 1] == all[last] + 1) ++last;
        if (!text.empty()) text += ", ";
        text += std::to_string(all[i]);
        if (last != i) text += ".." + std::to_string(all[last]);
        i = last + 1;
    }
    return text;
}

Binding Names::find_own(Symbol name, std::uint32_t instance) const {
    const auto found = inside_.find(key(name, instance));
    return found == inside_.end() ? Binding() : found->second;
}

void Names::bind(Symbol name, std::uint32_t instance, Binding binding) {
    if (instance != none) {
        if (inside_.insert_or_assign(key(name, instance), binding).second)
            members_[instance].push_back(name);
        return;
    }
    if (name.value >= global_.size()) {
        if (name.value >= global_.capacity())
            global_.reserve(std::max<std::size_t>(2 * global_.size(), name.value + 1024));
        global_.resize(name.value + std::size_t{1});
    }
    global_[name.value] = binding;
}

std::vector<Symbol> Names::of_instance(std::uint32_t instance) const {
    const auto found = members_.find(instance);
    return found == members_.end() ? std::vector<Symbol>() : found->second;
}

std::optional<std::int64_t> Names::value(Symbol name, std::uint32_t frame) const {
    for (; frame != none; frame = frames_[frame].up) {
        if (frames_[frame].name == name) return frames_[frame].value;
    }
    return std::nullopt;
}

std::vector<Symbol> Names::turning(std::uint32_t frame) const {
    std::vector<Symbol> all;
    for (; frame != none; frame = frames_[frame].up) all.push_back(frames_[frame].name);
    return all;
}

}  // namespace ferrule::resolve
