#include "cli/cli.hpp"

#include <algorithm>
#include <deque>
#include <set>

#include <fmt/format.h>

#include "base/files.hpp"
#include "base/limits.hpp"
#include "base/nearest.hpp"
#include "cli/arguments.hpp"
#include "cli/changed.hpp"
#include "cli/git.hpp"
#include "cli/groups.hpp"
#include "cli/pages.hpp"
#include "cli/terminal.hpp"
#include "lsp/serve.hpp"
#include "project/check.hpp"
#include "project/explain.hpp"
#include "project/known.hpp"
#include "project/knowledge.hpp"
#include "project/margins.hpp"
#include "project/roots.hpp"
#include "project/steps.hpp"
#include "project/tidy.hpp"
#include "project/values.hpp"
#include "render/machine.hpp"
#include "render/paper.hpp"
#include "render/report.hpp"

namespace ferrule::cli {

namespace {

constexpr int good = 0;
constexpr int found_errors = 1;
constexpr int not_done = 2;

bool any_error(const std::vector<findings::Finding>& found) {
    return std::any_of(found.begin(), found.end(),
                       [](const findings::Finding& f) { return f.severity == findings::Severity::error && !f.accepted; });
}

// One command from its arguments to its exit status. The status only ever grows: what was not done stays not done.
class Job {
public:
    Job(const Arguments& arguments, const base::FileSystem& files)
        : a_(arguments), files_(files), loader_(sources_, files_), colour_(coloured(arguments.colour)) {}

    int run() {
        switch (a_.command) {
            case Command::check: check(); break;
            case Command::values: values(); break;
            case Command::tidy: tidy(); break;
            case Command::explain: explain(); break;
            case Command::rules: rules(); break;
            case Command::serve: status_ = lsp::serve(files_, base::calendar(), {FERRULE_VERSION, rule_pages()}); break;
            case Command::steps: steps(); break;
        }
        return status_;
    }

private:
    void worsen(int status) { status_ = std::max(status_, status); }
    void fail(std::string_view message) {
        complain(message);
        worsen(not_done);
    }
    void print(std::string_view text) {
        if (const auto trouble = write_out(text)) fail("the output could not be written: " + *trouble);
    }
    [[nodiscard]] render::TextStyle style() const { return {colour_, a_.working}; }

    // False if the options name something that does not exist.
    bool learn(bool examples = false) {
        project::KnowledgeOptions options;
        options.rule_folders = a_.rule_folders;
        options.examples = examples;
        knowledge_ = project::learn(sources_, files_, options);
        if (!knowledge_.findings.empty()) {
            complain("these rule files cannot be used as they are:");
            write_error(render::findings_as_text(knowledge_.findings, sources_, {false, false}));
            worsen(not_done);
        }
        return asked_for_exists(knowledge_);
    }
    bool asked_for_exists(const project::Knowledge& k) {
        if (!a_.standard.empty() && k.standard(a_.standard) == nullptr) {
            fail(fmt::format("there is no standard {}; there are {}", a_.standard, k.standard_ids()));
            return false;
        }
        if (!a_.only.empty() && k.rules.find(a_.only) == nullptr) {
            const std::string near = k.rules.nearest(a_.only);
            fail(fmt::format("there is no rule {}; {}", a_.only,
                             near.empty() ? "`ferrule rules` lists them" : fmt::format("the nearest is {}", near)));
            return false;
        }
        return true;
    }

    // Every file the command names; what cannot be read is said.
    project::Roots named() {
        project::Request request{a_.paths, std::nullopt, a_.stdin_name};
        if (std::find(a_.paths.begin(), a_.paths.end(), "-") != a_.paths.end()) {
            request.standard_input = read_in(base::limits::file_bytes);
            if (!request.standard_input) {
                fail(fmt::format("standard input cannot be read, or is larger than {} MiB", base::limits::file_bytes >> 20U));
                return {};
            }
        }
        project::Roots roots = project::named_files(request, loader_, files_);
        for (const std::string& trouble : roots.troubles) fail(trouble);
        return roots;
    }
    std::vector<text::FileId> designs() { return project::not_included(named().files, loader_); }

    // The groups whose settings and rules can be used; the mistakes of the others are told, and the job is then not done.
    std::deque<Group>& groups_of(const std::vector<text::FileId>& roots) {
        groups_ = group(a_, sources_, files_, roots);
        for (Group& g : groups_) {
            if (!usable(g)) g.roots.clear();
        }
        return groups_;
    }
    bool usable(const Group& g) {
        if (!g.mistakes.empty()) {
            complain("these settings or rules cannot be used as they are:");
            write_error(render::findings_as_text(g.mistakes, sources_, {false, false}));
            worsen(not_done);
            return false;
        }
        return asked_for_exists(g.knowledge);
    }

