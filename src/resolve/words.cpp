#include "resolve/words.hpp"

namespace ferrule::resolve {

Words::Words(base::Interner& names, const graph::Kinds& kinds) {
    const auto set = [&](std::string_view text, TailWord meaning) {
        const base::Symbol s = names.intern(text);
        if (s.value >= tail_.size()) tail_.resize(s.value + std::size_t{1}, TailWord::no);
        tail_[s.value] = meaning;
    };
    for (const std::string_view side : {"upper", "lower", "left", "right", "front", "back"})
        set(side, TailWord::side);
    set("as", TailWord::as);
    set("core", TailWord::core);
    set("ends", TailWord::ends);
    set("by", TailWord::by);
    set("via", TailWord::via);
    set("at", TailWord::at);
    set("rated", TailWord::rated);
    for (const auto& [group, members] : kinds.tail_words) {
        if (group == "colour") {
            for (const std::string& w : members) set(w, TailWord::colour);
        } else if (group == "material") {
            for (const std::string& w : members) set(w, TailWord::material);
        }
    }
    for (const graph::Kind& k : kinds.all())
        sized_.push_back(k.group == "part" && k.property("section") != nullptr);
    section = names.intern("section");
    area = names.intern("area");
    material = names.intern("material");
    rated = names.intern("rated");
    voltage = names.intern("voltage");
    diameter = names.intern("diameter");
    cores = names.intern("cores");
    colour = names.intern("colour");
    clamps = names.intern("clamps");
    holes = names.intern("holes");
    length = names.intern("length");
    ends = names.intern("ends");
    from = names.intern("from");
    to = names.intern("to");
    enters = names.intern("enters");
    via = names.intern("via");
    through = names.intern("through");
    spare = names.intern("spare");
    outside = names.intern("outside");
    because = names.intern("because");
    until = names.intern("until");
    by = names.intern("by");
    copper = names.intern("copper");
}

std::vector<std::string_view> Words::all_in_tail(const base::Interner& names) const {
    std::vector<std::string_view> all;
    for (std::uint32_t i = 0; i < tail_.size(); ++i) {
        if (tail_[i] != TailWord::no && tail_[i] != TailWord::side)
            all.push_back(names.text(base::Symbol(i)));
    }
    return all;
}

}  // namespace ferrule::resolve
