#include "project/knowledge.hpp"

#include <fmt/format.h>

#include "base/limits.hpp"
#include "project/embedded.hpp"
#include "tables/kinds_file.hpp"
#include "tables/packed.hpp"
#include "tables/toml.hpp"

namespace ferrule::project {

namespace {

using findings::Finding;

constexpr std::string_view unusable = "settings.rule-files";
constexpr std::string_view common_figures = "rules/standards/common.toml";  // copper and fuses are the same under every standard

class Learner {
public:
    Learner(text::Sources& sources, const KnowledgeOptions& options) : sources_(sources), options_(options) {}

    void language(Knowledge& k) {
        tables::UnitsFile units = tables::read_units(inside("grammar/units.toml"));
        k.units = std::move(units.units);
        keep(std::move(units.findings));
        const tables::TomlFile kinds_toml = inside("grammar/kinds.toml");
        tables::KindsFile kinds = tables::read_kinds(kinds_toml, inside("grammar/statements.toml"), k.units);
        k.kinds = std::move(kinds.kinds);
        keep(std::move(kinds.findings));
    }

    void standards(Knowledge& k) {
        tables::Standard common;
        for (const EmbeddedFile& f : embedded_files()) {
            if (!f.name.starts_with("rules/standards/")) continue;
            tables::StandardFile standard = tables::read_standard(inside(f), k.units);
            if (f.name == common_figures) common = std::move(standard.standard);
            else k.standards.push_back(std::move(standard.standard));
            keep(std::move(standard.findings));
        }
        for (tables::Standard& s : k.standards) {
            s.figures.insert(s.figures.end(), common.figures.begin(), common.figures.end());
            s.tables.insert(s.tables.end(), common.tables.begin(), common.tables.end());
        }
    }

    void rules(Knowledge& k, const base::FileSystem& files) {
        std::vector<tables::TomlFile> all;
        for (const EmbeddedFile& f : embedded_files()) {
            if (!options_.built_in_rules || !f.name.starts_with("rules/") || f.name.starts_with("rules/standards/")) continue;
            if (options_.examples) all.push_back(toml(std::string(f.name), std::string(f.text).append(f.examples)));
            else all.push_back(inside(f));
        }
        for (const std::string& folder : options_.rule_folders) {
            if (!files.is_directory(folder)) {
                complain(fmt::format("{} is no folder: --rules wants a folder of rule files", folder));
                continue;
            }
            const std::vector<std::string> paths = files.list(folder, ".toml");
            if (paths.empty()) complain(fmt::format("{} holds no rule file (a name that ends in .toml)", folder));
            for (const std::string& path : paths) {
                base::ReadResult read = files.read(path, base::limits::file_bytes);
                if (read.status == base::ReadResult::Status::ok) {
                    all.push_back(toml(path, std::move(read.bytes)));
                } else {
                    complain(fmt::format("{} cannot be read", path));
                }
            }
        }
        k.rules = rules::load(all, sources_, rules::Vocabulary{k.schema, k.kinds, k.units, k.standards});
        keep(std::move(k.rules.findings));
        k.rules.findings.clear();
    }

    [[nodiscard]] std::vector<Finding> findings() { return std::move(findings_); }

private:
    tables::TomlFile toml(std::string path, std::string text) {
        tables::TomlFile file = tables::read_toml(sources_, sources_.add(std::move(path), std::move(text)));
        keep(std::move(file.findings));
        file.findings.clear();
        return file;
    }
    tables::TomlFile inside(const EmbeddedFile& f) {
        return {tables::unpack(f.packed, sources_.add(std::string(f.name), std::string(f.text))), {}};
    }
    tables::TomlFile inside(std::string_view name) { return inside(embedded_file(name)); }
    void keep(std::vector<Finding> found) {
        for (Finding& f : found) findings_.push_back(std::move(f));
    }
    void complain(std::string message) {
        Finding f;
        f.rule = unusable;
        f.message = std::move(message);
        findings_.push_back(std::move(f));
    }

    text::Sources& sources_;
    const KnowledgeOptions& options_;
    std::vector<Finding> findings_;
};

}  // namespace

const tables::Standard* Knowledge::standard(std::string_view id) const {
    for (const tables::Standard& s : standards) {
        if (s.id == id) return &s;
    }
    return nullptr;
}

std::string Knowledge::standard_ids() const {
    std::string ids;
    for (const tables::Standard& s : standards) ids += (ids.empty() ? "" : ", ") + s.id;
    return ids;
}

Knowledge learn(text::Sources& sources, const base::FileSystem& files, const KnowledgeOptions& options) {
    Knowledge k;
    Learner learner(sources, options);
    learner.language(k);
    for (const auto& [dimension, unit] : options.shown_units) k.units.show_in(dimension, k.units.find(unit));
    learner.standards(k);
    k.schema = facts::schema(k.units);
    learner.rules(k, files);
    k.findings = learner.findings();
    return k;
}

}  // namespace ferrule::project
