#include "project/check.hpp"

#include <algorithm>
#include <unordered_set>

#include <fmt/format.h>

#include "base/nearest.hpp"
#include "facts/facts.hpp"
#include "graph/same.hpp"

namespace ferrule::project {

namespace {

using findings::Finding;

constexpr std::string_view standard_rule = "design.standard";
constexpr std::string_view nothing_rule = "design.nothing-described";

bool describes_something(const graph::Design& design) {
    return std::any_of(design.things.begin(), design.things.end(), [](const graph::Thing& t) {
        return t.cls == graph::ThingClass::string || t.cls == graph::ThingClass::device;
    });
}

text::Span first_byte(text::FileId file) { return {file, 0, 0}; }

// The standard the site names. A design that describes nothing yet needs none.
void choose_standard(Study& s, const Knowledge& k, text::FileId root, const CheckOptions& options) {
    const std::string& wanted = options.standard;
    const graph::Design& d = s.design;
    s.standard = &s.no_standard;
    if (!wanted.empty()) {
        if (const tables::Standard* known = k.standard(wanted)) s.standard = known;
        return;
    }
    const graph::RowId row = d.row(d.site_rows, "standard");
    const graph::Field* field = d.field(row, "id");
    const std::string_view id = field == nullptr ? std::string_view() : d.word(field->text);
    if (const tables::Standard* known = k.standard(id)) {
        s.standard = known;
        return;
    }
    if (field == nullptr) {
        if (const tables::Standard* usual = k.standard(options.default_standard)) {
            s.standard = usual;
            return;
        }
    }
    if (!describes_something(d)) return;
    // The site may stand in a file that could not be read.
    if (!d.site_span && std::any_of(s.findings.begin(), s.findings.end(), [](const Finding& f) { return f.rule == "design.include"; })) return;
    Finding f;
    f.rule = standard_rule;
    f.remedy = fmt::format("name one of these in the site: {}", k.standard_ids());
    if (field != nullptr) {
        f.span = {d.rows[row].span.file, field->begin, field->end};
        f.subject = id;
        f.message = fmt::format("the figures of the standard {} are not known here, so what rests on them is not judged", id);
        std::vector<std::string_view> ids;
        for (const tables::Standard& one : k.standards) ids.push_back(one.id);
        if (const std::string_view near = base::nearest(id, ids); !near.empty()) {
            f.edits.push_back({f.span, std::string(near)});
        }
    } else if (d.site_span) {
        f.span = d.site_span;
        f.message = "the site names no standard, so what rests on a standard's figures is not judged";
    } else {
        f.span = first_byte(root);
        f.message = "the design has no site that names a standard, so what rests on a standard's figures is not judged";
    }
    s.findings.push_back(std::move(f));
}

void note_nothing(Study& s, text::FileId root) {
    const graph::Design& d = s.design;
    if (!s.findings.empty() || d.site_span || d.parts.size() + d.things.size() != 0) return;
    Finding f;
    f.rule = nothing_rule;
    f.severity = findings::Severity::note;
    f.span = first_byte(root);
    f.message = "no system is described here";
    f.remedy = "`ferrule explain` shows how a design is written";
    s.findings.push_back(std::move(f));
}

// What several designs share (a parts file with a mistake) is reported once.
class Once {
public:
    explicit Once(bool needed) : needed_(needed) {}
    bool first(const Finding& f) {
        return !needed_ || seen_.insert(fmt::format("{} {} {} {}", f.rule, f.span.file.value, f.span.begin, f.message)).second;
    }

private:
    bool needed_;
    std::unordered_set<std::string> seen_;
};

}  // namespace

namespace {

// The study of what was read, without its facts.
void begin(Study& s, resolve::Result read, Loader& loader, text::FileId root, const Knowledge& knowledge, const CheckOptions& options) {
    s.files = std::move(read.files);
    s.doubted = read.doubted;
    s.findings.clear();
    for (const text::FileId file : s.files) {
        const std::vector<Finding>& found = loader.tree(file).findings;
        s.findings.insert(s.findings.end(), found.begin(), found.end());
    }
    std::move(read.findings.begin(), read.findings.end(), std::back_inserter(s.findings));
    note_nothing(s, root);
    choose_standard(s, knowledge, root, options);
}

}  // namespace

std::unique_ptr<Study> study(text::Sources& sources, Loader& loader, text::FileId root, const Knowledge& knowledge, const CheckOptions& options) {
    return study_again(sources, loader, root, knowledge, options, nullptr);
}

std::unique_ptr<Study> study_again(text::Sources& sources, Loader& loader, text::FileId root, const Knowledge& knowledge,
                                   const CheckOptions& options, std::unique_ptr<Study> before) {
    loader.enter(root);
    resolve::Result read = resolve::resolve(sources, loader, root, knowledge.kinds, knowledge.units);
    if (before == nullptr) {
        auto s = std::make_unique<Study>();
        s->design = std::move(read.design);
        begin(*s, std::move(read), loader, root, knowledge, options);
        s->facts = facts::compute(s->design, *s->standard);
        return s;
    }
    const bool alike = graph::same_statements(before->design, read.design);
    const bool same = alike && graph::same_figures(before->design, read.design);
    const tables::Standard* const standard = before->standard;
    auto replaced = alike ? std::make_unique<Study>() : std::move(before);
    auto s = alike ? std::move(before) : std::make_unique<Study>();
    if (alike) {
        s->design.restate(std::move(read.design));
        if (!same) replaced->facts = std::move(s->facts);
    } else {
        s->design = std::move(read.design);
        s->remembered = std::move(replaced->remembered);
    }
    begin(*s, std::move(read), loader, root, knowledge, options);
    if (same) {
        s->remembered.since = facts::Difference::none();  // nor is the standard another, which statements choose
        return s;
    }
    facts::Renewed now = facts::compute_again(s->design, *s->standard, replaced->facts, alike);
    s->facts = std::move(now.facts);
    s->remembered.since = s->standard == standard ? std::move(now.since) : facts::Difference();
    s->replaced = std::move(replaced);
    return s;
}

findings::Report judge(Study& s, const Knowledge& knowledge, const CheckOptions& options) {
    findings::Report judged = rules::run(knowledge.rules, s.facts, *s.standard, options.rules, &s.remembered);
    // What is missing altogether (a site) is missing at the beginning of the design.
    const text::Span begin = s.files.empty() ? text::Span() : first_byte(s.files.front());
    for (Finding& f : judged.findings) f.span = f.span ? f.span : begin;
    for (findings::Undecided& u : judged.undecided) u.span = u.span ? u.span : begin;
    std::vector<Finding> all;
    const std::string& only = options.rules.only;
    for (const Finding& f : s.findings) {
        if (only.empty() || f.rule == only || f.severity == findings::Severity::error) all.push_back(f);
    }
    std::move(judged.findings.begin(), judged.findings.end(), std::back_inserter(all));
    judged.findings = std::move(all);
    const graph::Design& d = s.design;
    judged.summary.devices = static_cast<std::uint32_t>(std::count_if(
        d.things.begin(), d.things.end(), [](const graph::Thing& t) { return t.cls == graph::ThingClass::device; }));
    judged.summary.conductors = static_cast<std::uint32_t>(d.conductors.size());
    return judged;
}

CheckResult check(text::Sources& sources, Loader& loader, const std::vector<text::FileId>& roots,
                  const Knowledge& knowledge, const CheckOptions& options) {
    CheckResult result;
    findings::Report& all = result.report;
    Once once(roots.size() > 1);
    std::unordered_set<text::FileId> files;
    for (const text::FileId root : roots) {
        const std::unique_ptr<Study> s = study(sources, loader, root, knowledge, options);
        findings::Report judged = judge(*s, knowledge, options);
        for (Finding& f : judged.findings) {
            if (once.first(f)) all.findings.push_back(std::move(f));
        }
        std::move(judged.undecided.begin(), judged.undecided.end(), std::back_inserter(all.undecided));
        all.summary.rules = std::max(all.summary.rules, judged.summary.rules);
        all.outside_used.resize(std::max(all.outside_used.size(), judged.outside_used.size()), 0);
        for (std::size_t i = 0; i < judged.outside_used.size(); ++i) all.outside_used[i] |= judged.outside_used[i];
        all.summary.devices += judged.summary.devices;
        all.summary.conductors += judged.summary.conductors;
        for (const text::FileId file : s->files) {
            if (files.insert(file).second) result.checked.files.push_back(sources[file].path());
        }
        std::vector<std::string>& standards = result.checked.standards;
        if (!s->standard->cited.empty() && std::find(standards.begin(), standards.end(), s->standard->cited) == standards.end()) {
            standards.push_back(s->standard->cited);
        }
    }
    findings::settle(all, sources);
    return result;
}

}  // namespace ferrule::project
