#include "rules/names.hpp"

#include <algorithm>

#include "base/nearest.hpp"

namespace ferrule::rules {

using graph::Accepts;
using graph::Shape;

bool FieldInfo::is_number() const {
    return accepts == Accepts::quantity || accepts == Accepts::number || accepts == Accepts::count;
}

bool FieldInfo::is_word() const {
    return accepts == Accepts::word || accepts == Accepts::text || accepts == Accepts::label ||
           accepts == Accepts::pair || accepts == Accepts::date;
}

const FieldInfo* PropertyInfo::field(std::string_view wanted) const {
    for (const FieldInfo& f : fields) {
        if (f.name == wanted) return &f;
    }
    return nullptr;
}

namespace {

void add_field(PropertyInfo& info, const Shape& shape) {
    FieldInfo one;
    one.name = shape.text;
    one.accepts = shape.accepts;
    one.dimension = shape.dimension;
    one.sometimes_range = one.always_range = shape.range;
    one.words = shape.words;
    one.any_word = shape.words.empty();
    for (FieldInfo& known : info.fields) {
        if (known.name != one.name) continue;
        if (known.is_number() != one.is_number() || known.is_word() != one.is_word() ||
            (one.is_number() && known.dimension != one.dimension)) {
            known.differs = true;
        }
        known.sometimes_range = known.sometimes_range || one.sometimes_range;
        known.always_range = known.always_range && one.always_range;
        known.any_word = known.any_word || one.any_word;
        for (const std::string& w : one.words) {
            if (std::find(known.words.begin(), known.words.end(), w) == known.words.end())
                known.words.push_back(w);
        }
        return;
    }
    info.fields.push_back(std::move(one));
}

void add_fields(PropertyInfo& info, const Shape& shape) {
    if (shape.op == Shape::Op::field) add_field(info, shape);
    for (const Shape& child : shape.children) add_fields(info, child);
}

const Shape* first_field(const Shape& shape) {
    if (shape.op == Shape::Op::field) return &shape;
    for (const Shape& child : shape.children) {
        if (const Shape* found = first_field(child)) return found;
    }
    return nullptr;
}

}  // namespace

void Names::add_property(const graph::Property& property) {
    PropertyInfo& info = properties_[property.name];
    info.name = property.name;
    add_fields(info, property.shape);
    if (const Shape* main = first_field(property.shape)) {
        if (std::find(info.main.begin(), info.main.end(), main->text) == info.main.end()) {
            info.main.push_back(main->text);
        }
    }
}

Names::Names(const Vocabulary& vocabulary)
    : schema_(&vocabulary.schema), units_(&vocabulary.units), standards_(vocabulary.standards) {
    for (std::uint32_t i = 0; i < schema_->tables.size(); ++i)
        tables_.emplace(schema_->tables[i].subject, i);
    for (const graph::Kind& kind : vocabulary.kinds.all()) {
        for (const graph::Property& p : kind.properties) add_property(p);
    }
}

std::uint32_t Names::table(std::string_view subject) const {
    const auto at = tables_.find(subject);
    return at == tables_.end() ? none : at->second;
}

const PropertyInfo* Names::property(std::string_view name) const {
    const auto at = properties_.find(name);
    return at == properties_.end() ? nullptr : &at->second;
}

std::string did_you_mean(std::string_view wanted, const std::vector<std::string_view>& known) {
    const std::string_view near = base::nearest(wanted, known);
    return near.empty() ? std::string() : " (did you mean `" + std::string(near) + "`?)";
}

}  // namespace ferrule::rules
