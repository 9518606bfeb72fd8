#include "format/lines.hpp"

#include <algorithm>
#include <span>

namespace ferrule::format {

using syntax::Node;
using syntax::NodeIndex;
using syntax::NodeKind;
using syntax::Token;
using syntax::TokenKind;
using syntax::Tree;

namespace {

constexpr std::uint32_t indent_step = 4;

struct Spelling {
    std::string_view odd, plain;
};
constexpr Spelling spellings[] = {
    {"\u00B2", "2"},  // ²
    {"\u00B0C", "degC"}, {"\u00B0F", "degF"}, {"\u00B0", "deg"},
    {"\u03A9", "ohm"},   {"\u2126", "ohm"},  // Ω, both code points
    {"\u00B5", "u"},     {"\u03BC", "u"},    // µ, both code points
};

// Words that announce what follows them in a conductor's tail.
bool announces(std::string_view word) {
    return word == "as" || word == "ends" || word == "by" || word == "via" || word == "at" ||
           word == "rated";
}

// The parts of the text that are left as they are, as byte ranges of whole lines.
struct Extent {
    std::uint32_t begin = 0, end = 0;  // the end is before the line's own end
    bool verbatim = false;
};

bool ends_line(char c) {
    return c == '\n' || c == '\r';
}

std::vector<Extent> verbatim_extents(std::string_view bytes, const Tree& tree) {
    std::vector<Extent> extents;
    for (const NodeIndex i : syntax::children(tree, 0)) {
        const auto unread = [](const Node& n) { return n.broken || n.kind == NodeKind::junk; };
        const auto first = tree.nodes.begin() + i;
        Extent e{tree[i].begin, tree[i].end,
                 std::any_of(first, tree.nodes.begin() + tree[i].next, unread)};
        // A block that was not closed reaches to where the next statement begins: only its own
        // lines count.
        while (e.end > e.begin &&
               (ends_line(bytes[e.end - 1]) || bytes[e.end - 1] == ' ' || bytes[e.end - 1] == '\t'))
            --e.end;
        while (e.begin > 0 && !ends_line(bytes[e.begin - 1])) --e.begin;
        while (e.end < bytes.size() && !ends_line(bytes[e.end])) ++e.end;
        if (!extents.empty() && e.begin < extents.back().end) {  // they share a line
            extents.back().end = std::max(extents.back().end, e.end);
            extents.back().verbatim = extents.back().verbatim || e.verbatim;
        } else {
            extents.push_back(e);
        }
    }
    std::erase_if(extents, [](const Extent& e) { return !e.verbatim; });
    return extents;
}

class Writer {
public:
    Writer(std::string_view bytes, std::span<const Token> tokens, std::span<const Extent> extents)
        : bytes_(bytes), tokens_(tokens), extents_(extents) {
        find_braces();
    }

    std::vector<Line> write() {
        while (at_ < tokens_.size()) {
            if (!extents_.empty() && tokens_[at_].begin >= extents_.front().begin &&
                tokens_[at_].begin < extents_.front().end) {
                verbatim(extents_.front());
                extents_ = extents_.subspan(1);
            } else {
                one(tokens_[at_]);
                ++at_;
            }
        }
        finish();
        return std::move(lines_);
    }

private:
    // For every `{`: does its block end on the same line?
    void find_braces() {
        one_line_.resize(tokens_.size());
        std::vector<std::size_t> open;
        std::size_t multi = 0;  // of the open braces, how many lie before the last line end
        for (std::size_t i = 0; i < tokens_.size(); ++i) {
            const Token& t = tokens_[i];
            if (t.kind == TokenKind::newline || t.kind == TokenKind::comment) multi = open.size();
            if (t.kind != TokenKind::punctuation) continue;
            if (bytes_[t.begin] == '{') open.push_back(i);
            if (bytes_[t.begin] == '}' && !open.empty()) {
                one_line_[open.back()] = open.size() > multi;
                open.pop_back();
                multi = std::min(multi, open.size());
            }
        }
    }

    [[nodiscard]] std::string_view text(const Token& t) const {
        return bytes_.substr(t.begin, t.end - t.begin);
    }

    void verbatim(const Extent& e) {
        finish();
        Line raw;
        raw.verbatim = true;
        raw.pieces.emplace_back(bytes_.substr(e.begin, e.end - e.begin));
        lines_.push_back(std::move(raw));
        while (at_ < tokens_.size() && tokens_[at_].begin < e.end) ++at_;
        at_line_start_ = false;
        if (at_ < tokens_.size() && tokens_[at_].kind == TokenKind::newline) {
            ++at_;
            at_line_start_ = true;
        }
        after_blank_ = false;
    }

