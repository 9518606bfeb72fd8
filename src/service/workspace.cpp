#include "service/workspace.hpp"

#include <algorithm>
#include <unordered_set>

#include <fmt/format.h>

#include "base/limits.hpp"
#include "project/amend.hpp"
#include "project/roots.hpp"

namespace ferrule::service {

namespace {

constexpr std::string_view design_suffix = ".fer";
constexpr std::string_view include_rule = "design.include";

// Is this about an acceptance of the settings?
bool outside(const Known& k, const findings::Finding& f) {
    return std::any_of(k.settings.acceptances.begin(), k.settings.acceptances.end(), [&](const rules::OutsideAcceptance& a) { return a.acceptance.span == f.span; });
}

project::CheckOptions options(const Design& design) {
    project::CheckOptions options;
    options.default_standard = design.known->settings.standard;
    options.rules.today = design.day;
    options.rules.outside = design.known->settings.acceptances;
    return options;
}

bool same_files(const Design& a, const Design& b) {
    return a.files.size() == b.files.size() && std::all_of(a.files.begin(), a.files.end(), [&](const auto& f) { return b.files.contains(f.first); });
}

}  // namespace

bool Known::built_in(std::string_view rule) const {
    const rules::Rule* r = knowledge.rules.find(rule);
    return r != nullptr && sources[r->span.file].path().starts_with("rules/");
}

text::FileId Design::file(const std::string& path) const {
    const auto at = files.find(path);
    return at == files.end() ? text::FileId() : at->second;
}

const std::vector<resolve::Use>& Design::uses() const {
    if (!uses_read_) {
        uses_read_ = true;
        loader->enter(root);
        // The same texts in the same order give the same files and places; what is read a second time is thrown away but for this.
        uses_ = resolve::resolve(sources, *loader, root, known->knowledge.kinds, known->knowledge.units, true).uses;
    }
    return uses_;
}

void Design::forget_uses() {
    uses_.clear();
    uses_read_ = false;
}

Workspace::Workspace(const base::FileSystem& disk, const base::Clock& clock) : files_(disk), clock_(clock) {}

std::shared_ptr<const Known> Workspace::known(const std::string& path) {
    std::shared_ptr<const Known>& at = known_[path];
    if (at != nullptr) return at;
    auto k = std::make_shared<Known>();
    k->settings = project::read_settings(k->sources, files_, path);
    project::KnowledgeOptions options;
    options.rule_folders = k->settings.rule_folders;
    options.shown_units = k->settings.units;
    k->knowledge = project::learn(k->sources, files_, options);
    k->mistakes = k->settings.findings;
    for (const auto& more : {project::doubts(k->settings, k->knowledge), k->knowledge.findings}) k->mistakes.insert(k->mistakes.end(), more.begin(), more.end());
    at = std::move(k);
    return at;
}

std::string Workspace::real(const std::string& path) const { return files_.real_path(path).value_or(path); }

void Workspace::set_folders(const std::vector<std::string>& folders) {
    folders_.clear();
    for (const std::string& folder : folders) folders_.push_back(real(folder));
    forget_outside();
    for (const std::string& folder : folders_) {
        for (const std::string& path : files_.list(folder, design_suffix)) fresh_files_.insert(real(path));
    }
}

// Files that are neither open nor in a folder, and that none of those includes.
void Workspace::forget_outside() {
    const auto in_folder = [&](const std::string& path) {
        return std::any_of(folders_.begin(), folders_.end(), [&](const std::string& f) { return path.starts_with(f.ends_with('/') ? f : f + '/'); });
    };
    std::set<std::string> kept;
    std::vector<std::string> todo;
    for (const auto& [path, included] : includes_) {
        if (open_.contains(path) || in_folder(path)) todo.push_back(path);
    }
    while (!todo.empty()) {
        const std::string path = std::move(todo.back());
        todo.pop_back();
        const auto at = includes_.find(path);
        if (at == includes_.end() || !kept.insert(path).second) continue;
        todo.insert(todo.end(), at->second.begin(), at->second.end());
    }
    roots_changed_ |= std::erase_if(includes_, [&](const auto& file) { return !kept.contains(file.first); }) != 0;
}

void Workspace::touch(const std::string& path) {
    fresh_files_.insert(path);
    for (const auto& [root, design] : designs_) {
        if (design->file(path)) stale_.insert(root);
    }
}

void Workspace::open(const std::string& path, std::string text) {
    files_.put(path, std::move(text));
    open_.insert(path);
    touch(path);
}

void Workspace::change(const std::string& path, std::string text) {
    files_.put(path, std::move(text));
    touch(path);
}

void Workspace::close(const std::string& path) {
    files_.take_away(path);
    open_.erase(path);
    touch(path);
}

void Workspace::changed_on_disk(const std::string& path) {
    if (std::string_view(path).ends_with(".toml")) {  // settings, acceptances or house rules: everything may be judged otherwise
        known_.clear();
        for (const auto& [root, design] : designs_) stale_.insert(root);
        return;
    }
    if (files_.find(path) == nullptr) touch(path);  // else the editor's text stands over it
}

const std::string* Workspace::text(const std::string& path) const { return files_.find(path); }

std::set<std::string> Workspace::includes_of(const std::string& path) const {
    text::Sources sources;
    project::Loader loader(sources, files_);
    const auto opened = loader.open(path);
    std::set<std::string> included;
    const auto* file = std::get_if<text::FileId>(&opened);
    if (file == nullptr) return included;
    loader.enter(*file);
    for (const text::FileId other : loader.included_by(*file)) included.insert(real(sources[other].path()));
    return included;
}

// Every known file that no other includes is the first file of a design; of files that include each other in a circle, the first.
void Workspace::find_roots() {
    std::set<std::string> reached;
    const auto reach = [&](const std::string& from) {
        std::vector<std::string> todo{from};
        while (!todo.empty()) {
            const std::string at = std::move(todo.back());
            todo.pop_back();
            const auto known = includes_.find(at);
            if (known == includes_.end()) continue;
            for (const std::string& next : known->second) {
                if (next != from && reached.insert(next).second) todo.push_back(next);
            }
        }
    };
    std::set<std::string> direct;
    for (const auto& [path, included] : includes_) {
        for (const std::string& other : included) {
            if (other != path) direct.insert(other);
        }
    }
    std::set<std::string> roots;
    for (const auto& [path, included] : includes_) {
        if (direct.contains(path)) continue;
        roots.insert(path);
        reach(path);
    }
    for (const auto& [path, included] : includes_) {  // circles that nothing outside them includes
        if (roots.contains(path) || reached.contains(path)) continue;
        roots.insert(path);
        reach(path);
    }
    for (auto at = designs_.begin(); at != designs_.end();) {
        if (roots.contains(at->first)) ++at;
        else at = designs_.erase(at);
    }
    for (const std::string& root : roots) {
        if (!designs_.contains(root)) stale_.insert(root);
    }
    std::erase_if(stale_, [&](const std::string& root) { return !roots.contains(root); });
}

// With mistakes in the settings or house rules nothing is judged. That is said in each file, or all would look right.
void Workspace::judge(Design& design) {
    const Known& k = *design.known;
    if (!k.mistakes.empty()) {
        const findings::Finding& first = k.mistakes.front();
        findings::Finding f;
        f.rule = first.rule;
        f.severity = findings::Severity::warning;
        const std::string where = first.span ? k.sources[first.span.file].path() : k.settings.path;
        f.message = fmt::format("nothing is judged here, for there is a mistake in {}: {}", where, first.message);
        f.remedy = "put that right first";
        design.report = {};
        for (const text::FileId file : design.study->files) {
            f.span = {file, 0, 0};
            design.report.findings.push_back(f);
        }
        return;
    }
    design.report = project::judge(*design.study, k.knowledge, options(design));
    project::apply_severities(design.report, k.settings);
    findings::settle(design.report, design.sources);
    // What is wrong with an acceptance from outside stands in another file, and is shown there.
    std::erase_if(design.report.findings, [&](const findings::Finding& f) { return f.span && f.rule.starts_with("design.accept-") && outside(k, f); });
}

// After an edit in one of its files that leaves what it says as it was, but for a figure perhaps. False: its trees are up to date, and no more can be said of it.
bool Workspace::amended(const std::string& root, Design& design) {
    if (design.known != known(project::settings_path(files_, root)) || design.study == nullptr || design.day != clock_.today()) return false;
    const auto& found = design.report.findings;
    if (std::any_of(found.begin(), found.end(), [](const findings::Finding& f) { return f.rule == include_rule; })) return false;
    const auto fresh = [&](const auto& file) { return fresh_files_.contains(file.first); };
    const auto file = std::find_if(design.files.begin(), design.files.end(), fresh);
    if (file == design.files.end() || std::count_if(design.files.begin(), design.files.end(), fresh) != 1) return false;
    const std::string* text = files_.find(file->first);
    if (text == nullptr || text->size() > base::limits::file_bytes) return false;
    const std::optional<project::Edited> edited = design.loader->edit(file->second, *text);
    if (!edited) return false;
    const project::Amended amended = project::amend(*design.study, design.report, design.sources, *design.loader, *edited);
    if (amended == project::Amended::no) return false;
    if (amended == project::Amended::judged_anew) judge(design);
    design.forget_uses();
    ++design.amended;
    fresh_files_.erase(file->first);
    return true;
}

std::unique_ptr<Design> Workspace::checked(const std::string& root, Design* before) {
    auto design = std::make_unique<Design>();
    design->loader = std::make_unique<project::Loader>(design->sources, files_);
    if (before != nullptr) design->loader->read_before(before->loader.get());
    const auto opened = design->loader->open(root);
    const auto* file = std::get_if<text::FileId>(&opened);
    if (file == nullptr) return nullptr;
    design->root = *file;
    design->known = known(project::settings_path(files_, root));
    const Known& k = *design->known;
    design->day = clock_.today();
    auto studied = before != nullptr && before->known == design->known ? std::move(before->study) : nullptr;
    design->study = project::study_again(design->sources, *design->loader, *file, k.knowledge, options(*design), std::move(studied));
    design->loader->read_before(nullptr);  // that will not be there for ever
    judge(*design);
    for (const text::FileId one : design->study->files) design->files.emplace(real(design->sources[one].path()), one);
    return design;
}

// The settings files in use that have mistakes, as files with findings; those that had some before are touched too.
void Workspace::show_mistakes(std::set<std::string>& touched) {
    touched.insert(mistaken_.begin(), mistaken_.end());
    mistaken_.clear();
    settings_.clear();
    std::set<std::string> used;
    for (const auto& [root, design] : designs_) {
        const std::string& path = design->known->settings.path;
        if (!used.insert(path).second || design->known->mistakes.empty()) continue;
        const Known& k = *design->known;
        auto shown = std::make_unique<Design>();
        shown->known = design->known;
        shown->report.findings = k.mistakes;
        for (std::uint32_t i = 0; i < k.sources.size(); ++i) {  // the same files under the same numbers
            const text::Source& s = k.sources[text::FileId(i)];
            shown->files.emplace(real(s.path()), shown->sources.add(s.path(), std::string(s.bytes())));
        }
        const text::FileId own = shown->file(real(path));
        for (findings::Finding& f : shown->report.findings) {
            if (!f.span) f.span = {own, 0, 0};
            mistaken_.insert(real(k.sources[f.span.file].path()));
        }
        settings_.emplace(real(path), std::move(shown));
    }
    touched.insert(mistaken_.begin(), mistaken_.end());
}

bool Workspace::in_stale_design(const std::string& path) const {
    return std::any_of(stale_.begin(), stale_.end(), [&](const std::string& root) {
        const auto at = designs_.find(root);
        return at != designs_.end() && at->second->file(path);
    });
}

// Which file includes which, where that may have changed. Of a file whose design is checked anyhow, its tree will tell.
bool Workspace::read_includes() {
    bool changed = false, appeared = false;
    for (auto at = fresh_files_.begin(); at != fresh_files_.end();) {
        const std::string& path = *at;
        const bool exists = files_.real_path(path).has_value();
        const bool known = includes_.contains(path);
        if (!exists) {
            changed |= includes_.erase(path) != 0;
        } else if (known && in_stale_design(path)) {
            ++at;  // later
            continue;
        } else if (known || open_.contains(path) || std::string_view(path).ends_with(design_suffix)) {
            std::set<std::string> included = includes_of(path);
            appeared |= !known;
            changed |= !known || includes_[path] != included;
            includes_.insert_or_assign(path, std::move(included));
        }
        at = fresh_files_.erase(at);
    }
    if (appeared) {  // a design that could not find a file may find it now
        for (const auto& [root, design] : designs_) {
            const auto& found = design->report.findings;
            if (std::any_of(found.begin(), found.end(), [](const findings::Finding& f) { return f.rule == include_rule; })) stale_.insert(root);
        }
    }
    return changed;
}

std::vector<std::string> Workspace::refresh(const std::function<bool()>& stop) {
    std::set<std::string> touched = fresh_files_;
    const auto note_files = [&](const Design& d) {
        for (const auto& [path, file] : d.files) touched.insert(path);
    };
    const auto sort_out = [&] {
        for (const auto& [root, design] : designs_) note_files(*design);
        find_roots();
    };
    if (read_includes() || roots_changed_) sort_out();
    roots_changed_ = false;
    while (!stale_.empty()) {
        if (stop && stop()) break;
        const std::string root = *stale_.begin();
        stale_.erase(stale_.begin());
        std::unique_ptr<Design> before;
        if (const auto at = designs_.find(root); at != designs_.end()) {
            note_files(*at->second);
            if (amended(root, *at->second)) continue;
            before = std::move(at->second);
            designs_.erase(at);
        }
        std::unique_ptr<Design> now = checked(root, before.get());
        if (now == nullptr) continue;
        note_files(*now);
        const Design& design = *now;
        designs_.emplace(root, std::move(now));
        // Made of the same files: who includes whom has not changed.
        if (before != nullptr && same_files(*before, design)) std::erase_if(fresh_files_, [&](const std::string& path) { return static_cast<bool>(design.file(path)) && includes_.contains(path); });
        if (before != nullptr) old_.push_back(std::move(before));
        bool changed = false;
        std::erase_if(fresh_files_, [&](const std::string& path) {
            const text::FileId file = design.file(path);
            if (!file) return false;
            design.loader->enter(design.root);
            std::set<std::string> included;
            for (const text::FileId other : design.loader->included_by(file)) included.insert(real(design.sources[other].path()));
            changed |= includes_[path] != included;
            includes_.insert_or_assign(path, std::move(included));
            return true;
        });
        if (changed) sort_out();
    }
    show_mistakes(touched);
    // A file that its design no longer includes.
    if (stale_.empty() && !fresh_files_.empty() && read_includes()) sort_out();
    return {touched.begin(), touched.end()};
}

void Workspace::forget_old() {
    old_.clear();
    for (const auto& [root, design] : designs_) {
        if (design->study != nullptr) design->study->replaced = nullptr;
    }
}

std::vector<Workspace::FileFindings> Workspace::findings_in(const std::string& path) const {
    std::vector<FileFindings> all;
    std::unordered_set<std::string> seen;
    std::vector<const Design*> all_designs;
    for (const auto& [root, design] : designs_) all_designs.push_back(design.get());
    for (const auto& [settings, design] : settings_) all_designs.push_back(design.get());
    for (const Design* design : all_designs) {
        const text::FileId file = design->file(path);
        if (!file) continue;
        FileFindings here;
        here.design = design;
        for (const findings::Finding& f : design->report.findings) {
            if (f.span.file != file) continue;
            if (seen.insert(fmt::format("{} {} {}", f.rule, f.span.begin, f.message)).second) here.findings.push_back(&f);
        }
        all.push_back(std::move(here));
    }
    return all;
}

std::vector<std::string> Workspace::all_files() const {
    std::set<std::string> all;
    for (const auto& [root, design] : designs_) {
        for (const auto& [path, file] : design->files) all.insert(path);
    }
    all.insert(mistaken_.begin(), mistaken_.end());
    return {all.begin(), all.end()};
}

View Workspace::view(const std::string& path) {
    if (stale()) refresh();
    for (const auto& [root, design] : designs_) {
        if (const text::FileId file = design->file(path)) return {design.get(), &design->known->knowledge, file};
    }
    return {};
}

std::vector<const Design*> Workspace::designs() {
    if (stale()) refresh();
    std::vector<const Design*> all;
    for (const auto& [root, design] : designs_) all.push_back(design.get());
    return all;
}

}  // namespace ferrule::service
