// JSON written piece by piece: objects are made one at a time and appended, so a long report never stands in
// memory twice. Bytes that are no UTF-8 become U+FFFD.
#pragma once

#include <string>

#include <nlohmann/json.hpp>

#include "findings/finding.hpp"
#include "text/source.hpp"

namespace ferrule::render {

using Json = nlohmann::ordered_json;

[[nodiscard]] inline std::string dumped(const Json& json) {
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

// file, line, column, endLine, endColumn of a span; nothing is added for a span without a file.
void put_place(Json& object, const text::Sources& sources, text::Span span, bool with_end);

[[nodiscard]] Json sources_json(const std::vector<findings::Citation>& sources);

// `  "name": [` … `]`: one element a line.
class JsonList {
public:
    JsonList(std::string& out, std::string_view name) : out_(out) { out_.append("  \"").append(name).append("\": ["); }
    void add(const Json& element) {
        out_ += first_ ? "\n    " : ",\n    ";
        out_ += dumped(element);
        first_ = false;
    }
    void close(bool last = false) {
        out_ += first_ ? "]" : "\n  ]";
        out_ += last ? "\n" : ",\n";
    }

private:
    std::string& out_;
    bool first_ = true;
};

}  // namespace ferrule::render
