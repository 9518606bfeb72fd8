// `except`: which things differ, found before they are made.
#include <fmt/format.h>

#include "resolve/lookup.hpp"
#include "resolve/refs.hpp"
#include "resolve/things.hpp"
#include "resolve/walk.hpp"

namespace ferrule::resolve {

namespace {

// The full name that a path gives in its k-th step, as Design::name writes it.
std::string full_name(const Build& b, const Path& path, std::uint32_t k) {
    std::string name(b.text(path.head));
    if (path.index.stated) name += fmt::format("[{}]", path.index.at(k));
    for (std::uint8_t i = 0; i < path.count; ++i) {
        name += '.';
        if (path.steps[i].mark) name += b.text(path.steps[i].mark);
        if (path.steps[i].index.stated) name += fmt::format("[{}]", path.steps[i].index.at(k));
    }
    return name;
}

}  // namespace

void read_exceptions(Build& b) {
    const auto visit = [&](Statement s, Scope scope) {
        const View& v = b.view(s);
        const NodeIndex ref = v.child(s.node, NodeKind::ref);
        if (ref == no_node) return;
        const Path path = read_path(b, v, ref, scope);
        if (!path.good) return;
        const Symbol last = path.count == 0 ? path.head : path.steps[path.count - 1].mark;
        if (last) b.excepted.insert(last);
        for (std::uint32_t k = 0; k < path.length(); ++k) {
            std::string name = full_name(b, path, k);
            const auto [there, added] =
                b.exceptions.try_emplace(std::move(name), Exception{s, scope, k, false});
            if (!added) {
                b.report.error("design.stated-twice", v.head(s.node),
                               fmt::format("{} is excepted twice", there->first),
                               b.view(there->second.at).head(there->second.at.node),
                               "first excepted here");
            }
        }
    };
    for (const Statement s : b.excepts) carry_out(b, s, {}, Task::excepts, visit);
}

void check_exceptions(Build& b) {
    static constexpr Wanted string_or_device{.what = "a string or a device",
                                             .things = any_thing,
                                             .parts = false,
                                             .assemblies = false,
                                             .kind = {}};
    for (const auto& [name, exception] : b.exceptions) {
        if (b.exhausted || (exception.met && !b.keep_uses)) continue;
        const View& v = b.view(exception.at);
        const Path path =
            read_path(b, v, v.child(exception.at.node, NodeKind::ref), exception.scope);
        if (thing_at(b, path, exception.step, exception.scope, string_or_device) && !exception.met) {
            b.report.error("design.except", v.head(exception.at.node),
                           fmt::format("{} is nothing that could differ", name));
        }
    }
}

}  // namespace ferrule::resolve
