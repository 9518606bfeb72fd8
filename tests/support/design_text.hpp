// A design from texts in the test itself: read, resolved, and ready to be asked. No file system but
// for the language's own tables. Header only; usable from every folder of tests.
#pragma once

#include <fstream>
#include <iterator>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "findings/finding.hpp"
#include "graph/design.hpp"
#include "graph/kinds.hpp"
#include "resolve/resolve.hpp"
#include "syntax/tree.hpp"
#include "tables/kinds_file.hpp"
#include "tables/toml.hpp"
#include "text/source.hpp"
#include "units/units.hpp"

namespace ferrule::tests {

// The units and kinds of the language. Never moved once made: designs point at it.
struct DesignLanguage {
    text::Sources sources;
    units::Units units;
    graph::Kinds kinds;
    std::vector<findings::Finding> findings;

    DesignLanguage() {
        const auto file = [&](const std::string& name) {
            std::ifstream in(std::string(FERRULE_SOURCE_DIR) + "/grammar/" + name,
                             std::ios::binary);
            std::string bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
            return tables::read_toml(sources, sources.add("grammar/" + name, std::move(bytes)));
        };
        auto units_file = tables::read_units(file("units.toml"));
        units = std::move(units_file.units);
        auto kinds_file = tables::read_kinds(file("kinds.toml"), file("statements.toml"), units);
        kinds = std::move(kinds_file.kinds);
        findings = std::move(units_file.findings);
        for (auto& f : kinds_file.findings) findings.push_back(std::move(f));
    }
};

[[nodiscard]] inline const DesignLanguage& language() {
    static const DesignLanguage the_language;
    return the_language;
}

// Files that exist by being named in the test: `include "NAME"` finds "NAME".
struct MemoryLoader : resolve::Loader {
    explicit MemoryLoader(text::Sources& into) : sources(into) {}

    std::variant<text::FileId, std::string> include(text::FileId, std::string_view path) override {
        const auto found = files.find(std::string(path));
        if (found == files.end()) return "there is no file " + std::string(path);
        if (!found->second.second)
            found->second.second = sources.add(found->first, found->second.first);
        return found->second.second;
    }
    const syntax::Tree& tree(text::FileId file) override {
        auto& tree = trees[file.value];
        if (tree == nullptr) tree = std::make_unique<syntax::Tree>(syntax::parse(sources, file));
        return *tree;
    }

    text::Sources& sources;
    std::map<std::string, std::pair<std::string, text::FileId>> files;
    std::map<std::uint32_t, std::unique_ptr<syntax::Tree>> trees;
};

struct Loaded {
    std::unique_ptr<text::Sources> sources;
    std::unique_ptr<MemoryLoader> loader;
    text::FileId root;
    graph::Design design;
    std::vector<findings::Finding> findings;  // of reading and of resolving
    std::vector<text::FileId> files;

    // The text a finding points at.
    [[nodiscard]] std::string_view marked(const findings::Finding& f) const {
        return sources->text(f.span);
    }
    [[nodiscard]] std::uint32_t line(const findings::Finding& f) const {
        return (*sources)[f.span.file].at(f.span.begin).line;
    }
    // "rule @ marked text", one a line: what a test compares.
    [[nodiscard]] std::string rules_and_places() const {
        std::string all;
        for (const auto& f : findings) all += f.rule + " @ " + std::string(marked(f)) + "\n";
        return all;
    }
    // The same with messages, for a person who looks at a failed test.
    [[nodiscard]] std::string told() const {
        std::string all;
        for (const auto& f : findings) {
            all += std::to_string(line(f)) + ": " + f.rule + " @ " + std::string(marked(f)) + ": " +
                   f.message + "\n";
            for (const auto& r : f.related)
                all += "    " + std::string(sources->text(r.span)) + ": " + r.message + "\n";
            if (!f.remedy.empty()) all += "    > " + f.remedy + "\n";
        }
        return all;
    }
    [[nodiscard]] std::size_t count(std::string_view rule) const {
        std::size_t n = 0;
        for (const auto& f : findings) n += f.rule == rule ? 1 : 0;
        return n;
    }
    [[nodiscard]] graph::ThingId thing(std::string_view full_name) const {
        for (const graph::ThingId t : design.things.ids()) {
            if (design.name(t) == full_name) return t;
        }
        return {};
    }
    [[nodiscard]] graph::PartId part(std::string_view name) const {
        for (const graph::PartId p : design.parts.ids()) {
            if (design.word(design.parts[p].name) == name) return p;
        }
        return {};
    }
};

using NamedTexts = std::vector<std::pair<std::string, std::string>>;

[[nodiscard]] inline Loaded load(std::string_view text, const NamedTexts& others = {}) {
    Loaded l;
    l.sources = std::make_unique<text::Sources>();
    l.loader = std::make_unique<MemoryLoader>(*l.sources);
    l.root = l.sources->add("site.fer", std::string(text));
    l.loader->files["site.fer"] = {"", l.root};
    for (const auto& [name, bytes] : others) l.loader->files[name] = {bytes, {}};
    resolve::Result result =
        resolve::resolve(*l.sources, *l.loader, l.root, language().kinds, language().units);
    l.design = std::move(result.design);
    l.files = std::move(result.files);
    for (const text::FileId file : l.files) {
        const syntax::Tree& tree = l.loader->tree(file);
        l.findings.insert(l.findings.end(), tree.findings.begin(), tree.findings.end());
    }
    for (auto& f : result.findings) l.findings.push_back(std::move(f));
    return l;
}

}  // namespace ferrule::tests
