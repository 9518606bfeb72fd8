// What an editor works on: its folders, its open documents, the designs they belong to, each checked as `check` would check it.
// Knows no protocol: paths and byte offsets in, plain values out. A design is checked anew, whole, when one of its files or the
// rules change, but for two things: trees of texts that were read before are made from those (syntax/tree.hpp), and of what was
// found before, what the edit cannot have changed is taken over (project/amend.hpp, project::study_again).
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "base/files.hpp"
#include "findings/finding.hpp"
#include "project/check.hpp"
#include "project/knowledge.hpp"
#include "project/loader.hpp"
#include "project/settings.hpp"
#include "service/overlay.hpp"
#include "text/source.hpp"

namespace ferrule::service {

// What the program knows where one settings file holds (or none).
struct Known {
    text::Sources sources;  // of settings, acceptances and house rules
    project::Settings settings;
    project::Knowledge knowledge;
    std::vector<findings::Finding> mistakes;  // with any of these nothing is judged

    [[nodiscard]] bool built_in(std::string_view rule) const;  // one that is inside the program, which has a page
};

// One design as it was last checked. Files go by their real paths. A settings file with mistakes is kept in the same form, without
// a study: it has findings and nothing else.
struct Design {
    std::shared_ptr<const Known> known;
    text::Sources sources;
    std::unique_ptr<project::Loader> loader;
    std::unique_ptr<project::Study> study;
    findings::Report report;  // settled
    text::FileId root;
    base::Date day;  // on which it was judged
    std::uint32_t amended = 0;  // how often its text has become another since; what was worked out of it before holds no longer
    std::unordered_map<std::string, text::FileId> files;

    // Where each name is used; read anew when somebody first asks, since findings do without.
    [[nodiscard]] const std::vector<resolve::Use>& uses() const;
    void forget_uses();  // the text has changed

    [[nodiscard]] text::FileId file(const std::string& path) const;  // none if it is not part of the design
    [[nodiscard]] const graph::Design& graph() const { return study->design; }

private:
    mutable std::vector<resolve::Use> uses_;
    mutable bool uses_read_ = false;
};

// A file in a design that is up to date, and the words the program knows: what every question is about.
struct View {
    const Design* design = nullptr;
    const project::Knowledge* knowledge = nullptr;
    text::FileId file;
    [[nodiscard]] const syntax::Tree& tree() const { return design->loader->tree(file); }
    [[nodiscard]] std::string_view bytes() const { return design->sources[file].bytes(); }
    explicit operator bool() const { return design != nullptr; }
};

class Workspace {
public:
    // Both must outlive the workspace.
    Workspace(const base::FileSystem& disk, const base::Clock& clock);

    void set_folders(const std::vector<std::string>& folders);
    [[nodiscard]] std::string real(const std::string& path) const;  // what the path is called below

    void open(const std::string& path, std::string text);
    void change(const std::string& path, std::string text);
    void close(const std::string& path);
    void changed_on_disk(const std::string& path);
    [[nodiscard]] const std::string* text(const std::string& path) const;  // of an open document

    // Something has changed since the last refresh.
    [[nodiscard]] bool stale() const { return !stale_.empty() || !fresh_files_.empty() || roots_changed_; }
    // Checks what has changed and what depends on it; the files whose findings may be others than before. `stop` is asked
    // between designs; what it leaves undone is stale still.
    std::vector<std::string> refresh(const std::function<bool()>& stop = {});

    // The findings in one file, of all designs it is part of, each once.
    struct FileFindings {
        const Design* design = nullptr;  // whose sources the places refer to
        std::vector<const findings::Finding*> findings;
    };
    [[nodiscard]] std::vector<FileFindings> findings_in(const std::string& path) const;
    // Designs as they were before the last refresh are kept until now: taking them down takes longer than telling the findings may.
    void forget_old();
    [[nodiscard]] std::vector<std::string> all_files() const;  // of all designs, and those with mistakes that keep designs from being judged; sorted

    // A design that holds the file; empty if none does. Refreshed first.
    [[nodiscard]] View view(const std::string& path);
    // Every design; for questions about the whole workspace. Refreshed first.
    [[nodiscard]] std::vector<const Design*> designs();
    [[nodiscard]] const project::Knowledge& knowledge() { return known(std::string())->knowledge; }

private:
    void find_roots();
    void forget_outside();
    [[nodiscard]] bool in_stale_design(const std::string& path) const;
    bool read_includes();
    [[nodiscard]] std::set<std::string> includes_of(const std::string& path) const;
    [[nodiscard]] bool amended(const std::string& root, Design& design);
    static void judge(Design& design);
    [[nodiscard]] std::unique_ptr<Design> checked(const std::string& root, Design* before);
    [[nodiscard]] std::shared_ptr<const Known> known(const std::string& settings_path);
    void show_mistakes(std::set<std::string>& touched);
    void touch(const std::string& path);

    Overlay files_;
    const base::Clock& clock_;
    std::map<std::string, std::shared_ptr<const Known>> known_;  // by settings file
    std::vector<std::string> folders_;
    std::set<std::string> open_;
    std::map<std::string, std::set<std::string>> includes_;   // of every known design file
    std::map<std::string, std::unique_ptr<Design>> designs_;  // by root
    std::map<std::string, std::unique_ptr<Design>> settings_;  // files of settings with mistakes in them
    std::set<std::string> mistaken_;  // the settings, acceptances and house rules that these are in
    std::vector<std::unique_ptr<Design>> old_;
    std::set<std::string> stale_;                             // roots to be checked
    std::set<std::string> fresh_files_;                       // files whose includes must be read again
    bool roots_changed_ = false;                              // files were forgotten that may have been first ones
};

}  // namespace ferrule::service
