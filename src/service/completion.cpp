#include "service/completion.hpp"

#include <algorithm>
#include <unordered_set>

#include <fmt/format.h>

#include "service/cursor.hpp"
#include "service/hover.hpp"
#include "service/inside.hpp"

namespace ferrule::service {

namespace {

using graph::Accepts;
using graph::Shape;
using graph::ThingClass;
using syntax::NodeKind;

bool word_byte(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' || c == '%' || c == '+' || c == '/' ||
           (static_cast<unsigned char>(c) & 0x80U) != 0;
}

// The line up to the cursor in words; the last one is what is being written ("" after a blank).
struct Line {
    std::vector<std::string_view> words;
    std::uint32_t begin = 0;  // of the last word
    bool comment = false, text = false;
};

Line read_line(std::string_view bytes, std::uint32_t offset) {
    Line line;
    std::uint32_t from = offset;
    while (from > 0 && bytes[from - 1] != '\n') --from;
    std::uint32_t word = from;
    const auto close = [&](std::uint32_t at) {
        if (at > word) line.words.push_back(bytes.substr(word, at - word));
        word = at + 1;
    };
    for (std::uint32_t i = from; i < offset; ++i) {
        const char c = bytes[i];
        if (line.text) {
            if (c == '\\') ++i;
            else if (c == '"') line.text = false, word = i + 1;
            continue;
        }
        if (c == '#') {
            line.comment = true;
            return line;
        }
        if (c == '"') {
            close(i);
            line.words.push_back("\"");
            line.text = true;
        } else if (c == ';' || c == '{' || c == '}') {
            line.words.clear();
            word = i + 1;
        } else if (c == ' ' || c == '\t' || c == ',' || c == '\r') {
            close(i);
            if (c == ',') line.words.push_back(",");
        }
    }
    line.begin = word;
    line.words.push_back(bytes.substr(word, offset - word));
    return line;
}

// "26", "-0.28", "2.5V": what begins as a number. How many bytes of it are the number.
std::size_t digits_of(std::string_view word) {
    std::size_t at = !word.empty() && (word[0] == '-' || word[0] == '+') ? 1 : 0;
    const std::size_t first = at;
    while (at < word.size() && ((word[at] >= '0' && word[at] <= '9') || word[at] == '.')) ++at;
    return at > first && word[first] != '.' ? at : 0;
}

class Completer {
public:
    Completer(const View& view, std::uint32_t offset)
        : view_(view), d_(view.design->graph()), k_(*view.knowledge), offset_(offset), line_(read_line(view.bytes(), offset)) {}

    std::vector<Proposal> run() {
        if (line_.comment || line_.text) return {};
        chain_ = chain_at(view_.tree(), offset_);
        const std::string_view last = line_.words.back();
        const std::string_view first = line_.words.front();
        const std::string_view before = line_.words.size() > 1 ? line_.words[line_.words.size() - 2] : std::string_view();
        if (chain_in(NodeKind::assembly)) {
            for (const syntax::NodeIndex n : chain_) {
                if (view_.tree()[n].kind == NodeKind::assembly) own_ = inside(view_, n);
            }
        }
        const bool naming = digits_of(last) == 0 && !(first == "accept" && line_.words.size() == 2);
        if (const std::size_t open = last.rfind('['); naming && open != std::string_view::npos && last.find(']', open) == std::string_view::npos) {
            begin_ = line_.begin + static_cast<std::uint32_t>(open) + 1;
            indices(last.substr(0, open));
            return std::move(all_);
        }
        if (const std::size_t dot = last.rfind('.'); naming && dot != std::string_view::npos) {
            begin_ = line_.begin + static_cast<std::uint32_t>(dot) + 1;
            after_dot(last.substr(0, dot));
            return std::move(all_);
        }
        begin_ = line_.begin;
        while (begin_ < offset_ && !word_byte(view_.bytes()[begin_])) ++begin_;
        const Stating s = stating(view_, chain_);
        if (line_.words.size() == 1) {
            starts(s);
            return std::move(all_);
        }
        if (first == "accept") {
            if (line_.words.size() == 2) rule_ids();
            else if (lead() == "on") things({ThingClass::device, ThingClass::string, ThingClass::enclosure, ThingClass::place, ThingClass::run, ThingClass::cable});
            else if (before != "because" && before != "until" && before != "by") words({"on", "because", "until", "by"});
            return std::move(all_);
        }
        if (before == "is") {
            if (first == "part") kinds("part");
            else if (first == "port" && own_) things({ThingClass::device, ThingClass::string});
            else if (first == "port") kinds("role");
            else if (first == "cable") parts("cable");
            else if (first == "enclosure") parts("box");
            else if (first == "device") parts(""), assemblies();
            return std::move(all_);
        }
        if (first == "string" && before == "x") return parts("module"), parts("battery"), std::move(all_);
        if (before == "with") return parts("fuse"), parts("links"), std::move(all_);
        if (is_statement(first) && (before == "in" || before == "on")) {
            if (first == "label") things({ThingClass::device});
            else things({ThingClass::place, ThingClass::enclosure});
            return std::move(all_);
        }
        if (first == "jumper" || first == "gang" || first == "bond" || first == "earth") {
            things({ThingClass::device, ThingClass::string, ThingClass::enclosure, ThingClass::place});
            if (first == "jumper") words({"none", "supplied"});
            if (first != "gang" && line_.words.size() > 3) tail();
            return std::move(all_);
        }
        const auto arrow = std::find(line_.words.begin(), line_.words.end(), "->");
        if (arrow != line_.words.end()) {
            if (arrow + 2 == line_.words.end()) things({ThingClass::device, ThingClass::string});
            else tail();
            return std::move(all_);
        }
        if (is_statement(first)) {
            words({"is", "on", "in", "with"});
            return std::move(all_);
        }
        if (const auto* list = s.properties()) {
            for (const graph::Property& p : *list) {
                if (p.name == first) values(p);
            }
        }
        return std::move(all_);
    }

private:
    using Sort = Proposal::Sort;
    static constexpr std::size_t most_indices = 200;

