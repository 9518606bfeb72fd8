// Gets at design files: each real file is read and parsed once in a run, however often and under whatever names it is
// asked for; an include never leaves the project. The project's root is the nearest folder upward from the design's
// first file that holds a `.git`, else that file's own folder.
#pragma once

#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <variant>
#include <vector>

#include "base/files.hpp"
#include "resolve/loader.hpp"
#include "syntax/alike.hpp"
#include "syntax/tree.hpp"
#include "text/source.hpp"

namespace ferrule::project {

// A file before an edit of little consequence, and what that was.
struct Edited {
    syntax::Tree tree;
    std::string text;
    syntax::Alike same;
};

class Loader final : public resolve::Loader {
public:
    // Both must outlive the loader.
    Loader(text::Sources& sources, const base::FileSystem& files) : sources_(sources), files_(files) {}
    // What was read of the same files before; must live until all trees are asked for. It only saves time.
    void read_before(const Loader* before) { before_ = before; }

    // A file named on the command line, or what is wrong with it.
    [[nodiscard]] std::variant<text::FileId, std::string> open(const std::string& path);
    // Text that came from elsewhere (standard input, an editor) under a name that may not exist.
    [[nodiscard]] text::FileId add(const std::string& path, std::string bytes);
    // From here on includes are held to the project of this file.
    void enter(text::FileId root);

    std::variant<text::FileId, std::string> include(text::FileId from, std::string_view path) override;
    const syntax::Tree& tree(text::FileId file) override;
    // A file that was read has another text from here on. Nothing: what its tree says is, or may be, another thing than before.
    [[nodiscard]] std::optional<Edited> edit(text::FileId file, std::string bytes);

    // The files that this one includes directly, as far as they can be read.
    [[nodiscard]] std::vector<text::FileId> included_by(text::FileId file);

private:
    [[nodiscard]] std::variant<text::FileId, std::string> read(const std::string& shown, const std::string& real);
    [[nodiscard]] std::string real_folder(text::FileId file) const;
    [[nodiscard]] const syntax::Tree* tree_before(text::FileId file) const;

    text::Sources& sources_;
    const base::FileSystem& files_;
    std::string root_;                                        // "" until enter()
    bool marked_ = false;  // it holds .git
    std::unordered_map<std::string, text::FileId> by_real_path_;
    std::unordered_map<std::uint32_t, std::size_t> tree_of_;  // file -> trees_
    std::deque<syntax::Tree> trees_;
    const Loader* before_ = nullptr;
};

// The folder that a path stands in: "." of a bare name.
[[nodiscard]] std::string folder_of(std::string_view path);

}  // namespace ferrule::project
