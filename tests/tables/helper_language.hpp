// The project's own tables, read once for the tests that hold them to their promises.
#pragma once

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "findings/finding.hpp"
#include "tables/kinds_file.hpp"
#include "tables/standard.hpp"
#include "tables/toml.hpp"
#include "text/source.hpp"

namespace ferrule::tests {

struct Language {
    text::Sources sources;
    units::Units units;
    graph::Kinds kinds;
    std::vector<tables::Standard> standards;
    std::vector<findings::Finding> findings;

    Language() {
        tables::UnitsFile u = tables::read_units(toml("grammar/units.toml"));
        units = std::move(u.units);
        keep(u.findings);
        tables::KindsFile k = tables::read_kinds(toml("grammar/kinds.toml"), toml("grammar/statements.toml"), units);
        kinds = std::move(k.kinds);
        keep(k.findings);
        for (const auto& f : std::filesystem::directory_iterator(FERRULE_SOURCE_DIR "/rules/standards")) {
            tables::StandardFile s = tables::read_standard(toml("rules/standards/" + f.path().filename().string()), units);
            standards.push_back(std::move(s.standard));
            keep(s.findings);
        }
    }

    // "kinds.toml:12: message" of everything the readers complained about
    [[nodiscard]] std::string complaints() const {
        std::string all;
        for (const findings::Finding& f : findings) {
            const text::Source& s = sources[f.span.file];
            all += s.path() + ":" + std::to_string(s.at(f.span.begin).line) + ": " + f.message + "\n";
        }
        return all;
    }

    static const Language& get() {
        static const Language language;
        return language;
    }

private:
    tables::TomlFile toml(const std::string& name) {
        tables::TomlFile file = tables::read_toml(sources, sources.add(name, bytes(name)));
        keep(file.findings);
        return file;
    }
    static std::string bytes(const std::string& name) {
        std::ifstream in(FERRULE_SOURCE_DIR "/" + name, std::ios::binary);
        std::ostringstream all;
        all << in.rdbuf();
        return all.str();
    }
    void keep(const std::vector<findings::Finding>& more) { findings.insert(findings.end(), more.begin(), more.end()); }
};

}  // namespace ferrule::tests
