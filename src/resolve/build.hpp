// What the steps of resolving share: the design as it grows, the files, the names, the findings.
// One value, made by `resolve`, handed from step to step and thrown away; only the design and the
// findings come out.
//
//   gather      files, and the statements of each step
//   parts       data sheets
//   assemblies  which there are, how much they expand to
//   things      places, strings, boxes, devices, runs, cables: everything that has a name and
//   terminals blocks      where things stand and what they state about themselves wiring
//   conductors, jumpers, bonds, earths, gangs runs        lengths and entries papers      labels,
//   steps, readings, accepts
#pragma once

#include <array>
#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "graph/design.hpp"
#include "resolve/loader.hpp"
#include "resolve/names.hpp"
#include "resolve/report.hpp"
#include "resolve/resolve.hpp"
#include "resolve/view.hpp"
#include "resolve/words.hpp"

namespace ferrule::resolve {

using graph::ConductorId;
using graph::FieldId;
using graph::KindId;
using graph::PartId;
using graph::RowId;
using graph::TerminalId;
using graph::ThingClass;
using text::Span;

struct Statement {
    std::uint32_t file = 0;  // index into Build::views
    NodeIndex node = no_node;
};

struct Assembly {
    Symbol name;
    Statement at;
    Span span;           // its name
    PartId part;         // what its instances have for a part: the assembly's name, no terminals
    bool usable = true;  // false: reported (a circle, or too much)
    bool used = false;
    // what one instance expands to
    enum class Counted : std::uint8_t { no, going, yes } counted = Counted::no;
    std::uint64_t things = 0, statements = 0;
    NodeIndex heaviest = no_node;  // the statement that brings most
};

struct Instance {
    std::uint32_t assembly = 0;
    ThingId thing;
    std::vector<std::pair<Symbol, TerminalId>> ports;
    bool broken = false;  // one of its ports could not be read
};

// A thing's block and whereabouts, which may name things that are declared further down.
struct Pending {
    Statement at;
    Scope scope;
    ThingId first;
    std::uint32_t count = 0;  // that follow each other
    bool placed = false;      // where they stand is known
    bool filled = false;      // their block is read
};

struct Exception {
    Statement at;
    Scope scope;
    std::uint32_t step = 0;  // of the range in its name
    bool met = false;
};

// By ThingClass: what each is called, as a statement and as a kind of block.
inline constexpr std::array<std::string_view, 6> class_words = {"place",  "string", "enclosure",
                                                                "device", "run",    "cable"};

struct Build {
    Build(const text::Sources& sources_given, Loader& loader_given, const graph::Kinds& kinds_given,
          const units::Units& units_given, graph::Design design_given = {})
        : sources(sources_given),
          loader(loader_given),
          kinds(kinds_given),
          units(units_given),
          design(std::move(design_given)),
          words(design.names, kinds_given) {
        design.kinds = &kinds;
        design.units = &units;
        for (std::size_t i = 0; i < block_kinds.size(); ++i)
            block_kinds[i] = kinds.find("block", class_words[i]);
    }

    const text::Sources& sources;
    Loader& loader;
    const graph::Kinds& kinds;
    const units::Units& units;
    graph::Design design;
    Names names;
    Words words;
    Report report;

    std::array<KindId, class_words.size()> block_kinds;  // by ThingClass; none for cables

    std::deque<View> views;
    std::vector<text::FileId> files;

    // the statements outside of assemblies, by the step that reads them
    std::vector<Statement> sites, parts, assembly_statements, things, wires, papers, excepts;

    std::vector<Assembly> assemblies;
    std::vector<Instance> instances;  // in the order of their things
    std::vector<Pending> pending;
    std::unordered_map<std::string, Exception>
        exceptions;                       // by the full name of the one that differs
    std::unordered_set<Symbol> excepted;  // last names of those
    std::unordered_map<ThingId, std::pair<std::uint32_t, std::uint32_t>>
        entries_of;  // box: first and count of entries

    // words of lines that could not be read: they may declare anything. No symbols, so that those are the same without these lines
    std::unordered_set<std::string_view> maybe;
    bool file_missing = false;  // nor could an included file be read: it may declare any name
    bool doubted = false;  // one was wanted
    [[nodiscard]] bool may_be_declared(std::string_view name) const { return file_missing || maybe.contains(name); }
    std::unordered_set<std::uint64_t> unknown_reported;  // symbol and file
    std::unordered_set<PartId>
        doubtful_parts;  // a line of theirs that declares terminals could not be read
    std::unordered_set<ThingId> doubtful_boxes;  // an entry of theirs could not be read
    std::uint64_t work = 0;                      // statements carried out in repeats and assemblies
    bool exhausted = false;                      // a limit was passed: nothing more is expanded
    std::size_t slips_left = 200'000;            // names that "which was meant" may still compare
    bool keep_uses = false;
    std::vector<Use> uses;
    std::unordered_map<std::uint64_t, Span> before_except;  // file and offset of an exception: where what differs is declared
    std::unordered_set<std::uint64_t> used_at;  // file and offset of those: repeats and instances read a line many times

    [[nodiscard]] const View& view(Statement s) const { return views[s.file]; }
    [[nodiscard]] std::string_view text(Symbol s) const { return design.names.text(s); }
    Symbol symbol(std::string_view s) { return design.names.intern(s); }
    Symbol symbol(const View& v, NodeIndex n) {
        const Symbol known = v.symbol(n);
        return known ? known : design.names.intern(v.text(n));
    }
    [[nodiscard]] const graph::Kind& kind(PartId p) const { return kinds[design.parts[p].kind]; }
    [[nodiscard]] Instance* instance_of(ThingId thing);  // null if it is no instance of an assembly
    static std::uint64_t place(Span s) { return std::uint64_t{s.file.value} << 32U | s.begin; }
    void use(Span at, Span declared, bool comes_with = false) {
        if (!keep_uses || !at || !declared) return;
        if (const auto plain = before_except.find(place(declared)); plain != before_except.end()) declared = plain->second;
        if (at != declared && used_at.insert(place(at)).second) uses.push_back({at, declared, comes_with});
    }
};

}  // namespace ferrule::resolve