    void add(Sort sort, std::string label, std::string detail = {}, std::string topic = {}, std::string insert = {}, bool snippet = false) {
        if (!seen_.insert(label).second) return;
        Proposal p;
        p.sort = sort;
        p.insert = insert.empty() ? label : std::move(insert);
        p.label = std::move(label);
        p.detail = std::move(detail);
        p.topic = std::move(topic);
        p.snippet = snippet;
        p.replaces = {view_.file, begin_, offset_};
        all_.push_back(std::move(p));
    }
    void words(std::initializer_list<std::string_view> list) {
        for (const std::string_view w : list) add(Sort::word, std::string(w));
    }
    [[nodiscard]] bool chain_in(NodeKind kind) const {
        return std::any_of(chain_.begin(), chain_.end(), [&](syntax::NodeIndex n) { return view_.tree()[n].kind == kind; });
    }
    // The word that a list belongs to: `on` of `on A, B, `; of no list the word before.
    [[nodiscard]] std::string_view lead() const {
        std::size_t i = line_.words.size() - 1;
        if (i == 0) return {};
        for (--i; line_.words[i] == "," && i >= 2;) i -= 2;
        return line_.words[i];
    }
    [[nodiscard]] static bool is_statement(std::string_view word) {
        const auto list = syntax::keywords();
        return std::find(list.begin(), list.end(), word) != list.end();
    }

    // The first word of a line: a property of the block it stands in, or a statement, or a conductor's first end.
    void starts(const Stating& s) {
        const bool in_run = s.kind != nullptr && s.kind->name == "run" && s.within == nullptr;
        if (const auto* list = s.properties()) {
            for (const graph::Property& p : *list) {
                const std::string topic = fmt::format("property {} {} {}", s.kind->group, s.kind->name, s.within != nullptr ? s.within->name + " " + p.name : p.name);
                add(Sort::property, p.name, p.shape_text, topic);
            }
            if (s.kind->group == "part" && s.within == nullptr && s.kind->conducts == "converter") statement("port");
            if (!in_run) return;
        }
        if (!in_run) {
            for (const graph::StatementText& st : k_.kinds.statements) {
                if (st.name != "conductor" && st.name != "port") statement(st.name);
            }
            if (chain_in(NodeKind::assembly)) statement("port");
        }
        things({ThingClass::device, ThingClass::string});
    }

