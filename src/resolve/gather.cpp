#include "resolve/gather.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "base/nearest.hpp"
#include "resolve/fields.hpp"
#include "resolve/lookup.hpp"
#include "resolve/symbols.hpp"

namespace ferrule::resolve {

namespace {

constexpr std::string_view editions[] = {"1"};
constexpr std::string_view edition_word[] = {"edition"};

struct Gatherer {
    Build& b;
    struct Open {
        text::FileId file;
        Span include;  // the statement that opened it
    };
    std::vector<Open> open;  // from the root to the file being read

    void edition(const View& v, NodeIndex statement) {
        const NodeIndex number = v.child(statement, NodeKind::number);
        if (statement != v.first(0)) {
            b.report.error("design.edition", v.span(statement),
                           "the edition is the first statement of a file, and here it is not",
                           "move this line to the top");
        } else if (number != no_node && std::find(std::begin(editions), std::end(editions),
                                                  v.text(number)) == std::end(editions)) {
            b.report.error(
                "design.edition", v.span(number),
                fmt::format("edition {} is not known to this program, which reads edition 1",
                            quoted(v.text(number))),
                "write edition 1, or use a later program");
        }
    }

    void no_edition(const View& v) {
        const NodeIndex first = v.first(0);
        if (first == no_node || v.kind(first) == NodeKind::junk) return;
        const NodeIndex word = v.kind(first) == NodeKind::property ? v.first(first) : no_node;
        if (word != no_node && !base::nearest(v.text(word), edition_word).empty()) return;  // `editon 1` is told as such
        findings::Finding f =
            error("design.edition", v.head(first),
                  "the file does not say which edition of the language it is written in");
        f.remedy = "begin it with the line: edition 1";
        f.edits.push_back({v.span(v.node(first).begin, v.node(first).begin), "edition 1\n\n", true});
        b.report.add(std::move(f));
    }

    void include(const View& v, NodeIndex statement) {
        const NodeIndex path = v.child(statement, NodeKind::text);
        if (path == no_node) return;
        const Span at = v.span(path);
        const auto result = b.loader.include(v.tree().file, unescape(v.text(path)));
        if (const auto* wrong = std::get_if<std::string>(&result)) {
            b.file_missing = true;
            const std::size_t line = std::min(wrong->find('\n'), wrong->size());
            return b.report.error("design.include", at, wrong->substr(0, line),
                                  wrong->substr(std::min(line + 1, wrong->size())));
        }
        const text::FileId file = std::get<text::FileId>(result);
        const auto circle =
            std::find_if(open.begin(), open.end(), [&](const Open& o) { return o.file == file; });
        if (circle != open.end()) {
            findings::Finding f =
                error("design.include", at,
                      fmt::format("{} includes itself{}", quoted(b.sources[file].path()),
                                  circle + 1 == open.end() ? "" : " by way of others"));
            for (auto step = circle + 1; step != open.end(); ++step) {
                f.related.push_back(
                    {step->include,
                     fmt::format("{} is included here", quoted(b.sources[step->file].path()))});
            }
            f.remedy = "take one of these lines out";
            return b.report.add(std::move(f));
        }
        if (std::find(b.files.begin(), b.files.end(), file) != b.files.end()) return;
        if (open.size() > base::limits::include_depth) {
            b.file_missing = true;
            return b.report.error(
                "design.limit", at,
                fmt::format("files are included more than {} deep (limit include_depth)",
                            base::limits::include_depth));
        }
        read(file, at);
    }

    void read(text::FileId file, Span from) {
        const auto index = static_cast<std::uint32_t>(b.views.size());
        b.files.push_back(file);
        const syntax::Tree& tree = b.loader.tree(file);
        const std::string_view bytes = b.sources[file].bytes();
        View& v = b.views.emplace_back(tree, bytes);
        SymbolReader symbols(b.design.names, tree, bytes);
        open.push_back({file, from});
        doubt(b, v);
        bool edition_stated = false;
        for (const NodeIndex item : v.children(0)) {
            // A line that is half typed gives no name a number unless it is used, so that the others keep theirs.
            if (v.node(item).broken || v.kind(item) == NodeKind::property) symbols.leave_out(v.node(item).next);
            else symbols.read_to(v.node(item).next);
            edition_stated = edition_stated || v.kind(item) == NodeKind::edition;
            sort(v, {index, item});
        }
        v.know(symbols.take());
        if (!edition_stated) no_edition(v);
        open.pop_back();
    }

    void sort(const View& v, Statement s) {
        switch (v.kind(s.node)) {
            case NodeKind::edition:
                return edition(v, s.node);
            case NodeKind::include:
                return include(v, s.node);
            case NodeKind::site:
                b.sites.push_back(s);
                return;
            case NodeKind::part:
                b.parts.push_back(s);
                return;
            case NodeKind::assembly:
                b.assembly_statements.push_back(s);
                return;
            case NodeKind::place:
            case NodeKind::string:
            case NodeKind::enclosure:
            case NodeKind::device:
            case NodeKind::cable:
                b.things.push_back(s);
                return;
            case NodeKind::run:
                b.things.push_back(s);
                b.wires.push_back(s);
                return;
            case NodeKind::conductor:
            case NodeKind::jumper:
            case NodeKind::bond:
            case NodeKind::earth:
            case NodeKind::gang:
                b.wires.push_back(s);
                return;
            case NodeKind::label_on:
            case NodeKind::steps:
            case NodeKind::reading:
            case NodeKind::accept:
                b.papers.push_back(s);
                return;
            case NodeKind::except:
                b.excepts.push_back(s);
                return;
            case NodeKind::repeat:
                b.things.push_back(s);
                b.wires.push_back(s);
                b.papers.push_back(s);
                b.excepts.push_back(s);
                return;
            case NodeKind::port:
                b.report.error("design.misplaced", v.head(s.node),
                               "a port stands in a part or in an assembly");
                return;
            case NodeKind::property:
                return no_statement(b, v, s.node);
            default:
                return;  // junk
        }
    }
};

}  // namespace

void no_statement(Build& b, const View& v, NodeIndex line) {
    const NodeIndex word = v.first(line);
    if (word == no_node) return;
    const std::string_view near = base::nearest(v.text(word), syntax::keywords());
    findings::Finding f = error("design.unknown-statement", v.span(word),
                                fmt::format("{} opens no statement{}", quoted(v.text(word)), meant(near)));
    f.remedy = near.empty()
                   ? "a property stands in the braces of what it describes; is a } too many above?"
                   : fmt::format("write {} if that is meant", near);
    b.report.add(std::move(f));
}

void gather(Build& b, text::FileId root) {
    Gatherer{b, {}}.read(root, {});
}

}  // namespace ferrule::resolve