    void one(const Token& t) {
        switch (t.kind) {
            case TokenKind::blank:
                after_blank_ = true;
                return;
            case TokenKind::newline:
                newline();
                return;
            case TokenKind::comment:
                comment(text(t));
                return;
            default:
                break;
        }
        const std::string_view word = text(t);
        if (t.kind == TokenKind::punctuation && word == ";") {
            semicolon_ = true;
        } else if (t.kind == TokenKind::punctuation && word == "{") {
            open_block();
        } else if (t.kind == TokenKind::punctuation && word == "}") {
            close_block();
        } else {
            significant(t, word);
        }
        after_blank_ = false;
        at_line_start_ = false;
    }

    void newline() {
        if (at_line_start_) {
            empty_line();
        } else if (last_ == ",") {
            continued_ = true;  // the statement goes on
            break_line();
        } else {
            finish();
        }
        at_line_start_ = true;
        after_blank_ = false;
    }

    // At most one in a row; none at the start of the file or of a block.
    void empty_line() {
        if (lines_.empty() || continued_) return;
        const Line& last = lines_.back();
        if (last.empty() ||
            (!last.verbatim && !last.pieces.empty() && last.pieces.back().ends_with('{')))
            return;
        lines_.emplace_back();
    }

    void comment(std::string_view words) {
        while (!words.empty() && (words.back() == ' ' || words.back() == '\t'))
            words.remove_suffix(1);
        if (line_.pieces.empty() && at_line_start_) {
            line_.indent = depth() * indent_step + (continued_ ? 2 * indent_step : 0);
            line_.comment = words;
            const bool goes_on = continued_;
            push();
            continued_ = goes_on;
            at_line_start_ = true;
            swallow_newline();
            return;
        }
        if (line_.pieces.empty() && !lines_.empty() && !lines_.back().verbatim &&
            lines_.back().comment.empty()) {
            lines_.back().comment = words;  // behind a brace that has ended its line
            return;
        }
        line_.comment = words;
        at_line_start_ = false;
    }

    void swallow_newline() {
        if (at_ + 1 < tokens_.size() && tokens_[at_ + 1].kind == TokenKind::newline) ++at_;
    }

    void significant(const Token& t, std::string_view word) {
        const bool keyword = t.kind == TokenKind::keyword && statement_start();
        if (semicolon_ && !inside_one_line() && keyword) finish();
        if (semicolon_ && !line_.pieces.empty()) {
            line_.pieces.back() += ';';
            if (!inside_one_line()) {
                line_.form = Form::other;
                joined_ = true;
            }
            space(word, true);
        } else {
            const bool times = t.kind == TokenKind::joining && (word == "x" || word == "\u00D7");
            space(word, after_blank_ || times || after_times_);
            after_times_ = times;
        }
        semicolon_ = false;
        if (word == "[") ++brackets_;
        append(t, word);
        if (word == "]" && brackets_ > 0) --brackets_;
        last_ = word;
    }

    // Does the next word open a statement, or stand within one?
    [[nodiscard]] bool statement_start() const {
        return line_.pieces.empty() || semicolon_ || last_ == "{";
    }

    // Decides whether the next word begins a new piece, and which.
    void space(std::string_view word, bool blank_before) {
        if (line_.pieces.empty()) return;
        const bool in_brackets = brackets_ > 0 || word == "]" || last_ == "[";
        bool apart = blank_before;
        if (word == "," || (in_brackets && word != "[")) apart = false;
        else if (word == ".." || last_ == "..") apart = !in_repeat_;
        else if (last_ == "," || last_ == "{" || word == "->" || last_ == "->") apart = true;
        if (!apart) return;
        const char key = key_of(word);
        if (key != 0) {
            line_.pieces.emplace_back();
            line_.keys += key;
        } else {
            line_.pieces.back() += ' ';
        }
    }

    // A letter for a word that opens a piece of its own in this form of line; 0 for none.
    char key_of(std::string_view word) {
        if (joined_ || continued_ || inside_one_line()) return 0;
        const std::size_t pieces = line_.pieces.size();
        switch (line_.form) {
            case Form::property:
                if (pieces == 1 && word == "->") {
                    line_.form = Form::conductor;
                    return '>';
                }
                return pieces == 1 ? 'v' : 0;
            case Form::conductor:
                if (pieces == 2) return last_ != "->" ? 't' : 0;
                return pieces >= 3 && last_ != "," && announces(word) ? 'a' : 0;
            case Form::statement:
                if (last_ == ",") return 0;
                if (word == "is" && line_.keys.empty()) return 'i';
                if (word == "with" && line_.keys == "i") return 'w';
                if ((word == "in" || word == "on") &&
                    line_.keys.find_first_of("l{") == std::string::npos)
                    return 'l';
                return 0;
            case Form::other:
                return 0;
        }
        return 0;
    }