    void statement(std::string_view name) {
        for (const graph::StatementText& st : k_.kinds.statements) {
            if (st.name != name) continue;
            std::string insert;
            int stop = 0;
            bool text = false;
            // NUMBER, "TITLE" and the like become stops; what may be left out is left out.
            int left_out = 0;
            for (std::size_t i = 0; i < st.shape.size(); ++i) {
                const char c = st.shape[i];
                if (c == '[') ++left_out;
                else if (c == ']') --left_out;
                else if (left_out == 0 && c >= 'A' && c <= 'Z') {
                    std::size_t end = i;
                    while (end < st.shape.size() && ((st.shape[end] >= 'A' && st.shape[end] <= 'Z') || st.shape[end] == '-')) ++end;
                    insert += fmt::format("${{{}:{}}}", ++stop, st.shape.substr(i, end - i));
                    i = end - 1;
                } else if (left_out == 0) {
                    if (c == '"') text = !text;
                    insert += c;
                }
            }
            std::string tidy;
            for (const char c : insert) {
                if (c == ' ' && (tidy.empty() || tidy.back() == ' ')) continue;
                tidy += c;
            }
            while (!tidy.empty() && tidy.back() == ' ') tidy.pop_back();
            if (const std::size_t open = tidy.find(" { "); open != std::string::npos) {
                tidy = tidy.substr(0, open) + fmt::format(" {{\n\t${{{}}}\n}}", ++stop);
            }
            const bool known = st.name != "label" && st.name != "conductor";
            add(Sort::keyword, st.name, st.shape, "statement " + st.name, known ? tidy : st.name, known && stop != 0);
        }
    }

    void kinds(std::string_view group) {
        for (const graph::Kind& kind : k_.kinds.all()) {
            if (kind.group == group) add(Sort::kind, kind.name, kind.about, fmt::format("kind {} {}", group, kind.name));
        }
    }

    void parts(std::string_view kind) {
        for (const graph::Part& p : d_.parts) {
            const std::string_view name = d_.word(p.name);
            if (name.empty() || !p.kind || (*d_.kinds)[p.kind].group != "part") continue;
            if (kind.empty() || (*d_.kinds)[p.kind].name == kind) add(Sort::part, std::string(name), (*d_.kinds)[p.kind].name, "part " + std::string(name));
        }
    }
    void assemblies() {
        for (const graph::Part& p : d_.parts) {
            if (p.name && p.span && (!p.kind || (*d_.kinds)[p.kind].group != "part")) add(Sort::part, std::string(d_.word(p.name)), "assembly");
        }
    }

    // Things under their plain names; members of assemblies belong to their instance. In an assembly stand its own: of what is
    // outside only what they may stand in or go through.
    void things(std::initializer_list<ThingClass> classes) {
        const auto wanted = [&](ThingClass cls) { return std::find(classes.begin(), classes.end(), cls) != classes.end(); };
        if (own_) {
            for (const Member& m : own_->members) {
                if (wanted(m.cls)) add(Sort::thing, std::string(m.name), std::string(m.part));
            }
        }
        for (const graph::Thing& t : d_.things) {
            if (!t.name || t.owner || !wanted(t.cls)) continue;
            if (own_ && (t.cls == ThingClass::device || t.cls == ThingClass::string)) continue;
            const graph::Part& part = d_.parts[t.part];
            add(Sort::thing, std::string(d_.word(t.name)), part.name ? std::string(d_.word(part.name)) : (*d_.kinds)[part.kind].name);
        }
    }

    // What a name with dots leads to, its brackets apart: a part, or assembly; and the thing, if it is none inside an assembly.
    struct Led {
        std::string part;
        graph::ThingId thing;
        std::uint32_t low = 0, high = 0;  // its indices inside an assembly
    };
    [[nodiscard]] Led led(std::string_view path) const {
        Led at;
        bool head = true;
        for (std::size_t from = 0; from <= path.size();) {
            const std::size_t end = std::min(path.find('.', from), path.size());
            const std::string_view step = path.substr(from, end - from), name = step.substr(0, step.find('['));
            from = end + 1;
            const std::optional<Inside> around = head ? own_ : inside(*view_.design, at.part);
            const Member* const member = around ? around->find(name) : nullptr;
            if (member != nullptr) at = {std::string(member->part), {}, member->low, member->high};
            else if (head) at = outer(name);
            else return {};
            head = false;
        }
        return at;
    }
    [[nodiscard]] Led outer(std::string_view name) const {
        const graph::Symbol symbol = d_.names.find(name);
        if (!symbol) return {};
        for (const graph::ThingId id : d_.things.ids()) {
            const graph::Thing& t = d_.things[id];
            if (t.name == symbol && !t.owner) return {std::string(d_.word(d_.parts[t.part].name)), id};
        }
        return {};
    }

