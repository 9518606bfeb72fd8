// A text read into its tree, shown as words: (site "…" (block (property voc …))).
#pragma once

#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

#include "syntax/tree.hpp"

namespace ferrule::syntax {

struct Read {
    text::Sources sources;
    Tree tree;

    explicit Read(std::string bytes) {
        const text::FileId file = sources.add("design.fer", std::move(bytes));
        tree = parse(sources, file);
    }
    [[nodiscard]] std::string_view bytes() const { return sources[tree.file].bytes(); }

    // Kinds and, for leaves, their text.
    [[nodiscard]] std::string show(NodeIndex i = 0) const {
        std::string out = "(" + std::string(word(tree[i].kind));
        if (tree[i].broken) out += "!";
        if (!tree.has_children(i)) return out + " " + std::string(sources.text(tree.span(i))) + ")";
        for (const NodeIndex c : children(tree, i)) out += " " + show(c);
        return out + ")";
    }
    // The first statement.
    [[nodiscard]] std::string first() const { return tree.nodes.size() > 1 ? show(1) : ""; }
    // "3:5 syntax.expected" for each finding.
    [[nodiscard]] std::vector<std::string> places() const {
        std::vector<std::string> out;
        for (const findings::Finding& f : tree.findings) {
            const text::LineColumn at = sources[tree.file].at(f.span.begin);
            out.push_back(std::to_string(at.line) + ":" + std::to_string(at.column) + " " + f.rule);
        }
        return out;
    }
    // The text with the edits of all findings made.
    [[nodiscard]] std::string edited() const {
        std::string out(bytes());
        std::vector<findings::Edit> edits;
        for (const findings::Finding& f : tree.findings)
            edits.insert(edits.end(), f.edits.begin(), f.edits.end());
        for (auto e = edits.rbegin(); e != edits.rend(); ++e)
            out.replace(e->span.begin, e->span.end - e->span.begin, e->text);
        return out;
    }
};

inline std::string read_file(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

inline std::string sample() { return read_file(FERRULE_SOURCE_DIR "/tests/syntax/sample.fer"); }

// Numbers from 0 to below what is asked for, the same in every run.
class Dice {
public:
    explicit Dice(std::uint32_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
    std::size_t operator()(std::size_t below) {
        state_ ^= state_ << 13U;
        state_ ^= state_ >> 7U;
        state_ ^= state_ << 17U;
        return static_cast<std::size_t>(state_ % (below == 0 ? 1 : below));
    }

private:
    std::uint64_t state_;
};

// Small changes of a text, the same in every run: a byte changed, a piece doubled, lines swapped or
// lost, an end cut off.
inline std::string mutated(std::string text, std::uint32_t seed) {
    static constexpr std::string_view signs[] = {"{",
                                                 "}",
                                                 "\"",
                                                 "->",
                                                 ",",
                                                 ";",
                                                 "#",
                                                 "\n",
                                                 "[",
                                                 "]",
                                                 ".",
                                                 "..",
                                                 "-",
                                                 "\\",
                                                 "\r",
                                                 "\xC2\xA0",
                                                 "\xE2\x80\xAE",
                                                 "\xFF",
                                                 "is",
                                                 "x",
                                                 " ",
                                                 "9",
                                                 "V",
                                                 "device ",
                                                 "part X is cable {"};
    Dice next(seed);
    for (std::size_t n = 1 + next(4); n > 0 && !text.empty(); --n) {
        const std::size_t at = next(text.size());
        switch (next(7)) {
            case 0:
                text[at] = static_cast<char>(next(256));
                break;
            case 1:
                text.erase(at, 1 + next(12));
                break;
            case 2:
                text.insert(at, signs[next(std::size(signs))]);
                break;
            case 3:
                text.insert(at, text.substr(next(text.size()), next(60)));
                break;
            case 4:
                text.resize(at);
                break;
            case 5: {
                const std::size_t line = text.rfind('\n', at);
                const std::size_t end = text.find('\n', at);
                if (line != std::string::npos && end != std::string::npos)
                    text.erase(line, end - line);
                break;
            }
            default:
                text.replace(at, 1, signs[next(std::size(signs))]);
                break;
        }
    }
    return text;
}

}  // namespace ferrule::syntax
