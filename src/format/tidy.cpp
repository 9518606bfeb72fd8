#include "format/tidy.hpp"

#include <algorithm>
#include <span>

#include "format/lines.hpp"

namespace ferrule::format {

using syntax::Node;
using syntax::NodeKind;
using syntax::Tree;

namespace {

constexpr std::size_t widest_piece = 48;  // a run with a wider one is not aligned

std::size_t columns(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    }));
}

std::string_view first_word(const Line& line) {
    const std::string_view head = line.pieces.front();
    return head.substr(0, head.find(' '));
}

// Lines stand in one run if they have one form and the same pieces; a conductor or a property may
// have fewer.
bool one_run(const Line& a, const Line& b) {
    if (a.form == Form::other || a.form != b.form || a.indent != b.indent || a.verbatim ||
        b.verbatim)
        return false;
    if (a.form == Form::statement) return a.keys == b.keys && first_word(a) == first_word(b);
    return true;
}

// Pads the pieces of a run, so that each begins below the one above it. The values of properties
// stand two blanks behind the longest word, but one if all the words are of one length (`pole 1-2`,
// `pole 3-4`).
void align(std::span<Line> run) {
    std::size_t pieces = 0;
    for (const Line& l : run) pieces = std::max(pieces, l.pieces.size());
    for (std::size_t p = 0; p + 1 < pieces; ++p) {
        std::size_t widest = 0;
        std::size_t narrowest = widest_piece;
        for (const Line& l : run) {
            if (p + 1 >= l.pieces.size()) continue;
            widest = std::max(widest, columns(l.pieces[p]));
            narrowest = std::min(narrowest, columns(l.pieces[p]));
        }
        if (widest > widest_piece) return;
        if (run.front().form == Form::property && narrowest < widest) ++widest;
        for (Line& l : run)
            if (p + 1 < l.pieces.size()) l.pieces[p].append(widest - columns(l.pieces[p]), ' ');
    }
}

template <class Same, class Act>
void each_run(std::span<Line> all, Same same, Act act) {
    for (std::size_t first = 0; first < all.size();) {
        std::size_t end = first + 1;
        while (end < all.size() && same(all[end - 1], all[end])) ++end;
        act(all.subspan(first, end - first));
        first = end;
    }
}

std::string joined(const Line& line) {
    if (line.verbatim) return line.pieces.front();
    std::string out(line.empty() ? 0 : line.indent, ' ');
    for (std::size_t p = 0; p < line.pieces.size(); ++p) {
        if (p > 0) out += line.form == Form::conductor && p >= 2 ? "  " : " ";
        out += line.pieces[p];
    }
    return out;
}

// The line end the file uses: its first one.
std::string_view line_end(std::string_view bytes) {
    const std::size_t at = bytes.find_first_of("\r\n");
    if (at == std::string_view::npos || bytes[at] == '\n') return "\n";
    return at + 1 < bytes.size() && bytes[at + 1] == '\n' ? "\r\n" : "\r";
}

std::string laid_out(std::string_view bytes, std::vector<Line> all) {
    while (!all.empty() && all.back().empty()) all.pop_back();
    each_run(all, one_run, align);
    std::string out;
    out.reserve(bytes.size() + bytes.size() / 8);
    if (bytes.starts_with("\xEF\xBB\xBF")) out += "\xEF\xBB\xBF";
    const std::string_view end = line_end(bytes);
    const auto has_comment = [](const Line& l) {
        return !l.verbatim && !l.pieces.empty() && !l.comment.empty();
    };
    each_run(
        std::span<Line>(all),
        [&](const Line& a, const Line& b) { return has_comment(a) && has_comment(b); },
        [&](std::span<Line> run) {
            std::vector<std::string> texts;
            std::size_t widest = 0;
            for (const Line& l : run) {
                texts.push_back(joined(l));
                widest = std::max(widest, columns(texts.back()));
            }
            for (std::size_t i = 0; i < run.size(); ++i) {
                out += texts[i];
                if (has_comment(run[i])) out.append(widest - columns(texts[i]) + 2, ' ');
                out += run[i].comment;
                out += end;
            }
        });
    return out;
}

// Do two trees say the same, word for word? Comments too.
bool same_meaning(const text::Sources& a_sources, const Tree& a, const text::Sources& b_sources,
                  const Tree& b) {
    if (a.nodes.size() != b.nodes.size()) return false;
    for (std::uint32_t i = 0; i < a.nodes.size(); ++i)
        if (a[i].kind != b[i].kind || a[i].next != b[i].next || a[i].broken != b[i].broken)
            return false;
    const auto words = [](const text::Sources& sources, const Tree& tree) {
        const std::string_view bytes = sources[tree.file].bytes();
        std::string all;
        all.reserve(bytes.size());
        for (const syntax::Token& t : syntax::tokens(sources, tree)) {
            const std::string_view word = bytes.substr(t.begin, t.end - t.begin);
            const bool space = t.kind == syntax::TokenKind::blank ||
                               t.kind == syntax::TokenKind::newline || word == ";";
            if (space) continue;
            std::string text = plain(t.kind, word);
            while (t.kind == syntax::TokenKind::comment &&
                   (text.back() == ' ' || text.back() == '\t'))
                text.pop_back();
            all += text;
            all += '\0';
        }
        return all;
    };
    return words(a_sources, a) == words(b_sources, b);
}

}  // namespace

std::string tidy(const text::Sources& sources, const Tree& tree) {
    const std::string_view bytes = sources[tree.file].bytes();
    std::string out = laid_out(bytes, lines(sources, tree));
    text::Sources again;
    const text::FileId file = again.add(sources[tree.file].path(), std::move(out));
    if (!same_meaning(sources, tree, again, syntax::parse(again, file))) return std::string(bytes);
    return std::string(again[file].bytes());
}

}  // namespace ferrule::format
