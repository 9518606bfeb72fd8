// Conductors, jumpers, bonds, earths and gangs: which terminal each end lands on, and what each
// conductor is made of.
#pragma once

#include <optional>
#include <unordered_map>
#include <vector>

#include "resolve/build.hpp"
#include "resolve/cables.hpp"
#include "resolve/tail.hpp"

namespace ferrule::resolve {

// A conductor's core of a named cable; each core is used once.
struct CoreUse {
    ThingId cable;
    std::uint32_t core = 0;
    ConductorId conductor;
    Span span;
};

// What a run gives to the conductors in it.
struct RunContext {
    ThingId run;
    double length = graph::unknown;  // its own, else the sum of its via runs
    bool length_written = false;     // though it could not be read
    std::uint32_t first_via = 0, vias = 0;
    Symbol end_a, end_b;
    PartId end_part_a, end_part_b;
};

class Wiring {
public:
    explicit Wiring(Build& b);
    void statement(Statement s, Scope scope, const RunContext* run);
    void finish();  // what can be said only of all conductors together

    [[nodiscard]] Cables& cables() { return cables_; }

private:
    struct Ends {
        Landing a, b;
        Span span_a, span_b;
    };
    // A tail's names, found once for all conductors of its statement.
    struct Prepared {
        const Tail* tail = nullptr;
        std::vector<Path> by, via;
        std::optional<Path> cable, mark;
        std::uint32_t first_via = 0, vias = 0;  // when it has `via` of its own
        double via_length = graph::unknown;
    };

    void conductor(Statement s, Scope scope, const RunContext* run);
    void jumper(Statement s, Scope scope, const RunContext* run);
    void chain(Statement s, Scope scope, const RunContext* run, graph::ConductorRole role);
    void between(Statement s, Scope scope, const RunContext* run, graph::ConductorRole role,
                 const Path& from, const Path& to, const Prepared& tail);
    void gang(Statement s, Scope scope);
    void run(Statement s, Scope scope);
    [[nodiscard]] ThingId run_named(const View& v, NodeIndex run, NodeIndex name, Scope scope);
    RunContext read_run(ThingId run);

    Prepared prepare(const View& v, const Tail& tail, Scope scope, const RunContext* run);
    void supplied(const View& v, NodeIndex node, ThingId device, Span span);
    void state_jumpers(const View& v, NodeIndex node, ThingId device, bool pairs);
    ConductorId add(Statement s, Scope scope, const RunContext* run, graph::ConductorRole role,
                    const Ends& ends, const Prepared& tail, std::uint32_t k, std::uint32_t n);
    void made_of(graph::Conductor& c, const Prepared& tail, Scope scope, std::uint32_t k);
    void use_core(const graph::Conductor& c, ConductorId id, const Tail& tail, const View& v);
    void mark(graph::Conductor& c, ConductorId id, const Prepared& tail, const View& v, Scope scope,
              std::uint32_t k);
    void claim(const graph::Conductor& c, ConductorId id, const Ends& ends, const Prepared& tail,
               const View& v, Scope scope, std::uint32_t n);
    void pass_entries(graph::Conductor& c, ConductorId id, const Prepared& tail, Scope scope,
                      std::uint32_t k, std::uint32_t n);
    static Landing landing_of(ThingId device);  // at a device whose terminal is not known
    Landing label_of_device(ThingId device, const View& v, NodeIndex label);
    void left_open(const Landing& x, const Landing& y);
    bool in_step(const View& v, NodeIndex x, std::uint32_t nx, NodeIndex y, std::uint32_t ny);

    Build& b_;
    Cables cables_;
    // each mark is used once, in the design or in one instance of an assembly
    std::vector<ConductorId> marked_;  // by symbol
    std::unordered_map<std::uint64_t, ConductorId> marked_inside_;
    std::vector<CoreUse> cores_;
    struct Stated {
        Span span;
        bool pairs = false;
    };
    std::unordered_map<ThingId, Stated> jumpers_;
    std::uint32_t handles_ = 0;
};

}  // namespace ferrule::resolve
