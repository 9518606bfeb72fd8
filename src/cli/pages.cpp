#include "cli/pages.hpp"

#include <filesystem>
#include <system_error>

#include <fmt/format.h>

#include "service/hover.hpp"

namespace ferrule::cli {

namespace fs = std::filesystem;

std::string rule_pages() {
    std::error_code error;
    const fs::path program = fs::read_symlink("/proc/self/exe", error);
    if (error) return {};
    for (const fs::path& folder : {program.parent_path().parent_path() / "share/doc/ferrule/rules", program.parent_path() / "rule-pages"}) {
        if (fs::is_directory(folder, error)) return folder.string();
    }
    return {};
}

std::string working_folder() {
    std::error_code error;
    const fs::path here = fs::current_path(error);
    return error ? std::string() : here.string();
}

std::optional<std::string> make_folder(const std::string& folder) {
    std::error_code error;
    fs::create_directories(folder, error);
    if (error) return error.message();
    return std::nullopt;
}

std::optional<std::string> write_rule_pages(const project::Knowledge& knowledge, const base::FileSystem& files, const std::string& folder) {
    if (auto trouble = make_folder(folder)) return trouble;
    for (const rules::Rule& r : knowledge.rules.rules) {
        std::string page = service::rule_page(r);
        for (const rules::Example& e : r.examples) {
            page += fmt::format("\n{}\n\n```fer\n{}```\n", e.fails ? "Told:" : "Right:", e.design);
        }
        if (auto trouble = files.write_whole(folder + "/" + r.id + ".md", page)) return trouble;
    }
    return std::nullopt;
}

}  // namespace ferrule::cli
