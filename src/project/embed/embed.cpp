// Runs while the program is built: embed OUT.cpp ROOT FILE… writes the files as constants of one C++ file, each as text and as
// read, so that the program need not read TOML when it starts. A file's [[example]] sections are kept apart, so they must come
// last; anything else behind them, or a file that is no TOML, fails the build.
#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

#include "tables/packed.hpp"

namespace {

constexpr std::string_view example_head = "[[example]]";

struct Split {
    std::string_view text, examples;
    bool good = true;
};

Split split(std::string_view all) {
    Split s{all, {}};
    for (std::size_t at = 0; at < all.size();) {
        const std::size_t end = std::min(all.find('\n', at), all.size());
        const std::string_view line = all.substr(at, end - at);
        if (line.starts_with(example_head)) {
            if (s.examples.empty()) s = {all.substr(0, at), all.substr(at)};
        } else if (!s.examples.empty() && line.starts_with('[')) {
            s.good = false;
        }
        at = end + 1;
    }
    return s;
}

void write_literal(std::ostream& out, std::string_view name, std::string_view bytes) {
    out << "const char " << name << "[] =\n    \"";
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '\n') {
            out << "\\n\"\n    \"";
        } else if (c == '"' || c == '\\') {
            out << '\\' << c;
        } else if (byte < 0x20 || byte > 0x7e || c == '?') {
            char octal[8];
            std::snprintf(octal, sizeof octal, "\\%03o", static_cast<unsigned>(byte));
            out << octal;
        } else {
            out << c;
        }
    }
    out << "\";\n";
}

}  // namespace

int main(int argc, char** argv) {
    const std::vector<std::string> args(argv + 1, argv + argc);
    if (args.size() < 2) return 2;
    std::vector<std::string> names;
    for (std::size_t i = 2; i < args.size(); ++i) {
        names.push_back(args[i].substr(args[1].size() + 1));
    }
    std::sort(names.begin(), names.end());

    std::ofstream out(args[0], std::ios::binary);
    out << "#include \"project/embedded.hpp\"\n\nnamespace ferrule::project {\nnamespace {\n\n";
    std::string table;
    for (std::size_t i = 0; i < names.size(); ++i) {
        std::ifstream in(args[1] + "/" + names[i], std::ios::binary);
        const std::string all((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
        const Split s = split(all);
        if (!in || !s.good) {
            std::cerr << names[i] << (in ? ": [[example]] sections come last\n" : ": cannot be read\n");
            return 1;
        }
        ferrule::text::Sources sources;
        const ferrule::tables::TomlFile read = ferrule::tables::read_toml(sources, sources.add(names[i], std::string(s.text)));
        for (const ferrule::findings::Finding& f : read.findings) {
            std::cerr << names[i] << ':' << sources[f.span.file].at(f.span.begin).line << ": " << f.message << '\n';
        }
        if (!read.findings.empty()) return 1;
        const std::string packed = ferrule::tables::pack(read.root);
        const std::string n = std::to_string(i);
        write_literal(out, "text_" + n, s.text);
        write_literal(out, "examples_" + n, s.examples);
        write_literal(out, "packed_" + n, packed);
        table += "    {\"" + names[i] + "\", {text_" + n + ", " + std::to_string(s.text.size()) + "}, {examples_" + n +
                 ", " + std::to_string(s.examples.size()) + "}, {packed_" + n + ", " + std::to_string(packed.size()) + "}},\n";
    }
    out << "\nconstexpr EmbeddedFile files[] = {\n" << table << "};\n\n}  // namespace\n\n"
        << "std::span<const EmbeddedFile> embedded_files() { return files; }\n\n}  // namespace ferrule::project\n";
    out.flush();
    return out ? 0 : 1;
}
