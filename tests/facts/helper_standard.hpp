// A standard as designs are judged by it: its own figures and tables and the common ones. Each file is read once.
#pragma once

#include <fstream>
#include <iterator>
#include <map>
#include <string>

#include "support/design_text.hpp"
#include "tables/standard.hpp"

namespace ferrule::tests {

[[nodiscard]] inline tables::Standard read_with_common(const std::string& id) {
    text::Sources sources;
    const auto root = [&](const std::string& name) {
        std::ifstream in(std::string(FERRULE_SOURCE_DIR) + "/rules/standards/" + name + ".toml", std::ios::binary);
        return tables::read_toml(sources, sources.add(name, std::string{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()}));
    };
    tables::Standard s = tables::read_standard(root(id), language().units).standard;
    const tables::Standard common = tables::read_standard(root("common"), language().units).standard;
    s.figures.insert(s.figures.end(), common.figures.begin(), common.figures.end());
    s.tables.insert(s.tables.end(), common.tables.begin(), common.tables.end());
    return s;
}

[[nodiscard]] inline const tables::Standard& standard(const std::string& id) {
    static std::map<std::string, tables::Standard> all;
    const auto at = all.find(id);
    return at != all.end() ? at->second : all.emplace(id, read_with_common(id)).first->second;
}

}  // namespace ferrule::tests