    void check() {
        const std::vector<text::FileId> roots = designs();
        if (roots.empty()) return worsen(not_done);
        std::deque<Group>& groups = groups_of(roots);
        if (a_.show_settings) {
            std::string shown;
            for (const Group& g : groups) shown += (shown.empty() ? "" : "\n") + show_settings(g, a_, sources_);
            return print(shown);
        }
        project::CheckResult result;
        if (a_.changed.empty()) {
            for (const Group& g : groups) merge(result, checked(sources_, loader_, g, a_));
            findings::settle(result.report, sources_);
        } else {
            Changed changed = check_changed(a_, sources_, loader_, files_, groups);
            if (!changed.trouble.empty()) return fail(changed.trouble);
            result = std::move(changed.result);
        }
        const auto unusable = [](const Group& g) { return !g.mistakes.empty(); };
        if (a_.format == Format::text) {
            if (std::all_of(groups.begin(), groups.end(), unusable)) return;  // a count of nothing would look like praise
        } else if (std::any_of(groups.begin(), groups.end(), unusable)) {  // nor must a program take silence for it
            for (const Group& g : groups) result.report.findings.insert(result.report.findings.end(), g.mistakes.begin(), g.mistakes.end());
            findings::settle(result.report, sources_);
        }
        if (!a_.known.empty()) {
            const project::KnownResult known = project::mark_known(result.report, sources_, files_, a_.known);
            if (!known.trouble.empty()) fail(known.trouble);
            if (known.gone != 0 && a_.only.empty() && a_.changed.empty()) {
                complain(fmt::format("{} of {} {} found no more; `--write-known {}`{} writes the list anew", known.gone, a_.known, known.gone == 1 ? "is" : "are", a_.known,
                                     known.unseen == 0 ? "" : " over all the files it holds, not these alone,"));
            }
        }
        if (!a_.write_known.empty() && status_ == not_done) {
            complain(a_.write_known + " is left as it is: what was not checked would be missing in it");
        } else if (!a_.write_known.empty()) {
            if (const auto trouble = files_.write_whole(a_.write_known, project::known_list(result.report, sources_, files_, a_.write_known))) fail(fmt::format("{} could not be written: {}", a_.write_known, *trouble));
        }
        result.checked.folder = working_folder();
        const findings::Summary& s = result.report.summary;
        if (a_.write_known.empty() && (s.errors > 0 || (a_.strict && s.warnings > 0))) worsen(found_errors);
        if (a_.output.empty()) {
            print(laid_out(result, a_.format, style()));
        } else {
            print(laid_out(result, Format::text, style()));
            const auto trouble = files_.write_whole(a_.output, laid_out(result, a_.format, {false, a_.working}));
            if (trouble) fail(fmt::format("{} could not be written: {}", a_.output, *trouble));
        }
    }

    std::string laid_out(const project::CheckResult& result, Format format, const render::TextStyle& how) {
        switch (format) {
            case Format::json: return render::as_json(result.report, sources_, result.checked);
            case Format::sarif: return render::as_sarif(result.report, sources_, result.checked, about());
            case Format::junit: return render::as_junit(result.report, sources_, result.checked);
            case Format::github: return render::as_github(result.report, sources_, result.checked);
            case Format::gitlab: return render::as_gitlab(result.report, sources_, result.checked);
            case Format::text: break;
        }
        return render::as_text(result.report, sources_, result.checked, how);
    }

    // The rules behind a report, for formats that describe them.
    render::About about() {
        render::About about{FERRULE_VERSION, {}, rule_pages(), status_};
        std::set<std::string> met;
        for (const Group& g : groups_) {
            for (const rules::Rule& r : g.knowledge.rules.rules) {
                if (!met.insert(r.id).second) continue;
                render::RuleText text{r.id, r.title, r.why, r.severity, r.life_safety, {}};
                for (const rules::RuleSource& s : r.sources) text.sources.push_back(s.citation);
                about.rules.push_back(std::move(text));
            }
        }
        return about;
    }

    // Reads each design for a command that is not about findings; what is wrong with it is told beside the output.
    template <class Do>
    void each_design(const Do& act) {
        const std::vector<text::FileId> roots = designs();
        if (roots.empty()) return worsen(not_done);
        for (const Group& g : groups_of(roots)) {
            for (const text::FileId root : g.roots) {
                const auto study = project::study(sources_, loader_, root, g.knowledge, g.options(a_));
                if (!study->findings.empty()) write_error(render::findings_as_text(study->findings, sources_, {false, false}));
                if (any_error(study->findings)) worsen(found_errors);
                act(*study, g.knowledge);
            }
        }
    }

    void margins() {
        render::Margins all;
        each_design([&](const project::Study& study, const project::Knowledge& knowledge) {
            project::MarginsResult result = project::margins(study, knowledge, a_.names);
            for (const std::string& unknown : result.unknown) fail(unknown);
            std::move(result.margins.rows.begin(), result.margins.rows.end(), std::back_inserter(all.rows));
            std::move(result.margins.left_out.begin(), result.margins.left_out.end(), std::back_inserter(all.left_out));
        });
        print(a_.format == Format::json ? render::margins_as_json(all, sources_) : render::margins_as_text(all, sources_, colour_));
    }

