#include "resolve/resolve.hpp"

#include <utility>

#include "resolve/assemblies.hpp"
#include "resolve/build.hpp"
#include "resolve/fill.hpp"
#include "resolve/gather.hpp"
#include "resolve/near_names.hpp"
#include "resolve/papers.hpp"
#include "resolve/parts.hpp"
#include "resolve/runs.hpp"
#include "resolve/things.hpp"
#include "resolve/walk.hpp"
#include "resolve/wiring.hpp"

namespace ferrule::resolve {

namespace {

// Once for the design, and once for each instance of an assembly.
template <class Visit>
void everywhere(Build& b, const std::vector<Statement>& outside, Task task, Visit visit) {
    for (const Statement s : outside) {
        if (b.exhausted) return;
        if (b.view(s).kind(s.node) != NodeKind::repeat || affordable(b, s, task))
            carry_out(b, s, {}, task, visit);
    }
    for (std::uint32_t i = 0; i < b.instances.size() && !b.exhausted; ++i) {
        const Statement at = b.assemblies[b.instances[i].assembly].at;
        carry_out_block(b, at.file, b.view(at).child(at.node, NodeKind::block), {i, none}, task,
                        visit);
    }
}

}  // namespace

Result resolve(const text::Sources& sources, Loader& loader, text::FileId root, const graph::Kinds& kinds,
               const units::Units& units, bool keep_uses) {
    Build b(sources, loader, kinds, units);
    b.keep_uses = keep_uses;
    gather(b, root);
    read_parts(b);
    read_assemblies(b);
    read_site(b);
    read_exceptions(b);
    make_things(b);
    check_exceptions(b);
    make_ports(b);
    fill_blocks(b);
    Wiring wiring(b);
    b.design.conductors.reserve(b.wires.size());
    everywhere(b, b.wires, Task::wires,
               [&](Statement s, Scope scope) { wiring.statement(s, scope, nullptr); });
    wiring.finish();
    pass_entries(b, wiring.cables());
    everywhere(b, b.papers, Task::papers,
               [&](Statement s, Scope scope) { read_paper(b, s, scope); });
    near_names(b);
    b.design.freeze();
    return {std::move(b.design), b.report.take(), std::move(b.files), std::move(b.uses), b.doubted};
}

}  // namespace ferrule::resolve