    // NAME. : its terminals; of an assembly's instance the ports, which conductors land on, or where papers speak of it its members;
    // of a box its openings.
    void after_dot(std::string_view path) {
        const Led to = led(path);
        const graph::Symbol symbol = to.part.empty() ? graph::Symbol() : d_.names.find(to.part);
        const auto is_part = [&](const graph::Part& p) { return symbol && p.name == symbol; };
        const auto found = std::find_if(d_.parts.begin(), d_.parts.end(), is_part);
        const graph::Part* const part = to.thing ? &d_.part_of(to.thing) : found != d_.parts.end() ? &*found : nullptr;
        if (part == nullptr) return;
        for (const graph::TerminalTemplate& terminal : part->terminals) {
            const std::string port = terminal.port != 0xffff ? "port " + std::string(d_.word(part->ports[terminal.port].name)) : terminal.protective ? "protective" : terminal.aux ? "auxiliary" : "terminal";
            add(Sort::terminal, std::string(d_.word(terminal.label)), port);
        }
        if (const auto assembly = inside(*view_.design, to.part)) {
            for (const std::string& port : assembly->ports) add(Sort::terminal, port, "port");
            const std::string_view first = line_.words.front();
            if (first == "except" || first == "accept" || first == "label" || chain_in(NodeKind::reading) || chain_in(NodeKind::steps) || chain_in(NodeKind::label_on)) {
                for (const Member& m : assembly->members) add(Sort::thing, std::string(m.name), "member");
            }
        }
        for (const graph::Entry& e : d_.entries) {
            if (to.thing && e.enclosure == to.thing) add(Sort::terminal, e.index == 0 ? std::string(d_.word(e.name)) : fmt::format("{}[{}]", d_.word(e.name), e.index), "entry");
        }
    }

    // NAME[ : which there are, of things or of a box's openings.
    void indices(std::string_view path) {
        std::vector<std::uint32_t> all;
        const auto some = [&](std::uint32_t low, std::uint32_t high) {
            for (std::uint32_t i = low; i != 0 && i <= high && all.size() < most_indices; ++i) all.push_back(i);
        };
        const Led to = led(path);
        if (to.thing) {
            const graph::Symbol name = d_.things[to.thing].name;
            for (const graph::Thing& t : d_.things) {
                if (t.name == name && !t.owner && t.index != 0) some(t.index, t.index);
            }
        } else {
            some(to.low, to.high);
        }
        if (const std::size_t dot = path.rfind('.'); all.empty() && dot != std::string_view::npos) {
            const graph::ThingId box = led(path.substr(0, dot)).thing;
            for (const graph::Entry& e : d_.entries) {
                if (box && e.enclosure == box && d_.word(e.name) == path.substr(dot + 1) && e.index != 0) some(e.index, e.index);
            }
        }
        const bool closed = offset_ < view_.bytes().size() && view_.bytes()[offset_] == ']';
        const auto offer = [&](const std::string& index) { add(Sort::thing, index, std::string(path), {}, closed ? index : index + ']'); };
        for (const std::uint32_t i : all) offer(std::to_string(i));
        if (all.size() > 1 && all.back() - all.front() + 1 == all.size()) offer(fmt::format("{}..{}", all.front(), all.back()));
    }

    void rule_ids() {
        // The id as a whole is replaced, family included.
        begin_ = line_.begin;
        for (const rules::Rule& r : k_.rules.rules) add(Sort::rule, r.id, r.title, "rule " + r.id);
    }

    void tail() {
        const std::string_view before = line_.words[line_.words.size() - 2], list = lead();
        if (digits_of(line_.words.back()) != 0) {
            const bool rated = before == "rated";
            if (before != "core" && before != "as") units(rated ? std::unordered_set<std::string>{"voltage"} : std::unordered_set<std::string>{"area", "length"});
            return;
        }
        if (list == "by") return things({ThingClass::enclosure});
        if (list == "via") return things({ThingClass::run});
        if (before == "at") return things({ThingClass::device});
        if (list == "ends") {
            parts("connector");
            for (const auto& [group, members] : k_.kinds.tail_words) {
                if (group != "finish") continue;
                for (const std::string& w : members) add(Sort::word, w, group);
            }
            return;
        }
        if (before == "core" || before == "as" || before == "rated") return;  // a number, a mark
        if (line_.words.size() > 2 && line_.words[line_.words.size() - 3] == "rated") return units({"voltage"});
        parts("cable");
        if (own_) {
            for (const Member& m : own_->members) {
                if (m.cls == ThingClass::cable) add(Sort::thing, std::string(m.name), "cable");
            }
        }
        for (const graph::Thing& t : d_.things) {
            if (t.cls == ThingClass::cable && t.name && !t.owner) add(Sort::thing, std::string(d_.word(t.name)), "cable");
        }
        for (const auto& [group, members] : k_.kinds.tail_words) {
            if (group == "finish") continue;
            for (const std::string& w : members) add(Sort::word, w, group);
        }
        words({"as", "core", "ends", "by", "via", "at", "rated"});
        if (digits_of(before) != 0) units({"area", "length"});
    }