    void append(const Token& t, std::string_view word) {
        if (line_.pieces.empty()) {
            line_.pieces.emplace_back();
            line_.indent = depth() * indent_step + (continued_ ? 2 * indent_step : 0);
            if (!continued_) {
                in_repeat_ = t.kind == TokenKind::keyword && word == "repeat";
                line_.form = t.kind != TokenKind::keyword ? Form::property : Form::other;
                const bool tabular =
                    word == "device" || word == "enclosure" || word == "string" || word == "place";
                if (t.kind == TokenKind::keyword && tabular) line_.form = Form::statement;
            }
        }
        line_.pieces.back() += plain(t.kind, word);
    }

    void open_block() {
        if (semicolon_) finish();
        const bool one_line = one_line_[at_];
        if (line_.pieces.empty()) {
            line_.pieces.emplace_back();
            line_.indent = depth() * indent_step;
        } else if (one_line && line_.form == Form::statement && !inside_one_line() && !continued_) {
            line_.pieces.emplace_back();
            line_.keys += '{';
        } else {
            line_.pieces.back() += ' ';
            if (line_.form != Form::statement || !one_line) line_.form = Form::other;
        }
        line_.pieces.back() += '{';
        blocks_.push_back(one_line);
        last_ = "{";
        in_repeat_ = false;
        if (!one_line) break_line();
    }

    void close_block() {
        semicolon_ = false;
        const bool one_line = !blocks_.empty() && blocks_.back();
        if (one_line) {
            line_.pieces.back() += " }";
            blocks_.pop_back();
            last_ = "}";
            return;
        }
        finish();
        if (!lines_.empty() && lines_.back().empty()) lines_.pop_back();
        if (!blocks_.empty()) blocks_.pop_back();
        line_.indent = depth() * indent_step;
        line_.pieces.emplace_back("}");
        last_ = "}";
        break_line();
    }

    // Ends the line in the text, while the statement may go on.
    void break_line() {
        const bool goes_on = continued_;
        push();
        continued_ = goes_on && last_ == ",";
    }
    void finish() {
        semicolon_ = false;
        continued_ = false;
        push();
        last_ = "";
        brackets_ = 0;
        in_repeat_ = false;
    }
    void push() {
        if (!line_.empty()) {
            for (std::string& piece : line_.pieces)
                while (!piece.empty() && piece.back() == ' ') piece.pop_back();
            lines_.push_back(std::move(line_));
        }
        line_ = Line();
        joined_ = false;
    }

    [[nodiscard]] std::uint32_t depth() const {
        return static_cast<std::uint32_t>(std::count(blocks_.begin(), blocks_.end(), false));
    }
    [[nodiscard]] bool inside_one_line() const { return !blocks_.empty() && blocks_.back(); }

    std::string_view bytes_;
    std::span<const Token> tokens_;
    std::span<const Extent> extents_;
    std::vector<bool> one_line_;
    std::vector<bool> blocks_;  // the open ones: on one line or not
    std::vector<Line> lines_;
    Line line_;
    std::size_t at_ = 0;
    std::string_view last_;  // the last significant token of the statement
    std::uint32_t brackets_ = 0;
    bool after_blank_ = false;
    bool after_times_ = false;  // behind an `x` between numbers or before a part
    bool at_line_start_ = true;
    bool semicolon_ = false;
    bool continued_ = false;  // behind a comma that ended its line
    bool joined_ = false;     // several statements share the line
    bool in_repeat_ = false;
};

}  // namespace

std::string plain(TokenKind kind, std::string_view text) {
    if (kind == TokenKind::joining || kind == TokenKind::label)
        return std::string(text == "\u00D7" ? "x" : text);
    std::string out(text);
    if (kind != TokenKind::unit) return out;
    if (out == "Nm") return "N.m";
    for (const Spelling& s : spellings)
        for (std::size_t at = out.find(s.odd); at != std::string::npos;
             at = out.find(s.odd, at + s.plain.size()))
            out.replace(at, s.odd.size(), s.plain);
    return out;
}

std::vector<Line> lines(const text::Sources& sources, const Tree& tree) {
    const std::string_view bytes = sources[tree.file].bytes();
    const std::vector<Extent> extents = verbatim_extents(bytes, tree);
    const std::vector<Token> tokens = syntax::tokens(sources, tree);
    return Writer(bytes, tokens, extents).write();
}

}  // namespace ferrule::format
