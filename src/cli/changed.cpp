#include "cli/changed.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <variant>

#include <fmt/format.h>

#include "cli/git.hpp"

namespace ferrule::cli {

namespace {

using findings::Finding;

// Whether it is an error is part of what it says: settings and house rules may raise it.
std::string said(const Finding& f) {
    return fmt::format("{}\n{}\n{}\n{}\n{}", f.rule, f.subject, f.message, f.accepted ? "accepted" : "", static_cast<int>(f.severity));
}
std::string said(const findings::Undecided& u) { return fmt::format("{}\n{}\n{}", u.rule, u.subject, u.missing); }

// How often each thing was said; `take` uses one up.
class Said {
public:
    void add(std::string s) { ++left_[std::move(s)]; }
    bool take(const std::string& s) {
        const auto at = left_.find(s);
        if (at == left_.end() || at->second == 0) return false;
        --at->second;
        return true;
    }

private:
    std::map<std::string, std::uint32_t> left_;
};

std::string folder_of(const std::string& path) {
    const std::size_t slash = path.rfind('/');
    return slash == std::string::npos ? "." : slash == 0 ? "/" : path.substr(0, slash);
}

}  // namespace

project::CheckResult checked(text::Sources& sources, project::Loader& loader, const Group& g, const Arguments& a) {
    if (g.roots.empty()) return {};
    project::CheckResult result = project::check(sources, loader, g.roots, g.knowledge, g.options(a));
    std::vector<Finding> idle = project::unused(g.settings, result.report.outside_used);
    if (a.only.empty()) std::move(idle.begin(), idle.end(), std::back_inserter(result.report.findings));
    project::apply_severities(result.report, g.settings);
    return result;
}

void merge(project::CheckResult& into, project::CheckResult from) {
    findings::Report& a = into.report;
    findings::Report& b = from.report;
    std::move(b.findings.begin(), b.findings.end(), std::back_inserter(a.findings));
    std::move(b.undecided.begin(), b.undecided.end(), std::back_inserter(a.undecided));
    a.summary.rules = std::max(a.summary.rules, b.summary.rules);
    a.summary.devices += b.summary.devices;
    a.summary.conductors += b.summary.conductors;
    const auto add = [](std::vector<std::string>& to, std::vector<std::string>& more) {
        for (std::string& one : more) {
            if (std::find(to.begin(), to.end(), one) == to.end()) to.push_back(std::move(one));
        }
    };
    add(into.checked.files, from.checked.files);
    add(into.checked.standards, from.checked.standards);
}

Changed check_changed(const Arguments& a, text::Sources& sources, project::Loader& loader, const base::FileSystem& files, const std::deque<Group>& groups) {
    Changed out;
    if (std::find(a.paths.begin(), a.paths.end(), "-") != a.paths.end()) {
        out.trouble = "standard input cannot be compared with a commit";
        return out;
    }
    std::optional<Repository> repository;
    std::optional<Before> was;
    text::Sources old_sources;
    std::optional<project::Loader> old_loader;
    std::set<std::string> folders;
    const auto real = [&](const std::string& path) { return files.real_path(path).value_or(path); };
    for (const Group& g : groups) {
        if (g.roots.empty()) continue;
        for (const text::FileId root : g.roots) {
            const std::string path = real(sources[root].path());
            if (!folders.insert(folder_of(path)).second) continue;
            if (!repository) {
                auto [opened, trouble] = Repository::open(folder_of(path), a.changed);
                if (!opened) {
                    out.trouble = trouble;
                    return out;
                }
                repository = std::move(opened);
                was.emplace(files, *repository);
                old_loader.emplace(old_sources, *was);
            } else if (Repository::root_of(folder_of(path)) != repository->root()) {
                out.trouble = fmt::format("{} is not in the repository {}: designs of one repository are compared at a time", sources[root].path(), repository->root());
                return out;
            }
        }
        project::CheckResult now = checked(sources, loader, g, a);
        // The same designs as they were, with the rules and settings of then.
        Said before;
        std::vector<text::FileId> old_roots;
        for (const text::FileId root : g.roots) {
            const std::string now_called = real(sources[root].path());
            const std::string& then_called = repository->name_before(now_called);
            const auto opened = old_loader->open(then_called == now_called ? sources[root].path() : then_called);
            if (const auto* file = std::get_if<text::FileId>(&opened)) old_roots.push_back(*file);
        }
        for (const Group& old : group(a, old_sources, *was, old_roots)) {
            if (!old.mistakes.empty()) continue;  // then all that is found now is new
            const project::CheckResult then = checked(old_sources, *old_loader, old, a);
            for (const Finding& f : then.report.findings) before.add(said(f));
            for (const findings::Undecided& u : then.report.undecided) before.add(said(u));
        }
        std::map<std::uint32_t, std::vector<std::pair<std::uint32_t, std::uint32_t>>> lines;
        const auto on_changed_line = [&](text::Span s) {
            if (!s) return false;
            auto at = lines.find(s.file.value);
            if (at == lines.end()) {
                at = lines.emplace(s.file.value, repository->lines(real(sources[s.file].path()))).first;
            }
            const std::uint32_t first = sources[s.file].at(s.begin).line, last = sources[s.file].at(s.end).line;
            return std::any_of(at->second.begin(), at->second.end(), [&](const auto& r) { return first <= r.second && r.first <= last; });
        };
        std::erase_if(now.report.findings, [&](const Finding& f) {
            const bool known = before.take(said(f));
            return known && !on_changed_line(f.span) && std::none_of(f.related.begin(), f.related.end(), [&](const findings::Related& r) { return on_changed_line(r.span); });
        });
        std::erase_if(now.report.undecided, [&](const findings::Undecided& u) { return before.take(said(u)) && !on_changed_line(u.span); });
        merge(out.result, std::move(now));
    }
    findings::settle(out.result.report, sources);
    return out;
}

}  // namespace ferrule::cli