    void values() {
        if (a_.margins) return margins();
        std::vector<render::ValueSubject> subjects;
        each_design([&](const project::Study& study, const project::Knowledge& knowledge) {
            project::ValuesResult result = project::values(study.facts, knowledge, *study.standard, a_.names);
            for (const std::string& unknown : result.unknown) fail(unknown);
            std::move(result.subjects.begin(), result.subjects.end(), std::back_inserter(subjects));
        });
        if (a_.format == Format::json) print(render::values_as_json(subjects));
        else if (!subjects.empty()) print(render::values_as_text(subjects, sources_, colour_));
    }

    void tidy() {
        const project::Roots roots = named();
        if (roots.files.empty()) return worsen(not_done);
        for (const text::FileId file : roots.files) {
            const project::Tidied tidied = project::tidy(sources_, loader_, file);
            const std::string& path = sources_[file].path();
            if (!tidied.findings.empty()) {
                write_error(render::findings_as_text(tidied.findings, sources_, {false, false}));
                complain(path + " is left as it is: what is wrong with it comes first");
                worsen(found_errors);
            } else if (a_.check_only) {
                if (!tidied.changed) continue;
                print(text::printable(path) + " would change\n");
                worsen(found_errors);
            } else if (file == roots.standard_input) {
                print(tidied.text);
            } else if (tidied.changed) {
                if (const auto trouble = project::replace(files_, sources_[file], tidied.text)) fail(*trouble);
                else print(text::printable(path) + " tidied\n");
            }
        }
    }

    void write_manual() {
        for (const auto& [name, text] : manual_files(command_table(), FERRULE_VERSION)) {
            const std::string path = a_.manual + "/" + name;
            if (const auto trouble = make_folder(path.substr(0, path.rfind('/')))) return fail(fmt::format("{}: {}", path, *trouble));
            if (const auto trouble = files_.write_whole(path, text)) return fail(fmt::format("{} could not be written: {}", path, *trouble));
        }
    }

    void explain() {
        if (!a_.manual.empty()) return write_manual();
        if (!learn(true)) return;
        if (!a_.pages.empty()) {
            if (const auto trouble = write_rule_pages(knowledge_, files_, a_.pages)) fail(fmt::format("{} could not be written: {}", a_.pages, *trouble));
            return;
        }
        render::Paper paper(colour_);
        if (a_.names.empty()) project::overview(knowledge_, paper);
        const std::vector<std::string> unknown = project::explain(knowledge_, a_.names, paper);
        print(paper.text());
        for (const std::string& word : unknown) {
            const std::string near = project::nearest_word(knowledge_, word);
            fail(fmt::format("nothing here is called {}{}", word, near.empty() ? "; `ferrule explain` shows what there is"
                                                                               : fmt::format("; the nearest is {}", near)));
        }
    }

    void rules() {
        if (!learn()) return;
        render::Paper paper(colour_);
        project::list_rules(knowledge_, a_.standard, paper);
        print(paper.text());
    }

    void steps() {
        if (a_.step == "tree") {
            for (const text::FileId file : named().files) print(project::tree_text(sources_, loader_.tree(file)));
            return;
        }
        each_design([&](const project::Study& study, const project::Knowledge& knowledge) {
            print(a_.step == "graph" ? project::graph_text(study.design) : project::facts_text(study.facts, knowledge.units));
        });
    }

    const Arguments& a_;
    const base::FileSystem& files_;
    text::Sources sources_;
    project::Loader loader_;
    project::Knowledge knowledge_;
    std::deque<Group> groups_;
    bool colour_;
    int status_ = good;
};

// The same with the files as they are staged for the next commit.
int run_staged(const Arguments& a) {
    const base::FileSystem& disk = base::disk();
    std::optional<Repository> repository;
    for (const std::string& path : a.paths) {
        const std::size_t slash = path.rfind('/');
        const std::string folder = disk.is_directory(path) ? path : slash == std::string::npos ? "." : path.substr(0, slash + 1);
        if (repository && Repository::root_of(folder) == repository->root()) continue;
        auto [opened, trouble] = Repository::staged(folder);
        if (repository) trouble = fmt::format("{} is not in the repository {}", path, repository->root());
        if (path == "-") trouble = "standard input is not staged";
        if (!trouble.empty()) {
            complain(trouble);
            return not_done;
        }
        repository = std::move(opened);
    }
    return Job(a, Before(disk, *repository)).run();
}

}  // namespace

int run(int argc, const char* const* argv) {
    survive_closed_pipes();
    const ArgumentsResult read = read_arguments(argc, argv);
    if (read.ready && read.arguments.staged) return run_staged(read.arguments);
    if (read.ready) return Job(read.arguments, base::disk()).run();
    if (read.status != 0) {
        write_error(read.text);
        return read.status;
    }
    if (const auto trouble = write_out(read.text)) {
        complain("the output could not be written: " + *trouble);
        return not_done;
    }
    return good;
}

}  // namespace ferrule::cli
