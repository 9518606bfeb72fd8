#include "cli/arguments.hpp"

#include <algorithm>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>

#ifndef FERRULE_VERSION
#error "the build states the version"
#endif

namespace ferrule::cli {

namespace {

constexpr const char* about =
    "Reads a small power system written down as text and says what is wrong with it, where, and why.\n"
    "It checks a design; it replaces neither the local code, nor the authority, nor a licensed person.";

constexpr const char* endings =
    "Exit status: 0 no error found; 1 at least one error; 2 the job could not be done.\n"
    "`ferrule explain` teaches the language; `ferrule COMMAND --help` shows an example of each command.";

// One of these words; another is told with those that there are.
template <class E>
CLI::Validator one_of(const std::string& what, std::vector<std::pair<std::string, E>> known) {
    const auto take = [what, known = std::move(known)](std::string& word) {
        std::string all;
        for (const auto& [name, value] : known) {
            if (name == word) {
                word = std::to_string(static_cast<int>(value));
                return std::string();
            }
            all += (all.empty() ? "" : ", ") + name;
        }
        return "there is no " + what + " `" + word + "`; there are " + all;
    };
    return {take, {}, what};
}

class Reader {
public:
    Reader() : app_(about, "ferrule") {
        app_.footer(endings);
        app_.require_subcommand(1);
        app_.set_version_flag("--version", "ferrule " FERRULE_VERSION);
        app_.set_help_flag("--help,-h", "print this help");
        check();
        values();
        tidy();
        explain();
        rules();
        serve();
        steps();
    }

    ArgumentsResult read(int argc, const char* const* argv) {
        ArgumentsResult result;
        try {
            app_.parse(argc, argv);
            result.arguments = a_;
            if (!path_.empty()) result.arguments.paths = {path_};
            result.ready = true;
        } catch (const CLI::ParseError& e) {
            std::ostringstream out, err;
            const bool answered = app_.exit(e, out, err) == 0;
            result.status = answered ? 0 : 2;
            result.text = answered ? out.str() : "ferrule: " + err.str();
        }
        return result;
    }

    std::vector<CommandText> table() {
        std::vector<CommandText> all;
        for (const CLI::App* c : app_.get_subcommands({})) {
            CommandText text{c->get_name(), c->get_description(), c->get_footer(), {}};
            const std::size_t line = text.example.find('\n');  // after "Example:"
            if (line != std::string::npos) text.example = text.example.substr(line + 1);
            for (const CLI::Option* o : c->get_options()) {
                OptionText option;
                option.positional = o->get_positional();
                option.name = option.positional ? o->get_single_name() : "--" + o->get_lnames().front();
                option.about = o->get_description();
                option.value = o->get_option_text();
                if (option.name == "--help") option.about = "print this help";
                for (std::size_t at = 0; !option.positional && option.value.find('|') != std::string::npos && at <= option.value.size();) {
                    const std::size_t end = std::min(option.value.find('|', at), option.value.size());
                    option.choices.push_back(option.value.substr(at, end - at));
                    at = end + 1;
                }
                if (option.positional && option.name == "STEP") option.choices = {"tree", "graph", "facts"};
                option.file = option.value == "FILE" || option.name == "PATH";
                option.folder = option.value == "DIR";
                option.rule = option.value == "RULE";
                text.options.push_back(std::move(option));
            }
            std::stable_sort(text.options.begin(), text.options.end(), [](const OptionText& a, const OptionText& b) { return a.positional > b.positional; });
            all.push_back(std::move(text));
        }
        return all;
    }

private:
    CLI::App* command(const char* name, Command which, const char* what, const char* example) {
        CLI::App* c = app_.add_subcommand(name, what);
        c->set_help_flag("--help,-h", "print this help");
        c->footer(std::string("Example:\n") + example);
        c->add_option("--color", a_.colour, "always or never; without it only on a terminal and if NO_COLOR is not set")
            ->transform(one_of<Colour>("colour", {{"always", Colour::always}, {"never", Colour::never}}))
            ->option_text("always|never");
        c->callback([this, which] { a_.command = which; });
        return c;
    }

    void reads_designs(CLI::App* c, const char* what) {
        c->add_option("PATH", a_.paths, what)->required()->option_text("...");
        names_input(c);
    }
    void reads_a_design(CLI::App* c, const char* what) {
        c->add_option("PATH", path_, what)->required()->option_text(" ");
        names_input(c);
    }
    void names_input(CLI::App* c) {
        c->add_option("--stdin-name", a_.stdin_name, "the name, and the folder for includes, of what `-` reads")
            ->option_text("FILE");
    }

    void judges(CLI::App* c) {
        c->add_option("--standard", a_.standard, "take this standard, whatever the site says")->option_text("ID");
        c->add_option("--rules", a_.rule_folders, "house rules: every .toml in this folder; may be given again")
            ->option_text("DIR")
            ->allow_extra_args(false);
    }

    void formats(CLI::App* c) {
        c->add_option("--format", a_.format, "text for a person, json for a program")
            ->transform(one_of<Format>("format", {{"text", Format::text}, {"json", Format::json}}))
            ->option_text("text|json");
    }

