#include "project/loader.hpp"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include "base/limits.hpp"

namespace ferrule::project {

namespace {

using base::ReadResult;
using Opened = std::variant<text::FileId, std::string>;

std::string joined(std::string_view folder, std::string_view path) {
    if (folder == ".") return std::string(path);
    return fmt::format("{}{}{}", folder, folder.ends_with('/') ? "" : "/", path);
}

bool within(std::string_view path, std::string_view root) {
    return root == "/" || (path.starts_with(root) && (path.size() == root.size() || path[root.size()] == '/'));
}

// The path without its dots, by its letters alone; nothing if it climbs above where it starts.
std::optional<std::string> without_dots(std::string_view path) {
    const bool absolute = path.starts_with('/');
    std::vector<std::string_view> steps;
    while (!path.empty()) {
        const std::size_t slash = std::min(path.find('/'), path.size());
        const std::string_view step = path.substr(0, slash);
        path.remove_prefix(std::min(slash + 1, path.size()));
        if (step == "..") {
            if (steps.empty()) return std::nullopt;
            steps.pop_back();
        } else if (!step.empty() && step != ".") {
            steps.push_back(step);
        }
    }
    std::string whole;
    for (const std::string_view step : steps) whole.append(absolute || !whole.empty() ? "/" : "").append(step);
    return whole.empty() ? (absolute ? "/" : ".") : whole;
}

std::string trouble(ReadResult::Status status, std::string_view path, bool folder) {
    switch (status) {
        case ReadResult::Status::missing: return fmt::format("there is no file {}", path);
        case ReadResult::Status::not_a_file:
            return fmt::format("{} is {}", path, folder ? "a folder, not a file" : "no regular file");
        case ReadResult::Status::unreadable: return fmt::format("{} may not be read", path);
        case ReadResult::Status::too_large:
            return fmt::format("{} is larger than {} MiB, the most a design file may have", path,
                               base::limits::file_bytes >> 20U);
        case ReadResult::Status::ok: break;
    }
    return {};
}

// What stands between the quotes of `include "…"`, its two escapes undone.
std::string unquoted(std::string_view text) {
    std::string plain;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '"') continue;
        if (text[i] == '\\' && i + 1 < text.size()) ++i;
        plain += text[i];
    }
    return plain;
}

}  // namespace

std::string folder_of(std::string_view path) {
    const std::size_t slash = path.rfind('/');
    if (slash == std::string_view::npos) return ".";
    return std::string(slash == 0 ? "/" : path.substr(0, slash));
}

Opened Loader::open(const std::string& path) {
    const std::optional<std::string> real = files_.real_path(path);
    return read(path, real.value_or(path));
}

Opened Loader::read(const std::string& shown, const std::string& real) {
    if (const auto known = by_real_path_.find(real); known != by_real_path_.end()) return known->second;
    ReadResult result = files_.read(real, base::limits::file_bytes);
    if (result.status != ReadResult::Status::ok) return trouble(result.status, shown, files_.is_directory(real));
    const text::FileId file = sources_.add(shown, std::move(result.bytes));
    by_real_path_.emplace(real, file);
    return file;
}

text::FileId Loader::add(const std::string& path, std::string bytes) {
    const text::FileId file = sources_.add(path, std::move(bytes));
    if (const std::optional<std::string> real = files_.real_path(path)) by_real_path_.insert_or_assign(*real, file);
    return file;
}

std::string Loader::real_folder(text::FileId file) const {
    const std::string folder = folder_of(sources_[file].path());
    return files_.real_path(folder).value_or(folder);
}

void Loader::enter(text::FileId root) {
    const std::string own = real_folder(root);
    root_ = own;
    marked_ = false;
    for (std::string folder = own; folder.starts_with('/'); folder = folder_of(folder)) {
        if (files_.real_path(joined(folder, ".git"))) {
            root_ = folder;
            marked_ = true;
            break;
        }
        if (folder == "/") break;
    }
}

Opened Loader::include(text::FileId from, std::string_view path) {
    if (path.empty()) return std::string("the path is empty");
    if (path.starts_with('/')) {
        return fmt::format("{} is an absolute path; write it from this file's own folder", path);
    }
    if (path.find('\\') != std::string_view::npos) return fmt::format("the folders of {} are parted by /, not by \\", path);
    if (path.find('\0') != std::string_view::npos) return std::string("the path holds a zero byte");
    const std::string shown = joined(folder_of(sources_[from].path()), path);
    const std::optional<std::string> plain = without_dots(joined(real_folder(from), path));
    const std::optional<std::string> real = files_.real_path(shown);
    if (!plain || !within(*plain, root_) || (real && !within(*real, root_))) {
        return fmt::format("{} lies outside the project, whose root is {}: {}\n{}", path, root_,
                           marked_ ? "it holds `.git`" : "the folder of the design, as no folder above it holds `.git`",
                           marked_ ? "move the file below the root" : "move the file below the root; or make the folder above both the root: `git init` there");
    }
    if (!real) return fmt::format("there is no file {}, or it is a link to nothing", shown);
    const std::optional<std::string> plainer = without_dots(shown);  // a/b/../c is shown as a/c, unless b is a link
    return read(plainer && files_.real_path(*plainer) == real ? *plainer : shown, *real);
}

const syntax::Tree& Loader::tree(text::FileId file) {
    const auto [place, fresh] = tree_of_.try_emplace(file.value, trees_.size());
    if (fresh) {
        const syntax::Tree* const before = tree_before(file);
        trees_.push_back(before == nullptr ? syntax::parse(sources_, file) : syntax::parse(sources_, file, *before, before_->sources_[before->file].bytes()));
    }
    return trees_[place->second];
}

std::optional<Edited> Loader::edit(text::FileId file, std::string bytes) {
    (void)tree(file);
    syntax::Tree& before = trees_[tree_of_.at(file.value)];
    std::string text_before = sources_.replace(file, std::move(bytes));
    syntax::Tree now = syntax::parse(sources_, file, before, text_before);
    const std::optional<syntax::Alike> same = syntax::alike(before, text_before, now, sources_[file].bytes());
    std::swap(before, now);
    if (!same) return std::nullopt;
    return Edited{std::move(now), std::move(text_before), *same};
}

// By the name it was shown under: a wrong guess costs time, no more.
const syntax::Tree* Loader::tree_before(text::FileId file) const {
    if (before_ == nullptr) return nullptr;
    for (const syntax::Tree& t : before_->trees_) {
        if (before_->sources_[t.file].path() == sources_[file].path()) return &t;
    }
    return nullptr;
}

std::vector<text::FileId> Loader::included_by(text::FileId file) {
    std::vector<text::FileId> files;
    const syntax::Tree& t = tree(file);
    for (const syntax::NodeIndex statement : syntax::children(t, 0)) {
        if (t[statement].kind != syntax::NodeKind::include) continue;
        for (const syntax::NodeIndex child : syntax::children(t, statement)) {
            if (t[child].kind != syntax::NodeKind::text) continue;
            const Opened opened = include(file, unquoted(sources_.text(t.span(child))));
            if (const auto* id = std::get_if<text::FileId>(&opened)) files.push_back(*id);
        }
    }
    return files;
}

}  // namespace ferrule::project
