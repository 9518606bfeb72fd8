// Computed values of named things, as text or JSON.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::render {

// One fact about one subject.
struct Value {
    enum class Type : std::uint8_t { number, flag, word, names, unknown };
    std::string fact;   // "voc-coldest"
    Type type = Type::unknown;
    double number = 0;  // SI
    bool flag = false;
    std::vector<std::string> names;  // word: one; names: the subjects it leads to
    std::string unit;   // of `number`: the SI unit; empty for a plain number
    std::string shown;  // as a person reads it, with its unit: "224.6 V"
    std::string unknown;  // what was lacking
    std::vector<std::string> working, assumed;
    std::vector<findings::Citation> sources;
    std::vector<findings::Related> rests_on;
};

struct ValueSubject {
    std::string name;  // "EAST"
    std::string kind;  // the table: "string"
    std::string about; // what one row of that table is
    text::Span span;
    std::vector<Value> values;
};

[[nodiscard]] std::string values_as_text(const std::vector<ValueSubject>& subjects, const text::Sources& sources, bool colour);
[[nodiscard]] std::string values_as_json(const std::vector<ValueSubject>& subjects);

}  // namespace ferrule::render