    void check() {
        CLI::App* c = command("check", Command::check, "read designs and print what is wrong with them",
                              "  ferrule check hut.fer\n"
                              "  hut.fer:21:8: error: … [rule]   and exit status 1, or a summary and 0");
        reads_designs(c, "design files; a folder is every .fer below it that no other includes; - is standard input");
        c->add_option("--format", a_.format, "text for a person; json for a program; the others for what shows findings elsewhere")
            ->transform(one_of<Format>("format", {{"text", Format::text}, {"json", Format::json}, {"sarif", Format::sarif}, {"junit", Format::junit}, {"github", Format::github}, {"gitlab", Format::gitlab}}))
            ->option_text("text|json|sarif|junit|github|gitlab");
        c->add_option("--output", a_.output, "write the report to this file, and the text to the terminal")
            ->option_text("FILE");
        judges(c);
        CLI::Option* only = c->add_option("--only", a_.only, "report this rule alone");
        only->option_text("RULE");
        c->add_flag("--strict", a_.strict, "warnings fail too");
        CLI::Option* changed = c->add_option("--changed", a_.changed, "only the findings of what differs from this commit, and of whatever that affects");
        changed->option_text("REF");
        c->add_flag("--staged", a_.staged, "the files as they are staged for the next commit, whatever else the folder holds")->excludes(changed);
        c->add_option("--acceptances", a_.acceptances, "findings that are lived with, from this file, beside those accepted in the designs")->option_text("FILE");
        c->add_option("--known", a_.known, "fail only on findings that are not in this list")->option_text("FILE");
        c->add_option("--write-known", a_.write_known, "write the list of the findings there are now")->option_text("FILE")->excludes(changed)->excludes(only);
        c->add_flag("--show-settings", a_.show_settings, "only say which settings hold for each design, and from where");
        c->add_flag("--working", a_.working, "show the arithmetic of every finding, not only of errors");
    }

    void values() {
        CLI::App* c = command("values", Command::values, "print what was computed of the named things, with the working",
                              "  ferrule values hut.fer EAST\n"
                              "  EAST  string … voc-coldest  224.6 V   with the steps that led to it\n"
                              "  ferrule values hut.fer --margins\n"
                              "  what is nearest to its limit, and how far the design may still go");
        reads_a_design(c, "a design file; - is standard input");
        c->add_option("NAME", a_.names, "things of the design: EAST, Q1; without a name all")->option_text("...");
        c->add_flag("--margins", a_.margins,
                    "instead the room that is left below every limit, the smallest first, and how many degrees colder or hotter, metres longer "
                    "or modules more until it is met");
        formats(c);
        judges(c);
    }

    void tidy() {
        CLI::App* c = command("tidy", Command::tidy, "write design files in the house layout",
                              "  ferrule tidy hut.fer parts/\n"
                              "  writes each file whole, or leaves it as it was; says which it changed");
        reads_designs(c, "design files; a folder is every .fer below it; - reads standard input and writes standard output");
        c->add_flag("--check", a_.check_only, "only say which files would change; exit status 1 if any");
    }

    void explain() {
        CLI::App* c = command("explain", Command::explain, "explain a word of the language, a rule, a unit, a computed value",
                              "  ferrule explain isolator\n"
                              "  ferrule explain isolator rated\n"
                              "  ferrule explain            (how a design is written, from the start)");
        c->add_option("WORD", a_.names, "statement, kind, property, unit, dimension, rule, fact, standard, default")
            ->option_text("...");
        c->add_option("--manual", a_.manual, "instead write the manual pages and the shells' completions into this folder")->option_text("DIR");
        c->add_option("--pages", a_.pages, "instead write a page for every rule into this folder")->option_text("DIR");
        c->add_option("--rules", a_.rule_folders, "house rules to explain too")->option_text("DIR")->allow_extra_args(false);
    }

    void rules() {
        CLI::App* c = command("rules", Command::rules, "list the rules with severity, standard and clause",
                              "  ferrule rules --standard nec-2023");
        judges(c);
    }

    void serve() {
        CLI::App* c = command("serve", Command::serve, "the language server of an editor, on standard input and output",
                              "  ferrule serve            (started by the editor; see editors/README.md)");
        c->add_flag("--stdio")->description("what it does anyway; many editors say so");
    }

    void steps() {
        CLI::App* c = command("steps", Command::steps, "show the inside of each step, for whoever works on ferrule",
                              "  ferrule steps graph hut.fer");
        c->add_option("STEP", a_.step, "what to show")
            ->required()
            ->check(CLI::IsMember({"tree", "graph", "facts"}))
            ->option_text("tree|graph|facts");
        reads_a_design(c, "a design file; - is standard input");
        judges(c);
    }

    Arguments a_;
    std::string path_;  // of a command that takes one
    CLI::App app_;
};

}  // namespace

std::vector<CommandText> command_table() { return Reader().table(); }

ArgumentsResult read_arguments(int argc, const char* const* argv) { return Reader().read(argc, argv); }

}  // namespace ferrule::cli