    // Behind a number stand the units it may have; the number stays.
    void units(const std::unordered_set<std::string>& dimensions) {
        const std::string_view last = line_.words.back();
        const std::size_t digits = digits_of(last);
        begin_ = line_.begin + static_cast<std::uint32_t>(digits);
        const std::string blank = digits != 0 && digits == last.size() ? " " : "";
        for (const units::Unit& u : k_.units.all()) {
            if (dimensions.contains(u.dimension_name)) add(Sort::unit, u.symbol, u.dimension_name, {}, blank + u.symbol);
        }
    }

    void collect(const Shape& shape, std::unordered_set<std::string>& dimensions) {
        switch (shape.op) {
            case Shape::Op::literal: add(Sort::word, shape.text); break;
            case Shape::Op::field:
                switch (shape.accepts) {
                    case Accepts::quantity: dimensions.insert(shape.dimension_name); break;
                    case Accepts::word:
                    case Accepts::label:
                        for (const std::string& w : shape.words) add(Sort::word, w);
                        break;
                    case Accepts::part: parts(shape.kind); break;
                    case Accepts::thing: things({ThingClass::place, ThingClass::string, ThingClass::enclosure, ThingClass::device, ThingClass::run}); break;
                    case Accepts::terminal: things({ThingClass::device, ThingClass::string}); break;
                    default: break;
                }
                break;
            default: break;
        }
        for (const Shape& child : shape.children) collect(child, dimensions);
    }
    void values(const graph::Property& p) {
        std::unordered_set<std::string> dimensions;
        collect(p.shape, dimensions);
        const bool in_number = digits_of(line_.words.back()) != 0;
        if (!in_number && digits_of(line_.words[line_.words.size() - 2]) == 0) return;
        // A unit, and words, can stand behind a number, and nothing else.
        std::vector<Proposal> kept;
        kept.swap(all_);
        seen_.clear();
        units(dimensions);
        for (Proposal& other : kept) {
            if (!in_number && other.sort == Sort::word && seen_.insert(other.label).second) all_.push_back(std::move(other));
        }
    }

    const View& view_;
    const graph::Design& d_;
    const project::Knowledge& k_;
    std::uint32_t offset_, begin_ = 0;
    Line line_;
    std::vector<syntax::NodeIndex> chain_;
    std::optional<Inside> own_;  // of the assembly the cursor is in
    std::vector<Proposal> all_;
    std::unordered_set<std::string> seen_;
};

}  // namespace

std::vector<Proposal> complete(const View& view, std::uint32_t offset) {
    return Completer(view, std::min<std::uint32_t>(offset, static_cast<std::uint32_t>(view.bytes().size()))).run();
}

std::string documentation(const project::Knowledge& k, std::string_view topic) {
    std::vector<std::string_view> words;
    for (std::size_t at = 0; at <= topic.size();) {
        const std::size_t end = std::min(topic.find(' ', at), topic.size());
        words.push_back(topic.substr(at, end - at));
        at = end + 1;
    }
    if (words.size() < 2) return {};
    if (words[0] == "rule") {
        const rules::Rule* r = k.rules.find(words[1]);
        return r == nullptr ? std::string() : rule_page(*r);
    }
    if (words[0] == "statement") {
        for (const graph::StatementText& s : k.kinds.statements) {
            if (s.name == words[1]) return statement_page(s);
        }
        return {};
    }
    if (words.size() < 3) return {};
    const graph::KindId id = k.kinds.find(words[1], words[2]);
    if (!id) return {};
    const graph::Kind& kind = k.kinds[id];
    if (words[0] == "kind") return kind_page(kind);
    const std::vector<graph::Property>* list = &kind.properties;
    const graph::Property* found = nullptr;
    for (std::size_t i = 3; i < words.size() && list != nullptr; ++i) {
        found = nullptr;
        for (const graph::Property& p : *list) {
            if (p.name == words[i]) found = &p;
        }
        list = found == nullptr ? nullptr : &found->block;
    }
    return found == nullptr ? std::string() : property_page(*found, kind);
}

}  // namespace ferrule::service
