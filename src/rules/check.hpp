// The work of compile(): one formula on its way from Parsed to Formula. Internal to the room.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/limits.hpp"
#include "rules/compile.hpp"
#include "rules/names.hpp"
#include "rules/parse.hpp"

namespace ferrule::rules {

[[nodiscard]] std::string with_article(std::string noun);  // "an area"
[[nodiscard]] inline bool aggregates(Op op) {
    return op >= Op::all;
}

struct Checker {
    Checker(std::string_view formula, const Names& known, const Wanted& wanted_here);

    std::string_view text;
    const Names& names;
    Wanted wanted;
    ParsedFormula parsed;
    Formula out;
    std::vector<findings::Finding> findings;
    std::vector<std::uint32_t>
        scopes;  // the tables whose rows names are looked up in; the innermost last

    // Each returns the node it made, or none when it made a finding instead.
    std::uint32_t check(std::uint32_t parsed_node);
    std::uint32_t check_number(const Parsed& p);
    std::uint32_t check_operation(const Parsed& p);
    std::uint32_t check_path(const Parsed& p, bool only_known);
    std::uint32_t check_call(const Parsed& p);

    std::uint32_t push(Node node, std::vector<std::uint32_t> children);
    std::uint32_t keep(std::string name);
    std::uint32_t wrong(std::uint32_t begin, std::uint32_t end, const char* rule,
                        std::string message);
    std::uint32_t need_number(std::uint32_t node, std::string_view what);
    std::uint32_t need_flag(std::uint32_t node, std::string_view what);
    bool alike(std::uint32_t a, std::uint32_t b, const Parsed& at);
    bool word_fits(const Node& property, const Node& literal);
    [[nodiscard]] std::string a_type(const Type& type) const;
    [[nodiscard]] std::string_view shown(const Node& n) const {
        return text.substr(n.begin, n.end - n.begin);
    }

private:
    struct Segment {
        std::string_view name;
        std::uint32_t begin, end;
    };
    [[nodiscard]] std::vector<Segment> segments(const Parsed& p) const;
    std::uint32_t opening(const std::vector<Segment>& path, std::size_t& used, const Parsed& p);
    std::uint32_t row_node(std::size_t scope, const Segment& at);
    std::uint32_t figure(const Segment& name, const Parsed& p);
    std::uint32_t column(std::uint32_t subject, std::uint32_t table, std::uint32_t index,
                         const Parsed& p, std::uint32_t end);
    std::uint32_t property(std::uint32_t subject, const std::vector<Segment>& path,
                           std::size_t& used, const Parsed& p, bool only_known);
    std::uint32_t unknown_name(const Segment& at, std::uint32_t table, bool opens);
    std::uint32_t check_table_call(const Parsed& p, Op op);
    std::uint32_t check_aggregate(const Parsed& p, Op op, std::uint32_t list);
    std::uint32_t check_numbers_call(const Parsed& p, Op op, std::uint32_t first);
};

}  // namespace ferrule::rules
