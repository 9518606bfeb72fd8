// What the names in a formula can mean: the tables of facts, the properties of every kind, the
// figures and tables of every loaded standard. Built once for a set of rule files.
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "rules/formula.hpp"
#include "rules/rule.hpp"

namespace ferrule::rules {

// One field of a property, joined over all kinds that have it.
struct FieldInfo {
    std::string name;
    graph::Accepts accepts = graph::Accepts::word;
    units::Dimension dimension;
    bool sometimes_range = false, always_range = true;
    bool differs = false;            // kinds disagree about its type or dimension
    std::vector<std::string> words;  // those it may be; empty: any
    bool any_word = false;
    [[nodiscard]] bool is_number() const;
    [[nodiscard]] bool is_word() const;
};

struct PropertyInfo {
    std::string name;
    std::vector<FieldInfo> fields;
    std::vector<std::string> main;  // the first fields of its shapes: what the bare property means
    [[nodiscard]] const FieldInfo* field(std::string_view name) const;
};

class Names {
public:
    explicit Names(const Vocabulary& vocabulary);
    [[nodiscard]] const facts::Facts& schema() const { return *schema_; }
    [[nodiscard]] const units::Units& units() const { return *units_; }
    [[nodiscard]] std::span<const tables::Standard> standards() const { return standards_; }
    [[nodiscard]] std::uint32_t table(std::string_view subject) const;  // none if there is none
    [[nodiscard]] const PropertyInfo* property(std::string_view name) const;
    [[nodiscard]] const std::map<std::string, PropertyInfo, std::less<>>& properties() const {
        return properties_;
    }

private:
    void add_property(const graph::Property& property);
    const facts::Facts* schema_;
    const units::Units* units_;
    std::span<const tables::Standard> standards_;
    std::map<std::string, std::uint32_t, std::less<>> tables_;
    std::map<std::string, PropertyInfo, std::less<>> properties_;
};

// " (did you mean `voltage`?)", or "" when nothing is near.
[[nodiscard]] std::string did_you_mean(std::string_view wanted,
                                       const std::vector<std::string_view>& known);

}  // namespace ferrule::rules
